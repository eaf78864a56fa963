/** Dates on the hands of the shop: every figure of a plan reads the order of work found for them. */
import { describe, expect, it } from "vitest";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { BLOCK } from "../../server/engine/odds/runs.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { oddsModel } from "../../server/plan/odds/odds.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { hand, link, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const planOf = (rows: Partial<PlanRows>) => computePlan(rowsOf(rows), { figuresFor: MONDAY, confidence: null });
const endOf = (rows: Partial<PlanRows>) => {
  const { completion, hands } = planOf(rows);
  return { date: completion.date, ...hands };
};
const work = (id: string, hours: number, trade: string) => operation(id, hours, { trade });

describe("the end on the hands that are entered", () => {
  it("is later where one hand has to do what several would do side by side", () => {
    const operations = [work("bore", 16, "engine"), work("hone", 16, "engine")];
    // Monday 23 November: two at once until Tuesday, one after the other until Thursday.
    expect(endOf({ operations, hands: [hand("engine", ["engine"], { people: 2 })] })).toMatchObject({
      date: "2026-11-24",
      handsEnough: "2026-11-24",
    });
    expect(endOf({ operations, hands: [hand("Wat", ["engine"])] })).toMatchObject({
      date: "2026-11-26",
      handsEnough: "2026-11-24",
      notBefore: "2026-11-26",
    });
  });

  it("depends on whether two trades are one person", () => {
    const operations = [work("bore", 16, "engine"), work("trim", 16, "trim")];
    expect(endOf({ operations, hands: [hand("Wat", ["engine"]), hand("Ivy", ["trim"])] }).date).toBe("2026-11-24");
    expect(endOf({ operations, hands: [hand("Wat", ["engine", "trim"])] }).date).toBe("2026-11-26");
  });

  it("counts their own hours on days on which the shop is open, and a Saturday that one of them works", () => {
    const operations = [work("line", 16, "paint")];
    const short = { weekdayHours: [4, 4, 4, 4, 4, 0, 0] };
    const closedDates = ["2026-11-25"];
    expect(endOf({ operations, hands: [hand("Ivy", ["paint"], short)], closedDates })).toMatchObject({
      handsEnough: "2026-11-24",
      date: "2026-11-27",
    });
    const saturdays = { weekdayHours: [4, 4, 4, 0, 0, 4, 0] };
    expect(endOf({ operations, hands: [hand("Ivy", ["paint"], saturdays)] }).date).toBe("2026-11-28");
  });

  it("has begun work go on with the hand that began it, unless that hand is away, or the work may be put down", () => {
    const bore = { trade: "engine", state: "UNDER_WAY", startedOn: "2026-11-20" } as const;
    const wat = { accountId: "a", weekdayHours: [4, 4, 4, 4, 4, 0, 0] };
    const entry = { id: "h", operationId: "bore", workedOn: "2026-11-20", hours: 3 };
    const end = (
      entries: PlanRows["hoursBooked"],
      absences: readonly { from: string; to: string }[] = [],
      mayBePutDown = false,
    ) =>
      endOf({
        operations: [operation("bore", 16, { ...bore, mayBePutDown })],
        hands: [hand("Wat", ["engine"], { ...wat, absences }), hand("Ivy", ["engine"])],
        hoursBooked: entries,
      }).date;
    expect(end([])).toBe("2026-11-24");
    expect(end([{ ...entry, accountId: "b" }])).toBe("2026-11-24");
    expect(end([{ ...entry, accountId: "a" }])).toBe("2026-11-26");
    expect(end([{ ...entry, accountId: "a" }], [{ from: MONDAY, to: MONDAY }])).toBe("2026-11-24");
    expect(end([{ ...entry, accountId: "a" }], [], true)).toBe("2026-11-24");
  });

  it("waits for parts and for what comes before; done work is out of the way", () => {
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
      hands: [hand("Wat", ["engine"])],
    };
    expect(endOf(rows)).toMatchObject({ date: "2026-12-04", handsEnough: "2026-12-04" });
  });

  it("is open while a trade has nobody, as where a part has no source; which, and how much work, is said", () => {
    const operations = [work("bore", 16, "engine"), work("seat", 5, "trim"), work("hood", 7, "trim")];
    for (const hands of [
      [hand("Wat", ["engine"])],
      [hand("Wat", ["engine"]), hand("Ivy", ["trim"], { weekdayHours: [0, 0, 0, 0, 0, 0, 0] })],
    ]) {
      const { completion, hands: told } = planOf({ operations, hands });
      expect(completion).toMatchObject({
        open: true,
        date: null,
        lacking: "nobody to do it",
        dateWithOpenInHand: "2026-11-24",
      });
      expect(told!.nobodyFor).toEqual([{ trade: "trim", operations: 2, hours: 12, people: 0 }]);
    }
  });

  it("is open too where all who do a trade leave before the work can be done, or what it takes are more than there are", () => {
    const operations = [work("bore", 16, "engine"), work("seat", 5, "trim")];
    for (const [hands, more, people] of [
      [[hand("Wat", ["engine"]), hand("Ivy", ["trim"], { leavesOn: "2026-11-20" })], {}, 0],
      [[hand("Wat", ["engine"]), hand("Ivy", ["trim"])], { handsNeeded: [{ trade: "trim", hands: 2 }] }, 1],
    ] as const) {
      const plan = planOf({ operations: [operations[0]!, { ...operations[1]!, ...more }], hands });
      expect(plan.completion).toMatchObject({ open: true, dateWithOpenInHand: "2026-11-24" });
      expect(plan.hands!.nobodyFor).toEqual([{ trade: "trim", operations: 1, hours: 5, people }]);
    }
  });

  it("is open for work of two trades whose hands never work on the same day: both are told, with who there is", () => {
    const both = [
      { trade: "engine", hands: 1 },
      { trade: "trim", hands: 1 },
    ];
    const plan = planOf({
      operations: [{ ...work("fit", 8, "engine"), handsNeeded: both }],
      hands: [
        hand("Wat", ["engine"], { weekdayHours: [8, 8, 0, 0, 0, 0, 0] }),
        hand("Ivy", ["trim"], { weekdayHours: [0, 0, 8, 8, 8, 0, 0] }),
      ],
    });
    expect(plan.completion.open).toBe(true);
    expect(plan.hands!.nobodyFor).toEqual(both.map(({ trade }) => ({ trade, operations: 1, hours: 8, people: 1 })));
  });

  it("is with hands enough at all times where none are entered, which is said by leaving the hands away", () => {
    expect(planOf({ operations: [work("bore", 16, "engine")] }).hands).toBeNull();
    const done = operation("strip", 8, { state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-20" });
    expect(planOf({ operations: [done], hands: [hand("Wat", ["engine"])] }).hands).toBeNull();
  });
});

describe("what the hands move", () => {
  const rows: Partial<PlanRows> = {
    operations: [work("bore", 16, "engine"), work("hone", 8, "engine"), work("hood", 8, "trim")],
    needs: [{ operationId: "bore", partId: "pistons" }],
    parts: [part("pistons", { chosenQuoteId: "Q" })],
    quotes: [quote("Q", "pistons", 7)],
    hands: [hand("Wat", ["engine"]), hand("Ivy", ["trim"])],
  };
  const dates = (changed: Partial<PlanRows>) =>
    Object.fromEntries(
      [...planOf({ ...rows, ...changed }).operations.values()].map(
        ({ operationId, earlyStartDate, earlyFinishDate }) => [operationId, `${earlyStartDate} ${earlyFinishDate}`],
      ),
    );

  it("is who does what, and when: what can be done today, best first", () => {
    const plan = planOf(rows);
    expect(plan.freeToStart.map(({ operationId, hands, from }) => [operationId, hands[0]!.name, from])).toEqual([
      ["hone", "Wat", MONDAY],
      ["hood", "Ivy", MONDAY],
    ]);
    expect([...plan.operations.values()].map(({ hands }) => hands.map(({ name }) => name))).toEqual([
      ["Wat"],
      ["Wat"],
      ["Ivy"],
    ]);
  });

  it("is from the day on which the hand is free for it; what is under way is not free to start", () => {
    const two = [work("hone", 8, "engine"), work("lap", 8, "engine")];
    const days = (operations: PlanRows["operations"]) =>
      planOf({ ...rows, operations, needs: [], parts: [], quotes: [] }).freeToStart.map(({ from }) => from);
    expect(days(two)).toEqual([MONDAY, "2026-11-24"]);
    const underWay = two.map((one) => ({ ...one, state: "UNDER_WAY" as const, startedOn: "2026-11-16" }));
    expect(days(underWay)).toEqual([]);
    expect(days([underWay[0]!, two[1]!])).toEqual(["2026-11-24"]);
  });

  it("by an absence is what waits for that hand, by the days that they are away, and nothing else", () => {
    // Six days: until the pistons are usable on 1 December, nobody waits for Wat for longer than honing.
    expect(dates({})).toEqual({
      bore: "2026-12-01 2026-12-02",
      hone: "2026-11-23 2026-11-23",
      hood: "2026-11-23 2026-11-23",
    });
    const away = [{ from: "2026-12-02", to: "2026-12-03" }];
    expect(dates({ hands: [hand("Wat", ["engine"], { absences: away }), hand("Ivy", ["trim"])] })).toEqual({
      bore: "2026-12-01 2026-12-04",
      hone: "2026-11-23 2026-11-23",
      hood: "2026-11-23 2026-11-23",
    });
  });

  it("is read by the runs too: with nothing uncertain they end when the plan does", () => {
    const away = [{ from: "2026-12-02", to: "2026-12-03" }];
    const input = rowsOf({ ...rows, hands: [hand("Wat", ["engine", "trim"], { absences: away })] });
    // Three points that are one: nothing is left to chance.
    const certain = { leadLeast: 7, leadLikely: 7, leadMost: 7 };
    const fixed = { ...input, quotes: input.quotes.map((one) => ({ ...one, ...certain })) };
    const plan = computePlan(fixed, { figuresFor: MONDAY, confidence: null });
    const { runs } = oddsOf(oddsModel(fixed, MONDAY), { seed: 1, maxSamples: BLOCK });
    expect(runs.endHours[0]).toBeCloseTo(plan.completion.hours!, 9);
  });

  it("is for work under way before all else, and for what is to be done first, with what must be done before it", () => {
    const strip = operation("strip", 8, { trade: "engine" });
    const bore = operation("bore", 40, { trade: "engine" });
    const paint = operation("paint", 8, { trade: "engine" });
    const hands = [hand("Wat", ["engine"])];
    const links = [link("strip", "paint")];
    const startsOf = (operations: PlanRows["operations"]) => {
      const plan = planOf({ operations, links, hands });
      return Object.fromEntries([...plan.operations.values()].map((o) => [o.operationId, o.earlyStartDate]));
    };
    expect(startsOf([bore, strip, { ...paint, first: true }])).toEqual({
      strip: "2026-11-23",
      paint: "2026-11-24",
      bore: "2026-11-25",
    });
    const begun = { state: "UNDER_WAY", startedOn: "2026-11-20" } as const;
    expect(startsOf([{ ...bore, ...begun }, strip, { ...paint, first: true }])).toMatchObject({ strip: "2026-11-30" });
  });

  it("is for other work before work under way only where that may be put down, and ends all sooner for it", () => {
    const bore = operation("bore", 40, { trade: "engine", state: "UNDER_WAY", startedOn: "2026-11-20" });
    const paint = operation("paint", 8, { trade: "engine" });
    const fit = operation("fit", 1);
    const endsOf = (begun: typeof bore, days: number) => {
      const links = [link("paint", "fit", days, "DAYS")];
      const plan = planOf({ operations: [begun, paint, fit], links, hands: [hand("Wat", ["engine"])] });
      return ["bore", "paint", "fit"].map((id) => plan.operations.get(id)!.earlyFinishDate);
    };
    const marked = { ...bore, mayBePutDown: true };
    expect(endsOf(bore, 10)).toEqual(["2026-11-27", "2026-11-30", "2026-12-11"]);
    expect(endsOf(marked, 10)).toEqual(["2026-11-30", "2026-11-23", "2026-12-04"]);
    const putDown = (begun: typeof bore, days: number) => {
      const links = [link("paint", "fit", days, "DAYS")];
      const plan = planOf({ operations: [begun, paint, fit], links, hands: [hand("Wat", ["engine"])] });
      return plan.operations.get("bore")!.putDown;
    };
    expect(putDown(marked, 10)).toEqual({ until: "2026-11-24", titles: [paint.title] });
    expect(putDown(bore, 10)).toBeNull();
    expect(endsOf({ ...marked, first: true }, 10)).toEqual(endsOf(bore, 10));
    expect(putDown({ ...marked, first: true }, 10)).toBeNull();
    const alone = (begun: typeof bore) =>
      planOf({ operations: [begun, paint], hands: [hand("Wat", ["engine"])] }).operations.get("bore")!.earlyFinishDate;
    expect(alone(marked)).toBe(alone(bore));
    expect(endsOf({ ...marked, state: "NOT_STARTED", startedOn: null }, 10)).toEqual(endsOf(marked, 10));
  });

  it("is by a day before which work is not to begin, the hands or none", () => {
    const operations = [operation("bore", 8, { trade: "engine", notBefore: "2026-12-02" })];
    for (const hands of [[], [hand("Wat", ["engine"])]])
      expect(planOf({ operations, hands }).completion.date).toBe("2026-12-02");
    const under = { state: "UNDER_WAY", startedOn: "2026-11-20" } as const;
    expect(planOf({ operations: [{ ...operations[0]!, ...under }] }).completion.date).toBe("2026-11-23");
  });

  it("is the load of each, week by week: all hours of their work, and never more than they have", () => {
    const away = [{ from: "2026-11-24", to: "2026-11-25" }];
    const hands = [hand("Ivy", ["trim"]), hand("Wat", ["engine"], { absences: away })];
    const plan = planOf({
      operations: [work("bore", 30, "engine"), work("hone", 12, "engine"), work("hood", 8, "trim")],
      links: [link("bore", "hone")],
      hands,
    });
    expect(
      plan
        .handLoad()
        .map(({ hand: { name }, weeks }) => [name, weeks.map(({ from, open, booked }) => [from, open, booked])]),
    ).toEqual([
      [
        "Ivy",
        [
          ["2026-11-23", 40, 8],
          ["2026-11-30", 40, 0],
        ],
      ],
      [
        "Wat",
        [
          ["2026-11-23", 24, 24],
          ["2026-11-30", 40, 18],
        ],
      ],
    ]);
    // Away from Tuesday to Wednesday, told in each week by the days of it.
    const awayIn = (from: string, to: string) =>
      planOf({
        operations: [work("bore", 60, "engine")],
        hands: [hand("Wat", ["engine"], { absences: [{ from, to }] })],
      })
        .handLoad()[0]!
        .weeks.map((week) => week.away);
    expect(plan.handLoad()[1]!.weeks.map((week) => week.away)).toEqual([away, []]);
    expect(awayIn("2026-11-20", "2026-12-01")).toEqual([
      [{ from: "2026-11-23", to: "2026-11-29" }],
      [{ from: "2026-11-30", to: "2026-12-01" }],
      [],
    ]);
    expect(plan.handLoad()[1]!.weeks[1]!.work).toMatchObject([
      { node: "operation:bore", title: "bore", hours: 6 },
      { node: "operation:hone", title: "hone", hours: 12 },
    ]);
  });

  it("is the same however the rows came in", () => {
    const operations = Array.from({ length: 12 }, (_, i) =>
      work(`o${i}`, 4 + ((7 * i) % 11), i % 3 === 0 ? "trim" : "engine"),
    );
    const links = [0, 1, 2, 4, 5, 7].map((i) => link(`o${i}`, `o${i + 4}`));
    const hands = [hand("Ivy", ["trim", "engine"]), hand("Wat", ["engine"], { weekdayHours: [8, 6, 8, 6, 8, 0, 0] })];
    const dated = (rows: Partial<PlanRows>) =>
      new Map([...planOf({ ...rows, hands }).operations].map(([id, o]) => [id, [o.earlyStart, o.hands[0]!.name]]));
    const there = dated({ operations, links });
    const back = dated({ operations: operations.toReversed(), links: links.toReversed() });
    for (const [id, place] of there) expect(back.get(id)).toEqual(place);
  });

  it("uses all who can do it where an operation takes several of many", () => {
    const four = { handsNeeded: [{ trade: "body", hands: 4 }] };
    const operations = ["X", "Y"].map((id) => operation(id, 40, { trade: "body", ...four }));
    const hands = [..."ABCDEFGH"].map((name) => hand(name, ["body"]));
    expect(planOf({ operations, hands }).completion.date).toBe("2026-11-27");
    // Of twenty who do body work one alone paints: who paints is not needed twice.
    const both = {
      handsNeeded: [
        { trade: "body", hands: 3 },
        { trade: "paint", hands: 1 },
      ],
    };
    const twenty = Array.from({ length: 20 }, (_, i) => hand(`h${i}`, i === 0 ? ["body", "paint"] : ["body"]));
    const plan = planOf({ operations: [operation("X", 8, { trade: "body", ...both })], hands: twenty });
    expect(plan.completion).toMatchObject({ open: false, date: MONDAY });
  });

  it("has a date however far away a day is, and none where nobody is there any more", () => {
    const away = { absences: [{ from: "2026-12-01", to: "2026-12-01" }] };
    const operations = [operation("X", 16, { trade: "body", notBefore: "2110-01-06" })];
    expect(planOf({ operations, hands: [hand("Ada", ["body"], away)] }).completion.date).toBe("2110-01-07");
    for (const more of [
      { absences: [{ from: "2026-11-01", to: "9999-12-31" }] },
      { joinsOn: "2090-01-02" },
      { leavesOn: "2026-11-01" },
      { weekdayHours: [0.001, 0, 0, 0, 0, 0, 0] },
    ])
      expect(planOf({ operations: [work("X", 16, "body")], hands: [hand("Ada", ["body"], more)] })).toMatchObject({
        completion: { open: true },
        hands: { nobodyFor: [{ trade: "body" }] },
      });
  });

  it("counts back to a target of long ago", () => {
    const operations = [work("X", 16, "body")];
    const restoration = { ...rowsOf({}).restoration, targetDate: "1900-06-19" };
    const away = { absences: [{ from: "2026-12-01", to: "2026-12-01" }] };
    const [place] = [...planOf({ operations, restoration, hands: [hand("Ada", ["body"], away)] }).operations.values()];
    expect(place!.floatToTarget).toBeLessThan(-250_000);
    expect(Number.isFinite(place!.floatToTarget)).toBe(true);
  });

  it("has a date for work of any length", () => {
    const operations = [operation("X", 400_000), work("Y", 400_000, "body")];
    expect(planOf({ operations, hands: [hand("Ada", ["body"])] }).completion).toMatchObject({ open: true });
    expect(planOf({ operations: [operations[0]!], hands: [hand("Ada", ["body"])] }).completion.date).toMatch(
      /^2\d{3}-/,
    );
  });

  it("is no shorter for hands who work longer than the shop, where the work needs nobody, or who have left", () => {
    const operations = [operation("cure", 80)];
    const plain = planOf({ operations }).completion.date;
    const weekends = { weekdayHours: [0, 0, 0, 0, 0, 24, 24] };
    for (const hands of [
      [hand("Old", ["gone"], { ...weekends, leavesOn: "2020-01-01" })],
      [hand("Sun", ["other"], weekends)],
    ]) {
      const plan = planOf({ operations, hands });
      expect([plan.completion.date, plan.hands!.handsEnough]).toEqual([plain, plain]);
    }
  });
});

describe("what is said of an operation and holds the end", () => {
  const said = (rows: PlanRows) =>
    computePlan(rows, { figuresFor: MONDAY, confidence: null })
      .heldByMarks()
      .map(({ operationId, notBefore, completionWithout }) => ({ operationId, notBefore, completionWithout }));

  it("is a day before which it is not to begin, where the end were sooner without it", () => {
    const rows = (notBefore: string) =>
      rowsOf({
        operations: [operation("HOOD", 8, { trade: "trim", notBefore }), operation("FRAME", 40, { trade: "body" })],
        hands: [hand("Ada", ["trim"]), hand("Ben", ["body"])],
      });
    // The frame takes the week; the hood its Monday at the latest, and then a day.
    expect(said(rows("2026-12-07"))).toEqual([
      { operationId: "HOOD", notBefore: "2026-12-07", completionWithout: "2026-11-27" },
    ]);
    expect(said(rows("2026-11-26"))).toEqual([]);
  });

  it("is that it is done first, where another's work waits for the hand meanwhile", () => {
    const rows = (first: boolean) =>
      rowsOf({
        operations: [
          operation("POLISH", 24, { trade: "body", first }),
          operation("WELD", 8, { trade: "body" }),
          operation("PAINT", 40, { trade: "paint" }),
        ],
        links: [link("WELD", "PAINT")],
        hands: [hand("Ada", ["body"]), hand("Ben", ["paint"])],
      });
    expect(said(rows(true))).toEqual([{ operationId: "POLISH", notBefore: null, completionWithout: "2026-11-30" }]);
    expect(said(rows(false))).toEqual([]);
  });
});
