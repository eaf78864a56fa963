export default function SupplierPage() {
  return null;
}
