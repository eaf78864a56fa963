/** The same work on the hands that are entered: every other date of a plan is with no end of hands. */
import { describe, expect, it } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import type { PlanRows } from "../../server/plan/rows.ts";
import { hand, link, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const onHands = (rows: Partial<PlanRows>) => {
  const plan = computePlan(rowsOf(rows), { figuresFor: MONDAY, confidence: null });
  return { withoutEnd: plan.completion.date, ...plan.onHands };
};
const hands = (trade: string, people: number, hours = 8) =>
  hand(`${trade} hands`, [trade], { people, weekdayHours: [hours, hours, hours, hours, hours, 0, 0] });
const work = (id: string, hours: number, trade: string) => operation(id, hours, { trade });

describe("the end on the hands that are entered", () => {
  it("is later where one hand has to do what several would do side by side", () => {
    const operations = [work("bore", 16, "engine"), work("hone", 16, "engine")];
    // Monday 23 November: two at once until Tuesday, one after the other until Thursday.
    expect(onHands({ operations, hands: [hands("engine", 2)] })).toMatchObject({
      withoutEnd: "2026-11-24",
      date: "2026-11-24",
    });
    expect(onHands({ operations, hands: [hands("engine", 1)] })).toMatchObject({
      withoutEnd: "2026-11-24",
      date: "2026-11-26",
      notBefore: "2026-11-26",
    });
  });

  it("counts their own hours on days on which the shop is open", () => {
    expect(
      onHands({ operations: [work("line", 16, "paint")], hands: [hands("paint", 1, 4)], closedDates: ["2026-11-25"] }),
    ).toMatchObject({ withoutEnd: "2026-11-24", date: "2026-11-27" });
  });

  it("waits for parts and for what comes before, as the plan does; done work is out of the way", () => {
    const rows = {
      operations: [
        operation("strip", 8, { trade: "engine", state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-20" }),
        work("fit", 8, "engine"),
        work("run", 4, "engine"),
      ],
      links: [link("strip", "fit", 6, "DAYS"), link("fit", "run", 2, "DAYS")],
      needs: [{ operationId: "run", partId: "chain" }],
      parts: [part("chain", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "chain", 10)],
      hands: [hands("engine", 1)],
    };
    const { withoutEnd, date } = onHands(rows);
    expect(date).toBe(withoutEnd);
    expect(date).toBe("2026-12-04");
  });

  it("has no date while a trade has nobody, and says which, with its work", () => {
    const operations = [work("bore", 16, "engine"), work("seat", 5, "trim"), work("hood", 7, "trim")];
    expect(onHands({ operations, hands: [hands("engine", 1)] })).toMatchObject({
      date: null,
      notBefore: null,
      nobodyFor: [{ trade: "trim", operations: 2, hours: 12 }],
    });
  });

  it("has one set of hours for all trades of a person", () => {
    const operations = [work("weld", 16, "chassis"), work("wire", 16, "electrical")];
    const end = (...shop: PlanRows["hands"]) => onHands({ operations, hands: shop }).date;
    expect(end(hand("Ned", ["chassis"]), hand("Nell", ["electrical"]))).toBe("2026-11-24");
    expect(end(hand("Ned", ["chassis", "electrical"]))).toBe("2026-11-26");
  });

  it("goes by each weekday, absences, joining and leaving", () => {
    const end = (more: Partial<PlanRows["hands"][number]>) =>
      onHands({ operations: [work("line", 16, "paint")], hands: [hand("Ivy", ["paint"], more)] }).date;
    expect(end({})).toBe("2026-11-24");
    expect(end({ absences: [{ from: "2026-11-24", to: "2026-11-26" }] })).toBe("2026-11-27");
    expect(end({ joinsOn: "2026-12-01" })).toBe("2026-12-02");
    expect(end({ weekdayHours: [8, 0, 0, 0, 8, 0, 0] })).toBe("2026-11-27");
  });

  it("counts hands without an hour a day as nobody", () => {
    expect(onHands({ operations: [work("bore", 16, "engine")], hands: [hands("engine", 1, 0)] })).toMatchObject({
      date: null,
      nobodyFor: [{ trade: "engine", operations: 1, hours: 16 }],
    });
  });

  it("is not told where no hands are entered, or all is done", () => {
    expect(onHands({ operations: [work("bore", 16, "engine")] }).date).toBeUndefined();
    const done = operation("strip", 8, { state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-20" });
    expect(onHands({ operations: [done], hands: [hands("engine", 1)] }).date).toBeUndefined();
  });
});
