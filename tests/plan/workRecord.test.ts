/** How long work has really taken: what counts, from which day on, and what the runs and the words make of it. */
import { describe, expect, test } from "vitest";
import { pertQuantile } from "../../server/engine/chance/beta.ts";
import { finishedWork, USUAL_SPREADS, WorkRecords } from "../../server/plan/hands/workRecord.ts";
import { countedAtWords, hasTakenWords, shopHasTakenWords } from "../../server/plan/hands/workWords.ts";
import { oddsModel } from "../../server/plan/odds/odds.ts";
import type { FinishedRow, PlanRows } from "../../server/plan/rows/rows.ts";
import { MONDAY, operation, rowsOf, way } from "../support/planRows.ts";

const booked = (operationId: string, hours: number, workedOn = "2026-11-10") => ({
  id: `${operationId} ${hours} ${workedOn}`,
  operationId,
  workedOn,
  hours,
});
const done = (code: string, hours: number, more: Parameters<typeof operation>[2] = {}) =>
  operation(code, hours, { state: "DONE", finishedOn: "2026-11-12", trade: "body", ...more });
const rows = (more: Partial<PlanRows>): PlanRows => rowsOf({ spreads: USUAL_SPREADS, ...more });
const elsewhere = (id: string, more: Partial<FinishedRow> = {}): FinishedRow => ({
  id,
  trade: "body",
  hoursLeast: null,
  hoursLikely: 10,
  hoursMost: null,
  finishedOn: "2026-11-01",
  wayHours: null,
  hands: 1,
  booked: [{ workedOn: "2026-11-01", hours: 13 }],
  ...more,
});

describe("finished work", () => {
  test("is what was booked, corrections with their sign, over what was estimated", () => {
    const all = rows({
      operations: [done("A", 10), done("B", 8, { hoursLeast: 5, hoursMost: 17 })],
      hoursBooked: [booked("A", 9), booked("A", 7, "2026-11-11"), booked("A", -1), booked("B", 9)],
    });
    // Of three figures the mean: (5 + 4 x 8 + 17) / 6 = 9.
    expect(finishedWork(all, MONDAY)).toMatchObject([
      { operationId: "A", estimateHours: 10, bookedHours: 15, ratio: 1.5 },
      { operationId: "B", estimateHours: 9, bookedHours: 9, ratio: 1 },
    ]);
  });

  test("counts the hours of every hand that it took, and those of the way in force", () => {
    const all = rows({
      operations: [
        done("TWO", 10, {
          handsNeeded: [
            { trade: "body", hands: 1 },
            { trade: "paint", hands: 1 },
          ],
        }),
        done("OUT", 30, { chosenWayId: "SENT" }),
      ],
      ways: [way("SENT", "OUT", 4, 20)],
      hoursBooked: [booked("TWO", 22), booked("OUT", 5)],
    });
    expect(finishedWork(all, MONDAY).map(({ ratio }) => ratio)).toEqual([1.1, 1.25]);
  });

  test("is known from the day on which it was finished, by the hours worked by then", () => {
    const all = rows({
      operations: [done("A", 10), done("OPEN", 10, { state: "UNDER_WAY", finishedOn: null })],
      hoursBooked: [booked("A", 12), booked("A", 3, "2026-11-20"), booked("OPEN", 30)],
      finishedElsewhere: [elsewhere("B")],
    });
    const known = (day: string) =>
      finishedWork(all, day).map(({ operationId, bookedHours }) => [operationId, bookedHours]);
    expect(known("2026-10-31")).toEqual([]);
    expect(known("2026-11-11")).toEqual([["B", 13]]);
    expect(known("2026-11-12")).toEqual([
      ["A", 12],
      ["B", 13],
    ]);
    expect(known("2026-11-20")).toEqual([
      ["A", 15],
      ["B", 13],
    ]);
  });

  test("says nothing where no hours were booked or none were estimated", () => {
    const all = rows({
      operations: [done("A", 10), done("B", 0), done("C", 10)],
      hoursBooked: [booked("B", 3), booked("C", 2), booked("C", -2)],
    });
    expect(finishedWork(all, MONDAY)).toEqual([]);
  });
});

