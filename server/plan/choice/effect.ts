/** What a choice does: what the plan comes to as things stand, and as they would stand. Pure. */
import type { Entry } from "../../store/journal.ts";
import type { Table } from "../../store/tables.ts";
import { computePlan } from "../compute.ts";
import { totalHours } from "../hands/hours.ts";
import type { ExposureRows } from "../money/exposureLoad.ts";
import { patchRows } from "../rows/patch.ts";
import type { PlanRows } from "../rows/rows.ts";
import { choiceProblem } from "./input.ts";
import type { WeighedQuote } from "./load.ts";

/** What a plan comes to: day and points as the plan in force of Choices, its money with what is paid and owed (a choice for what is done moves that), hours as Hold-ups says them. */
export interface Standing {
  /** When all is finished, with what is open taken as cleared. */
  date: string;
  /** Paid, owed, and still to be spent through what can be chosen, minor units of the restoration's currency; null where a rate is missing. */
  costMinor: number | null;
  /** Hours still to be worked at the bench. */
  hours: number;
  pointsLost: number;
}

export interface Effect {
  currency: string;
  before: Standing;
  after: Standing;
}

/** The field of a row by which something is chosen, and where the row stands among those of a plan. */
export const CHOSEN = {
  part: { field: "chosenQuoteId", list: "parts" },
  snag: { field: "chosenRemedyId", list: "snags" },
  operation: { field: "chosenWayId", list: "operations" },
  hunt: { field: "stopDate", list: "hunts" },
} as const satisfies Partial<Record<Table, { field: string; list: keyof PlanRows }>>;

export type Chosen = keyof typeof CHOSEN;

/** Something chosen in place of what is: a quote of a part, a remedy of a snag, a way of an operation, the stop date of a hunt. */
export interface Choosing {
  table: Chosen;
  id: string;
  /** Null: nothing is chosen. */
  to: string | null;
}

/** Throws PlanFault where the rows make no plan. */
export function standingOf(rows: ExposureRows): Standing {
  const { inForce, committedMinor } = choiceProblem(rows);
  const { date, costMinor, pointsLost } = inForce;
  const { hoursToDo } = computePlan(rows.plan, { figuresFor: rows.figuresFor, confidence: null });
  return {
    date,
    costMinor: costMinor === null ? null : costMinor + committedMinor,
    pointsLost,
    hours: totalHours(Object.values(hoursToDo).map((hours) => ({ hours }))),
  };
}

/** The rows with something else chosen. */
export function choosing(rows: ExposureRows, choices: readonly Choosing[]): ExposureRows {
  const plan: PlanRows = { ...rows.plan };
  for (const { table, id, to } of choices) {
    const { field, list } = CHOSEN[table];
    const all: readonly { id: string }[] = plan[list];
    Object.assign(plan, { [list]: all.map((row) => (row.id === id ? { ...row, [field]: to } : row)) });
  }
  return { ...rows, plan };
}

/** A quote that is not saved: its rows as they would be written, and what it would cost and lose. */
export interface TriedQuote {
  entries: readonly Entry[];
  quotes: ReadonlyMap<string, WeighedQuote>;
  partId: string;
  quoteId: string;
}

/** The rows with it chosen for its part. */
export const trying = (rows: ExposureRows, { entries, quotes, partId, quoteId }: TriedQuote): ExposureRows =>
  choosing({ ...rows, plan: patchRows(rows.plan, entries), quotes: new Map([...rows.quotes, ...quotes]) }, [
    { table: "part", id: partId, to: quoteId },
  ]);

/** Ranks of machines before a change, by restoration; null where it changed none. */
export function rankedBefore(entries: readonly Entry[]): Map<string, number> | null {
  const ranks = new Map(
    entries.flatMap(({ table, id, before, after }): [string, number][] =>
      table === "restoration" && before !== null && after !== null && before["rank"] !== after["rank"]
        ? [[id, before["rank"] as number]]
        : [],
    ),
  );
  return ranks.size > 0 ? ranks : null;
}

/** What a change chose, so that it can be told by what it took the place of; null where it did anything else. */
export function chosenBefore(entries: readonly Entry[]): Choosing[] | null {
  const choices = entries.map(({ table, id, before, after }): Choosing | null => {
    if (!(table in CHOSEN) || before === null || after === null) return null;
    const { field } = CHOSEN[table as Chosen];
    return before[field] === after[field] ? null : { table: table as Chosen, id, to: before[field] as string | null };
  });
  return choices.length > 0 && choices.every((one) => one !== null) ? choices : null;
}
