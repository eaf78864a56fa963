export default function SuppliersPage() {
  return null;
}
