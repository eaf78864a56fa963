/** What the restorer has said of an operation and what that does to the end: that it is not to begin before a day, or is to be done first. */
import { addDays } from "../engine/date.ts";
import { endOnHands } from "./endOnHands.ts";
import type { OperationRow, PlanRows } from "./rows.ts";

export interface HeldByMark {
  operationId: string;
  title: string;
  /** The day before which it is not to begin; null: it is to be done first. */
  notBefore: string | null;
  /** The end without that. */
  completionWithout: string;
}

/** Marks that are looked at: each asks for an order of work of its own. */
const MOST = 12;

/** Marks of work still to do without which all would be finished sooner than on a date. */
export function heldByMarks(rows: PlanRows, figuresFor: string, end: string): HeldByMark[] {
  const without = (operation: OperationRow, said: Partial<OperationRow>): string => {
    const operations = rows.operations.map((one) => (one === operation ? { ...one, ...said } : one));
    return addDays(figuresFor, endOnHands({ ...rows, operations }, figuresFor));
  };
  return rows.operations
    .filter(({ state }) => state !== "DONE")
    .flatMap((one): { one: OperationRow; notBefore: string | null }[] => [
      ...(one.state === "NOT_STARTED" && one.notBefore !== null && one.notBefore > figuresFor
        ? [{ one, notBefore: one.notBefore }]
        : []),
      ...(one.first && rows.hands.length > 0 ? [{ one, notBefore: null }] : []),
    ])
    .slice(0, MOST)
    .map(({ one, notBefore }) => ({
      operationId: one.id,
      title: one.title,
      notBefore,
      completionWithout: without(one, notBefore === null ? { first: false } : { notBefore: null }),
    }))
    .filter(({ completionWithout }) => completionWithout < end);
}
