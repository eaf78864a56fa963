/** A backup each night: when it falls due, how many stay, and what becomes of one that fails. */
import { mkdir, readdir, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { describe, expect, test, vi } from "vitest";
import { writeBackup } from "../../server/io/backupWrite.ts";
import {
  AGAIN_MS,
  backupsIn,
  lastNight,
  NightlyBackups,
  removeOld,
  writeBeside,
} from "../../server/io/nightlyBackups.ts";
import { fileOf } from "../../server/io/photographFile.ts";
import { verifyFile } from "../../server/io/verify.ts";
import { type DataFolder, dataFolder } from "../support/dataFolder.ts";
import { serveFolder } from "../support/process.ts";

// Processes are started here, and nothing depends on how long they take.
vi.setConfig({ testTimeout: 300_000 });

/** A moment on the machine's clock. */
const at = (day: number, hour: number, minute = 0): Date => new Date(2027, 0, day, hour, minute);

/** The newest, as the page tells of it. */
const newest = async (data: string) => (await backupsIn(data))[0];
const names = async (data: string) => (await readdir(path.join(data, "backups"))).sort();

/** The database was made on this day, as its first migration says. */
const madeOn = ({ store }: DataFolder, day: Date) =>
  store.$executeRawUnsafe("UPDATE _prisma_migrations SET started_at = ?", day.getTime());

/** The nightly backups of a folder, with a clock of one's own, written in this process. */
function nightly({ store, data }: DataFolder, write?: typeof writeBeside) {
  const clock = { now: at(1, 0) };
  const log: string[] = [];
  const within = async (from: string, file: string): Promise<void> => {
    await mkdir(path.dirname(file), { recursive: true });
    await writeBackup(from, file, { now: clock.now });
  };
  const backups = new NightlyBackups(store, data, {
    log: (line) => log.push(line),
    now: () => clock.now,
    write: write ?? within,
  });
  return {
    backups,
    log,
    /** One look at this moment; the number of backups that lie there then. */
    async look(now: Date): Promise<number> {
      clock.now = now;
      await backups.once();
      return (await backupsIn(data)).length;
    },
  };
}

test("a night's backup falls due at three", () => {
  expect(lastNight(at(5, 2, 59))).toEqual(at(4, 3));
  expect(lastNight(at(5, 3))).toEqual(at(5, 3));
  expect(lastNight(at(5, 23))).toEqual(at(5, 3));
});

describe("one is written", () => {
  test("in the first night of a new database and each night after, once", async () => {
    const made = await dataFolder();
    await madeOn(made, at(4, 12));
    const { look, log } = nightly(made);
    expect(await look(at(4, 13))).toBe(0);
    expect(await look(at(5, 2, 59))).toBe(0);
    expect(await look(at(5, 3, 1))).toBe(1);
    expect(await look(at(5, 3, 2))).toBe(1);
    expect(await look(at(6, 2))).toBe(1);
    expect(await look(at(6, 9))).toBe(2);
    expect(log.map((line) => line.split(":")[0])).toEqual(["Backup of the night", "Backup of the night"]);
  });

  test("at the next start where the nights were missed, and only one for all of them", async () => {
    const made = await dataFolder();
    await madeOn(made, at(1, 12));
    const { look } = nightly(made);
    expect(await look(at(9, 14))).toBe(1);
    expect(await look(at(9, 15))).toBe(1);
  });

  test("never where the workshop has them off", async () => {
    const made = await dataFolder();
    await madeOn(made, at(1, 12));
    await made.store.workshop.updateMany({ data: { nightlyBackups: false } });
    expect(await nightly(made).look(at(9, 14))).toBe(0);
  });
});

test("as many are kept as the workshop says, the oldest go, and others' files in the folder stay", async () => {
  const made = await dataFolder();
  await madeOn(made, at(1, 12));
  await made.store.workshop.updateMany({ data: { backupsKept: 2 } });
  const { look } = nightly(made);
  expect(await look(at(2, 4))).toBe(1);
  const folder = path.join(made.data, "backups");
  await writeBackup(made.data, path.join(folder, "before the move.zip"), { now: at(2, 5) });
  await writeFile(path.join(folder, "lastbolt-20270101T000000000Z.db"), "");
  await writeFile(path.join(folder, "nightly-20270101T000000000Z.zip.part"), "half");
  for (let day = 3; day <= 6; day++) await look(at(day, 4));
  const left = await names(made.data);
  expect(left.filter((name) => name.startsWith("nightly"))).toHaveLength(2);
  expect(left).toEqual(expect.arrayContaining(["before the move.zip", "lastbolt-20270101T000000000Z.db"]));
  expect((await newest(made.data))?.madeAt).toEqual(at(6, 4));
});

test("the newest that lacks nothing stays, however many come after it", async () => {
  const made = await dataFolder();
  await madeOn(made, at(1, 12));
  const hash = await made.photograph();
  const { look } = nightly(made);
  await made.store.workshop.updateMany({ data: { backupsKept: 1 } });
  await look(at(2, 4));
  await look(at(3, 4));
  const [good] = await backupsIn(made.data);
  expect([good?.photographs, good?.wrong]).toEqual([1, 0]);
  await rm(fileOf(path.join(made.data, "photographs"), hash));
  await look(at(4, 4));
  await look(at(5, 4));
  expect((await backupsIn(made.data)).map(({ madeAt, wrong }) => [madeAt, wrong])).toEqual([
    [at(5, 4), 1],
    [at(3, 4), 0],
  ]);
  expect(await removeOld(made.data, 1)).toEqual([]);
});

test("one that fails is logged, told on the page, tried again after a while, and takes no other with it", async () => {
  const made = await dataFolder();
  await madeOn(made, at(1, 12));
  let tries = 0;
  let full = false;
  const { look, log, backups } = nightly(made, async (data, file) => {
    tries++;
    await mkdir(path.dirname(file), { recursive: true });
    if (full) {
      await writeFile(`${file}.part`, "half");
      throw new Error("There is no room left.");
    }
    await writeBackup(data, file, { now: at(1 + tries, 4) });
  });
  expect(await look(at(2, 4))).toBe(1);
  full = true;
  expect(await look(at(3, 4))).toBe(1);
  expect(await backups.state()).toMatchObject({
    newest: { madeAt: at(2, 4) },
    failed: { at: at(3, 4), why: "There is no room left." },
  });
  expect(log.at(-1)).toBe("The backup of the night failed, and is tried again in 15 minutes: There is no room left.");
  expect((await names(made.data)).filter((name) => name.includes(".part"))).toEqual([]);
  await look(at(3, 4, 5));
  expect(tries).toBe(2);
  full = false;
  await look(new Date(at(3, 4).getTime() + AGAIN_MS));
  expect([tries, (await backups.state()).failed]).toEqual([3, null]);
});

test("a file that is no backup is none, whatever its name", async () => {
  const made = await dataFolder();
  await mkdir(path.join(made.data, "backups"));
  await writeFile(path.join(made.data, "backups", "nightly-20270104T030000000Z.zip"), "PK\x03\x04 and no more");
  expect(await nightly(made).backups.state()).toEqual({ newest: null, failed: null });
});

test("is written by a process of its own while the database is open here, and is whole; what it says of a failure is told", async () => {
  const made = await dataFolder();
  await made.photograph("the casing");
  const file = path.join(made.data, "backups", "nightly-20270104T030000000Z.zip");
  await writeBeside(made.data, file, new AbortController().signal);
  expect((await verifyFile(file)).faults).toEqual([]);
  await expect(writeBeside(made.data, file.replace("nightly", "never"), AbortSignal.abort())).rejects.toThrow();
  await made.close();
  await rm(path.join(made.data, "lastbolt.db"));
  await expect(
    writeBeside(made.data, path.join(made.data, "backups", "other.zip"), new AbortController().signal),
  ).rejects.toThrow("There is no database in");
});

test("a server that missed the nights writes one by itself once it is started, and it is whole", async () => {
  const made = await dataFolder();
  await made.photograph("the casing");
  await madeOn(made, new Date(Date.now() - 3 * 86_400_000));
  await made.close();
  const server = await serveFolder(made.data);
  const file = await vi.waitFor(
    async () => {
      const written = (await names(made.data)).find((name) => /^nightly-.*\.zip$/.test(name));
      if (written === undefined) throw new Error(`No backup is there. The server has said: ${server.said()}`);
      return path.join(made.data, "backups", written);
    },
    { timeout: 200_000, interval: 100 },
  );
  await server.end("SIGTERM");
  const { faults } = await verifyFile(file);
  expect([faults, (await newest(made.data))?.photographs]).toEqual([[], 1]);
});
