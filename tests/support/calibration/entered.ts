/** What a workshop enters of itself, as files: past orders and hours, estimates and promises, never the truth behind them. */
import { strToU8 } from "fflate";
import { addDays } from "../../../server/engine/time/date.ts";
import { nothingHeld } from "../../../server/io/held.ts";
import { merge } from "../../../server/io/merge.ts";
import { planRows } from "../../../server/io/planRows.ts";
import { readFiles } from "../../../server/io/read.ts";
import type { PlanRows } from "../../../server/plan/rows/rows.ts";
import { type Offer, TRADES, type Workshop } from "./workshop.ts";

/** A Monday. */
export const DAY = "2026-11-23";
const on = (day: number): string => addDays(DAY, day);
const csv = (head: string, rows: readonly (readonly (string | number | null)[])[]): string =>
  `${[head, ...rows.map((row) => row.map((cell) => cell ?? "").join(","))].join("\n")}\n`;

/** Whether a part is in hand by the day of the figures: its order has come, or it was found. */
export const inHand = ({ parts }: Workshop, part: number): boolean => {
  const { hunt, offer, placed } = parts[part]!;
  return hunt === null ? placed !== null && placed + offer!.takes < 0 : hunt.found < 0;
};

function filesOf(shop: Workshop): Record<string, string> {
  const quotes: (string | number | null)[][] = [];
  const orders: (string | number | null)[][] = [];
  const quoted = (
    code: string,
    part: string,
    { maker, promised, price }: Offer,
    as: "chosen" | "fallback" | "",
  ): void => {
    quotes.push([
      code,
      part,
      `M${maker}`,
      "remade",
      price / 100,
      promised,
      as === "chosen" ? "yes" : "no",
      as === "fallback" ? "yes" : "no",
    ]);
  };
  const ordered = (code: string, quote: string, placed: number, promised: number, arrives: number): void => {
    const here = arrives < 0;
    orders.push([
      code,
      quote,
      here ? "accepted" : "placed",
      on(placed),
      on(placed + promised),
      here ? on(arrives) : null,
    ]);
  };
  shop.past.forEach(({ maker, placed, promised, arrives }, i) => {
    const offer = { maker, promised, price: 0, deposit: 0, failure: 0, fails: false, takes: 0 };
    quoted(`PAST-${i}`, `OLD-${i}`, offer, "chosen");
    ordered(`PO-${i}`, `PAST-${i}`, placed, promised, arrives);
  });
  shop.parts.forEach(({ offer, fallback, placed }, i) => {
    if (offer !== null) quoted(`Q-${i}`, `P-${i}`, offer, "chosen");
    if (fallback !== null) quoted(`F-${i}`, `P-${i}`, fallback, "fallback");
    if (placed !== null) ordered(`O-${i}`, `Q-${i}`, placed, offer!.promised, placed + offer!.takes);
  });
  const operations = [
    ...shop.done.map(({ trade, estimate, finished }, i) => [
      `DONE-${i}`,
      `Done ${i}`,
      TRADES[trade]!,
      ...estimate,
      "done",
      on(finished - 3),
      on(finished),
    ]),
    ...shop.work.map(({ trade, estimate }, i) => [
      `W-${i}`,
      `Work ${i}`,
      TRADES[trade]!,
      ...estimate,
      "not started",
      null,
      null,
    ]),
  ];
  // No entry is of more than a day's 24 hours.
  const hours = shop.done.flatMap(({ took, finished }, i) =>
    Array.from({ length: Math.ceil(took / 20) }, (_, n) => [
      `H-${i}-${n}`,
      `DONE-${i}`,
      on(finished),
      Math.round(100 * (took / Math.ceil(took / 20))) / 100,
    ]),
  );
  const hunts = shop.parts.flatMap(({ hunt }, i) =>
    hunt === null
      ? []
      : [
          [
            `P-${i}`,
            hunt.found < 0 ? "found" : "searching",
            on(hunt.begun),
            100 * hunt.chancePerWeek,
            hunt.beliefWeeks,
            on(hunt.stop),
            hunt.price / 100,
            "original",
            hunt.lead,
          ],
        ],
  );
  return {
    "operations.csv": csv(
      "operation,title,trade,hours_least,hours_likely,hours_most,state,started_on,finished_on",
      operations,
    ),
    "links.csv": csv(
      "before,after",
      shop.work.flatMap(({ after }, i) => after.map((before) => [`W-${before}`, `W-${i}`])),
    ),
    "parts.csv": csv("part,name,state", [
      ...shop.past.map((_, i) => [`OLD-${i}`, `Old ${i}`, "in hand"]),
      ...shop.parts.map((_, i) => [`P-${i}`, `Part ${i}`, inHand(shop, i) ? "in hand" : "missing"]),
    ]),
    "needs.csv": csv(
      "operation,part,quantity",
      shop.work.flatMap(({ parts }, i) => parts.map((part) => [`W-${i}`, `P-${part}`, 1])),
    ),
    "suppliers.csv": csv(
      "supplier,name",
      Array.from({ length: shop.makers }, (_, i) => [`M${i}`, `Maker ${i}`]),
    ),
    "quotes.csv": csv("quote,part,supplier,provenance,unit_price,lead_days,chosen,fallback", quotes),
    "orders.csv": csv("order,quote,state,placed_on,promised_on,arrived_on", orders),
    "hours.csv": csv("entry,operation,worked_on,hours", hours),
    "hunts.csv": csv("part,state,begun_on,chance_per_week,belief_weeks,stop_date,price,provenance,lead_days", hunts),
    "hunt_events.csv": csv(
      "part,date,title,chance",
      shop.parts.flatMap(({ hunt }, i) =>
        (hunt?.events ?? []).map(({ day, chance }) => [`P-${i}`, on(day), "Swap meet", 100 * chance]),
      ),
    ),
    "hands.csv": csv(
      "hand,people,trades,monday,tuesday,wednesday,thursday,friday,saturday,sunday",
      shop.people.map(({ trades, minutes }, i) => [
        `Hand ${i}`,
        1,
        trades.map((trade) => TRADES[trade]).join("; "),
        ...minutes.map((one) => one / 60),
      ]),
    ),
  };
}

/** The rows that the importer makes of the files. Chances of coming to nothing stand in no file: they are put beside their quotes. */
export async function enteredRows(shop: Workshop): Promise<PlanRows> {
  const files = new Map(Object.entries(filesOf(shop)).map(([name, text]) => [name, strToU8(text)]));
  const { held, faults } = await merge(await readFiles({ files, notices: [] }, true), nothingHeld(), undefined, DAY);
  if (faults.list.length > 0) throw new Error(JSON.stringify(faults.list.slice(0, 5)));
  const rows = planRows(held);
  const failures = new Map(shop.parts.map(({ offer }, i) => [`Q-${i}`, offer?.failure ?? 0]));
  return { ...rows, quotes: rows.quotes.map((quote) => ({ ...quote, failureChance: failures.get(quote.id) ?? 0 })) };
}
