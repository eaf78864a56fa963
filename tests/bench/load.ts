/**
 * `npm run bench -- load [--beside FOLDER] [--seconds 20] [--runs 5]`: a whole server on the demo under many connections
 * that read and save. With another checkout beside (prepared: packages and generated code), runs of the two alternate.
 */
import path from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { loadImport } from "./loadImport.ts";
import { documentsFor, mixFor } from "./loadMix.ts";
import { drive, type LoadRun } from "./loadRun.ts";
import { type Checkout, checkoutAt } from "./loadServer.ts";
import { figure, median, quantile } from "./measure.ts";

const OURS = fileURLToPath(new URL("../../", import.meta.url));

/** Milliseconds of each run that are not counted: the server compiles what is used often. */
const WARM = 5_000;

export async function load(given: string[]): Promise<void> {
  const { values } = parseArgs({
    args: given,
    options: {
      beside: { type: "string" },
      seconds: { type: "string", default: "20" },
      runs: { type: "string", default: "5" },
    },
  });
  const runs = Number(values.runs);
  const measured = Number(values.seconds) * 1_000;
  if (!(runs >= 1 && measured > 0)) throw new Error("--runs and --seconds are numbers above zero.");
  const roots = [OURS, ...(values.beside === undefined ? [] : [path.resolve(values.beside)])];
  const documents = documentsFor(roots);
  const checkouts: Checkout[] = [];
  const failed: (LoadRun["failed"][number] & { of: string })[] = [];

  const once = async (which: number, connections: number): Promise<LoadRun> => {
    const run = await checkouts[which]!.serve(async (address) =>
      drive(address, await mixFor(address, documents), { connections, warm: WARM, measured }),
    );
    failed.push(...run.failed.map((fault) => ({ of: roots[which]!, ...fault })));
    return run;
  };

  try {
    for (const root of roots) checkouts.push(await checkoutAt(root));
    const fifty: LoadRun[] = [];
    const ratios: number[] = [];
    for (let i = 0; i < runs; i++) {
      const ours = await once(0, 50);
      fifty.push(ours);
      if (checkouts.length > 1) ratios.push(ours.rps / (await once(1, 50)).rps);
    }
    const middle = (of: number[]): number => median(of.toSorted((a, b) => a - b));
    figure("load.demo.mixed50.p50", middle(fifty.map(({ times }) => quantile(times, 0.5))), "ms");
    figure("load.demo.mixed50.p95", middle(fifty.map(({ times }) => quantile(times, 0.95))), "ms");
    figure("load.demo.mixed50.rps", middle(fifty.map(({ rps }) => rps)), "requests/s");
    figure("load.demo.mixed50.refused", middle(fifty.map(shareRefused)), "share");
    if (ratios.length > 0) figure("load.demo.mixed50.vs_beside", middle(ratios), "ratio");

    const twoHundred: LoadRun[] = [];
    for (let i = 0; i < runs; i++) twoHundred.push(await once(0, 200));
    figure("load.demo.mixed200.p95", middle(twoHundred.map(({ times }) => quantile(times, 0.95))), "ms");
    figure("load.demo.mixed200.p99", middle(twoHundred.map(({ times }) => quantile(times, 0.99))), "ms");
    figure("load.demo.mixed200.rps", middle(twoHundred.map(({ rps }) => rps)), "requests/s");
    figure("load.demo.mixed200.refused", middle(twoHundred.map(shareRefused)), "share");
    figure("load.demo.failed", failed.length, "requests");
    await checkouts[0]!.serve(async (address) => loadImport(address, await mixFor(address, documents)));
  } finally {
    for (const checkout of checkouts) await checkout.remove();
  }
  if (failed.length === 0) return;
  for (const { of, kind, status, body } of failed.slice(0, 10))
    console.error(`${of}: ${kind} answered ${status}: ${body}`);
  process.exitCode = 1;
}

const shareRefused = ({ times, refused }: LoadRun): number => refused / (times.length + refused);
