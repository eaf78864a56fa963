/** What a choice does: what the plan comes to as things stand, and as they would stand. Pure. */
import type { Entry } from "../store/journal.ts";
import type { Table } from "../store/tables.ts";
import { choiceProblem } from "./choicesInput.ts";
import { computePlan } from "./compute.ts";
import type { ExposureRows } from "./exposureLoad.ts";
import { totalHours } from "./hours.ts";
import type { PlanRows } from "./rows.ts";

/** What a plan comes to: day and money as the plan in force of Choices, hours as Hold-ups says them. */
export interface Standing {
  /** When all is finished, with what is open taken as cleared. */
  date: string;
  /** Still to be spent through what can be chosen, minor units of the restoration's currency; null where a rate is missing. */
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
const CHOSEN = {
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
  const { date, costMinor, pointsLost } = choiceProblem(rows).inForce;
  const { hoursToDo } = computePlan(rows.plan, { figuresFor: rows.figuresFor, confidence: null });
  return { date, costMinor, pointsLost, hours: totalHours(Object.values(hoursToDo).map((hours) => ({ hours }))) };
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

/** What a change chose, so that it can be told by what it took the place of; null where it did anything else. */
export function chosenBefore(entries: readonly Entry[]): Choosing[] | null {
  const choices = entries.map(({ table, id, before, after }): Choosing | null => {
    if (!(table in CHOSEN) || before === null || after === null) return null;
    const { field } = CHOSEN[table as Chosen];
    return before[field] === after[field] ? null : { table: table as Chosen, id, to: before[field] as string | null };
  });
  return choices.length > 0 && choices.every((one) => one !== null) ? choices : null;
}
