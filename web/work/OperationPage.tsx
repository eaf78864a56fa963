export default function OperationPage() { return null; }
