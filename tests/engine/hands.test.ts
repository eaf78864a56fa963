/** The order of work on real hands: dates that they can keep, against a checker that shares no code with the engine. */

import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { lowerBounds } from "../../server/engine/hands/bound.ts";
import { Decoder } from "../../server/engine/hands/decode.ts";
import { type HandHours, hoursInCommon } from "../../server/engine/hands/handHours.ts";
import { handovers } from "../../server/engine/hands/keptOrder.ts";
import { listBy, priorities } from "../../server/engine/hands/priorityRules.ts";
import { type Schedule, Search } from "../../server/engine/hands/search.ts";
import { type HandLine, type HandOperation, Shop, type ShopInput } from "../../server/engine/hands/shop.ts";
import { backwardPass, forwardPass } from "../../server/engine/network/criticalPath.ts";
import { Network } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { days } from "../../server/engine/time/units.ts";
import { leastEnd } from "../support/handsByHand.ts";
import { faultsOfSchedule } from "../support/scheduleCheck.ts";
import { caseOf } from "../support/schedulingCases.ts";

/** Monday 30 November is day 0. */
const CALENDAR = new ShopCalendar({
  weekdayHours: [8, 8, 8, 8, 8, 8, 8],
  closedDates: ["2026-12-25"],
  figuresFor: "2026-11-30",
});
const WEEK = [8, 8, 8, 8, 4, 0, 0];
/** Schedules within which a search of a handful of operations has found the best there is. */
const ENOUGH = 6_000;
const ALWAYS_HERE = { absences: [], joinsOn: null, leavesOn: null };
const date = (day: number): string => CALENDAR.date(days(day));
const TRADES = ["engine", "body", "trim"];

const anyHours: fc.Arbitrary<HandHours> = fc
  .record({
    week: fc
      .array(fc.constantFrom(0, 2, 4, 7.5, 8), { minLength: 7, maxLength: 7 })
      .filter((w) => w.some((h) => h > 0)),
    away: fc.array(fc.tuple(fc.nat({ max: 60 }), fc.nat({ max: 6 })), { maxLength: 5 }),
    joins: fc.option(fc.integer({ min: -5, max: 12 }), { nil: null, freq: 6 }),
    leaves: fc.option(fc.integer({ min: 15, max: 90 }), { nil: null, freq: 6 }),
  })
  .map(({ week, away, joins, leaves }) => ({
    weekdayHours: week,
    absences: away.map(([from, length]) => ({ from: date(from), to: date(from + length) })),
    joinsOn: joins === null ? null : date(joins),
    leavesOn: leaves === null ? null : date(leaves),
  }));

