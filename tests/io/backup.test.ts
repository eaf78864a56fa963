/** A backup, and what comes back of it: while the shop works on, whatever lies beside it, and whoever is killed meanwhile. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { cpSync } from "node:fs";
import { access, copyFile, cp, mkdir, readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { expect, onTestFinished, test, vi } from "vitest";
import { BackupFault } from "../../server/io/backupFault.ts";
import { manifestIs } from "../../server/io/backupFile.ts";
import { writeBackup } from "../../server/io/backupWrite.ts";
import { tidyPhotographs } from "../../server/io/photographBin.ts";
import { binOf, fileOf, smallFileOf } from "../../server/io/photographFile.ts";
import { readyData } from "../../server/io/readyData.ts";
import { restoreBackup } from "../../server/io/restore.ts";
import { verifyData, verifyFile } from "../../server/io/verify.ts";
import { backUp, connectTo } from "../../server/store/backup.ts";
import { openStore } from "../../server/store/client.ts";
import { lockData } from "../../server/store/lock.ts";
import { migrate } from "../../server/store/migrate.ts";
import { prismaFolder } from "../../server/store/schemaEngine.ts";
import { bytesOf, type DataFolder, dataFolder, openData, scratchFolder } from "../support/dataFolder.ts";
import { runBeside } from "../support/process.ts";

// Much is copied and read again here, and nothing depends on how long it takes.
vi.setConfig({ testTimeout: 600_000 });

const root = fileURLToPath(new URL("../../", import.meta.url));

interface Ended {
  status: number | null;
  out: string;
  err: string;
}

async function ended(child: ReturnType<typeof runBeside>): Promise<Ended> {
  let [out, err] = ["", ""];
  child.stdout!.on("data", (chunk) => {
    out += chunk;
  });
  child.stderr!.on("data", (chunk) => {
    err += chunk;
  });
  const [status] = (await once(child, "close")) as [number | null];
  return { status, out, err };
}
const command = (name: "backup" | "restore" | "verify", data: string, ...args: string[]): Promise<Ended> =>
  ended(runBeside([`server/tools/${name}.ts`, ...args], { LASTBOLT_DATA: data, INIT_CWD: root }));

const isThere = (file: string) =>
  access(file).then(
    () => true,
    () => false,
  );
const photographs = (data: string) => path.join(data, "photographs");
const captions = async ({ store }: DataFolder) =>
  (await store.photograph.findMany({ orderBy: { caption: "asc" } })).map(({ caption }) => caption);
const fault = async (work: Promise<unknown>): Promise<BackupFault> => {
  const error = await work.then(
    () => null,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(BackupFault);
  return error as BackupFault;
};

/** A closed data folder with two photographs, and a backup of it in a folder of its own. */
async function backedUp() {
  const made = await dataFolder();
  await made.photograph("before 1");
  await made.photograph("before 2");
  await made.close();
  const file = path.join(await scratchFolder(), "kept.zip");
  await writeBackup(made.data, file);
  return { data: made.data, file };
}

/** One more photograph than the backup has. */
async function goneOn(data: string): Promise<string> {
  const open = await openData(data);
  const hash = await open.photograph("since");
  await open.close();
  return hash;
}

