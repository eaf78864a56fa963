import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, days, plainNumber } from "../shared/format.ts";
import { Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Table } from "../shared/Table.tsx";
import { RecordPlot } from "./RecordPlot.tsx";
import { inTen, type SupplierRecord } from "./record.ts";

/** What a supplier's deliveries say of the next one, and how much of that is the deliveries and how much the trade. */
export function Record({ name, record }: { name: string; record: SupplierRecord }) {
  const { id: restoration } = useRestoration();
  const { next, generally } = record;
  const deliveries = record.deliveries.edges.map(({ node }) => node);
  const { totalCount } = record.deliveries;
  return (
    <Section title="Record" id="record">
      <p className="prose">
        A promise of {days(next.promisedDays)}: even odds within {days(next.evenOdds)},{" "}
        <strong>4 in 5 within {days(next.fourInFive)}</strong>. <Weight record={record} />
      </p>
      <RecordPlot record={record} deliveries={deliveries} />
      <Table
        caption={`What a promise of ${days(next.promisedDays)} comes to`}
        rows={[
          { odds: "1 in 10", own: next.oneInTen, general: generally.oneInTen },
          { odds: "even odds", own: next.evenOdds, general: generally.evenOdds },
          { odds: "4 in 5", own: next.fourInFive, general: generally.fourInFive },
          { odds: "9 in 10", own: next.nineInTen, general: generally.nineInTen },
        ]}
        rowKey={({ odds }) => odds}
        columns={[
          { id: "odds", title: "Odds", lead: true, cell: ({ odds }) => odds },
          { id: "own", title: name, numeric: true, cell: ({ own }) => `within ${days(own)}` },
          { id: "general", title: "Makers generally", numeric: true, cell: ({ general }) => `within ${days(general)}` },
        ]}
      />
      {deliveries.length > 0 && (
        <details className="each-delivery">
          <summary>
            {totalCount > deliveries.length
              ? `The newest ${deliveries.length} of ${counted(totalCount, "delivery", "deliveries")}, in days`
              : "Each delivery, in days"}
          </summary>
          <Table
            caption={`Deliveries of ${name}`}
            rows={deliveries}
            rowKey={({ order }) => order.id}
            columns={[
              {
                id: "part",
                title: "Part",
                lead: true,
                cell: ({ order: { part } }) => <Link to={addressOf.part(restoration, part.id)}>{part.name}</Link>,
              },
              { id: "code", title: "Order", cell: ({ order }) => <span className="code">{order.code}</span> },
              { id: "promised", title: "Promised", numeric: true, cell: ({ promisedDays }) => days(promisedDays) },
              { id: "took", title: "Took", numeric: true, cell: ({ actualDays }) => days(actualDays) },
              {
                id: "ratio",
                title: "Of the promise",
                numeric: true,
                cell: ({ ratio }) => `${plainNumber(ratio, 2)} times`,
              },
            ]}
          />
        </details>
      )}
    </Section>
  );
}

/** How much of it rests on this maker. */
function Weight({ record }: { record: SupplierRecord }) {
  const { overdue, ownShare, crowdMakers, crowdDeliveries } = record;
  const known = record.deliveries.totalCount;
  const trade =
    crowdDeliveries === 0
      ? "what is usual in the trade"
      : `what makers generally do, by ${counted(crowdDeliveries, "delivery", "deliveries")} of ${counted(crowdMakers, "maker")} and what is usual in the trade`;
  if (known + overdue === 0) return <>Nothing of theirs has come yet, so all of that is {trade}.</>;
  const evidence = [
    ...(known > 0 ? [counted(known, "delivery", "deliveries")] : []),
    ...(overdue > 0 ? [`${counted(overdue, "order")} out past the promise`] : []),
  ].join(" and ");
  return (
    <>
      Their {evidence} {known + overdue === 1 ? "weighs" : "weigh"} {inTen(ownShare)}; the rest is {trade}.
    </>
  );
}
