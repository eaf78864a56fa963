import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { forwardPass } from "../../server/engine/network/criticalPath.ts";
import { chainFrom, following, ladder } from "../../server/engine/network/ladder.ts";
import { Network } from "../../server/engine/network/network.ts";
import { anyNetwork, largeNetwork, type PlainNetwork, shopCalendar } from "../support/networks.ts";

const calendar = shopCalendar();
const lags = fc.integer({ min: -8, max: 12 });

/** Networks in which every third node that nothing precedes is an arrival. */
const withArrivals = (hands: boolean) =>
  fc
    .record({
      plain: anyNetwork({ lagInDays: true, lag: lags, hands }),
      dates: fc.array(fc.integer({ min: 0, max: 400 }), { minLength: 5, maxLength: 5 }),
    })
    .map(({ plain, dates }) => {
      const arrivals = dates.map((release, i) => ({ id: `part${i}`, hours: 0, release }));
      const operations = plain.nodes.map((n) => ({ ...n, release: 0 }));
      const links = arrivals.map((a, i) => ({
        before: a.id,
        after: operations[(i * 7) % operations.length]!.id,
        lag: 0,
        lagInDays: false,
      }));
      return {
        nodes: [...operations, ...arrivals],
        links: [...plain.links, ...links],
        arrivals: arrivals.map((a) => a.id),
      };
    });

/** Completion by the forward pass alone, with the named arrivals in hand today. */
function endWith(network: Network, arrivals: readonly string[], inHand: ReadonlySet<string>): number {
  const release = network.release.slice();
  for (const id of arrivals) if (inHand.has(id)) release[network.position(id)] = 0;
  return forwardPass(network, release).end;
}

const ladderOf = (plain: PlainNetwork & { arrivals: string[] }) => {
  const network = new Network(plain.nodes, plain.links, calendar);
  return {
    network,
    result: ladder(
      network,
      plain.arrivals.map((id) => network.position(id)),
    ),
  };
};

/** Each arrival's length is the end by a forward pass with it alone. */
function eachAlone(plain: PlainNetwork & { arrivals: string[] }): void {
  const { network, result } = ladderOf(plain);
  const lengths = new Map(result.rungs.map((r) => [network.ids[r.position]!, r.length]));
  for (const id of plain.arrivals) {
    const alone = endWith(network, plain.arrivals, new Set(plain.arrivals.filter((a) => a !== id)));
    expect(lengths.get(id) ?? result.work.end).toBeCloseTo(alone, 5);
  }
}

describe("the hold-up ladder", () => {
  it("says when the machine would be finished if each part alone constrained it", () => {
    fc.assert(fc.property(withArrivals(false), eachAlone), { numRuns: 500 });
  });

  it("says so of work in other hours than the shop's too", () => {
    fc.assert(fc.property(withArrivals(true), eachAlone), { numRuns: 500 });
  });

  it.each([false, true])(
    "says so to the last hour of many parts that come over years, with waits in days behind nearly all; hands of their own: %s",
    (hands) => {
      const years = fc
        .record({
          plain: anyNetwork({ lagInDays: true, lag: lags, largest: 40, hands }),
          dates: fc.array(fc.integer({ min: 0, max: 5_000 }), { minLength: 60, maxLength: 60 }),
          waits: fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 60, maxLength: 60 }),
        })
        .map(({ plain, dates, waits }) => {
          const arrivals = dates.map((release, i) => ({ id: `part${i}`, hours: 0, release }));
          const operations = plain.nodes.map((n) => ({ ...n, release: 0 }));
          const links = arrivals.map(({ id }, i) => ({
            before: id,
            after: operations[(i * 7) % operations.length]!.id,
            lag: waits[i]!,
            lagInDays: true,
          }));
          return {
            nodes: [...operations, ...arrivals],
            links: [...plain.links, ...links],
            arrivals: arrivals.map((a) => a.id),
          };
        });
      fc.assert(fc.property(years, eachAlone), { numRuns: 300 });
    },
  );

  it("says on rung k when it would be finished with the k hold-ups above in hand today", () => {
    fc.assert(
      fc.property(withArrivals(true), (plain) => {
        const { network, result } = ladderOf(plain);
        const cleared = new Set<string>();
        for (const rung of result.rungs) {
          expect(endWith(network, plain.arrivals, cleared)).toBeCloseTo(rung.length, 5);
          cleared.add(network.ids[rung.position]!);
        }
        expect(endWith(network, plain.arrivals, cleared)).toBeCloseTo(result.work.end, 5);
      }),
      { numRuns: 500 },
    );
  });

  it("has its top at completion, and goes down only", () => {
    const { network, result } = ladderOf(largeNetwork(2_000));
    expect(result.end).toBeCloseTo(forwardPass(network).end, 6);
    for (let i = 1; i < result.rungs.length; i++)
      expect(result.rungs[i]!.length).toBeLessThanOrEqual(result.rungs[i - 1]!.length);
    expect(result.rungs.at(-1)!.length).toBeGreaterThan(result.work.end);
  });

  it("is the work alone when every part is in hand", () => {
    const { result } = ladderOf({ nodes: [{ id: "fit", hours: 12 }], links: [], arrivals: [] });
    expect(result.rungs).toEqual([]);
    expect(result.end).toBe(12);
  });
});

describe("the chain from a part to the end", () => {
  it("ends when its rung does, each step beginning when the one before lets it", () => {
    fc.assert(
      fc.property(withArrivals(true), (plain) => {
        const { network, result } = ladderOf(plain);
        for (const rung of result.rungs) {
          const chain = chainFrom(network, rung.position, network.release[rung.position]!);
          expect(chain.at(-1)!.finish).toBeCloseTo(rung.length, 5);
          expect(chain[0]!.position).toBe(rung.position);
        }
      }),
    );
  });
});

describe("what waits for a part", () => {
  it("is everything after it, each once", () => {
    const nodes = ["part", "fit", "test", "paint", "other"].map((id) => ({ id, hours: 1 }));
    const link = (before: string, after: string) => ({ before, after, lag: 0, lagInDays: false });
    const network = new Network(
      nodes,
      [link("part", "fit"), link("fit", "test"), link("fit", "paint"), link("paint", "test")],
      calendar,
    );
    expect(following(network, [network.position("part")]).map((v) => network.ids[v])).toEqual(["fit", "paint", "test"]);
  });
});