test("taken while four writers write, it holds every write acknowledged before it began, and passes the check", async () => {
  const made = await dataFolder();
  const { store, restorationId, data } = made;
  const { id: workshopId } = await store.workshop.findFirstOrThrow();
  const done: { parts: string[]; hashes: string[]; suppliers: string[]; invoices: string[] } = {
    parts: [],
    hashes: [],
    suppliers: [],
    invoices: [],
  };
  let writing = true;
  let n = 0;
  const writer = async (write: (code: string) => Promise<unknown>): Promise<void> => {
    while (writing) {
      await write(`no ${++n}`);
      // As requests come in turn: the store may answer without one of the loop.
      await new Promise((resolve) => setImmediate(resolve));
    }
  };
  const writers = [
    writer(async (code) => {
      const { id } = await store.part.create({ data: { restorationId, code, name: "Casting" } });
      done.parts.push(id);
    }),
    writer(async (code) => void done.hashes.push(await made.photograph(code))),
    writer(async (code) => {
      const { id } = await store.$transaction((tx) =>
        tx.supplier.create({ data: { workshopId, code, name: "Foundry" } }),
      );
      done.suppliers.push(id);
    }),
    writer(async (code) => {
      const day = "2027-01-04";
      const { id } = await store.invoice.create({
        data: { restorationId, code, kind: "INVOICE", day, amountMinor: 100, currency: "GBP" },
      });
      done.invoices.push(id);
    }),
  ];
  await expect.poll(() => done.hashes.length, { timeout: 20_000 }).toBeGreaterThan(3);
  const before = structuredClone(done);
  const file = path.join(await scratchFolder(), "kept.zip");
  const { status, err } = await command("backup", data, file);
  writing = false;
  await Promise.all(writers);
  expect([status, err]).toEqual([0, ""]);
  expect(done.parts.length).toBeGreaterThan(before.parts.length);

  const elsewhere = await scratchFolder();
  await restoreBackup(file, elsewhere);
  expect((await verifyData(elsewhere)).faults).toEqual([]);
  const back = await openStore(path.join(elsewhere, "lastbolt.db"));
  onTestFinished(() => back.$disconnect());
  const ids = async (rows: Promise<{ id: string }[]>) => new Set((await rows).map(({ id }) => id));
  const parts = await ids(back.part.findMany());
  const suppliers = await ids(back.supplier.findMany());
  const invoices = await ids(back.invoice.findMany());
  expect(before.parts.filter((id) => !parts.has(id))).toEqual([]);
  expect(before.suppliers.filter((id) => !suppliers.has(id))).toEqual([]);
  expect(before.invoices.filter((id) => !invoices.has(id))).toEqual([]);
  const named = new Set((await back.photograph.findMany()).map(({ hash }) => hash));
  expect(before.hashes.filter((hash) => !named.has(hash))).toEqual([]);
  for (const hash of named)
    expect(await readFile(fileOf(photographs(elsewhere), hash))).toEqual(
      await readFile(fileOf(photographs(data), hash)),
    );
});

test("says what it holds: version, day, migrations, rows of each table, and the SHA-256 of each file", async () => {
  const { file } = await backedUp();
  const said = await manifestIs(file);
  expect(said).toMatchObject({ program: "lastbolt", format: 1, missing: [], altered: [] });
  expect(said.migrations).toContain("20261125092746_first_tables");
  expect([said.tables["Photograph"], said.tables["Part"]]).toEqual([2, 0]);
  expect(Object.keys(said.files)).toHaveLength(1 + 2 * 2);
});

test("a photograph that only undo may bring back is in it, and so is one that lies in the bin", async () => {
  const made = await dataFolder();
  const { store, data, restorationId, accountId } = made;
  const removed = await made.photograph("removed");
  const binned = await made.photograph("binned");
  const row = await store.photograph.findFirstOrThrow({ where: { hash: removed } });
  await store.change.create({
    data: {
      restorationId,
      accountId,
      summary: "Removed",
      rows: JSON.stringify([{ table: "photograph", before: row }]),
    },
  });
  await store.photograph.delete({ where: { id: row.id } });
  for (const at of [fileOf, smallFileOf]) {
    await mkdir(path.dirname(at(binOf(photographs(data)), binned)), { recursive: true });
    await rename(at(photographs(data), binned), at(binOf(photographs(data)), binned));
  }
  const file = path.join(await scratchFolder(), "kept.zip");
  await writeBackup(data, file);
  const elsewhere = await scratchFolder();
  await restoreBackup(file, elsewhere);
  expect(await isThere(fileOf(photographs(elsewhere), removed))).toBe(true);
  expect(await isThere(fileOf(photographs(elsewhere), binned))).toBe(true);
});

