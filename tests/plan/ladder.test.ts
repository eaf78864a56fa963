/** The ladder of a plan against the plain definition: the plan with those parts in hand. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { daysBetween } from "../../server/engine/time/date.ts";
import { computePlan } from "../../server/plan/compute.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { link, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const WORK = 6;
const PARTS = 5;
const each = <T>(count: number, of: fc.Arbitrary<T>) => fc.array(of, { minLength: count, maxLength: count });

/** Waits in days that end on the same days and on different hours of them, fractions of hours, lags both ways. */
const anyRows = fc
  .record({
    week: fc.constantFrom([8, 8, 8, 8, 8, 0, 0], [7.5, 7.5, 7.5, 7.5, 4, 0, 0], [0.3, 0.7, 0.1, 0, 0.9, 0, 0.2]),
    closed: fc.constantFrom([], ["2026-12-25", "2026-12-28"]),
    hours: each(
      WORK,
      fc.oneof(
        fc.integer({ min: 0, max: 24 }),
        fc.integer({ min: 0, max: 80 }).map((n) => n / 10),
      ),
    ),
    leads: each(PARTS, fc.integer({ min: 0, max: 25 })),
    needed: each(PARTS, fc.nat({ max: WORK - 1 })),
    ends: fc.uniqueArray(fc.tuple(fc.nat({ max: WORK - 1 }), fc.nat({ max: WORK - 1 })), {
      maxLength: 9,
      selector: ([a, b]) => `${Math.min(a, b)} ${Math.max(a, b)}`,
    }),
    lags: each(9, fc.integer({ min: -3, max: 9 })),
    inDays: each(9, fc.boolean()),
  })
  .map(({ week, closed, hours, leads, needed, ends, lags, inDays }) =>
    rowsOf({
      weekdayHours: week,
      closedDates: closed,
      operations: hours.map((likely, i) => operation(`W${i}`, likely)),
      links: ends.flatMap(([a, b], i) =>
        a === b ? [] : [link(`W${Math.min(a, b)}`, `W${Math.max(a, b)}`, lags[i], inDays[i] ? "DAYS" : "HOURS")],
      ),
      parts: leads.map((_, i) => part(`P${i}`, { chosenQuoteId: `Q${i}` })),
      quotes: leads.map((days, i) => quote(`Q${i}`, `P${i}`, days)),
      needs: needed.map((at, i) => ({ operationId: `W${at}`, partId: `P${i}` })),
    }),
  );

const planOf = (rows: PlanRows) => computePlan(rows, { figuresFor: MONDAY, confidence: null });

/** The end with the named parts in hand. */
function endWith(rows: PlanRows, inHand: ReadonlySet<string>): string {
  const parts = rows.parts.map((row) => (inHand.has(row.id) ? { ...row, stateOnHand: "IN_HAND" as const } : row));
  return planOf({ ...rows, parts }).completion.date!;
}

describe("the ladder of a plan", () => {
  test("is what the plan would be with those above in hand, and with one alone in hand or alone missing", () => {
    let ties = 0;
    let gains = 0;
    fc.assert(
      fc.property(anyRows, (rows) => {
        const plan = planOf(rows);
        const all = new Set(rows.parts.map(({ id }) => id));
        const { date, workOnlyDate } = plan.completion;
        expect(endWith(rows, all)).toBe(workOnlyDate);
        const above = new Set<string>();
        for (const [at, holdUp] of plan.ladder.entries()) {
          // Each date is that of the part alone, they go down, and none is before the work alone.
          expect(endWith(rows, new Set([...all].filter((id) => id !== holdUp.rowId)))).toBe(holdUp.completionDate);
          expect(endWith(rows, above)).toBe(holdUp.completionDate);
          expect(holdUp.completionHours!).toBeGreaterThan(plan.completion.workOnlyHours);
          expect(plan.completionWith(holdUp.id, holdUp.arrivalDate!)).toBe(holdUp.completionDate);
          above.add(holdUp.rowId);
          // The end with it and all above in hand; of a tie nothing moves before the last.
          expect(endWith(rows, above)).toBe(holdUp.nextCompletionDate);
          const gained = daysBetween(endWith(rows, new Set([holdUp.rowId])), date!);
          expect(holdUp.daysGained).toBe(gained);
          expect(plan.parts.get(holdUp.rowId)!.daysGained).toBe(gained);
          if (holdUp.tieSize > 1) ties += 1;
          if (gained > 0) gains += 1;
          expect(
            plan.ladder
              .filter((one) => one.tie === holdUp.tie)
              .every((one) => one.completionDate === holdUp.completionDate),
          ).toBe(true);
          expect(at === 0 ? date : plan.ladder[at - 1]!.nextCompletionDate).toBe(holdUp.completionDate);
        }
        // What is not on it holds nothing up.
        for (const id of all)
          if (!above.has(id)) {
            expect(endWith(rows, new Set([...all].filter((one) => one !== id)))).toBe(workOnlyDate);
            expect(plan.parts.get(id)).toMatchObject({ holdsUp: false, daysGained: 0 });
          }
      }),
      { numRuns: 600 },
    );
    expect(ties).toBeGreaterThan(20);
    expect(gains).toBeGreaterThan(20);
  });
});
