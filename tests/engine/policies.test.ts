/** Whoever is free takes the next of the list: by hand, hour by hour, and against the order that is kept. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ListPolicy } from "../../server/engine/hands/listPolicy.ts";
import { type HandLine, type HandOperation, Shop, type ShopInput } from "../../server/engine/hands/shop.ts";
import type { NetworkLink } from "../../server/engine/network/network.ts";
import { type ListWork, type Policies, policiesOf } from "../../server/engine/odds/policies.ts";
import { LANES } from "../../server/engine/odds/runs.ts";
import type { UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { hours as shopHours } from "../../server/engine/time/units.ts";

/** Monday 30 November is day 0; every day has eight hours. */
const DAYS = { weekdayHours: [8, 8, 8, 8, 8, 8, 8], closedDates: [], figuresFor: "2026-11-30" };
const CALENDAR = new ShopCalendar(DAYS);
const ALWAYS = { weekdayHours: DAYS.weekdayHours, absences: [], joinsOn: null, leavesOn: null };

const hand = (id: string, trades: string[], count = 1): HandLine => ({ id, trades, count, ...ALWAYS });
const link = (before: string, after: string, lag = 0): NetworkLink => ({ before, after, lag, lagInDays: false });
const operation = (
  id: string,
  hours: number,
  trade: string | null,
  more: Partial<HandOperation> = {},
): HandOperation => ({
  id,
  hours,
  release: 0,
  needs: trade === null ? [] : [{ trade, hands: 1 }],
  restoration: 0,
  ...more,
});

function run(
  input: Omit<ShopInput, "calendar" | "targets" | "links"> & { links?: NetworkLink[] },
  list: string[],
  busy: { hand: string; from: number; until: number }[] = [],
) {
  const shop = new Shop({ links: [], ...input, calendar: CALENDAR, targets: [Number.POSITIVE_INFINITY] });
  const policy = new ListPolicy(
    shop,
    Int32Array.from(list, (id) => shop.network.position(id)),
    busy.map(({ hand: id, ...rest }) => ({ ...rest, count: 1, line: input.hands.findIndex((h) => h.id === id) })),
  );
  policy.run(shop.hours, shop.release);
  return Object.fromEntries(
    list.map((id) => [id, [policy.start[shop.network.position(id)]!, policy.finish[shop.network.position(id)]!]]),
  );
}

describe("the next of the list", () => {
  it("is put down for what stands higher, and taken up again after it", () => {
    // The engine's part is there at hour 6; until then the tank is painted, six of its ten hours.
    const operations = [operation("engine", 5, "bench", { release: 6 }), operation("tank", 10, "bench")];
    expect(run({ operations, hands: [hand("ada", ["bench"])] }, ["engine", "tank"])).toEqual({
      engine: [6, 11],
      tank: [0, 15],
    });
  });

  it("goes to whoever is free before anybody puts something down", () => {
    const operations = [
      operation("engine", 5, "bench", { release: 6 }),
      operation("tank", 10, "bench"),
      operation("seat", 2, "trim"),
    ];
    const hands = [hand("ada", ["bench"]), hand("bo", ["bench", "trim"])];
    // Of the two the tank takes the one whom less other work asks for; at hour 6 the other has long made the seat.
    expect(run({ operations, hands }, ["engine", "tank", "seat"])).toEqual({
      engine: [6, 11],
      tank: [0, 10],
      seat: [0, 2],
    });
  });

  it("waits while its hand is on another machine's work of higher rank", () => {
    const operations = [operation("tank", 10, "bench")];
    const hands = [hand("ada", ["bench"])];
    expect(run({ operations, hands }, ["tank"], [{ hand: "ada", from: 4, until: 12 }])).toEqual({ tank: [0, 18] });
  });

  it("may lie beside what comes before it, where the link says so, and by no more", () => {
    const operations = [operation("prime", 10, "paint"), operation("rub down", 4, "bench")];
    const hands = [hand("ada", ["bench"]), hand("bo", ["paint"])];
    const links = [link("prime", "rub down", -3)];
    expect(run({ operations, hands, links }, ["prime", "rub down"])).toEqual({ prime: [0, 10], "rub down": [7, 11] });
  });

  it("has no end where what it waits for never comes", () => {
    const operations = [
      operation("horn", 0, null, { release: Number.POSITIVE_INFINITY }),
      operation("fit", 1, "bench"),
    ];
    const links = [link("horn", "fit")];
    expect(run({ operations, hands: [hand("ada", ["bench"])], links }, ["horn", "fit"])["fit"]).toEqual([
      Number.POSITIVE_INFINITY,
      Number.POSITIVE_INFINITY,
    ]);
  });
});