test("replaces no file unasked, and nothing is left where it cannot be written", async () => {
  const { data, file } = await backedUp();
  const before = await readFile(file);
  expect((await fault(writeBackup(data, file))).code).toBe("EXISTS");
  expect(await readFile(file)).toEqual(before);
  await writeBackup(data, file, { overwrite: true, now: new Date("2027-01-04T03:00:00Z") });
  expect((await manifestIs(file)).madeAt).toBe("2027-01-04T03:00:00.000Z");
  expect((await fault(writeBackup(data, path.join(data, "no such folder", "kept.zip")))).code).toBe("MISSING");
  expect((await fault(writeBackup(await scratchFolder(), path.join(data, "kept.zip")))).code).toBe("MISSING");
  expect(await readdir(path.dirname(file))).toEqual(["kept.zip"]);
});

test("a folder named for a file is told so, by each of the three commands", async () => {
  const { data, file } = await backedUp();
  const folder = await scratchFolder();
  for (const work of [
    () => writeBackup(data, folder, { overwrite: true }),
    () => restoreBackup(folder, data),
    () => verifyFile(folder),
  ])
    expect(await fault(work())).toMatchObject({ code: "FOLDER", message: expect.stringContaining("is a folder") });
  expect(await readdir(folder)).toEqual([]);
  expect(await readdir(path.dirname(file))).toEqual(["kept.zip"]);
});

test("where the disk is full it says so, ends with status 2, and leaves no half of it", async () => {
  const { data } = await backedUp();
  const folder = await scratchFolder();
  const file = path.join(folder, "kept.zip");
  // No file of this process may grow past 600 kB: the copy of the database is larger.
  const limited = spawn(
    "sh",
    ["-c", 'ulimit -f 1200; exec "$0" --import tsx server/tools/backup.ts "$1"', process.execPath, file],
    { cwd: root, env: { ...process.env, LASTBOLT_DATA: data }, stdio: ["ignore", "pipe", "pipe"] },
  );
  const { status, err } = await ended(limited as ReturnType<typeof runBeside>);
  expect(err).toContain("Nothing was left behind.");
  expect(status).toBe(2);
  expect(await readdir(folder)).toEqual([]);
});

test("stopped, it leaves nothing behind", async () => {
  const { data } = await backedUp();
  const folder = await scratchFolder();
  const stop = new AbortController();
  const stopped = await fault(
    writeBackup(data, path.join(folder, "kept.zip"), {
      signal: stop.signal,
      tell: (what) => what.startsWith("Adding") && stop.abort(),
    }),
  );
  expect(stopped.code).toBe("STOPPED");
  expect(await readdir(folder)).toEqual([]);
});

test("by Ctrl-C it ends as any program does, and leaves nothing half", async () => {
  const { data } = await backedUp();
  const folder = await scratchFolder();
  const file = path.join(folder, "kept.zip");
  const child = runBeside(["server/tools/backup.ts", file], { LASTBOLT_DATA: data });
  const end = ended(child);
  const begun = setInterval(async () => {
    if ((await readdir(folder)).length > 0) child.kill("SIGINT");
  }, 2);
  const { status } = await end;
  clearInterval(begun);
  // It may have been done before it heard of it.
  expect(await readdir(folder)).toEqual(status === 0 ? ["kept.zip"] : []);
  if (status === 0) expect((await verifyFile(file)).faults).toEqual([]);
  else expect(child.signalCode).toBe("SIGINT");
});

/** What a kill at each moment at which it tells how far it is would leave of a folder, one copy each. */
async function leftAt(folder: string, work: (tell: () => void) => Promise<unknown>): Promise<string[]> {
  const copies = await scratchFolder();
  const left: string[] = [];
  await work(() => {
    const copy = path.join(copies, String(left.length));
    cpSync(folder, copy, { recursive: true, filter: (file) => !path.basename(file).startsWith("lock.") });
    left.push(copy);
  });
  return left;
}

