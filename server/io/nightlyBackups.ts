/** A backup each night into `backups/` within the data folder, by a process of its own, and the oldest ones removed. */
import { spawn } from "node:child_process";
import { mkdir, readdir, rm, stat } from "node:fs/promises";
import { createRequire } from "node:module";
import { setPriority } from "node:os";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { backupFolder, isThere, stampOf } from "../store/backup.ts";
import type { Store } from "../store/client.ts";
import { DATABASE, type Manifest, manifestIs, photographsIn } from "./backupFile.ts";
import { unfinishedOf } from "./backupWrite.ts";

/** The hour of the machine's clock from which on a night's backup is written. */
const FROM_HOUR = 3;
const LOOK_MS = 60_000;
/** Milliseconds after which one that failed is tried again. */
export const AGAIN_MS = 15 * 60_000;

export interface Kept {
  /** Name in the folder of backups. */
  name: string;
  madeAt: Date;
  photographs: number;
  bytes: number;
  /** Files that it lacks, or that were altered already: it is not all that there once was. */
  wrong: number;
}

export interface BackupState {
  /** Null where there is none that can be read. */
  newest: Kept | null;
  /** The last try, where it failed. */
  failed: { at: Date; why: string } | null;
}

export interface Nightly {
  state(): Promise<BackupState>;
  stop(): Promise<void>;
}

/** The last moment at which a night's backup fell due. */
export function lastNight(now: Date): Date {
  const night = new Date(now.getFullYear(), now.getMonth(), now.getDate(), FROM_HOUR);
  return night <= now ? night : new Date(now.getFullYear(), now.getMonth(), now.getDate() - 1, FROM_HOUR);
}

const NIGHTLY = /^nightly-\d{8}T\d{9}Z\.zip$/;

const nameOf = (now: Date): string => `nightly-${stampOf(now)}.zip`;

/** Reads of each backup what it says of itself, once: a file of that size and moment does not change. */
const read = new Map<string, Kept | null>();

async function keptAt(folder: string, name: string): Promise<Kept | null> {
  const file = path.join(folder, name);
  const { size, mtimeMs } = await stat(file);
  const key = `${file} ${size} ${mtimeMs}`;
  if (!read.has(key))
    read.set(
      key,
      await manifestIs(file).then(
        (said) => asKept(name, size, said),
        () => null,
      ),
    );
  return read.get(key) ?? null;
}

const asKept = (name: string, bytes: number, manifest: Manifest): Kept => ({
  name,
  madeAt: new Date(manifest.madeAt),
  photographs: photographsIn(manifest),
  bytes,
  wrong: manifest.missing.length + manifest.altered.length,
});

/** The backups of a data folder that can be read, the newest first. */
export async function backupsIn(data: string): Promise<Kept[]> {
  const folder = backupFolder(path.join(data, DATABASE));
  const names = (await readdir(folder).catch(() => [])).filter((name) => name.endsWith(".zip"));
  const all = await Promise.all(names.map((name) => keptAt(folder, name).catch(() => null)));
  return all.filter((one) => one !== null).sort((a, b) => b.madeAt.getTime() - a.madeAt.getTime());
}

/**
 * Removes the oldest nightly backups past so many, and what one that was killed left unfinished. The newest that lacks
 * nothing stays, however old it is. Returns the names of those removed.
 */
export async function removeOld(data: string, keep: number): Promise<string[]> {
  const folder = backupFolder(path.join(data, DATABASE));
  const all = (await backupsIn(data)).filter(({ name }) => NIGHTLY.test(name));
  const whole = all.find(({ wrong }) => wrong === 0);
  const old = all.slice(keep).filter((one) => one !== whole);
  for (const { name } of old) await rm(path.join(folder, name), { force: true });
  for (const name of await readdir(folder).catch(() => []))
    if (/^nightly-.*\.zip\.part/.test(name)) await rm(path.join(folder, name), { force: true });
  return old.map(({ name }) => name);
}

/** True where a night's backup is due: the newest, or else the database itself, is from before it. */
export async function isDue(store: Store, data: string, now: Date): Promise<boolean> {
  const [newest] = await backupsIn(data);
  const since = newest?.madeAt ?? (await madeAt(store));
  return since < lastNight(now);
}

/** When the database was made: its first migration. */
async function madeAt(store: Store): Promise<Date> {
  const [row] = await store.$queryRawUnsafe<{ at: unknown }[]>("SELECT min(started_at) AS at FROM _prisma_migrations");
  const at = row?.at;
  return typeof at === "bigint" ? new Date(Number(at)) : new Date(at as string | number | Date);
}

