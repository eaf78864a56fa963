import { Link, useNavigate, useParams } from "react-router";
import { useQuery } from "urql";
import { clubAddress } from "../club/addresses.ts";
import { addressOf } from "../shared/addresses.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { isGone, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { usePaging } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { RowChanges } from "../shared/RowChanges.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useMay } from "../shared/useMay.ts";
import { Record } from "./Record.tsx";
import { SupplierFacts } from "./SupplierFacts.tsx";
import { SupplierForm } from "./SupplierForm.tsx";
import { SupplierOrders, SupplierQuotes } from "./SupplierRows.tsx";
import { SupplierSentence } from "./SupplierSentence.tsx";
import { SupplierQuery } from "./supplier.ts";

/** One supplier: how to reach them, what they quote, what they delivered and when. */
export default function SupplierPage() {
  const { supplier: id = "" } = useParams();
  const quotes = usePaging("quotes", 25);
  const orders = usePaging("orders", 25);
  const restoration = useRestoration();
  const [result, again] = useQuery({
    query: SupplierQuery,
    variables: {
      restoration: restoration.id,
      supplier: id,
      quotes: quotes.size,
      afterQuotes: quotes.variables.after ?? null,
      orders: orders.size,
      afterOrders: orders.variables.after ?? null,
    },
  });
  const navigate = useNavigate();
  const open = useOpen();
  const may = useMay();
  const supplier = useKept(result.data, id)?.supplier;
  if (!supplier || supplier.id !== id || isGone(result.error)) {
    if (result.error && !result.fetching)
      return (
        <Page title="Supplier">
          <Problem
            of={result.error}
            what="this supplier"
            to={{ address: addressOf.suppliers(restoration.id), name: "All suppliers" }}
            again={() => again({ requestPolicy: "network-only" })}
          />
        </Page>
      );
    return <Loading what="the supplier" />;
  }
  return (
    <Page
      title={supplier.name}
      sentence={<SupplierSentence supplier={supplier} deliveries={supplier.deliveries} />}
      aside={
        <>
          <OpenButton of={open} opens="supplier">
            Change the supplier
          </OpenButton>
          {may("Mutation.saveClubSource") && (
            <Link to={clubAddress.share(supplier.id)}>Share this supplier with the club</Link>
          )}
          <RemoveButton
            row="SUPPLIER"
            id={supplier.id}
            revision={supplier.revision}
            what={supplier.name}
            onRemoved={() => navigate(addressOf.suppliers(restoration.id))}
          />
        </>
      }
    >
      {open.has("supplier") && (
        <Section title="Change the supplier">
          <Opened>
            <SupplierForm
              supplier={supplier}
              onSaved={() => open.close("supplier")}
              onCancel={() => open.close("supplier")}
            />
          </Opened>
        </Section>
      )}
      <SupplierFacts supplier={supplier} />
      <Record name={supplier.name} record={supplier.makerRecord} />
      <SupplierOrders supplier={supplier} paging={orders} />
      <SupplierQuotes supplier={supplier} paging={quotes} />
      <RowChanges row="SUPPLIER" id={supplier.id} />
      <p className="no-print sheet-back">
        <Link to={addressOf.suppliers(restoration.id)}>All suppliers</Link>
      </p>
    </Page>
  );
}
