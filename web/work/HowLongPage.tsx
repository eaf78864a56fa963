import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { counted, dateInFull, hours } from "../shared/format.ts";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { noTrade } from "../shared/words.ts";
import { inTen } from "../suppliers/record.ts";
import { type FinishedWork, HowLongQuery, scaleOf, type TradeRecord, timesWords, type WorkRecord } from "./howLong.ts";
import { Spreads } from "./Spreads.tsx";
import { TradePlot, TradePlotKey } from "./TradePlot.tsx";
import "./howLong.css";

/** How long work really takes: booked hours against estimates, by trade, and what the odds make of it. */
export default function HowLongPage() {
  const { id } = useRestoration();
  const paging = usePaging("finished", 25);
  const [result, again] = useQuery({ query: HowLongQuery, variables: { restoration: id, ...paging.variables } });
  const readAgain = () => again({ requestPolicy: "network-only" });
  const record = result.data?.restoration.workRecord;
  if (!record)
    return (
      <Page title="How long it takes">
        {result.error ? (
          <Problem of={result.error} what="how long work takes" again={readAgain} />
        ) : (
          <Loading what="how long work takes" />
        )}
      </Page>
    );
  const spreads = (
    <Section title="Before anything is known" id="spreads">
      <Spreads onSaved={readAgain} />
    </Section>
  );
  const { finished } = record;
  if (finished.totalCount === 0)
    return (
      <Page title="How long it takes" sentence={record.words}>
        <Empty
          title="Nothing finished has hours booked"
          actions={
            <Link className="button" to={addressOf.hours(id)}>
              Book hours
            </Link>
          }
        >
          <p>
            Book the hours of work as it is done. Once an operation is finished, what it took stands here beside what it
            was estimated at, and the odds of all restorations in the shop go by it.
          </p>
        </Empty>
        {spreads}
      </Page>
    );
  return (
    <Page title="How long it takes" sentence={<Sentence record={record} />}>
      <Section title="By trade" id="trades">
        <Plots record={record} />
        <Table
          caption="How long work takes, by trade"
          rows={record.trades.edges.map(({ node }) => node)}
          rowKey={({ trade }) => trade}
          columns={TRADES}
        />
        <p className="prose">
          Dates as quoted, hold-ups and float are by the hours as they were estimated; the odds, the order-by dates, the
          chances of hunts and what to set aside are by the spreads entered here. In each run all work of the shop may
          take longer or shorter, and all work of a trade.
        </p>
      </Section>
      <Section title="Finished work" id="finished">
        <Table
          caption="Finished work with hours booked"
          rows={finished.edges.map(({ node }) => node)}
          rowKey={({ operation }) => operation.id}
          columns={finishedColumns(id)}
          paging={
            <Paging
              of={paging}
              page={finished.pageInfo}
              total={finished.totalCount}
              shown={finished.edges.length}
              noun="operation"
              bothWays
            />
          }
        />
      </Section>
      {spreads}
    </Page>
  );
}

function Sentence({ record: { words, counts, shop } }: { record: WorkRecord }) {
  return (
    <>
      {words}{" "}
      {counts ? (
        <>
          A trade of which nothing is known is taken {Number(shop.factor.toFixed(2)) === 1 ? "" : "at "}
          {timesWords(shop.factor)}, {Number(shop.oneInTen.toFixed(2))} to {Number(shop.nineInTen.toFixed(2))} times in
          8 of 10 runs.
        </>
      ) : (
        "Estimates are taken as they stand, as the workshop has set it."
      )}
    </>
  );
}

/** All trades on the same two scales. */
function Plots({ record }: { record: WorkRecord }) {
  const trades = record.trades.edges.map(({ node }) => node);
  const scale = scaleOf(
    trades.flatMap(({ finished }) => finished.edges.flatMap(({ node }) => [node.estimateHours, node.bookedHours])),
  );
  return (
    <>
      <p className="soft">
        Hours as estimated, from left to right, and as booked, upwards; the table below says the same.
      </p>
      <div className="trade-plots">
        {trades.map((trade) => (
          <TradePlot key={trade.trade} record={trade} scale={scale} />
        ))}
      </div>
      <TradePlotKey />
    </>
  );
}

const TRADES: Column<TradeRecord>[] = [
  { id: "trade", title: "Trade", lead: true, cell: ({ trade }) => noTrade(trade) },
  { id: "operations", title: "Rests on", numeric: true, cell: ({ operations }) => counted(operations, "operation") },
  {
    id: "hasTaken",
    title: "Has taken",
    numeric: true,
    cell: ({ hasTaken }) => hasTaken !== null && timesWords(hasTaken),
  },
  { id: "factor", title: "The odds take", numeric: true, cell: ({ factor }) => timesWords(factor) },
  {
    id: "doubt",
    title: "In 8 of 10 runs",
    numeric: true,
    cell: ({ oneInTen, nineInTen }) => `${Number(oneInTen.toFixed(2))} to ${Number(nineInTen.toFixed(2))} times`,
  },
  { id: "own", title: "Its own record", numeric: true, cell: ({ ownShare }) => inTen(ownShare) },
];

const finishedColumns = (here: string): Column<FinishedWork>[] => [
  {
    id: "operation",
    title: "Operation",
    lead: true,
    cell: ({ operation }) => (
      <Link to={addressOf.operation(operation.restoration.id, operation.id)}>
        <Code noun="operation" of={operation.code} /> {operation.title}
      </Link>
    ),
  },
  {
    id: "machine",
    title: "Machine",
    cell: ({ operation: { restoration } }) => (restoration.id === here ? "this one" : restoration.machine),
  },
  { id: "trade", title: "Trade", cell: ({ trade }) => noTrade(trade) },
  {
    id: "finishedOn",
    title: "Finished",
    cell: ({ finishedOn }) => (finishedOn === null ? "not on record" : dateInFull(finishedOn)),
  },
  { id: "estimate", title: "Estimated", numeric: true, cell: ({ estimateHours }) => hours(estimateHours) },
  { id: "booked", title: "Booked", numeric: true, cell: ({ bookedHours }) => hours(bookedHours) },
  { id: "ratio", title: "Took", numeric: true, cell: ({ ratio }) => timesWords(ratio) },
];
