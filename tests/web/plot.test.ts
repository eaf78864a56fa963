/** Places of plans by date and cost: their figures lie on no mark and on no other words. */
import fc from "fast-check";
import { expect, it } from "vitest";
import { figuresOf, layoutOf, MARGIN, type PlotPlan } from "../../web/choices/plot.ts";

const DAY = 86_400_000;
const dated = fc
  .integer({ min: 0, max: 400 })
  .map((day) => new Date(Date.UTC(2027, 0, 1) + day * DAY).toISOString().slice(0, 10));
const plan = fc.record({
  date: dated,
  cost: fc.integer({ min: 1_000_00, max: 20_000_00 }),
  points: fc.integer({ min: 0, max: 60 }).map((half) => half / 2),
});

it("writes the points lost where there is room", () => {
  fc.assert(
    fc.property(
      fc.array(plan, { minLength: 1, maxLength: 60 }),
      plan,
      dated,
      fc.constantFrom(358, 1216),
      (rows, inForce, targetDate, width) => {
        const plans: PlotPlan[] = rows.map((row, place) => ({ number: place + 1, ...row }));
        const { marks, target } = layoutOf({
          plans,
          inForce,
          targetDate,
          capMinor: null,
          decimals: 2,
          width,
          height: 400,
        });
        const boxes = marks.flatMap(({ number, x, y, figures }) => {
          if (number === null || figures === null) return [];
          const wide = figuresOf(plans[number - 1]!.points).length * 7;
          const left = x + figures.dx - { start: 0, middle: wide / 2, end: wide }[figures.anchor];
          return [{ number, left, right: left + wide, top: y + figures.dy - 11, bottom: y + figures.dy }];
        });
        for (const box of boxes) {
          expect(box.left).toBeGreaterThanOrEqual(MARGIN.left);
          expect(box.left < target! && target! < box.right).toBe(false);
          // What is not shown is a point of its date's line, over which figures may stand.
          for (const { number, x, y, shown } of marks)
            if (shown && number !== box.number)
              expect(box.left < x && x < box.right && box.top < y && y < box.bottom).toBe(false);
          for (const other of boxes)
            if (other !== box)
              expect(
                box.left < other.right && other.left < box.right && box.top < other.bottom && other.top < box.bottom,
              ).toBe(false);
        }
      },
    ),
    { numRuns: 200 },
  );
});

it("writes those of a plan that stands alone above it", () => {
  const plans = [{ number: 1, date: "2027-06-01", cost: 100_000, points: 8 }];
  const { marks } = layoutOf({
    plans,
    inForce: null,
    targetDate: null,
    capMinor: null,
    decimals: 2,
    width: 358,
    height: 400,
  });
  expect(marks[0]!.figures).toMatchObject({ dx: 0, anchor: "middle" });
});

it("draws no mark on another; of each date the ends that have room, and always the best", () => {
  fc.assert(
    fc.property(fc.array(plan, { minLength: 2, maxLength: 120 }), fc.constantFrom(358, 1216), (rows, width) => {
      const plans: PlotPlan[] = rows.map((row, place) => ({ number: place + 1, ...row }));
      const best = plans.length;
      const { marks } = layoutOf({
        plans,
        inForce: null,
        targetDate: null,
        capMinor: null,
        decimals: 2,
        best,
        width,
        height: 400,
      });
      const shown = marks.filter((mark) => mark.shown);
      expect(shown.some(({ number }) => number === best)).toBe(true);
      for (const mark of shown)
        for (const other of shown)
          if (mark !== other)
            expect(Math.hypot(mark.x - other.x, mark.y - other.y)).toBeGreaterThanOrEqual(mark.radius + other.radius);
      // What is not drawn would lie on a mark that is.
      for (const mark of marks.filter((one) => !one.shown)) {
        expect(mark.figures).toBe(null);
        expect(
          shown.some((other) => Math.hypot(other.x - mark.x, other.y - mark.y) < other.radius + mark.radius + 2),
        ).toBe(true);
      }
    }),
    { numRuns: 100 },
  );
});
