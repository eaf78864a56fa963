export default function HoldUpsPage() { return null; }