const TRADES = ["bench", "paint"];
const anyWork = fc.record({
  crew: fc.tuple(fc.integer({ min: 1, max: 3 }), fc.integer({ min: 1, max: 3 })),
  operations: fc.array(
    fc.record({
      hours: fc.nat({ max: 9 }),
      release: fc.constantFrom(0, 0, 3, 11),
      trade: fc.constantFrom(0, 1, null),
      hands: fc.constantFrom(1, 1, 2),
    }),
    { minLength: 1, maxLength: 8 },
  ),
  links: fc.array(fc.record({ a: fc.nat({ max: 7 }), b: fc.nat({ max: 7 }), lag: fc.constantFrom(0, 0, 2) }), {
    maxLength: 12,
  }),
});

/** The same hour by hour: down the list, each that can go on for this hour takes its hands for it. */
function hourByHour(
  { crew }: { crew: readonly number[] },
  operations: readonly HandOperation[],
  links: readonly NetworkLink[],
): number[] {
  const left = operations.map(({ hours }) => hours);
  const end = operations.map(() => Number.POSITIVE_INFINITY);
  const at = new Map(operations.map(({ id }, i) => [id, i]));
  for (let hour = 0; hour < 300; hour++) {
    const ready = (i: number): boolean =>
      operations[i]!.release <= hour &&
      links.every(({ before, after, lag }) => at.get(after) !== i || end[at.get(before)!]! + lag <= hour);
    operations.forEach((_, i) => {
      if (left[i] === 0 && end[i] === Number.POSITIVE_INFINITY && ready(i)) end[i] = hour;
    });
    const free = [...crew];
    operations.forEach(({ needs }, i) => {
      if (left[i] === 0 || !ready(i)) return;
      const [asked] = needs;
      const trade = asked === undefined ? -1 : TRADES.indexOf(asked.trade);
      if (asked !== undefined) {
        if (free[trade]! < asked.hands) return;
        free[trade]! -= asked.hands;
      }
      if (--left[i]! === 0) end[i] = hour + 1;
    });
  }
  return end;
}

