/** Networks for tests and benchmarks: random ones from fast-check, and large ones from a seed. */
import fc from "fast-check";
import type { HandHours } from "../../server/engine/hands/handHours.ts";
import type { NetworkLink, NetworkNode } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";

export const shopCalendar = (): ShopCalendar =>
  new ShopCalendar({
    weekdayHours: [7.5, 7.5, 7.5, 7.5, 4, 0, 0],
    closedDates: ["2026-12-24", "2026-12-25", "2026-12-28", "2027-01-01", "2027-03-26", "2027-03-29"],
    figuresFor: "2026-11-23",
  });

const here = { absences: [], joinsOn: null, leavesOn: null };
/** Hands of the shop above: as long as it is open; short days; three days a week, sometimes away; one who comes in the new year. */
const HANDS: readonly (readonly HandHours[])[] = [
  [{ weekdayHours: [8, 8, 8, 8, 8, 0, 0], ...here }],
  [{ weekdayHours: [5, 5, 5, 5, 4, 0, 0], ...here }],
  [
    { weekdayHours: [7.5, 0, 7.5, 6, 0, 0, 0], ...here, absences: [{ from: "2026-11-25", to: "2026-12-02" }] },
    { weekdayHours: [7.5, 7.5, 7.5, 7.5, 4, 0, 0], ...here, absences: [{ from: "2026-12-14", to: "2026-12-14" }] },
  ],
  [{ weekdayHours: [7.5, 7.5, 7.5, 7.5, 0, 0, 0], ...here, joinsOn: "2027-01-05" }],
];

export interface PlainNetwork {
  nodes: NetworkNode[];
  links: NetworkLink[];
}

/** Networks without circles: links lead from lower to higher numbers, the nodes stand shuffled. */
export const anyNetwork = (options: {
  lagInDays: boolean;
  lag?: fc.Arbitrary<number>;
  largest?: number;
  /** Some work is done in other hours than the shop's. */
  hands?: boolean;
}): fc.Arbitrary<PlainNetwork> =>
  fc
    .integer({ min: 1, max: options.largest ?? 14 })
    .chain((n) =>
      fc.record({
        hours: fc.array(fc.integer({ min: 0, max: 40 }), { minLength: n, maxLength: n }),
        release: fc.array(fc.option(fc.integer({ min: 0, max: 120 }), { freq: 2, nil: 0 }), {
          minLength: n,
          maxLength: n,
        }),
        ends: fc.uniqueArray(fc.tuple(fc.nat({ max: n - 1 }), fc.nat({ max: n - 1 })), {
          maxLength: 3 * n,
          selector: ([a, b]) => `${Math.min(a, b)} ${Math.max(a, b)}`,
        }),
        lags: fc.array(options.lag ?? fc.constant(0), { minLength: 3 * n, maxLength: 3 * n }),
        inDays: fc.array(fc.boolean(), { minLength: 3 * n, maxLength: 3 * n }),
        hands: fc.array(fc.nat({ max: options.hands === true ? HANDS.length - 1 : 0 }), { minLength: n, maxLength: n }),
        shuffle: fc.shuffledSubarray([...Array(n).keys()], { minLength: n, maxLength: n }),
      }),
    )
    .map(({ hours, release, ends, lags, inDays, hands, shuffle }) => ({
      nodes: shuffle.map((i) => ({
        id: `n${i}`,
        hours: hours[i]!,
        release: release[i]!,
        ...(options.hands === true && { hands: HANDS[hands[i]!]! }),
      })),
      links: ends
        .map(([a, b], k) => ({
          before: `n${Math.min(a, b)}`,
          after: `n${Math.max(a, b)}`,
          lag: lags[k]!,
          lagInDays: options.lagInDays && inDays[k]!,
        }))
        .filter((link) => link.before !== link.after),
    }));

/** A repeatable stream of numbers in [0, 1) (mulberry32). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * A large network like a shop's: most nodes are operations that follow one to three earlier ones nearby, every fourth
 * is an arrival that feeds one or two operations, and a few links carry a lag in calendar days.
 */
export function largeNetwork(size: number, seed = 7, dayLagShare = 0.02): PlainNetwork & { arrivals: string[] } {
  const random = seeded(seed);
  const nodes: NetworkNode[] = [];
  const links: NetworkLink[] = [];
  const arrivals: string[] = [];
  const operations: string[] = [];
  const reach = 40;
  for (let i = 0; i < size; i++) {
    const id = `n${i}`;
    if (i % 4 === 3) {
      nodes.push({ id, hours: 0, release: Math.floor(random() * size * 0.4) + 40 });
      arrivals.push(id);
      continue;
    }
    nodes.push({ id, hours: 1 + Math.floor(random() * 40) });
    const count = operations.length === 0 ? 0 : 1 + Math.floor(random() * 3);
    const chosen = new Set<number>();
    for (let k = 0; k < count; k++)
      chosen.add(operations.length - 1 - Math.floor(random() * Math.min(reach, operations.length)));
    for (const before of chosen) {
      const lagInDays = random() < dayLagShare;
      links.push({
        before: operations[before]!,
        after: id,
        lag: lagInDays ? 1 + Math.floor(random() * 5) : 0,
        lagInDays,
      });
    }
    operations.push(id);
  }
  for (const arrival of arrivals) {
    const at = Math.floor((Number(arrival.slice(1)) / size) * operations.length);
    const targets = new Set([at, at + Math.floor(random() * reach)].map((t) => Math.min(operations.length - 1, t)));
    for (const t of targets) links.push({ before: arrival, after: operations[t]!, lag: 0, lagInDays: false });
  }
  return { nodes, links, arrivals };
}
