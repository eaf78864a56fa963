import type { ReactNode } from "react";
import { Link, useSearchParams } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { counted, dateInFull, hours, listed } from "../shared/format.ts";
import { Line, Lines, Rest } from "../shared/Lines.tsx";
import { Mark } from "../shared/Mark.tsx";
import { Empty } from "../shared/Page.tsx";
import { SheetLink } from "../shared/SheetLink.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { noTrade } from "../shared/words.ts";
import type { HoldUpsData } from "./rows.ts";

type FreeRow = HoldUpsData["freeToStart"]["edges"][number]["node"];

interface FreeToStartProps {
  restoration: string;
  rows: readonly FreeRow[];
  trades: HoldUpsData["freeToStartByTrade"];
  trade: string | null;
  /** In all, of that trade where one is asked for. */
  total: number;
  /** The table is unfolded from the first. */
  open: boolean;
  paging: ReactNode;
}

/** Told one by one, before the table. */
const FEW = 2;

/** Work that is not begun and waits for nothing but hands, by trade, in the order in which it is begun. */
export function FreeToStart({ restoration, rows, trades, trade, total, open, paging }: FreeToStartProps) {
  const [params] = useSearchParams();
  const addressFor = (wanted: string | null) => {
    const next = new URLSearchParams(params);
    next.delete("trade");
    next.delete("free");
    if (wanted !== null) next.set("trade", wanted);
    return `?${next}`;
  };
  if (trades.length === 0)
    return (
      <Empty title="No work is free to start">
        What is left is under way, or waits for a part, a snag or work before it. The ladder says for which.
      </Empty>
    );
  return (
    <Lines label="Free to start first">
      {rows.slice(0, FEW).map(({ operation, hands = [], from, hours: toDo, critical, floatHours }) => (
        <Line
          key={operation.id}
          name={
            <SheetLink reads="Query.operation" to={addressOf.operation(restoration, operation.id)}>
              {operation.title}
            </SheetLink>
          }
          also={[
            noTrade(operation.trade),
            hands.length > 0 && `${listed(hands)}, from ${dateInFull(from)}`,
            critical ? "completion waits for it" : floatHours !== null && `can wait ${hours(floatHours)} of shop time`,
          ]
            .filter(Boolean)
            .join("; ")}
          when={hours(toDo)}
        />
      ))}
      <Rest
        summary={total > FEW ? `${total - FEW} more, and all by trade` : "All by trade"}
        sum={counted(total, "operation")}
        open={open}
      >
        <ul className="trades" aria-label="Free to start by trade">
          <li>
            <Link to={addressFor(null)} preventScrollReset aria-current={trade === null ? "true" : undefined}>
              every trade
            </Link>
          </li>
          {trades.map((known) => (
            <li key={known.trade}>
              <Link
                to={addressFor(known.trade)}
                preventScrollReset
                aria-current={trade === known.trade ? "true" : undefined}
              >
                {noTrade(known.trade)}: {counted(known.operations, "operation")}, {hours(known.hours)}
              </Link>
            </li>
          ))}
        </ul>
        <Table
          caption="Work that is free to start"
          rows={rows}
          rowKey={(row) => row.operation.id}
          columns={columnsFor(restoration, rows)}
          paging={paging}
          empty={<Empty title="Nothing free to start in this trade">Other trades have work.</Empty>}
        />
      </Rest>
    </Lines>
  );
}

/** An owner reads no names of hands. */
const WHO: Column<FreeRow> = {
  id: "who",
  title: "Who, from",
  cell: ({ hands = [], from }) => (hands.length === 0 ? "" : `${listed(hands)}, ${dateInFull(from)}`),
};

const columnsFor = (restoration: string, rows: readonly FreeRow[]): Column<FreeRow>[] => [
  {
    id: "title",
    title: "Operation",
    lead: true,
    cell: (row) => (
      <SheetLink reads="Query.operation" to={addressOf.operation(restoration, row.operation.id)}>
        {row.operation.title}
      </SheetLink>
    ),
  },
  { id: "code", title: "Code", cell: (row) => <Code noun="operation" of={row.operation.code} /> },
  { id: "trade", title: "Trade", cell: (row) => row.operation.trade },
  ...(rows.some(({ hands }) => hands !== undefined && hands.length > 0) ? [WHO] : []),
  { id: "hours", title: "Hours", numeric: true, cell: (row) => hours(row.hours) },
  {
    id: "float",
    title: "Can wait",
    cell: (row) =>
      row.critical ? (
        <Mark word="critical: completion waits for it" colour="red-lead" shape="full" />
      ) : row.floatHours !== null ? (
        `${hours(row.floatHours)} of shop time`
      ) : (
        ""
      ),
  },
];
