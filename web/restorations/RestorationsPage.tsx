export default function RestorationsPage() { return null; }
