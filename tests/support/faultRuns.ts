/** A server that is killed under those who write to it, killed at its first start, and that finds its write-ahead log cut short. */
import { copyFile, cp, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { fillDemo } from "../../seed/load.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { connectTo } from "../../server/store/backup.ts";
import { migrate } from "../../server/store/migrate.ts";
import { inCopy, lookAt, looseLog } from "./faultCheck.ts";
import { type Acknowledged, type Places, Writers } from "./faultWriters.ts";
import { serveFolder, startFolder } from "./process.ts";

export interface Counted {
  lost: string[];
  broken: string[];
}

/** A server is killed once it has acknowledged so many photographs at most, and so many milliseconds later at most. */
const MOST_PHOTOGRAPHS = 4;
const LATER_MS = 20;

const scratch = () => mkdtemp(path.join(tmpdir(), "lastbolt-faults-"));

/** A data folder with the demo, in which a member may share as much as he likes, and where there is something to write to. */
export async function demoFolder(): Promise<{ folder: string; places: Places }> {
  const folder = await scratch();
  const file = path.join(folder, "lastbolt.db");
  let places: Places | undefined;
  await migrate(file, {
    async fill(store) {
      await fillDemo(store);
      await store.club.updateMany({ data: { entriesPerDay: 1_000_000 } });
      const { id } = await store.restoration.findFirstOrThrow({ where: { workshop: { demo: true } } });
      const order = await store.order.findFirstOrThrow({ where: { restorationId: id, state: "PLACED" } });
      places = { restoration: id, part: order.partId, order: order.id, paidOn: await dayFor(store, id) };
    },
  });
  return { folder, places: places! };
}

/** Kills a server so many times under four writers, and looks after each time at what it left. */
export class Killed {
  readonly counted: Counted = { lost: [], broken: [] };
  private constructor(
    readonly folder: string,
    readonly writers: Writers,
    private readonly chance: () => number,
  ) {}

  static async begin(chance: () => number): Promise<Killed> {
    const { folder, places } = await demoFolder();
    return new Killed(folder, new Writers(places), chance);
  }

  get acknowledged(): ReadonlyMap<string, Acknowledged> {
    return this.writers.acknowledged;
  }

  /** One life: from a start on what the last one left, to a kill at a random moment. */
  async once(): Promise<void> {
    const server = await serveFolder(this.folder);
    if (server.address === null) {
      this.counted.broken.push(`the server did not start again: ${server.said()}`);
      return;
    }
    const written = this.writers.writeTo(server.address);
    const enough = this.writers.afterPhotographs(Math.ceil(this.chance() * MOST_PHOTOGRAPHS));
    const later = this.chance() * LATER_MS;
    await Promise.race([enough.then(() => pause(later)), written]).finally(() => server.end("SIGKILL"));
    await written;
    const { lost, broken } = await inCopy(this.folder, (file) => lookAt(file, this.folder, this.acknowledged.values()));
    this.counted.lost = lost;
    this.counted.broken.push(...broken);
  }

  /** A last start, ended as it should be. */
  async settle(): Promise<void> {
    await (await serveFolder(this.folder)).end("SIGTERM");
    const { lost, broken } = await inCopy(this.folder, (file) => lookAt(file, this.folder, this.acknowledged.values()));
    this.counted.lost = lost;
    this.counted.broken.push(...broken);
  }

  remove = (): Promise<void> => rm(this.folder, { recursive: true, force: true });
}

async function anyByte(folder: string, chance: () => number): Promise<number> {
  const { from, to } = await looseLog(folder);
  return from + Math.floor(chance() * (to - from));
}

/**
 * Cuts the log that a kill left at a random byte. What had moved from the log into the file is there; of the rest, all
 * up to some entry of the journal and nothing after it, each with its rows and pictures. Returns what is not so.
 */
export async function cutLog(folder: string, acknowledged: ReadonlyMap<string, Acknowledged>, chance: () => number) {
  const whole = await inCopy(folder, (file) => lookAt(file, folder, []));
  const moved = await inCopy(folder, (file) => lookAt(file, folder, []), 0);
  const at = await anyByte(folder, chance);
  const cut = await inCopy(
    folder,
    async (file) => {
      const { journal } = await lookAt(file, folder, []);
      const there = new Set(journal.flat());
      const kept = [...acknowledged.values()].filter(({ change }) => there.has(change));
      return lookAt(file, folder, kept);
    },
    at,
  );
  const broken = [...cut.broken, ...cut.lost];
  for (const [i, journal] of cut.journal.entries()) {
    if (whole.journal[i]!.slice(0, journal.length).join() !== journal.join())
      broken.push(`cut at ${at}, the journal is no beginning of what it was`);
    if (journal.length < moved.journal[i]!.length) broken.push(`cut at ${at}, what stood in the file is gone`);
  }
  return broken;
}

/** Starts a server on the log cut short, as after a power cut; what it says where it does not start. */
export async function startOnCut(folder: string, chance: () => number): Promise<string[]> {
  const beside = await scratch();
  try {
    const at = await anyByte(folder, chance);
    const started = await inCopy(
      folder,
      async (file) => {
        for (const end of ["", "-wal"]) await copyFile(file + end, path.join(beside, `lastbolt.db${end}`));
        await cp(path.join(folder, "photographs"), path.join(beside, "photographs"), { recursive: true });
        return serveFolder(beside);
      },
      at,
    );
    await started.end("SIGTERM");
    return started.address === null ? [`cut at ${at}, the server did not start: ${started.said()}`] : [];
  } finally {
    await rm(beside, { recursive: true, force: true });
  }
}

/** Rows of each table. */
export async function rowsOf(file: string): Promise<Record<string, number>> {
  const connection = connectTo(file);
  try {
    const { rows } = await connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'");
    const counted: [string, number][] = [];
    for (const { name } of rows) {
      const { rows } = await connection.execute(`SELECT count(*) AS n FROM "${name}"`);
      counted.push([String(name), Number(rows[0]!["n"])]);
    }
    return Object.fromEntries(counted);
  } finally {
    connection.close();
  }
}

/** Kills a first start after so many milliseconds, starts again, and returns what the demo then lacks. */
export async function killFirstStart(afterMs: number, whole: Record<string, number>): Promise<string[]> {
  const folder = await scratch();
  try {
    const first = startFolder(folder);
    await Promise.race([pause(afterMs), first.ended]);
    await first.end("SIGKILL");
    const second = await serveFolder(folder);
    await second.end("SIGTERM");
    if (second.address === null) return [`killed after ${afterMs} ms, it did not start again: ${second.said()}`];
    const rows = await rowsOf(path.join(folder, "lastbolt.db"));
    return Object.keys(whole)
      .filter((table) => rows[table] !== whole[table])
      .map((table) => `killed after ${afterMs} ms: ${table} has ${rows[table]} rows, not ${whole[table]}`);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
