/** Rows read from files as a plan takes them, without a store: the code of a row is its id. */
import type { Operation } from "../generated/prisma/client.ts";
import { grouped } from "../plan/choice/load.ts";
import { USUAL_SPREADS } from "../plan/hands/workRecord.ts";
import { handRow, operationRow } from "../plan/rows/load.ts";
import type { PlanRows } from "../plan/rows/rows.ts";
import type { Table } from "../store/tables.ts";
import { tableOf, type Values, WEEK } from "./columns.ts";
import { type Held, idField } from "./held.ts";

interface AbsenceRow {
  hand: string;
  from: string;
  to: string;
}

/** What a plan is computed from. The rows must be without faults. */
export function planRows(held: Held): PlanRows {
  const rows = <Row>(table: Table, more: (values: Values) => Values = () => ({})): Row[] =>
    held.get(table)!.map(({ values }) => {
      const row: Values = { ...values, id: values["code"] ?? null, ...more(values) };
      for (const { field, kind } of tableOf(table).columns) if (kind.is === "row") row[idField(field)] = values[field]!;
      return row as Row;
    });
  const inForce = (table: Table, of: string, column = "chosen"): Map<unknown, Values[string]> =>
    new Map(
      held
        .get(table)!
        .flatMap(({ values }) => (values[column] === true ? [[values[of], values["code"]!] as const] : [])),
    );
  const quoteOf = inForce("quote", "part");
  const fallbackOf = inForce("quote", "part", "fallback");
  const wayOf = inForce("operationWay", "operation");
  const remedyOf = inForce("remedy", "snag");
  const week = held.get("shopCalendar")![0]!.values;
  const hands = rows<Parameters<typeof handRow>[0]>("hand", (hand) => ({ id: hand["name"]! }));
  hands.sort((a, b) => (a.name < b.name ? -1 : 1));
  const absencesOf = grouped(
    rows<AbsenceRow>("absence", ({ fromDate, toDate }) => ({ from: fromDate!, to: toDate! })),
    ({ hand }) => hand,
  );
  return {
    restoration: { ...rows<PlanRows["restoration"]>("restoration")[0]!, rank: 1 },
    weekdayHours: WEEK.map((day) => Number(week[day])),
    closedDates: held.get("closedDate")!.map(({ values }) => String(values["date"])),
    hands: hands.map((hand) => handRow(hand, absencesOf.get(hand.name) ?? [])),
    machines: [],
    operations: rows<Operation>("operation", (operation) => ({
      chosenWayId: wayOf.get(operation["code"]) ?? null,
    })).map(operationRow),
    ways: rows("operationWay"),
    links: rows("link"),
    needs: rows("need"),
    parts: rows("part", (part) => ({
      chosenQuoteId: quoteOf.get(part["code"]) ?? null,
      fallbackQuoteId: fallbackOf.get(part["code"]) ?? null,
    })),
    ruledOut: rows("ruledOut"),
    hunts: rows("hunt", (hunt) => ({ id: hunt["part"]! })),
    huntEvents: rows("huntEvent"),
    quotes: rows("quote", () => ({ failureChance: 0 })),
    knockOns: rows("knockOn"),
    orders: rows("order", (order) => ({ partId: order["part"]! })),
    snags: rows("snag", (snag) => ({ chosenRemedyId: remedyOf.get(snag["code"]) ?? null })),
    remedies: rows("remedy"),
    deliveriesElsewhere: [],
    hoursBooked: rows("hoursBooked", (entry) => ({ operationId: entry["operation"]! })),
    finishedElsewhere: [],
    spreads: USUAL_SPREADS,
  };
}