const killed = (what: "backup" | "restore", file: string, data: string, at: number) => {
  const child = runBeside(["tests/support/killed.ts", what, file, data, String(at)]);
  return ended(child).then(() => child.signalCode);
};

test("killed at any moment it leaves no backup that is not whole, and the next one is written", async () => {
  const { data } = await backedUp();
  const folder = await scratchFolder();
  const file = path.join(folder, "kept.zip");
  const left = await leftAt(folder, (tell) => writeBackup(data, file, { tell }));
  expect(left.length).toBeGreaterThan(5);
  for (const [at, copy] of left.entries()) {
    expect((await readdir(copy)).filter((name) => !name.includes(".part"))).toEqual([]);
    if (at % 3 !== 0) continue;
    await writeBackup(data, path.join(copy, "kept.zip"));
    expect(await readdir(copy)).toEqual(["kept.zip"]);
  }
  await rm(file);
  expect(await killed("backup", file, data, 4)).toBe("SIGKILL");
  expect(await isThere(file)).toBe(false);
  await writeBackup(data, file);
  expect([await readdir(folder), (await verifyFile(file)).faults]).toEqual([["kept.zip"], []]);
  expect((await verifyData(data)).faults).toEqual([]);
});

test("restored beside a write-ahead log that a killed server left, it is what was backed up, and the newer data can be had back", async () => {
  const { data, file } = await backedUp();
  // As after a kill: what was written since stands in the log alone.
  const open = await openData(data);
  await open.photograph("since");
  const killed = await scratchFolder();
  await cp(data, killed, { recursive: true });
  await open.close();
  expect(await isThere(path.join(killed, "lastbolt.db-wal"))).toBe(true);

  const { aside } = await restoreBackup(file, killed);
  expect(await isThere(path.join(killed, "lastbolt.db-wal"))).toBe(false);
  expect((await verifyData(killed)).faults).toEqual([]);
  const back = await openData(killed);
  expect(await captions(back)).toEqual(["before 1", "before 2"]);
  await back.close();

  const { notes } = await restoreBackup(path.join(aside!, "lastbolt.db"), killed);
  expect(notes).toEqual([]);
  const again = await openData(killed);
  expect(await captions(again)).toEqual(["before 1", "before 2", "since"]);
  expect((await verifyData(killed)).faults).toEqual([]);
});

test("killed at any moment, a restore leaves all of the old data or all of the new", async () => {
  const { data, file } = await backedUp();
  await goneOn(data);
  const [old, young] = ["before 1,before 2,since", "before 1,before 2"];
  /** What the next start finds. */
  const startsWith = async (folder: string): Promise<string> => {
    await readyData(folder, () => {});
    expect((await verifyData(folder)).faults).toEqual([]);
    expect((await readdir(folder)).filter((name) => /^restor/.test(name))).toEqual([]);
    const open = await openData(folder);
    const found = await captions(open);
    await open.close();
    return found.join();
  };
  const first = await scratchFolder();
  await cp(data, first, { recursive: true });
  const left = await leftAt(first, (tell) => restoreBackup(file, first, { tell }));
  const found: string[] = [];
  for (const copy of left) found.push(await startsWith(copy));
  // Old up to the one rename that decides, and new from there on.
  const decided = found.indexOf(young);
  expect(decided).toBeGreaterThan(3);
  expect(found.length - decided).toBeGreaterThan(6);
  expect(found).toEqual(found.map((_, at) => (at < decided ? old : young)));
  for (const [at, then] of [
    [decided, old],
    [decided + 4, young],
  ] as const) {
    const folder = await scratchFolder();
    await cp(data, folder, { recursive: true });
    expect(await killed("restore", file, folder, at)).toBe("SIGKILL");
    expect(await startsWith(folder)).toBe(then);
  }
});

