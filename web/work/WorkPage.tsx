export default function WorkPage() { return null; }
