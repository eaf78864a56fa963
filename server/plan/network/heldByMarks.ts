/** What the restorer has said of an operation and what that does to the end: that it is not to begin before a day, or is to be done first. */
import { addDays } from "../../engine/time/date.ts";
import { endOnHands } from "../hands/endOnHands.ts";
import type { OperationRow, PlanRows } from "../rows/rows.ts";

export interface HeldByMark {
  operationId: string;
  title: string;
  /** The day before which it is not to begin; null: it is to be done first. */
  notBefore: string | null;
  /** The end without that. */
  completionWithout: string;
}

/** A mark on an operation that is to do. */
export interface Mark {
  kind: "FIRST" | "NOT_BEFORE";
  operation: OperationRow;
}

/** In the order of the operations. */
export const marksOf = ({ operations }: PlanRows): Mark[] =>
  operations.flatMap((operation): Mark[] => {
    const { state, first, notBefore } = operation;
    return [
      ...(first && state !== "DONE" ? [{ kind: "FIRST" as const, operation }] : []),
      ...(notBefore !== null && state === "NOT_STARTED" ? [{ kind: "NOT_BEFORE" as const, operation }] : []),
    ];
  });

/** The end as quoted without a mark. */
export function endWithout({ kind, operation }: Mark, rows: PlanRows, figuresFor: string): string {
  const unmarked = { ...operation, ...(kind === "FIRST" ? { first: false } : { notBefore: null }) };
  const operations = rows.operations.map((one) => (one === operation ? unmarked : one));
  return addDays(figuresFor, endOnHands({ ...rows, operations }, figuresFor));
}

/** Marks that are looked at: each asks for an order of work of its own. */
const MOST = 12;

/** Marks of work still to do without which all would be finished sooner than on a date. */
export const heldByMarks = (rows: PlanRows, figuresFor: string, end: string): HeldByMark[] =>
  marksOf(rows)
    .filter(({ kind, operation }) => (kind === "FIRST" ? rows.hands.length > 0 : operation.notBefore! > figuresFor))
    .slice(0, MOST)
    .map((mark) => ({
      operationId: mark.operation.id,
      title: mark.operation.title,
      notBefore: mark.kind === "FIRST" ? null : mark.operation.notBefore,
      completionWithout: endWithout(mark, rows, figuresFor),
    }))
    .filter(({ completionWithout }) => completionWithout < end);
