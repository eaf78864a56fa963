/**
 * Runs of an uncertain restoration: nodes times runs a second on one thread and on two, growth in nodes, and the same
 * sampling and passes in numpy (`montecarlo.py`), which must find the same dates.
 *
 * The network is the one of the other benches with lags in hours alone. Each operation has an estimate of one of twelve
 * shapes, as shops that write low and high as parts of the likely hours have; each arrival is a promise with a record.
 */
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { Network } from "../../server/engine/network/network.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import type { UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { days } from "../../server/engine/time/units.ts";
import { runOdds } from "../../server/worker/computations.ts";
import { largeNetwork, seeded } from "../support/networks.ts";
import { uncertain } from "../support/uncertain.ts";
import { figure, median, timings, timingsOf } from "./measure.ts";

const SCRIPT = fileURLToPath(new URL("montecarlo.py", import.meta.url));
const SIZES = [1_000, 10_000, 100_000];
/** Node-runs of one measurement. */
const WORK = 20_000_000;
const ROUNDS = 5;
/** Runs by which growth is measured: as many for each size, so that what is done once for a model weighs the same. */
const RUNS_OF_GROWTH = 1024;
/** Days that an arrival can take at most, for the table that numpy looks them up in. */
const MOST_DAYS = 20_000;

export function modelOf(size: number): UncertainModel {
  const plain = largeNetwork(size, 7, 0);
  const random = seeded(size);
  const arrivals = new Set(plain.arrivals);
  return uncertain({
    nodes: plain.nodes.map(({ id, hours }) => {
      if (arrivals.has(id)) return { id, hours: 0 };
      const shape = Math.floor(random() * 12);
      return { id, hours: { low: hours * 0.75, likely: hours, high: hours * (1.25 + 0.25 * shape) } };
    }),
    links: plain.links,
    holdUps: plain.nodes
      .filter(({ id }) => arrivals.has(id))
      .map(({ id, release = 0 }) => ({
        node: id,
        route: {
          kind: "ORDER",
          orderDay: 0,
          wait: { kind: "LOGNORMAL", mu: Math.log(Math.max(1, (release / 40) * 7)), sigma: 0.3 },
        },
      })),
  });
}

/** The model in topological order, as the script takes it. */
function asked(model: UncertainModel, samples: number): string {
  const calendar = new ShopCalendar(model.calendar);
  const hoursOf = new Map(model.nodes.map((node) => [node.id, node.hours]));
  const network = new Network(
    model.nodes.map(({ id }) => ({ id, hours: 0 })),
    model.links,
    calendar,
  );
  const { size, ids, inStart, inFrom, inLag } = network;
  const estimates: [number, number[]][] = [];
  for (let v = 0; v < size; v++) {
    const hours = hoursOf.get(ids[v]!)!;
    if (typeof hours === "number") continue;
    const { low, likely, high } = hours;
    const width = high - low;
    estimates.push([v, [low, width, 1 + (4 * (likely - low)) / width, 1 + (4 * (high - likely)) / width]]);
  }
  const arrivals = model.holdUps.map(({ node, route }) => {
    if (route?.wait.kind !== "LOGNORMAL") throw new Error("the bench draws lognormal waits alone");
    return [network.position(node), [route.wait.mu, route.wait.sigma]];
  });
  return JSON.stringify({
    samples,
    rounds: ROUNDS,
    estimates,
    arrivals,
    usable: Array.from({ length: MOST_DAYS }, (_, day) => calendar.usableAfterArrival(days(day))),
    links: Array.from({ length: size }, (_, v) => [
      Array.from(inFrom.subarray(inStart[v]!, inStart[v + 1]!)),
      Array.from(inLag.subarray(inStart[v]!, inStart[v + 1]!)),
    ]),
  });
}

interface InNumpy {
  seconds: number[];
  mean: number;
  fourInFive: number;
  binding: number;
}

/** Null where there is no python3 with numpy. */
function inNumpy(model: UncertainModel, samples: number): InNumpy | null {
  const { status, stdout, stderr } = spawnSync("python3", [SCRIPT], {
    input: asked(model, samples),
    encoding: "utf8",
    maxBuffer: 1 << 24,
    // One thread, as here.
    env: { ...process.env, OMP_NUM_THREADS: "1", OPENBLAS_NUM_THREADS: "1" },
  });
  if (status === 0) return JSON.parse(stdout) as InNumpy;
  console.error(
    `montecarlo.py did not run, so nothing stands beside it: ${stderr?.trim().split("\n").at(-1) ?? "no python3"}`,
  );
  return null;
}

export async function montecarlo(): Promise<void> {
  const perRun: number[] = [];
  for (const size of SIZES) {
    const model = modelOf(size);
    const samples = Math.max(512, Math.round(WORK / size / 512) * 512);
    const options = { seed: 1, tolerance: 0, maxSamples: samples };
    const odds = oddsOf(model, options);
    const own = median(timings(() => oddsOf(model, options), { least: ROUNDS, forMs: 0, warm: 1 }));
    figure(`montecarlo.${size}.1thread`, (own * 1e6) / (size * samples), "ns a node and run");
    const alike = { ...options, maxSamples: RUNS_OF_GROWTH };
    const ownAlike = median(timings(() => oddsOf(model, alike), { least: ROUNDS, forMs: 0, warm: 1 }));
    perRun.push((ownAlike * 1e6) / (size * RUNS_OF_GROWTH));
    figure(`montecarlo.${size}.1thread.rate`, (size * samples) / own / 1000, "million nodes x runs a second");
    const shared = median(await timingsOf(() => runOdds(model, options, { threads: 2 }), { least: ROUNDS, forMs: 0 }));
    figure(`montecarlo.${size}.2threads.rate`, (size * samples) / shared / 1000, "million nodes x runs a second");
    figure(
      size === SIZES[0] ? "montecarlo.2threads.vs_1thread" : `montecarlo.${size}.2threads.vs_1thread`,
      own / shared,
      "ratio",
    );
    if (size === SIZES.at(-1)) continue;
    const theirs = inNumpy(model, samples);
    if (theirs === null) continue;
    compare(size, odds.meanHours, theirs.mean, odds.deviationHours / Math.sqrt(samples));
    const numpy = median(theirs.seconds.toSorted((a, b) => a - b)) * 1000;
    figure(`montecarlo.${size}.numpy.rate`, (size * samples) / numpy / 1000, "million nodes x runs a second");
    figure(
      size === SIZES[0] ? "montecarlo.1thread.vs_numpy" : `montecarlo.${size}.1thread.vs_numpy`,
      numpy / own,
      "ratio",
    );
  }
  figure("montecarlo.growth_per_node.1000_to_10000", perRun[1]! / perRun[0]!, "ratio");
  figure("montecarlo.growth_per_node.10000_to_100000", perRun[2]! / perRun[1]!, "ratio");
}

/** Throws where two means of as many runs are further apart than chance makes likely: six standard errors. */
function compare(size: number, own: number, theirs: number, error: number): void {
  if (Math.abs(own - theirs) > 6 * Math.SQRT2 * error)
    throw new Error(
      `at ${size} nodes the mean ends differ: ${own} h here, ${theirs} h in numpy, standard error ${error} h`,
    );
}
