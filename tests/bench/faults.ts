/** Kills and power cuts: what a real server acknowledged and lost, and what is not whole afterwards; the aims are none and none. */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { looseLog } from "../support/faultCheck.ts";
import { cutLog, Killed, killFirstStart, rowsOf, startOnCut } from "../support/faultRuns.ts";
import { WRITTEN } from "../support/faultWriters.ts";
import { seeded } from "../support/networks.ts";
import { serveFolder } from "../support/process.ts";
import { figure } from "./measure.ts";

/** Below so many bytes of log there is nothing to cut. */
const LEAST_LOG = 50_000;

const COUNTS = {
  kills: { type: "string", default: "100" },
  starts: { type: "string", default: "30" },
  cuts: { type: "string", default: "20" },
  seed: { type: "string", default: "11" },
} as const;

/** `-- faults [--kills 100] [--starts 30] [--cuts 20] [--seed 11]`. How far it is, and each fault in words, goes to the error stream. */
export async function faults(options: string[]): Promise<void> {
  const { values } = parseArgs({ args: options, options: COUNTS });
  const [kills, starts, cuts, seed] = [values.kills, values.starts, values.cuts, values.seed].map(Number) as number[];
  const chance = seeded(seed!);
  const say = (words: string) => console.error(`faults: ${words}`);
  const broken: string[] = [];

  const killed = await Killed.begin(chance);
  try {
    let cut = 0;
    for (let i = 1; i <= kills!; i++) {
      await killed.once();
      if (i % 10 === 0 || i === kills) say(`${i} kills, ${killed.acknowledged.size} rows acknowledged`);
      // The logs that are cut are those of kills spread over the run.
      const due = Math.floor((cuts! * i) / kills!);
      for (; cut < due && (await looseBytes(killed.folder)) >= LEAST_LOG; cut++) {
        broken.push(...(await cutLog(killed.folder, killed.acknowledged, chance)));
        if (cut % 5 === 0) broken.push(...(await startOnCut(killed.folder, chance)));
      }
    }
    await killed.settle();
    for (const table of WRITTEN) {
      const rows = [...killed.acknowledged.values()].filter((row) => row.table === table);
      say(`${rows.length} rows of ${table} acknowledged`);
    }
    say(`${cut} cuts of the write-ahead log`);
    if (cut < cuts!) throw new Error(`Only ${cut} of ${cuts} logs were long enough to be cut.`);
  } finally {
    await killed.remove();
  }
  const { lost } = killed.counted;
  broken.push(...killed.counted.broken);

  const [whole, startMs] = await unkilled();
  for (let i = 1; i <= starts!; i++) {
    broken.push(...(await killFirstStart(Math.round(chance() * startMs), whole)));
    if (i % 10 === 0 || i === starts) say(`${i} first starts killed within ${Math.round(startMs)} ms`);
  }
  for (const fault of [...lost.map((row) => `lost: ${row}`), ...broken]) say(fault);
  figure("faults.lost", lost.length, "writes");
  figure("faults.integrity", broken.length, "faults");
}

/** The rows of a first start that nobody kills, and how long it takes. */
async function unkilled(): Promise<[Record<string, number>, number]> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-faults-"));
  const began = performance.now();
  try {
    const server = await serveFolder(folder);
    const took = performance.now() - began;
    await server.end("SIGTERM");
    return [await rowsOf(path.join(folder, "lastbolt.db")), took];
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const looseBytes = async (folder: string): Promise<number> => {
  const { from, to } = await looseLog(folder);
  return to - from;
};
