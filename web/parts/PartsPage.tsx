export default function PartsPage() { return null; }