/** The command of a backup, whose process this server starts. */
const COMMAND = fileURLToPath(new URL("../tools/backup.ts", import.meta.url));
const TSX = pathToFileURL(createRequire(import.meta.url).resolve("tsx")).href;

/** Writes one backup in a process of its own. Throws what that process said. */
export async function writeBeside(data: string, file: string, signal: AbortSignal): Promise<void> {
  signal.throwIfAborted();
  await mkdir(path.dirname(file), { recursive: true });
  const child = spawn(process.execPath, ["--import", TSX, COMMAND, file], {
    env: { ...process.env, LASTBOLT_DATA: data },
    stdio: ["ignore", "ignore", "pipe"],
  });
  const stop = () => void child.kill("SIGTERM");
  signal.addEventListener("abort", stop);
  let said = "";
  child.stderr.on("data", (chunk: Buffer) => {
    if (said.length < 10_000) said += chunk;
  });
  try {
    // It yields to whoever waits for an answer.
    if (child.pid !== undefined) setPriority(child.pid, 10);
  } catch {
    // It goes on at the usual priority.
  }
  try {
    const status = await new Promise<number | string>((resolve, reject) => {
      child.on("error", reject);
      child.on("close", (code, by) => resolve(code ?? by ?? "no status"));
    });
    if (!(await isThere(file))) throw new Error(said.trim() || `The backup's process ended with ${status}.`);
  } finally {
    signal.removeEventListener("abort", stop);
  }
}

/** What the workshops of a database ask for: the most that one of them keeps; none where all have them off. */
async function asked(store: Store): Promise<number> {
  const on = await store.workshop.findMany({ where: { nightlyBackups: true }, select: { backupsKept: true } });
  return Math.max(0, ...on.map(({ backupsKept }) => backupsKept));
}

export interface NightlyOptions {
  log?: (line: string) => void;
  now?: () => Date;
  write?: typeof writeBeside;
}

/** Looks each minute whether a night's backup is due; the first look, which makes up for nights without the server, is at once. */
export class NightlyBackups implements Nightly {
  private failed: BackupState["failed"] = null;
  private readonly stopping = new AbortController();
  private working: Promise<void> = Promise.resolve();
  private busy = false;
  private timer: NodeJS.Timeout | null = null;

  constructor(
    private readonly store: Store,
    private readonly data: string,
    private readonly options: NightlyOptions = {},
  ) {}

  begin(): this {
    this.look();
    this.timer = setInterval(() => this.look(), LOOK_MS);
    this.timer.unref();
    return this;
  }

  async state(): Promise<BackupState> {
    const [newest] = await backupsIn(this.data);
    return { newest: newest ?? null, failed: this.failed };
  }

  async stop(): Promise<void> {
    if (this.timer !== null) clearInterval(this.timer);
    this.stopping.abort();
    await this.working;
  }

  private look(): void {
    if (this.busy || this.stopping.signal.aborted) return;
    this.busy = true;
    this.working = this.once()
      .catch((error: unknown) => console.error("Whether a backup is due could not be found out:", error))
      .finally(() => {
        this.busy = false;
      });
  }

  /** Writes a backup where one is due, and removes the oldest. */
  async once(): Promise<void> {
    const { log = console.log, now = () => new Date(), write = writeBeside } = this.options;
    const at = now();
    if (this.failed !== null && at.getTime() - this.failed.at.getTime() < AGAIN_MS) return;
    const keep = await asked(this.store);
    if (keep === 0 || !(await isDue(this.store, this.data, at))) return;
    const file = path.join(backupFolder(path.join(this.data, DATABASE)), nameOf(at));
    try {
      await write(this.data, file, this.stopping.signal);
      const removed = await removeOld(this.data, keep);
      this.failed = null;
      log(`Backup of the night: ${file}${removed.length > 0 ? `; ${removed.length} old removed` : ""}`);
    } catch (error) {
      for (const left of unfinishedOf(file)) await rm(left, { force: true }).catch(() => {});
      if (this.stopping.signal.aborted) return;
      const why = error instanceof Error ? error.message : String(error);
      this.failed = { at, why };
      log(`The backup of the night failed, and is tried again in ${AGAIN_MS / 60_000} minutes: ${why}`);
    }
  }
}
