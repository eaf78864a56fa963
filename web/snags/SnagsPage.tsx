export default function SnagsPage() { return null; }
