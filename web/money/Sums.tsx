import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { dateInFull, days, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import {
  BUCKET_WORDS,
  BUCKETS,
  type Bucket,
  figure,
  isLabour,
  isNothing,
  monthInFull,
  range,
  together,
} from "./buckets.ts";
import type { Exposed, Group, MoneyData, Sum } from "./documents.ts";

const PARTS = BUCKETS.filter((bucket) => !isLabour(bucket) && bucket !== "paid" && bucket !== "owed");
const LABOUR = BUCKETS.filter(isLabour);

/** Every bucket, and the total that they add up to. */
export function BucketTable({ of }: { of: Exposed }) {
  const { buckets, total, received } = of.exposure;
  const rows: { id: Bucket | "total"; name: string; says: string; sum: Sum }[] = [
    ...BUCKETS.map((id) => ({ id, ...BUCKET_WORDS[id], sum: buckets[id] })),
    { id: "total", name: "All of it", says: "The sum of the rows above", sum: total },
  ];
  return (
    <Table
      caption="What the money is exposed to"
      rows={rows}
      rowKey={({ id }) => id}
      columns={[
        {
          id: "what",
          title: "Money",
          lead: true,
          cell: ({ id, name }) => (id === "total" ? <strong>{name}</strong> : name),
        },
        { id: "says", title: "What it is", cell: ({ says }) => <span className="soft">{says}</span> },
        { id: "low", title: "Least", numeric: true, cell: ({ sum }) => figure(sum.low, sum, received) },
        { id: "planned", title: "As planned", numeric: true, cell: ({ sum }) => figure(sum.planned, sum, received) },
        { id: "high", title: "Most", numeric: true, cell: ({ sum }) => atMost(sum, received) },
      ]}
    />
  );
}

/** What has no figure may come to anything. */
const atMost = (sum: Sum, of: Parameters<typeof figure>[2]): string =>
  sum.unknown > 0 ? "unknown" : figure(sum.high, sum, of);

/** Blank where there is nothing of it; what has no figure is not nothing. */
const planned = (sum: Sum, of: Parameters<typeof figure>[2]): string | null =>
  isNothing(sum) ? null : figure(sum.planned, sum, of);

const groupColumns = (of: Parameters<typeof figure>[2]): Column<Group>[] => [
  { id: "paid", title: "Paid", numeric: true, cell: ({ buckets: { paid } }) => planned(paid, of) },
  { id: "owed", title: "Owed", numeric: true, cell: ({ buckets: { owed } }) => planned(owed, of) },
  {
    id: "parts",
    title: "To come, parts",
    numeric: true,
    cell: ({ buckets }) => {
      const sum = together(buckets, PARTS);
      return isNothing(sum) ? null : range(sum, of);
    },
  },
  {
    id: "labour",
    title: "Labour",
    numeric: true,
    cell: ({ buckets }) => planned(together(buckets, LABOUR), of),
  },
  { id: "total", title: "All, as planned", numeric: true, cell: ({ total }) => figure(total.planned, total, of) },
];

export function SectionTable({ of }: { of: MoneyData }) {
  return (
    <Table
      caption="Money by group of the machine"
      rows={of.exposure.byGroup.edges.map(({ node }) => node)}
      rowKey={({ key }) => key ?? ""}
      columns={[
        { id: "key", title: "Group", lead: true, cell: ({ key }) => key ?? "No group" },
        ...groupColumns(of.exposure.received),
      ]}
    />
  );
}

export function MonthTable({ of }: { of: MoneyData }) {
  return (
    <Table
      caption="Money by month"
      rows={of.exposure.byMonth.edges.map(({ node }) => node)}
      rowKey={({ key }) => key ?? ""}
      columns={[
        { id: "key", title: "Month", lead: true, cell: ({ key }) => monthInFull(key) },
        ...groupColumns(of.exposure.received),
      ]}
    />
  );
}

export function CurrencyTable({ of }: { of: MoneyData }) {
  const { byCurrency, received } = of.exposure;
  return (
    <Table
      caption="Money by currency"
      rows={byCurrency}
      rowKey={({ currency }) => currency ?? ""}
      columns={[
        { id: "currency", title: "Currency", lead: true, cell: ({ currency }) => currency ?? "Not known yet" },
        { id: "paid", title: "Paid there", numeric: true, cell: ({ paidThere }) => paidThere && money(paidThere) },
        { id: "owed", title: "Owed there", numeric: true, cell: ({ owedThere }) => owedThere && money(owedThere) },
        {
          id: "total",
          title: `All, in ${received.currency}`,
          numeric: true,
          cell: ({ total }) => range(total, received),
        },
      ]}
    />
  );
}

/** Deposits and payments with makers who are late: nothing has come for them. */
export function AtRiskTable({ of }: { of: Exposed }) {
  const { id } = useRestoration();
  return (
    <Table
      caption="Paid to makers who are late"
      rows={of.exposure.atRisk.edges.map(({ node }) => node)}
      rowKey={({ order }) => order}
      columns={[
        {
          id: "part",
          title: "Part",
          lead: true,
          cell: ({ part, partName }) => <Link to={addressOf.part(id, part)}>{partName}</Link>,
        },
        { id: "supplier", title: "With", cell: ({ supplierName }) => supplierName },
        { id: "order", title: "Order", cell: ({ code }) => <span className="code">{code}</span> },
        {
          id: "late",
          title: "Promised for",
          cell: ({ promisedOn, daysLate }) => (
            <>
              {dateInFull(promisedOn)} <Mark word={`${days(daysLate)} late`} colour="red-lead" shape="cross" />
            </>
          ),
        },
        { id: "paid", title: "Paid", numeric: true, cell: ({ paid }) => money(paid) },
        {
          id: "amount",
          title: `In ${of.exposure.received.currency}`,
          numeric: true,
          cell: ({ amount, unknown }) => `${unknown ? "at least " : ""}${money(amount)}`,
        },
      ]}
      empty={<p>No maker who is late holds any of the money.</p>}
    />
  );
}

/** What has no figure, and why: each is to be mended on its own sheet. */
export function UnpricedTable({ of }: { of: Exposed }) {
  const { id } = useRestoration();
  return (
    <Table
      caption="Without a figure"
      rows={of.exposure.unpriced.edges.map(({ node }) => node)}
      rowKey={({ kind, row }) => `${kind} ${row}`}
      columns={[
        {
          id: "what",
          title: "What",
          lead: true,
          cell: ({ kind, row, title }) =>
            kind === "PART" ? (
              <Link to={addressOf.part(id, row)}>{title}</Link>
            ) : kind === "OPERATION" ? (
              <Link to={addressOf.operation(id, row)}>{title}</Link>
            ) : kind === "SNAG" ? (
              <Link to={addressOf.snags(id)}>{title}</Link>
            ) : (
              title
            ),
        },
        {
          id: "code",
          title: "Code",
          cell: ({ kind, code }) => <Code noun={kind === "HOURS" ? "operation" : kind.toLowerCase()} of={code} />,
        },
        { id: "why", title: "Why", cell: ({ why }) => why },
      ]}
    />
  );
}
