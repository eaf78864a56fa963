/** What is cleared next, against every set that could be, on random machines of arrivals and hands. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type ArrivalsLadder, lineByLine } from "../../server/engine/hands/lineByLine.ts";

const ARRIVALS = ["a", "b", "c", "d"];
const HANDS = ["x", "y", "z"];

/** Chains to the end, each of some days after an arrival or none, longer while work on it waits for its hands. */
interface Chain {
  arrival: string | null;
  wait: number;
  work: number;
  behind: { hand: string; days: number }[];
}

const anyChains = fc.array(
  fc.record({
    arrival: fc.constantFrom(null, ...ARRIVALS),
    wait: fc.integer({ min: 0, max: 6 }),
    work: fc.integer({ min: 1, max: 6 }),
    behind: fc.array(fc.record({ hand: fc.constantFrom(...HANDS), days: fc.integer({ min: 1, max: 4 }) }), {
      maxLength: 3,
    }),
  }),
  { minLength: 1, maxLength: 7 },
);

const lengthOf = ({ arrival, wait, work, behind }: Chain, free: ReadonlySet<string>, inHand: ReadonlySet<string>) =>
  Math.max(
    work + (arrival === null || inHand.has(arrival) ? 0 : wait),
    ...behind.map(({ hand, days }) => (free.has(hand) ? 0 : days + work)),
  );

const endOf = (chains: readonly Chain[], cleared: ReadonlySet<string>): number =>
  Math.max(...chains.map((chain) => lengthOf(chain, cleared, cleared)));

function laddersOf(chains: readonly Chain[]): (free: ReadonlySet<string>) => ArrivalsLadder {
  return (free) => {
    const work = endOf(chains, new Set([...free, ...ARRIVALS]));
    const rungs = ARRIVALS.map((id) => ({
      id,
      day: endOf(chains, new Set([...free, ...ARRIVALS.filter((other) => other !== id)])),
    }));
    return { rungs: rungs.filter(({ day }) => day > work).sort((a, b) => b.day - a.day), work };
  };
}

const subsets = (all: readonly string[]): string[][] =>
  Array.from({ length: 2 ** all.length }, (_, bits) => all.filter((_one, k) => bits & (1 << k)));

describe("hold-ups line by line", () => {
  test("are cleared by what each gains alone, together only where none does, until nothing gains", () => {
    const seen = { hands: 0, ties: 0, mixed: 0, afterHand: 0 };
    fc.assert(
      fc.property(anyChains, (chains) => {
        const lines = lineByLine(HANDS, laddersOf(chains));
        const cleared = new Set<string>();
        const endAfter = (...more: string[]) => endOf(chains, new Set([...cleared, ...more]));
        for (const { arrivals, hands, heldTo, next } of lines) {
          const line = [...arrivals, ...hands];
          const left = [...ARRIVALS, ...HANDS].filter((one) => !cleared.has(one));
          expect(heldTo).toBe(endAfter());
          expect(next).toBe(endAfter(...line));
          const gains = Math.max(...left.map((one) => heldTo - endAfter(one)));
          if (line.length === 1 && next < heldTo) expect(heldTo - next).toBe(gains);
          else {
            expect(gains).toBe(0);
            if (next < heldTo)
              for (const some of subsets(line)) if (some.length < line.length) expect(endAfter(...some)).toBe(heldTo);
          }
          if (hands.length > 0) seen.hands += 1;
          if (line.length > 1) seen.ties += 1;
          if (arrivals.length > 0 && hands.length > 0) seen.mixed += 1;
          if (arrivals.length > 0 && HANDS.some((hand) => cleared.has(hand))) seen.afterHand += 1;
          for (const one of line) cleared.add(one);
        }
        const left = [...ARRIVALS, ...HANDS].filter((one) => !cleared.has(one));
        expect(endAfter(...left)).toBe(endAfter());
      }),
      { numRuns: 3_000 },
    );
    for (const count of Object.values(seen)) expect(count).toBeGreaterThan(50);
  });

  test("take what can be ordered before a hand that gains as much", () => {
    const chains: Chain[] = [
      { arrival: "a", wait: 4, work: 1, behind: [] },
      { arrival: null, wait: 0, work: 1, behind: [{ hand: "x", days: 2 }] },
      { arrival: null, wait: 0, work: 1, behind: [{ hand: "y", days: 2 }] },
    ];
    expect(lineByLine(HANDS, laddersOf(chains))).toEqual([
      { arrivals: ["a"], hands: [], heldTo: 5, next: 3 },
      { arrivals: [], hands: ["x", "y"], heldTo: 3, next: 1 },
    ]);
  });
});
