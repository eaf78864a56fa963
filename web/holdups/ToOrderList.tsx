import type { ReactNode } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, dateWithWeekday, money, odds } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Empty } from "../shared/Page.tsx";
import { SheetLink } from "../shared/SheetLink.tsx";
import { useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import { isOwnWork } from "../shared/words.ts";
import { ChooseQuote } from "./documents.ts";
import { HuntedUntil } from "./HuntedUntil.tsx";
import { isHunted, type RungRow } from "./rows.ts";
import { WhyLink } from "./WhyLink.tsx";

interface ToOrderListProps {
  restoration: string;
  rows: readonly RungRow[];
  figuresFor: string;
  confidence: number | null;
  paging: ReactNode;
}

/** What has a source and is not ordered, the most urgent first. */
export function ToOrderList({ restoration, rows, figuresFor, confidence, paging }: ToOrderListProps) {
  // A column of which no row has anything is left out.
  const { inDays } = useDayInView(figuresFor);
  const columns = columnsFor(restoration, figuresFor, confidence, inDays).filter(
    ({ id }) =>
      (id !== "week" || rows.some((row) => row.chanceWeekLater !== null)) &&
      (id !== "target" || rows.some((row) => row.orderByTarget !== null)),
  );
  return (
    <Table
      caption="To order, the most urgent first"
      rows={rows}
      rowKey={(row) => row.id}
      columns={columns}
      paging={paging}
      empty={
        <Empty title="Nothing waits to be ordered">
          Every part that has a quote is ordered, being made or in hand.
        </Empty>
      }
    />
  );
}

const columnsFor = (
  restoration: string,
  figuresFor: string,
  confidence: number | null,
  inDays: (count: number) => string,
): Column<RungRow>[] => [
  { id: "title", title: "Part or snag", lead: true, cell: (row) => <WhyLink id={row.id}>{row.title}</WhyLink> },
  {
    id: "orderBy",
    title: "Order-by",
    cell: (row) =>
      row.orderBy ? (
        <>
          <span className="nowrap">{dateWithWeekday(row.orderBy)}</span>
          {isHunted(row) && row.huntedUntil && (
            <span className="soft small below">hunted until {dateInFull(row.huntedUntil)}</span>
          )}
        </>
      ) : (
        isHunted(row) && <HuntedUntil row={row} figuresFor={figuresFor} confidence={confidence} />
      ),
  },
  {
    id: "daysLeft",
    title: `From ${dateInFull(figuresFor)}`,
    cell: (row) =>
      row.daysLeft !== null && (
        <span className={row.daysLeft < 0 ? "late nowrap" : "nowrap"}>{inDays(row.daysLeft)}</span>
      ),
  },
  {
    id: "week",
    title: "A week later",
    cell: (row) => row.chanceWeekLater !== null && <span className="nowrap">{odds(row.chanceWeekLater, true)}</span>,
  },
  {
    id: "target",
    title: "For the target",
    cell: (row) =>
      row.orderByTarget && (
        <>
          <span className="nowrap">{dateWithWeekday(row.orderByTarget)}</span>
          {row.orderByTarget < figuresFor && <span className="late small below">already past</span>}
        </>
      ),
  },
  {
    id: "supplier",
    title: "From",
    cell: (row) => {
      const supplier = row.quote?.supplier ?? row.remedy?.supplier;
      return supplier ? (
        <>
          <SheetLink reads="Query.supplier" to={addressOf.supplier(restoration, supplier.id)}>
            {supplier.name}
          </SheetLink>
          {row.quoteDoubts?.map((doubt) => (
            <span key={doubt} className="late small below">
              the quote {doubt}
            </span>
          ))}
        </>
      ) : row.remedy ? (
        "the shop"
      ) : (
        ""
      );
    },
  },
  {
    id: "price",
    title: "Cost",
    numeric: true,
    cell: (row) => {
      const landed = row.quote?.landed;
      if (landed?.total)
        return (
          <>
            {landed.ordered > 1 ? `${landed.ordered} for ${money(landed.total)}` : money(landed.total)}
            <span className="soft small below">
              landed
              {row.part && landed.ordered > row.part.quantity && `; ${row.part.quantity} would do`}
            </span>
          </>
        );
      const price = row.quote?.unitPrice ?? row.remedy?.price;
      if (!price) return "";
      return (
        <>
          {row.part && row.part.quantity > 1 ? `${row.part.quantity} × ${money(price)}` : money(price)}
          {row.quote && <span className="soft small below">before carriage, duty and tax</span>}
        </>
      );
    },
  },
  {
    id: "do",
    title: "What to do",
    cell: (row) => (
      <>
        {row.decided ? <Act restoration={restoration} row={row} /> : <Decide restoration={restoration} row={row} />}
        {row.consent && (
          <span className="below">
            <Mark word={row.consent} colour="brass" shape="broken" />
          </span>
        )}
      </>
    ),
  },
];

function Act({ restoration, row }: { restoration: string; row: RungRow }) {
  const may = useMay();
  const own = row.quote !== null && isOwnWork(row.quote);
  const what = isHunted(row) ? "its fallback" : "it";
  if (!may("Mutation.saveOrder"))
    return row.part
      ? `${isHunted(row) ? "its fallback is " : ""}to be ${own ? "made" : "ordered"}`
      : `to be carried out: ${row.remedy?.title ?? ""}`;
  if (row.part)
    return (
      <Link
        to={isHunted(row) ? addressOf.part(restoration, row.part.id) : addressOf.orderFor(restoration, row.part.id)}
      >
        {own ? `Make ${what}` : isHunted(row) ? `Order ${what}` : "Order"}
      </Link>
    );
  return <Link to={addressOf.snags(restoration)}>Carry out: {row.remedy?.title}</Link>;
}

/** Undecided: the quickest quote stands in, and can be chosen here or weighed against the others. */
function Decide({ restoration, row }: { restoration: string; row: RungRow }) {
  const { save, saving } = useSave();
  const may = useMay();
  const { part, quote, declined } = row;
  // In the owner's words, where the owner said no.
  const toDecide = (word: string) =>
    declined ? (
      <>
        <Mark word="declined: choose another" colour="ink" shape="cross" /> <span className="small">{declined}</span>
      </>
    ) : (
      <Mark word={word} colour="brass" shape="empty" />
    );
  if (!may("Mutation.chooseQuote")) return toDecide(part ? "undecided" : "remedy not chosen yet");
  if (!part)
    return (
      <span className="row">
        {toDecide("choose a remedy")}
        <Link to={addressOf.snags(restoration)}>Weigh the remedies</Link>
      </span>
    );
  return (
    <span className="row decide">
      {toDecide("decide and order")}
      <Link to={addressOf.part(restoration, part.id)}>Weigh the quotes</Link>
      {quote && (
        <button
          type="button"
          disabled={saving}
          onClick={() => void save(ChooseQuote, { part: part.id, quote: quote.id, revision: part.revision })}
        >
          Choose
          <span className="unseen">
            {" "}
            {quote.supplier.name} for {row.title}
          </span>
        </button>
      )}
    </span>
  );
}