const anyLines: fc.Arbitrary<HandLine[]> = fc
  .array(
    fc.record({
      trades: fc.subarray(TRADES, { minLength: 1 }),
      count: fc.constantFrom(1, 1, 1, 2),
      hours: anyHours,
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((lines) => lines.map(({ trades, count, hours }, i) => ({ id: `h${i}`, trades, count, ...hours })));

const anyShop: fc.Arbitrary<ShopInput> = fc
  .record({
    hands: anyLines,
    operations: fc.array(
      fc.record({
        hours: fc.constantFrom(0, 0.5, 3, 8, 13, 22.5),
        release: fc.constantFrom(0, 0, 8, 27.5, 80),
        trade: fc.constantFrom(...TRADES, null),
        hands: fc.constantFrom(1, 1, 1, 2),
        second: fc.option(fc.constantFrom(...TRADES), { nil: null, freq: 6 }),
        restoration: fc.nat({ max: 1 }),
        before: fc.constantFrom(0, 0, 0, 1, 2) as fc.Arbitrary<0 | 1 | 2>,
        putDown: fc.constantFrom(null, 0, 1) as fc.Arbitrary<null | 0 | 1>,
      }),
      { minLength: 1, maxLength: 9 },
    ),
    links: fc.array(
      fc.record({
        a: fc.nat({ max: 8 }),
        b: fc.nat({ max: 8 }),
        lag: fc.constantFrom(0, 0, 0, 2, 5, -6),
        lagInDays: fc.boolean(),
      }),
      { maxLength: 20 },
    ),
    targets: fc.tuple(fc.constantFrom(9, Number.POSITIVE_INFINITY), fc.constantFrom(4, Number.POSITIVE_INFINITY)),
  })
  .map(({ hands, operations, links, targets }) => ({
    hands,
    operations: operations.map(({ trade, second, hands: asked, putDown, ...rest }, i) => ({
      id: `o${i}`,
      ...rest,
      ...(rest.before === 2 && putDown !== null && { putDown }),
      needs:
        trade === null
          ? []
          : [{ trade, hands: asked }, ...(second === null || second === trade ? [] : [{ trade: second, hands: 1 }])],
    })),
    links: links
      .filter(({ a, b }) => a < b && b < operations.length && operations[a]!.restoration === operations[b]!.restoration)
      .map(({ a, b, lag, lagInDays }) => ({ before: `o${a}`, after: `o${b}`, lag, lagInDays: lagInDays && lag > 0 })),
    calendar: CALENDAR,
    targets,
  }));

const random = (shop: Shop): Int32Array =>
  listBy(
    shop,
    Float64Array.from({ length: shop.size }, (_, v) => (v * 7919) % 13),
  );

describe("hours of hands", () => {
  it("turn into instants and back: what ends in time is what begins in time", () => {
    fc.assert(
      fc.property(
        anyHours,
        fc.double({ min: 0, max: 700, noNaN: true }),
        fc.double({ min: 0, max: 900, noNaN: true }),
        fc.double({ min: 0.1, max: 60, noNaN: true }),
        (hand, from, to, work) => {
          const hours = hoursInCommon([hand], CALENDAR);
          const s = hours.nextOpen(from);
          const f = hours.lastOpen(to);
          fc.pre(Number.isFinite(s) && Math.abs(hours.before(f) - hours.before(s) - work) > 1e-4);
          expect(hours.finishAfter(s, work) <= f).toBe(s <= hours.startBefore(f, work));
        },
      ),
    );
  });

  it("of a day and a half from Thursday noon end on Monday, where Friday is short and the week-end is free", () => {
    const hours = hoursInCommon([{ weekdayHours: WEEK, ...ALWAYS_HERE }], CALENDAR);
    // Thursday is day 3, and on the shop's line each day has eight hours.
    expect(hours.finishAfter(3 * 8 + 4, 12)).toBe(7 * 8 + 4);
    expect(hours.nextOpen(4 * 8 + 4)).toBe(7 * 8);
    expect(hours.lastOpen(7 * 8)).toBe(4 * 8 + 4);
  });

  it("that are the shop's own are told apart from all others", () => {
    const all = { weekdayHours: [8, 8, 8, 8, 8, 8, 8], ...ALWAYS_HERE };
    expect(hoursInCommon([all], CALENDAR).shops).toBe(true);
    expect(hoursInCommon([{ ...all, joinsOn: date(0) }], CALENDAR).shops).toBe(true);
    for (const other of [
      { ...all, joinsOn: date(1) },
      { ...all, leavesOn: date(300) },
      { ...all, absences: [{ from: date(40), to: date(40) }] },
      { ...all, weekdayHours: WEEK },
    ])
      expect(hoursInCommon([all, other], CALENDAR).shops).toBe(false);
  });
});

describe("a schedule", () => {
  it("can be carried out by those hands, whatever the work: from a list, as time goes on, or searched for", () => {
    fc.assert(
      fc.property(anyShop, (input) => {
        const shop = new Shop(input);
        const decoder = new Decoder(shop);
        for (const make of ["forward", "parallel"] as const) {
          decoder[make](random(shop));
          expect(faultsOfSchedule(input, shop, decoder)).toEqual([]);
        }
        const search = new Search(shop, 3);
        search.run(120);
        expect(faultsOfSchedule(input, shop, search.schedule())).toEqual([]);
      }),
      { numRuns: 150 },
    );
  });

  it("is no worse than by any priority rule, and no restoration ends before its bound", () => {
    fc.assert(
      fc.property(anyShop, (input) => {
        const shop = new Shop(input);
        const search = new Search(shop);
        search.run(150);
        const decoder = new Decoder(shop);
        for (const value of Object.values(priorities(shop)))
          for (const make of ["forward", "parallel"] as const) {
            decoder[make](listBy(shop, value));
            expect(search.isWorseThan(decoder)).toBe(false);
          }
        const bounds = lowerBounds(shop, input.operations);
        search.ends.forEach((end, r) => {
          if (Number.isFinite(end)) expect(shop.endDay(end)).toBeGreaterThanOrEqual(shop.endDay(bounds[r]!));
        });
      }),
      { numRuns: 100 },
    );
  });

  it("is the same for the same data, and goes on from a kept list without losing any of it", () => {
    const input = fc.sample(anyShop, { numRuns: 1, seed: 11 })[0]!;
    const shop = new Shop(input);
    const made = [0, 1].map(() => {
      const search = new Search(shop, 5);
      search.run(400);
      return search.schedule();
    });
    expect(made[0]).toEqual(made[1]);
    const again = new Search(new Shop(input), 9, made[0]!.list);
    const decoder = new Decoder(shop);
    decoder.forward(made[0]!.list);
    expect(again.isWorseThan(decoder)).toBe(false);
  });

  it("of small work is the shortest there is, by going through all of them", () => {
    const small = fc.record({
      hands: fc.array(fc.subarray(TRADES, { minLength: 1 }), { minLength: 1, maxLength: 3 }),
      work: fc.array(fc.record({ hours: fc.integer({ min: 1, max: 4 }), trade: fc.constantFrom(...TRADES) }), {
        minLength: 2,
        maxLength: 5,
      }),
      links: fc.array(fc.tuple(fc.nat({ max: 4 }), fc.nat({ max: 4 })), { maxLength: 4 }),
    });
    fc.assert(
      fc.property(small, ({ hands, work, links }) => {
        const known = work.filter(({ trade }) => hands.some((trades) => trades.includes(trade)));
        fc.pre(known.length > 1);
        const before = links.filter(([a, b]) => a < b && b < known.length);
        const input: ShopInput = {
          hands: hands.map((trades, i) => ({ id: `h${i}`, trades, count: 1, weekdayHours: WEEK, ...ALWAYS_HERE })),
          operations: known.map(({ hours, trade }, i) => ({
            id: `o${i}`,
            hours,
            release: 0,
            needs: [{ trade, hands: 1 }],
            restoration: 0,
          })),
          links: before.map(([a, b]) => ({ before: `o${a}`, after: `o${b}`, lag: 0, lagInDays: false })),
          calendar: CALENDAR,
          targets: [Number.POSITIVE_INFINITY],
          plain: true,
        };
        const search = new Search(new Shop(input));
        search.run(ENOUGH);
        expect(search.ends[0]).toBe(leastEnd(known, before, hands));
      }),
      { numRuns: 60 },
    );
  });
});

describe("begun work", () => {
  /** One hand and its jobs, each with the hour from which it can be done and how long is waited after it. */
  const jobs = fc.array(
    fc.record({
      hours: fc.integer({ min: 1, max: 12 }),
      release: fc.constantFrom(...([0, 0, 5, 11] as number[])),
      wait: fc.integer({ min: 0, max: 30 }),
      begun: fc.boolean(),
      mark: fc.boolean(),
    }),
    { minLength: 1, maxLength: 5 },
  );
  type Job = ReturnType<typeof jobs.generate>["value"][number];
  const orders = (left: readonly Job[]): Job[][] =>
    left.length === 0
      ? [[]]
      : left.flatMap((job) => orders(left.filter((one) => one !== job)).map((rest) => [job, ...rest]));
  const endOf = (order: readonly Job[]): number => {
    let free = 0;
    let end = 0;
    for (const { release, hours, wait } of order) {
      free = Math.max(free, release) + hours;
      end = Math.max(end, free + wait);
    }
    return end;
  };
  /** What is begun and not marked has nothing before it but what is begun. */
  const goesOn = (order: readonly Job[]): boolean =>
    order.every(({ begun, mark }, i) => !begun || mark || order.slice(0, i).every((one) => one.begun));
  const searchedEnd = (work: readonly Job[]): number => {
    const shop = new Shop({
      operations: work.flatMap(({ hours, release, begun, mark }, i) => [
        {
          ...{ id: `o${i}`, hours, release, restoration: 0, needs: [{ trade: "engine", hands: 1 }] },
          ...(begun && { before: 2 as const, ...(mark && { putDown: 0 as const }) }),
        },
        { id: `w${i}`, hours: 0, release: 0, restoration: 0, needs: [] },
      ]),
      links: work.map(({ wait }, i) => ({ before: `o${i}`, after: `w${i}`, lag: wait, lagInDays: false })),
      hands: [{ id: "Wat", trades: ["engine"], count: 1, weekdayHours: WEEK, ...ALWAYS_HERE }],
      calendar: CALENDAR,
      targets: [Number.POSITIVE_INFINITY],
      plain: true,
    });
    const search = new Search(shop);
    search.run(ENOUGH);
    return search.ends[0]!;
  };

  /** The search was once ended before it had found an end an hour sooner. */
  const HARD: Job[] = [
    { hours: 3, release: 0, wait: 10, begun: false, mark: false },
    { hours: 9, release: 0, wait: 11, begun: false, mark: false },
    { hours: 9, release: 0, wait: 0, begun: true, mark: false },
    { hours: 6, release: 0, wait: 11, begun: false, mark: false },
    { hours: 1, release: 11, wait: 25, begun: false, mark: false },
  ];

  it("goes on before all else; what may be put down is where that ends all sooner, by going through all orders", () => {
    fc.assert(
      fc.property(jobs, (work) => {
        // What is under way can be gone on with, so no gap before it is there for others.
        const now = work.map((job) => (job.begun ? { ...job, release: 0 } : job));
        expect(searchedEnd(now)).toBe(Math.min(...orders(now).filter(goesOn).map(endOf)));
      }),
      { numRuns: 150, examples: [[HARD]] },
    );
  });

  it("that may be put down leaves no end later than where it may not", () => {
    fc.assert(
      fc.property(anyShop, (input) => {
        const unmarked = new Shop({ ...input, operations: input.operations.map(({ putDown, ...rest }) => rest) });
        const marked = new Shop(input);
        const search = new Search(unmarked, 3);
        search.run(120);
        const { list } = search.schedule();
        // Whatever order there is without the marks is one with them, by the very same hours.
        const [without, withMarks] = [new Decoder(unmarked), new Decoder(marked)];
        without.forward(list);
        withMarks.forward(unmarked.firstFirst(list));
        expect(withMarks.start).toEqual(without.start);
        expect(withMarks.finish).toEqual(without.finish);
      }),
      { numRuns: 100 },
    );
  });
});

/** A schedule as a network: its order of work and its hands kept. */
function keptNetwork(
  input: ShopInput,
  shop: Shop,
  schedule: Schedule,
  moves: (v: number) => number = () => 0,
): Network {
  const { ids } = shop.network;
  const links = handovers(shop, schedule).map(([u, v]) => ({
    before: ids[u]!,
    after: ids[v]!,
    lag: 0,
    lagInDays: false,
  }));
  const nodes = input.operations.map(({ id, hours, release }) => {
    const v = shop.network.position(id);
    const team = schedule.team[v]! < 0 ? null : shop.teams[v]![schedule.team[v]!]!;
    const hands = team === null ? [] : Array.from(team.lines, (line) => shop.lines[line]!);
    return { id, hours, release: release + moves(v), ...(hands.length > 0 && { hands }) };
  });
  return new Network(nodes, [...input.links, ...links], CALENDAR);
}

const searched = (input: ShopInput, schedules: number): { shop: Shop; schedule: Schedule } => {
  const shop = new Shop(input);
  const search = new Search(shop, 2);
  search.run(schedules);
  return { shop, schedule: search.schedule() };
};

describe("the order kept", () => {
  it("gives the schedule back exactly, and no earlier arrival makes any end later", () => {
    fc.assert(
      fc.property(anyShop, fc.array(fc.nat({ max: 40 }), { minLength: 9, maxLength: 9 }), (input, moves) => {
        const { shop, schedule } = searched(input, 60);
        // What nobody can do, or not before all have left, has no date.
        fc.pre(schedule.finish.every(Number.isFinite));
        const passed = (network: Network) => {
          const { start, finish } = forwardPass(network);
          const at = Int32Array.from(shop.network.ids, (id) => network.position(id));
          return { start: Float64Array.from(at, (v) => start[v]!), finish: Float64Array.from(at, (v) => finish[v]!) };
        };
        const finishes = (network: Network) => passed(network).finish;
        const again = passed(keptNetwork(input, shop, schedule));
        expect(faultsOfSchedule(input, shop, { ...again, team: schedule.team })).toEqual([]);
        // A lag below zero lets some begin before what comes before them, which the schedule does not make use of.
        again.finish.forEach((finish, v) => {
          expect(finish).toBeLessThanOrEqual(schedule.finish[v]! + 1e-6);
        });
        if (!shop.leads) expect([...again.finish]).toEqual(Array.from(schedule.finish, (t) => expect.closeTo(t, 6)));
        const moved = finishes(keptNetwork(input, shop, schedule, (v) => moves[v]!));
        // Of all that arrive later, one comes as it first should: nothing is later for it.
        finishes(keptNetwork(input, shop, schedule, (v) => (v === 0 ? 0 : moves[v]!))).forEach((finish, v) => {
          expect(finish).toBeLessThanOrEqual(moved[v]! + 1e-6);
        });
      }),
      { numRuns: 150 },
    );
  });

  it("backwards from its own end begins nothing sooner than it is begun", () => {
    fc.assert(
      fc.property(anyShop, (input) => {
        const { shop, schedule } = searched(input, 60);
        fc.pre(schedule.ends.every(Number.isFinite));
        const network = keptNetwork(input, shop, schedule);
        const { start, end } = forwardPass(network);
        backwardPass(network, end).start.forEach((late, v) => {
          expect(late).toBeGreaterThanOrEqual(start[v]! - 1e-6);
        });
      }),
      { numRuns: 100 },
    );
  });

  it("a day away moves what waits for that hand by the hours lost, and nothing else", () => {
    const hand = (id: string, trade: string, away: number | null): HandLine => ({
      ...{ id, trades: [trade], count: 1, weekdayHours: WEEK, ...ALWAYS_HERE },
      absences: away === null ? [] : [{ from: date(away), to: date(away) }],
    });
    const operation = (id: string, trade: string, hours: number): HandOperation => ({
      id,
      hours,
      release: 0,
      needs: [{ trade, hands: 1 }],
      restoration: 0,
    });
    const finishes = (away: number | null): Record<string, number> => {
      const shop = new Shop({
        hands: [hand("Wat", "engine", away), hand("Ivy", "trim", null)],
        operations: [operation("bore", "engine", 12), operation("seat", "trim", 20), operation("fit", "engine", 6)],
        links: [{ before: "bore", after: "fit", lag: 0, lagInDays: false }],
        calendar: CALENDAR,
        targets: [Number.POSITIVE_INFINITY],
      });
      const search = new Search(shop);
      search.run(50);
      const { finish } = search.schedule();
      return Object.fromEntries(["bore", "seat", "fit"].map((id) => [id, finish[shop.network.position(id)]!]));
    };
    // Twelve hours from Monday end on Tuesday at four; with Tuesday away, on Wednesday at four.
    expect(finishes(null)).toEqual({ bore: 12, seat: 20, fit: 18 });
    expect(finishes(1)).toEqual({ bore: 20, seat: 20, fit: 26 });
  });
});

describe("what nobody can do", () => {
  it("has no date, and neither has what waits for it", () => {
    const shop = new Shop({
      hands: [{ id: "Wat", trades: ["engine"], count: 1, weekdayHours: WEEK, ...ALWAYS_HERE }],
      operations: ["trim", "engine", "engine"].map((trade, i) => ({
        id: `o${i}`,
        hours: 4,
        release: 0,
        needs: [{ trade, hands: 1 }],
        restoration: 0,
      })),
      links: [{ before: "o0", after: "o1", lag: 0, lagInDays: false }],
      calendar: CALENDAR,
      targets: [Number.POSITIVE_INFINITY],
    });
    expect(shop.teams[shop.network.position("o0")]).toEqual([]);
    const { finish } = new Search(shop).schedule();
    const at = (id: string): number => finish[shop.network.position(id)]!;
    expect([at("o0"), at("o1"), at("o2")]).toEqual([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, 4]);
  });
});

describe("published instances", () => {
  const folder = new URL("./schedulingCases/", import.meta.url);
  /** Patterson 1984 and PSPLIB j30 (Kolisch & Sprecher 1997): the proven least ends. */
  it.each([
    ["pat1.rcp", 19],
    ["pat104.rcp", 79],
    ["j301_1.sm", 43],
    ["j3014_1.sm", 50],
  ])("%s ends at %i", (file, optimum) => {
    const input = caseOf(file, readFileSync(new URL(file, folder), "utf8"));
    const shop = new Shop(input);
    expect(lowerBounds(shop, input.operations)[0]).toBeLessThanOrEqual(optimum);
    const search = new Search(shop, 1, null, Float64Array.of(optimum));
    search.run(20_000);
    expect(search.ends[0]).toBe(optimum);
  });

  it("of several skills (iMOPSE, Myszkowski et al. 2015) ends at its bound, which proves both", () => {
    const file = "100_20_46_15.def";
    const input = caseOf(file, readFileSync(new URL(file, folder), "utf8"));
    const shop = new Shop(input);
    const bounds = lowerBounds(shop, input.operations);
    const search = new Search(shop, 1, null, Float64Array.of(bounds[0]!));
    search.run(3_000);
    expect([bounds[0], search.ends[0]]).toEqual([161, 161]);
  });
});