describe("the list", () => {
  it("gives what going down it hour by hour gives", () => {
    fc.assert(
      fc.property(anyWork, (work) => {
        const operations = work.operations.map(({ hours, release, trade, hands }, i) => ({
          ...operation(`o${i}`, hours, null),
          release,
          needs: trade === null ? [] : [{ trade: TRADES[trade]!, hands: Math.min(hands, work.crew[trade]!) }],
        }));
        const links = work.links
          .filter(({ a, b }) => a < b && b < operations.length)
          .map(({ a, b, lag }) => link(`o${a}`, `o${b}`, lag));
        const hands = TRADES.map((trade, i) => hand(trade, [trade], work.crew[i]!));
        const made = run(
          { operations, hands, links },
          operations.map(({ id }) => id),
        );
        expect(operations.map(({ id }) => made[id]![1])).toEqual(hourByHour(work, operations, links));
      }),
      { numRuns: 500 },
    );
  });

  it("begins nothing before its arrivals and what comes before it are there, whatever hours its hands keep", () => {
    const anyWeek = fc
      .array(fc.constantFrom(0, 3, 8), { minLength: 7, maxLength: 7 })
      .filter((week) => week.some((h) => h > 0));
    fc.assert(
      fc.property(anyWork, fc.tuple(anyWeek, anyWeek), fc.boolean(), (work, weeks, overlap) => {
        const operations = work.operations.map(({ hours, release, trade }, i) => ({
          ...operation(`o${i}`, hours, trade === null ? null : TRADES[trade]!),
          release,
        }));
        const links = work.links
          .filter(({ a, b }) => a < b && b < operations.length)
          .map(({ a, b, lag }) => link(`o${a}`, `o${b}`, overlap ? -lag : lag));
        const hands = [
          { ...hand("ada", TRADES), weekdayHours: weeks[0] },
          { ...hand("bo", ["paint"]), weekdayHours: weeks[1] },
        ];
        const made = run(
          { operations, hands, links },
          operations.map(({ id }) => id),
        );
        for (const { id, release, hours } of operations) {
          expect(made[id]![0]).toBeGreaterThanOrEqual(release);
          expect(made[id]![1]! - made[id]![0]!).toBeGreaterThanOrEqual(hours - 1e-6);
          expect(made[id]![1]).toBeLessThan(Number.POSITIVE_INFINITY);
        }
        for (const { before, after, lag } of links) {
          const least = Math.max(made[before]![0]!, made[before]![1]! + lag);
          // Work that is put down after what lay beside its end had begun ends later than was thought.
          if (lag >= 0) expect(made[after]![0]).toBeGreaterThanOrEqual(least - 1e-6);
          else expect(made[after]![0]).toBeGreaterThanOrEqual(made[before]![0]! - 1e-6);
        }
      }),
    );
  });
});

/** A model whose order is kept, with the same work as a list. */
function both(
  operations: readonly HandOperation[],
  holdUps: UncertainModel["holdUps"],
  handovers: NetworkLink[],
  links: NetworkLink[] = [],
): Policies {
  const nodes = operations.map(({ id, hours }) => ({ id, hours }));
  const work: ListWork = {
    operations,
    links,
    hands: [hand("ada", ["bench"])],
    calendar: DAYS,
    places: new Map(operations.map(({ id }, place) => [id, place])),
    busy: [],
  };
  const model: UncertainModel = {
    calendar: DAYS,
    nodes,
    links: [...links, ...handovers],
    holdUps,
    makers: [],
    targetDay: null,
  };
  return policiesOf(model, work, { seed: 1, samples: LANES });
}

describe("the two beside each other", () => {
  it("differ by the work that is done while the order kept waits", () => {
    // The engine first, whose part comes on day 9 and can be used from day 10 on; then the tank: three days of work each.
    const operations = [operation("part", 0, null), operation("engine", 24, "bench"), operation("tank", 24, "bench")];
    const holdUps = [
      { node: "part", route: { kind: "ORDER" as const, orderDay: 0, wait: { kind: "FIXED" as const, days: 9 } } },
    ];
    const found = both(operations, holdUps, [link("engine", "tank")], [link("part", "engine")]);
    expect(found.kept).toEqual({ evenOdds: 15, fourInFive: 15 });
    expect(found.list).toEqual({ evenOdds: 12, fourInFive: 12 });
  });

  it("agree with one hand where nothing is left to chance and all is there", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 40 }), { minLength: 1, maxLength: 9 }), (lengths) => {
        const operations = lengths.map((hours, i) => operation(`o${i}`, hours, "bench"));
        const handovers = lengths.slice(1).map((_, i) => link(`o${i}`, `o${i + 1}`));
        const found = both(operations, [], handovers);
        expect(found.list).toEqual(found.kept);
        const sum = lengths.reduce((total, hours) => total + hours, 0);
        expect(found.kept.evenOdds).toBe(sum === 0 ? 0 : CALENDAR.finishDay(shopHours(sum)));
      }),
      { numRuns: 50 },
    );
  });
});
