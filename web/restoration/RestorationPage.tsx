export default function RestorationPage() { return null; }