describe("what is believed", () => {
  const nine = Array.from({ length: 9 }, (_, i) => elsewhere(`E${i}`));
  const open = [operation("LEFT", 20, { trade: "body" }), operation("COAT", 20, { trade: "paint" })];

  test("is pulled to the shop, and the shop to as long as is estimated", () => {
    const records = new WorkRecords(rows({ operations: open, finishedElsewhere: nine }), MONDAY);
    const [body, paint] = [records.of("body"), records.of("paint")];
    expect(body.hasTaken).toBeCloseTo(1.3, 9);
    expect(body.factor).toBeGreaterThan(paint.factor);
    expect(body.factor).toBeLessThan(1.3);
    expect(paint.factor).toBeGreaterThan(1);
    expect(paint).toMatchObject({ finished: [], hasTaken: null, ownShare: 0 });
    for (const { oneInTen, factor, nineInTen } of [body, paint])
      expect([oneInTen < factor, factor < nineInTen]).toEqual([true, true]);
    // Of the trade of which more is known less is in doubt.
    expect(body.nineInTen / body.oneInTen).toBeLessThan(paint.nineInTen / paint.oneInTen);
  });

  test("is no more and no less in doubt than the spreads that are stated, where nothing was seen", () => {
    const { factor, oneInTen, nineInTen } = new WorkRecords(rows({ operations: open }), MONDAY).of("body");
    expect(factor).toBe(1);
    // The quantile of 9 in 10 of a normal with the deviations of shop and trade; 60 degrees widen the trade's by 1.7 %.
    const doubt = 1.2815515655 * Math.hypot(0.2, 0.15);
    expect(Math.abs(Math.log(nineInTen) / doubt - 1)).toBeLessThan(0.01);
    expect(oneInTen * nineInTen).toBeCloseTo(1, 12);
  });

  test("is that work takes as long as is estimated, where its hours are spread just as their three figures say", () => {
    const three = { low: 5, likely: 8, high: 25 };
    const finishedElsewhere = Array.from({ length: 400 }, (_, i) => {
      const hours = pertQuantile(three, (i + 0.5) / 400);
      return elsewhere(`E${i}`, {
        hoursLeast: 5,
        hoursLikely: 8,
        hoursMost: 25,
        booked: [{ workedOn: "2026-11-01", hours }],
      });
    });
    const { factor } = new WorkRecords(rows({ finishedElsewhere }), MONDAY).of("body");
    // The mean of the logs lies 6 % below the log of the mean.
    expect(Math.abs(factor - 1)).toBeLessThan(0.02);
  });

  test("is drawn in the runs for the work that is left, whether its estimate is one figure or three", () => {
    const threePoints = operation("SKIN", 10, { trade: "body", hoursLeast: 8, hoursMost: 20 });
    const all = rows({ operations: [...open, threePoints, done("OLD", 10)], finishedElsewhere: nine });
    const { nodes, trades } = oddsModel(all, MONDAY);
    const records = new WorkRecords(all, MONDAY);
    expect(trades).toEqual([records.factor("body"), records.factor("paint")]);
    expect(nodes.map(({ id, trade }) => [id, trade])).toEqual([
      ["operation:LEFT", "body"],
      ["operation:COAT", "paint"],
      ["operation:SKIN", "body"],
      ["operation:OLD", undefined],
    ]);
  });

  test("goes by estimates as they stand where the workshop says so", () => {
    const all = rowsOf({ operations: open, finishedElsewhere: nine, spreads: { shopSpread: 0, tradeSpread: 0 } });
    const { nodes, trades } = oddsModel(all, MONDAY);
    expect([trades, nodes.map(({ trade }) => trade)]).toEqual([[], [undefined, undefined]]);
    expect(new WorkRecords(all, MONDAY).expected("body", 20)).toBe(20);
  });

  test("holds with one spread at zero: all trades are the shop, or the shop is as estimated", () => {
    const records = (shopSpread: number, tradeSpread: number) =>
      new WorkRecords(rows({ finishedElsewhere: nine, spreads: { shopSpread, tradeSpread } }), MONDAY);
    const one = records(0.2, 0);
    expect(one.of("paint").factor).toBeCloseTo(one.of("body").factor, 6);
    expect(one.of("paint").factor).toBeGreaterThan(1.1);
    const none = records(0, 0.15);
    expect(none.of("paint").factor).toBeCloseTo(1, 6);
    expect(none.of("body").factor).toBeGreaterThan(1.1);
  });
});

describe("in words", () => {
  const records = new WorkRecords(
    rows({
      operations: [done("A", 10)],
      hoursBooked: [booked("A", 13)],
      finishedElsewhere: Array.from({ length: 8 }, (_, i) => elsewhere(`E${i}`)),
    }),
    MONDAY,
  );
  test("a trade's work has taken so many times its estimate, from so many operations", () => {
    expect(hasTakenWords(records.of("body"))).toBe(
      "Your body work has taken 1.3 times its estimate, from 9 operations",
    );
    expect(hasTakenWords(records.of("trim"))).toBe("None of your trim work is finished with hours booked");
    expect(shopHasTakenWords(records.shop, records.trades.length)).toBe(
      "Work has taken 1.3 times its estimates, from 9 operations in 1 trade.",
    );
  });
  test("where hours are entered, with what the odds make of them", () => {
    const { factor, oneInTen, nineInTen } = records.of("body");
    const [at, from, to] = [factor, oneInTen, nineInTen].map((one) => Number(one.toFixed(2)));
    expect(countedAtWords(records.of("body"), true)).toBe(
      `Your body work has taken 1.3 times its estimate, from 9 operations: the odds count ${at} times what is entered, ${from} to ${to} times in 8 of 10 runs.`,
    );
    expect(countedAtWords(records.of("trim"), false)).toBe(
      "None of your trim work is finished with hours booked: the odds take estimates as they stand.",
    );
  });
});
