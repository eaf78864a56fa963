/** One shop, several machines: one order of work for the hands of them all, read by the plan of each. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { BLOCK } from "../../server/engine/odds/runs.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { oddsModel } from "../../server/plan/odds/odds.ts";
import { withMachines } from "../../server/plan/rows/load.ts";
import type { HandRow, OperationRow, PlanRows } from "../../server/plan/rows/rows.ts";
import { hand, link, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

/** Rows of a machine, as they are read alone. */
const machine = (name: string, rank: number, rows: Partial<PlanRows>, targetDate: string | null = null): PlanRows =>
  rowsOf({
    ...rows,
    restoration: { id: name, machine: name, targetDate, targetName: "", confidence: null, rank },
  });

const planIn = (machines: readonly PlanRows[], of: PlanRows) =>
  computePlan(withMachines(of, machines), { figuresFor: MONDAY, confidence: null });

const endsIn = (machines: readonly PlanRows[]) => machines.map((one) => planIn(machines, one).completion.date);

const wat = [hand("Wat", ["engine"])];
const work = (id: string, hours: number, more: Partial<OperationRow> = {}) =>
  operation(id, hours, { trade: "engine", ...more });

describe("machines of one shop", () => {
  const car = machine("Car", 1, { hands: wat, operations: [work("bore", 16)] });
  const pump = machine("Pump", 2, { hands: wat, operations: [work("hone", 16)] });

  it("are done one after the other by one hand, the first by rank", () => {
    expect(endsIn([car, pump])).toEqual(["2026-11-24", "2026-11-26"]);
    const changed = [{ ...car, restoration: { ...car.restoration, rank: 3 } }, pump];
    expect(endsIn(changed)).toEqual(["2026-11-26", "2026-11-24"]);
    // Neither is on the other's hands where each is planned alone.
    expect(endsIn([car])).toEqual(["2026-11-24"]);
    expect(endsIn([pump])).toEqual(["2026-11-24"]);
  });

  it("use what hours a machine of higher rank leaves while it waits for a part", () => {
    const waiting = machine("Car", 1, {
      hands: wat,
      operations: [work("strip", 8), work("fit", 8)],
      links: [link("strip", "fit")],
      needs: [{ operationId: "fit", partId: "chain" }],
      parts: [part("chain", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "chain", 10)],
    });
    // The chain is there on Thursday 3 December: until then Wat strips the car in a day, and hones the pump in two.
    expect(endsIn([waiting])).toEqual(["2026-12-04"]);
    expect(endsIn([waiting, pump])).toEqual(["2026-12-04", "2026-11-24"]);
  });

  it("go by their targets before their ends: a day saved on what is early anyway makes no other late", () => {
    const early = machine("Car", 1, { hands: wat, operations: [work("bore", 16)] }, "2026-12-31");
    const urgent = machine("Pump", 2, { hands: wat, operations: [work("hone", 16)] }, "2026-11-24");
    expect(endsIn([early, urgent])).toEqual(["2026-11-26", "2026-11-24"]);
  });

  it("that are done, or of which no plan can be made, take nobody", () => {
    const done = machine("Done", 1, {
      hands: wat,
      operations: [work("strip", 8, { state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-16" })],
    });
    const round = machine("Round", 1, {
      hands: wat,
      operations: [work("one", 8), work("two", 8)],
      links: [link("one", "two"), link("two", "one")],
    });
    expect(planIn([done, round, pump], pump).completion.date).toBe("2026-11-24");
    expect(() => planIn([done, round, pump], round)).toThrow(/waits for|circle|cycle/i);
  });

  it("share the weeks of each hand: what is booked of them is of both, and which is said", () => {
    for (const of of [car, pump])
      expect(planIn([car, pump], of).handLoad()).toMatchObject([
        {
          hand: { name: "Wat" },
          weeks: [
            {
              booked: 32,
              open: 40,
              work: [
                { title: "bore", hours: 16, machine: { id: "Car" } },
                { title: "hone", hours: 16, machine: { id: "Pump" } },
              ],
            },
          ],
        },
      ]);
  });

  it("are closed on the days on which the shop is closed", () => {
    const closed = [car, pump].map((one) => ({ ...one, closedDates: [MONDAY] }));
    expect(endsIn(closed)).toEqual(["2026-11-25", "2026-11-27"]);
  });
});

describe("an order that is kept", () => {
  const operations = (places: readonly (number | null)[]) =>
    [
      work("long", 12),
      work("short", 4),
      work("paint", 3, { trade: "paint", handsNeeded: [{ trade: "paint", hands: 1 }] }),
    ].map((one, i) => ({ ...one, place: places[i]! }));
  const rows = (places: readonly (number | null)[], paint = 3): Partial<PlanRows> => ({
    operations: operations(places).map((one) => (one.id === "paint" ? { ...one, hoursLikely: paint } : one)),
    links: [link("short", "paint")],
    hands: [hand("Wat", ["engine"]), hand("Ivy", ["paint"])],
  });
  const startsOf = (given: Partial<PlanRows>) => {
    const plan = computePlan(rowsOf(given), { figuresFor: MONDAY, confidence: null });
    return {
      end: plan.completion.date,
      short: plan.operations.get("short")!.earlyStartDate,
    };
  };

  it("stands while nothing ends a day sooner, and what has no place goes in before what waits for it", () => {
    // Either way it all ends on Tuesday or Wednesday: the order found first ends on Tuesday, and the kept one a day after it.
    expect(startsOf(rows([null, null, null]))).toEqual({ end: "2026-11-24", short: MONDAY });
    // Of eight hours of paint the kept order ends on Wednesday, and is left for Tuesday's.
    expect(startsOf(rows([1, 2, 3], 8))).toEqual({ end: "2026-11-24", short: MONDAY });
    // Ending on the same Tuesday it is not left for hours.
    const short = rows([1, 2, 3], 0);
    expect(startsOf(short)).toEqual({ end: "2026-11-24", short: "2026-11-24" });
    // What has no place comes before the first of what waits for it, and so last of all where nothing placed does.
    expect(startsOf({ ...short, operations: operations([1, null, null]).slice(0, 2), links: [] })).toEqual({
      end: "2026-11-24",
      short: "2026-11-24",
    });
  });
});

const hands: HandRow[] = [
  hand("Wat", ["engine"]),
  hand("Jory", ["engine", "paint"], { weekdayHours: [4, 8, 8, 8, 8, 4, 0] }),
  hand("Ivy", ["paint"], { absences: [{ from: "2026-11-25", to: "2026-11-27" }] }),
];

const CERTAIN = (days: number) => ({ leadLeast: days, leadLikely: days, leadMost: days });

const anyMachine = (name: string, rank: number) =>
  fc
    .record({
      works: fc.array(
        fc.record({
          hours: fc.integer({ min: 1, max: 30 }),
          trade: fc.constantFrom("engine", "paint"),
          before: fc.integer({ min: -1, max: 5 }),
          lead: fc.integer({ min: -1, max: 20 }),
          preparation: fc.integer({ min: 0, max: 6 }),
        }),
        { minLength: 1, maxLength: 6 },
      ),
      target: fc.constantFrom(null, "2026-11-27", "2026-12-20"),
    })
    .map(({ works, target }) => {
      const id = (i: number) => `${name}${i}`;
      const ordered = works.map((one, i) => ({ ...one, i })).filter(({ lead }) => lead >= 0);
      return machine(
        name,
        rank,
        {
          hands,
          operations: works.map(({ hours, trade }, i) => operation(id(i), hours, { trade })),
          links: works.flatMap(({ before }, i) => (before >= 0 && before < i ? [link(id(before), id(i))] : [])),
          parts: ordered.map(({ i }) => part(`P${id(i)}`, { chosenQuoteId: `Q${id(i)}` })),
          needs: ordered.map(({ i }) => ({ operationId: id(i), partId: `P${id(i)}` })),
          quotes: ordered.map(({ i, lead, preparation }) => ({
            ...quote(`Q${id(i)}`, `P${id(i)}`, lead),
            ...CERTAIN(lead),
            preparationHours: preparation,
          })),
        },
        target,
      );
    });

describe("whatever the work", () => {
  it("no hand does two things at once, and every plan reads the one schedule", () => {
    fc.assert(
      fc.property(anyMachine("A", 1), anyMachine("B", 2), anyMachine("C", 2), (a, b, c) => {
        const machines = [a, b, c];
        const spans = new Map<string, { start: number; finish: number }[]>();
        for (const one of machines) {
          const plan = planIn(machines, one);
          const certain = oddsOf(oddsModel(withMachines(one, machines), MONDAY), { seed: 1, maxSamples: BLOCK });
          expect(certain.runs.endHours[0]).toBeCloseTo(plan.completion.hours!, 9);
          for (const { hands: taken, earlyStart, earlyFinish } of plan.operations.values())
            for (const { name } of taken) {
              const known = spans.get(name) ?? [];
              spans.set(name, [...known, { start: earlyStart!, finish: earlyFinish! }]);
            }
        }
        for (const of of spans.values()) {
          of.sort((one, other) => one.start - other.start);
          for (let i = 1; i < of.length; i++) expect(of[i]!.start).toBeGreaterThanOrEqual(of[i - 1]!.finish - 1e-6);
        }
      }),
      { numRuns: 120 },
    );
  });

  it("the end by what is asked of one machine is the end by what is asked of all, in any order of the rows", () => {
    fc.assert(
      fc.property(anyMachine("A", 1), anyMachine("B", 2), (a, b) => {
        const together = endsIn([a, b]);
        expect(endsIn([b, a])).toEqual([...together].reverse());
        const copied = { ...b, operations: [...b.operations].reverse() };
        expect(endsIn([a, copied])).toEqual(together);
      }),
      { numRuns: 60 },
    );
  });

  it("an earlier part makes no machine end later while the order is kept", () => {
    fc.assert(
      fc.property(anyMachine("A", 1), anyMachine("B", 2), (a, b) => {
        const plan = planIn([a, b], a);
        for (const { id } of plan.ladder.filter(({ kind }) => kind !== "HAND"))
          expect(plan.completionWith(id, MONDAY)! <= plan.completion.dateWithOpenInHand).toBe(true);
      }),
      { numRuns: 60 },
    );
  });
});

describe("what waits for a hand", () => {
  const trades = { trade: "engine", handsNeeded: [{ trade: "engine", hands: 1 }] };
  const car = machine("Car", 1, { hands: wat, operations: [work("bore", 16)] });
  const pump = machine("Pump", 2, {
    hands: wat,
    operations: [operation("hone", 8, trades), operation("rings", 8, trades)],
  });

  it("is held up by another machine's work to a day, and by so many days", () => {
    // Bored until Tuesday 24 November; of the four days of both, two are the car's.
    expect(planIn([car, pump], pump).otherWork()).toEqual({ until: "2026-11-24", days: 2 });
    expect(planIn([car, pump], car).otherWork()).toBeNull();
    expect(planIn([pump], pump).otherWork()).toBeNull();
    // With weeks of float nothing is held up.
    const late = machine("Late", 2, {
      ...pump,
      hands: wat,
      parts: [part("chain", { chosenQuoteId: "Q" })],
      needs: [{ operationId: "rings", partId: "chain" }],
      quotes: [quote("Q", "chain", 60)],
    });
    expect(planIn([car, late], late).otherWork()).toBeNull();
  });

  it("stands on the ladder by what it gains, and says until when it is on other work", () => {
    const [line, ...others] = planIn([car, pump], pump).ladder;
    expect(others).toEqual([]);
    expect(line).toMatchObject({
      kind: "HAND",
      title: "Whoever does engine work",
      handName: "Wat",
      otherWorkUntil: "2026-11-24",
      heldTo: "2026-11-26",
      nextCompletionDate: MONDAY,
      daysGained: 3,
    });
    expect(planIn([car], car).ladder).toEqual([]);
    // A part that holds the end alone stands above the hand whose work it hides.
    const waiting = machine("Car", 1, {
      hands: wat,
      operations: [work("bore", 16), work("hone", 16), work("fit", 8)],
      parts: [part("chain", { chosenQuoteId: "Q" })],
      needs: [{ operationId: "fit", partId: "chain" }],
      quotes: [quote("Q", "chain", 10)],
    });
    expect(
      planIn([waiting], waiting).ladder.map(({ kind, heldTo, nextCompletionDate }) => [
        kind,
        heldTo,
        nextCompletionDate,
      ]),
    ).toEqual([
      ["PART", "2026-12-04", "2026-11-27"],
      ["HAND", "2026-11-27", "2026-11-24"],
    ]);
  });

  it("gains the days of doing it all at once, the order of all others kept", () => {
    expect(planIn([car, pump], pump).handLoad()[0]!.daysGained).toBe(3);
    expect(planIn([pump], pump).handLoad()[0]!.daysGained).toBe(1);
    expect(planIn([car], car).handLoad()[0]!.daysGained).toBe(0);
  });
});

describe("what was found to go wrong between machines", () => {
  const ann = [hand("Ann", ["engine"], { weekdayHours: [8, 8, 8, 8, 8, 8, 0] })];

  it("no hand is on two machines at once where work that needs nobody has fewer hours than the shop", () => {
    const cured = machine("A", 1, {
      hands: ann,
      operations: [operation("cure", 60), work("fit", 16)],
      links: [link("cure", "fit")],
    });
    const other = machine("B", 2, { hands: ann, operations: [work("line", 32, { notBefore: "2026-12-02" })] });
    const [one, two] = [planIn([cured, other], cured), planIn([cured, other], other)].map(
      (plan, i) => plan.operations.get(i === 0 ? "fit" : "line")!,
    );
    expect(one!.earlyFinish <= two!.earlyStart + 1e-6 || two!.earlyFinish <= one!.earlyStart + 1e-6).toBe(true);
  });

  it("what is to be done first on one machine takes no hand from one of higher rank", () => {
    const car = machine("Car", 1, { hands: wat, operations: [work("bore", 16)] });
    const pump = machine("Pump", 2, {
      hands: wat,
      operations: [work("hone", 16), work("rings", 8, { first: true })],
    });
    expect(endsIn([car, pump])[0]).toBe("2026-11-24");
    const plan = planIn([car, pump], pump);
    expect(plan.operations.get("rings")!.earlyFinishDate < plan.operations.get("hone")!.earlyFinishDate).toBe(true);
  });
});
