/** The ladder with hands on it against the plain definition: the schedule without what is cleared, gone through again. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { forwardPass } from "../../server/engine/network/criticalPath.ts";
import { Network } from "../../server/engine/network/network.ts";
import { addDays, daysBetween } from "../../server/engine/time/date.ts";
import { days, hours } from "../../server/engine/time/units.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { shopCalendar } from "../../server/plan/days/shopDays.ts";
import { orderOfWork } from "../../server/plan/hands/orderOfWork.ts";
import { chosenWays, nodesOf } from "../../server/plan/network/work.ts";
import { acquisitionsOf } from "../../server/plan/parts/acquisition.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { hand, link, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const WORK = 7;
const PARTS = 4;
const TRADES = ["engine", "body", "paint"];
const each = <T>(count: number, of: fc.Arbitrary<T>) => fc.array(of, { minLength: count, maxLength: count });

const anyRows = fc
  .record({
    hours: each(WORK, fc.integer({ min: 2, max: 30 })),
    trades: each(WORK, fc.constantFrom(...TRADES)),
    able: each(3, fc.uniqueArray(fc.constantFrom(...TRADES), { minLength: 1, maxLength: 3 })),
    away: fc.nat({ max: 9 }),
    leads: each(PARTS, fc.integer({ min: 0, max: 16 })),
    needed: each(PARTS, fc.nat({ max: WORK - 1 })),
    ends: fc.uniqueArray(fc.tuple(fc.nat({ max: WORK - 1 }), fc.nat({ max: WORK - 1 })), {
      maxLength: 4,
      selector: ([a, b]) => `${Math.min(a, b)} ${Math.max(a, b)}`,
    }),
  })
  .map(({ hours: work, trades, able, away, leads, needed, ends }) =>
    rowsOf({
      operations: work.map((likely, i) => operation(`W${i}`, likely, { trade: trades[i]! })),
      hands: able.map((own, i) =>
        hand(`H${i}`, own, {
          absences: i === 0 ? [{ from: addDays(MONDAY, away), to: addDays(MONDAY, away + 2) }] : [],
        }),
      ),
      links: ends.flatMap(([a, b]) => (a === b ? [] : [link(`W${Math.min(a, b)}`, `W${Math.max(a, b)}`)])),
      parts: leads.map((_, i) => part(`P${i}`, { chosenQuoteId: `Q${i}` })),
      quotes: leads.map((lead, i) => quote(`Q${i}`, `P${i}`, lead)),
      needs: needed.map((at, i) => ({ operationId: `W${at}`, partId: `P${i}` })),
    }),
  );

/** The end of the schedule as it was made, without what is cleared: parts are in hand, nothing waits for a hand. */
function endsOf(rows: PlanRows): (cleared: ReadonlySet<string>) => string {
  const calendar = shopCalendar(rows, MONDAY);
  const { outstanding } = acquisitionsOf(rows, MONDAY, calendar);
  const { nodes, links } = nodesOf(rows, chosenWays(rows), outstanding, calendar);
  const { hands, handovers } = orderOfWork(rows, MONDAY)!;
  return (cleared) => {
    const on = nodes.map((node) => ({
      ...node,
      ...(hands.has(node.id) && { hands: hands.get(node.id)! }),
      ...(cleared.has(node.id) && { release: 0 }),
    }));
    const kept = handovers.filter((one) => !cleared.has(`hand:${one.hand}`));
    const { end } = forwardPass(new Network(on, [...links, ...kept], calendar));
    return end <= 0 ? MONDAY : calendar.date(days(calendar.finishDay(hours(end))));
  };
}

describe("the ladder of a plan on hands", () => {
  test("goes from line to line by what gains most with all above cleared, hands among parts", () => {
    const seen = { hands: 0, underHand: 0, ties: 0 };
    fc.assert(
      fc.property(anyRows, (rows) => {
        const plan = computePlan(rows, { figuresFor: MONDAY, confidence: null });
        if (plan.completion.open) return;
        const endWith = endsOf(rows);
        const all = [...rows.parts.map(({ id }) => `part:${id}`), ...rows.hands.map(({ id }) => `hand:${id}`)];
        const end = endWith(new Set());
        expect(plan.completion.date).toBe(end);
        const cleared = new Set<string>();
        for (let at = 0; at < plan.ladder.length; ) {
          const group = plan.ladder.filter(({ tie }) => tie === plan.ladder[at]!.tie);
          const heldTo = endWith(cleared);
          const alone = Math.max(...all.map((id) => daysBetween(endWith(new Set([...cleared, id])), heldTo)));
          for (const { id, kind, daysGained, handName } of group) {
            expect(plan.ladder[at]!.heldTo).toBe(heldTo);
            expect(daysGained).toBe(daysBetween(endWith(new Set([id])), end));
            if (kind === "HAND") {
              const load = plan.handLoad().find(({ hand: one }) => one.name === handName)!;
              expect(load.daysGained).toBe(daysGained);
            }
            cleared.add(id);
            at += 1;
            expect(plan.ladder[at - 1]!.nextCompletionDate).toBe(
              cleared.size === at && group.at(-1)!.id === id ? endWith(cleared) : heldTo,
            );
          }
          const gained = daysBetween(endWith(cleared), heldTo);
          if (group.length === 1) expect(gained).toBe(alone);
          else expect(alone).toBe(0);
          if (group.some(({ kind }) => kind === "HAND")) seen.hands += 1;
          else if (plan.ladder.slice(0, at).some(({ kind }) => kind === "HAND")) seen.underHand += 1;
          if (group.length > 1 && gained > 0) seen.ties += 1;
        }
        expect(endWith(new Set([...cleared, ...all]))).toBe(endWith(cleared));
      }),
      { numRuns: 150 },
    );
    for (const count of Object.values(seen)) expect(count).toBeGreaterThan(5);
  });
});
