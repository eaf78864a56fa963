/** Runs drawn by several threads: the same odds as on one, followed and stopped. */
import { describe, expect, it, vi } from "vitest";
import { type OddsRoom, type OddsSoFar, oddsOf, oddsRoom } from "../../server/engine/odds/odds.ts";
import { BLOCK } from "../../server/engine/odds/runs.ts";
import { UncertaintySampler } from "../../server/engine/odds/sampler.ts";
import { RunsStopped, Turns } from "../../server/engine/odds/turns.ts";
import type { UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { InvalidInput } from "../../server/store/fault.ts";
import { runOdds } from "../../server/worker/computations.ts";
import { Stopped } from "../../server/worker/jobs.ts";
import { threads } from "../../server/worker/threads.ts";
import { seeded } from "../support/networks.ts";
import { follows, uncertain } from "../support/uncertain.ts";

/** Chains of work, each behind a part of one of two makers, one part hunted, one that may fail for good. */
function machine(parts: number): UncertainModel {
  const random = seeded(1913);
  const nodes: UncertainModel["nodes"][number][] = [];
  const links: UncertainModel["links"][number][] = [];
  const holdUps: UncertainModel["holdUps"][number][] = [];
  for (let i = 0; i < parts; i++) {
    const [part, work, after] = [`part ${i}`, `work ${i}`, `work ${i + 1}`];
    nodes.push({ id: part, hours: 0 }, { id: work, hours: { low: 2, likely: 4 + i, high: 30 + 2 * i } });
    links.push(follows(part, work));
    if (i % 3 !== 2 && i + 1 < parts) links.push(follows(work, after));
    const order = {
      kind: "ORDER",
      orderDay: i % 4 === 0 ? -10 : i,
      wait: { kind: "LOGNORMAL", mu: 3 + random(), sigma: 0.4 },
      maker: i % 2 === 0 ? "foundry" : "gear cutter",
    } as const;
    const hunt = { kind: "HUNT", shape: 1, weeks: 8, events: [{ day: 20, chance: 0.3 }], stopDay: 60 } as const;
    holdUps.push({
      node: part,
      route:
        i === 1
          ? { ...hunt, wait: { kind: "FIXED", days: 5 }, fallback: order }
          : i === 2
            ? { ...order, failure: 0.02 }
            : order,
    });
  }
  const makers = [
    { id: "foundry", lateness: 0.25 },
    { id: "gear cutter", lateness: 0.1 },
  ];
  return uncertain({ nodes, links, holdUps, makers, targetDay: 90 });
}

/** A helper that comes too late may still be on its way when the odds are there. */
const allIdle = () => vi.waitFor(() => expect(threads.busy).toBe(0), { timeout: 20_000 });

describe("runs drawn by several threads", () => {
  const model = machine(9);

  it("that are stopped again and again go on from where they stand, to the figures of an unbroken run", async () => {
    const options = { seed: 12, tolerance: 0.2, maxSamples: 40 * BLOCK };
    const unbroken = oddsOf(model, options);
    const room = oddsRoom(model, options);
    const turns = new Turns(room.turns);
    for (const stopAt of [1, 5, 8]) {
      const stopThere = () => turns.drawn === stopAt - 1 && turns.stop();
      expect(() => oddsOf(model, options, stopThere, room)).toThrow(RunsStopped);
      expect([turns.drawn, turns.whole]).toEqual([stopAt, true]);
      turns.goOn();
    }
    expect(oddsOf(model, options, () => expect(turns.drawn).toBeGreaterThanOrEqual(8), room)).toEqual(unbroken);
  });

  it("that are stopped in threads are whole, and give the same from there", async () => {
    const large = machine(60);
    const options = { seed: 12, tolerance: 0, maxSamples: 100 * BLOCK };
    const { runs: _, ...unbroken } = oddsOf(large, options);
    for (const count of [1, 2]) {
      const standing: { room: OddsRoom | null } = { room: null };
      let stood = 0;
      for (let round = 0; round < 3; round++) {
        const stopping = new AbortController();
        const outcome = await runOdds(large, options, {
          threads: count,
          standing,
          signal: stopping.signal,
          follow: () => stopping.abort(),
        }).catch((error: unknown) => error);
        if (outcome instanceof Error) expect(outcome).toBeInstanceOf(Stopped);
        const turns = new Turns(standing.room!.turns);
        expect(turns.whole).toBe(true);
        expect(turns.drawn).toBeGreaterThanOrEqual(Math.max(1, stood));
        stood = turns.drawn;
      }
      expect(await runOdds(large, options, { threads: count, standing })).toEqual(unbroken);
    }
  });

  it("give on one, two and three threads what they give on this one, to the last figure", async () => {
    const options = { seed: 11, tolerance: 0.2, maxSamples: 40 * BLOCK };
    const { runs: _, ...here } = oddsOf(model, options);
    expect(here.samples).toBeGreaterThan(8 * BLOCK);
    for (const count of [1, 2, 3]) expect(await runOdds(model, options, { threads: count })).toEqual(here);
  });

  it("give it too where another thread has drawn more of the blocks than the one that leads", () => {
    const options = { seed: 11, tolerance: 0, maxSamples: 12 * BLOCK };
    const room = oddsRoom(model, options, 2);
    const turns = new Turns(room.turns);
    const other = new UncertaintySampler(model);
    turns.open(8);
    for (let k = 0; k < 7; k++) {
      other.run(options.seed, turns.take(), room.rows, room.counts[1]!);
      turns.done();
    }
    expect(oddsOf(model, options, undefined, room)).toEqual(oddsOf(model, options));
  });

  it("stop after the same runs, once the standard error of the asked quantile is under the tolerance", async () => {
    for (const tolerance of [1, 0.4]) {
      const [one, three] = await Promise.all(
        [1, 3].map((count) => runOdds(model, { seed: 4, probability: 0.5, tolerance }, { threads: count })),
      );
      expect(one!.standardError).toBeLessThanOrEqual(tolerance);
      expect(one!.settled).toBe(true);
      expect(three!.samples).toBe(one!.samples);
    }
    const most = await runOdds(model, { seed: 4, tolerance: 1e-9, maxSamples: 12 * BLOCK }, { threads: 2 });
    expect(most).toMatchObject({ samples: 12 * BLOCK, settled: false });
  });

  it("say how far they are, and once it is looked at the quantile and its standard error", async () => {
    const told: OddsSoFar[] = [];
    const stop = new AbortController();
    const running = runOdds(
      machine(200),
      { seed: 2, tolerance: 0, maxSamples: 100_000 },
      {
        threads: 2,
        signal: stop.signal,
        follow: (soFar) => {
          told.push(soFar);
          if (soFar.standardError !== null) stop.abort();
        },
      },
    );
    await expect(running).rejects.toBeInstanceOf(Stopped);
    expect(told.map(({ runs }) => runs)).toEqual(told.map(({ runs }) => runs).toSorted((a, b) => a - b));
    for (const { runs, wanted } of told) expect(runs).toBeLessThan(wanted);
    expect(told.at(-1)).toMatchObject({ quantile: expect.any(Number), standardError: expect.any(Number) });
    expect(told.at(-1)!.standardError).toBeGreaterThan(0);
  });

  it("end with their threads when they are stopped, and what is asked next is drawn as ever", async () => {
    await allIdle();
    const stop = new AbortController();
    const running = runOdds(
      machine(200),
      { seed: 2, tolerance: 0, maxSamples: 100_000 },
      { threads: 3, signal: stop.signal, follow: () => stop.abort() },
    );
    expect(threads.busy).toBe(Math.min(3, threads.most));
    await expect(running).rejects.toBeInstanceOf(Stopped);
    expect(threads.busy).toBe(0);
    const few = { seed: 2, tolerance: 0, maxSamples: BLOCK };
    expect((await runOdds(model, few, { threads: 2 })).samples).toBe(BLOCK);
    await expect(runOdds(model, few, { signal: stop.signal })).rejects.toBeInstanceOf(Stopped);
  });

  it("hand on what is wrong with a model, by row and field, from whichever thread finds it", async () => {
    const wrong = { ...model, links: [...model.links, follows("work 1", "work 0")] };
    for (const count of [1, 2]) {
      await expect(runOdds(wrong, { seed: 1 }, { threads: count })).rejects.toBeInstanceOf(InvalidInput);
      await expect(runOdds(wrong, { seed: 1 }, { threads: count })).rejects.toThrow(/work 1/);
    }
    await allIdle();
  });
});