test("is refused while a server has the data folder, and nothing is touched", async () => {
  const { data, file } = await backedUp();
  await goneOn(data);
  const lock = await lockData(data);
  const before = await bytesOf(data);
  const { status, err } = await command("restore", data, file);
  expect([status, err]).toEqual([2, expect.stringContaining("is in use by another Lastbolt")]);
  expect(await bytesOf(data)).toEqual(before);
  await lock.release();
  expect((await command("restore", data, file)).status).toBe(0);
});

test("damaged in any place it is refused before the data is touched", async () => {
  const { data, file } = await backedUp();
  const whole = await readFile(file);
  const said = await manifestIs(file);
  const picture = Object.keys(said.files).find((entry) => /\/[0-9a-f]{64}$/.test(entry))!;
  const damaged: [string, Buffer][] = [
    ["cut short", whole.subarray(0, whole.length - 200)],
    ["its first half", whole.subarray(0, whole.length / 2)],
  ];
  const inPicture = Buffer.from(whole);
  const at = whole.indexOf(picture) + picture.length + 40;
  inPicture[at]! ^= 1;
  damaged.push(["a bit of a picture", inPicture]);
  const inDatabase = Buffer.from(whole);
  inDatabase[whole.indexOf("lastbolt.db") + 5_000]! ^= 1;
  damaged.push(["a bit of the database", inDatabase]);
  const before = await bytesOf(data);
  for (const [what, bytes] of damaged) {
    const spoilt = path.join(await scratchFolder(), "spoilt.zip");
    await writeFile(spoilt, bytes);
    expect([what, (await fault(restoreBackup(spoilt, data))).message]).toEqual([
      what,
      expect.stringMatching(/damaged|no whole backup/),
    ]);
    expect(await bytesOf(data)).toEqual(before);
    if (what === "its first half")
      expect((await fault(restoreBackup(spoilt, data))).message).toBe(
        `${spoilt} is no whole backup of this program: it is cut short, or is no zip file.`,
      );
  }
  const text = path.join(await scratchFolder(), "notes.txt");
  await writeFile(text, "Crate 4: gearbox casing, cracked.");
  expect((await fault(restoreBackup(text, data))).code).toBe("NOT_A_BACKUP");
  expect((await fault(restoreBackup(path.join(data, "lastbolt.db"), data))).code).toBe("SAME_FILE");
  expect((await fault(restoreBackup(path.join(data, "nothing.zip"), data))).code).toBe("MISSING");
  expect(await bytesOf(data)).toEqual(before);
});

/** The program's migrations up to one of them, or with one more. */
async function versionOf(change: (names: string[]) => string[]): Promise<string> {
  const own = path.join(prismaFolder, "migrations");
  const folder = await scratchFolder();
  const names = (await readdir(own)).filter((name) => /^\d/.test(name)).sort();
  for (const name of change(names)) {
    if (names.includes(name)) await cp(path.join(own, name), path.join(folder, name), { recursive: true });
    else {
      await mkdir(path.join(folder, name));
      await writeFile(
        path.join(folder, name, "migration.sql"),
        'CREATE TABLE "Later" ("id" TEXT NOT NULL PRIMARY KEY);',
      );
    }
  }
  return folder;
}

test("one of an older version is restored, and brought up to date at the next start", async () => {
  const older = await scratchFolder();
  const migrations = await versionOf((names) => names.slice(0, 3));
  await migrate(path.join(older, "lastbolt.db"), { migrations });
  const connection = connectTo(path.join(older, "lastbolt.db"));
  await connection.execute(`INSERT INTO "Workshop" ("id", "name") VALUES ('w', 'Quill Lane Workshop')`);
  connection.close();
  const file = path.join(await scratchFolder(), "older.zip");
  await writeBackup(older, file);
  const { data } = await backedUp();
  await restoreBackup(file, data);
  expect((await migrate(path.join(data, "lastbolt.db"))).applied.length).toBeGreaterThan(3);
  const store = await openStore(path.join(data, "lastbolt.db"));
  onTestFinished(() => store.$disconnect());
  expect((await store.workshop.findMany()).map(({ name }) => name)).toEqual(["Quill Lane Workshop"]);
  expect((await verifyData(data)).faults).toEqual([]);
});

