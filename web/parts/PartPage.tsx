export default function PartPage() { return null; }
