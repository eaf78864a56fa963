export default function FilesPage() { return null; }