test("one of a newer version is refused by the name of what this version does not know", async () => {
  const newer = await scratchFolder();
  const migrations = await versionOf((names) => [...names, "99990101000000_later"]);
  await migrate(path.join(newer, "lastbolt.db"), { migrations });
  const file = path.join(await scratchFolder(), "newer.zip");
  await writeBackup(newer, file);
  const { data } = await backedUp();
  const before = await bytesOf(data);
  const refused = await fault(restoreBackup(file, data));
  expect([refused.code, refused.message]).toEqual([
    "NEWER_VERSION",
    expect.stringContaining("99990101000000_later, which this version does not know"),
  ]);
  expect(await bytesOf(data)).toEqual(before);
});

test("the copy that was kept before a migration is restored with the photographs that it names, from the bin too", async () => {
  const made = await dataFolder();
  const { data, store } = made;
  const kept = await made.photograph("kept");
  const connection = connectTo(path.join(data, "lastbolt.db"));
  const copy = await backUp(path.join(data, "lastbolt.db"), connection);
  connection.close();
  await store.photograph.deleteMany();
  await tidyPhotographs(store, photographs(data));
  expect(await isThere(fileOf(photographs(data), kept))).toBe(false);
  await made.close();
  expect(await restoreBackup(copy, data)).toMatchObject({ notes: [] });
  expect((await verifyData(data)).faults).toEqual([]);
  expect(await isThere(fileOf(photographs(data), kept))).toBe(true);
});

test("a missing or altered photograph is named by the check, by status 1; a whole folder is OK by 0, none is 2", async () => {
  const { data, file } = await backedUp();
  expect(await command("verify", data)).toMatchObject({
    status: 0,
    out: expect.stringMatching(/^OK: .* 2 photographs/),
  });
  expect(await command("verify", data, file)).toMatchObject({ status: 0, out: expect.stringMatching(/^OK: /) });
  expect((await command("verify", await scratchFolder())).status).toBe(2);
  expect((await command("verify", data, path.join(data, "nothing"))).status).toBe(2);

  const open = await openData(data);
  const [first, second] = (await open.store.photograph.findMany({ orderBy: { caption: "asc" } })).map(
    ({ hash }) => hash,
  );
  await rm(fileOf(photographs(data), first!));
  await rm(smallFileOf(photographs(data), second!));
  await copyFile(path.join(prismaFolder, "schema.prisma"), fileOf(photographs(data), second!));
  // The server may be writing meanwhile.
  const { status, out } = await command("verify", data);
  expect(status).toBe(1);
  expect(out).toContain(`${first} is missing.`);
  expect(out).toContain(`${second}.small is missing.`);
  expect(out).toContain(`${second} is not the picture it was.`);
  expect(out).toContain("3 faults in");
  await open.close();

  // What is left is backed up all the same, and says what it lacks; restored, it says so again.
  const poorer = path.join(await scratchFolder(), "poorer.zip");
  const { status: backup, err } = await command("backup", data, poorer);
  expect([backup, err.split("\n").length - 1]).toEqual([1, 3]);
  expect((await verifyFile(poorer)).faults).toHaveLength(3);
  const { notes } = await restoreBackup(poorer, await scratchFolder());
  expect(notes).toHaveLength(3);
  // The one that was whole brings all of it back.
  await restoreBackup(file, data);
  expect((await verifyData(data)).faults).toEqual([]);
});
