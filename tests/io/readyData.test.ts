/** What a start looks after first: a damaged database is refused, and the way back is named. */
import { copyFile, cp, mkdir, open, rm } from "node:fs/promises";
import path from "node:path";
import { expect, test, vi } from "vitest";
import { BackupFault } from "../../server/io/backupFault.ts";
import { writeBackup } from "../../server/io/backupWrite.ts";
import { readyData } from "../../server/io/readyData.ts";
import { restoreBackup } from "../../server/io/restore.ts";
import { backUp, connectTo } from "../../server/store/backup.ts";
import { bytesOf, dataFolder, openData, scratchFolder } from "../support/dataFolder.ts";
import { serveFolder } from "../support/process.ts";

// Processes are started here, and nothing depends on how long they take.
vi.setConfig({ testTimeout: 300_000 });

/** Writes nonsense over pages of a database in its middle. */
async function spoil(file: string): Promise<void> {
  const handle = await open(file, "r+");
  const { size } = await handle.stat();
  await handle.write(Buffer.alloc(4096 * 8, 0xa5), 0, 4096 * 8, Math.floor(size / 8192) * 4096);
  await handle.close();
}

const refusal = async (data: string): Promise<string> => {
  const error = await readyData(data, () => {}).catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(BackupFault);
  return (error as BackupFault).message;
};

/** A closed folder whose database is spoilt. */
async function spoilt(): Promise<string> {
  const made = await dataFolder();
  await made.photograph();
  await made.close();
  await spoil(path.join(made.data, "lastbolt.db"));
  return made.data;
}

test("a sound database, and a folder without one, pass without a word", async () => {
  const made = await dataFolder();
  await made.close();
  const said: string[] = [];
  await readyData(made.data, (line) => said.push(line));
  await readyData(await scratchFolder(), (line) => said.push(line));
  expect(said.filter((line) => !line.startsWith("The database was checked in"))).toEqual([]);
});

test("a damaged one is refused by a real start, untouched, with the newest backup and the command that brings it back", async () => {
  const made = await dataFolder();
  await made.photograph();
  await made.close();
  const { data } = made;
  const backup = path.join(data, "backups", "nightly-20270104T030000000Z.zip");
  await mkdir(path.dirname(backup));
  await writeBackup(data, backup, { now: new Date("2027-01-04T03:00:00Z") });
  await spoil(path.join(data, "lastbolt.db"));
  const before = await bytesOf(data);
  const server = await serveFolder(data, { LASTBOLT_SEED: "none" });
  expect([server.address, await server.ended]).toEqual([null, 1]);
  expect(server.said()).toContain("is damaged");
  expect(server.said()).toContain("with 1 photograph");
  expect(server.said()).toContain(`npm run -s restore -- ${backup}`);
  expect(await bytesOf(data)).toEqual(before);
  await restoreBackup(backup, data);
  await readyData(data, () => {});
});

test("without a nightly backup the copy from before a migration is named, and without any that there is none", async () => {
  const data = await spoilt();
  expect(await refusal(data)).toContain("There is no backup in");
  const sound = await dataFolder();
  const connection = connectTo(path.join(sound.data, "lastbolt.db"));
  const copy = await backUp(path.join(sound.data, "lastbolt.db"), connection);
  connection.close();
  await cp(path.join(sound.data, "backups"), path.join(data, "backups"), { recursive: true });
  expect(await refusal(data)).toContain(`npm run -s restore -- ${path.join(data, "backups", path.basename(copy))}`);
});

test("a backup copied by hand over a database whose write-ahead log a kill left is refused, and not served as it is", async () => {
  const made = await dataFolder();
  const { data, store, restorationId } = made;
  const add = (from: number, count: number) =>
    store.part.createMany({
      data: Array.from({ length: count }, (_, i) => ({
        restorationId,
        code: `no ${from + i}`,
        name: "Casting ".repeat(9),
      })),
    });
  // Written by turns, the pages of two tables lie between each other in the file, and one after the other in its copy.
  for (let turn = 0; turn < 10; turn++) {
    await add(30 * turn, 30);
    await store.operation.createMany({
      data: Array.from({ length: 60 }, (_, i) => ({
        restorationId,
        code: `turn ${turn} no ${i}`,
        title: "Fettle the casting ".repeat(9),
        trade: "engine",
        hoursLikely: 1,
      })),
    });
  }
  const connection = connectTo(path.join(data, "lastbolt.db"));
  const copy = await backUp(path.join(data, "lastbolt.db"), connection);
  connection.close();
  await store.$queryRawUnsafe("PRAGMA wal_checkpoint(TRUNCATE)");
  await store.part.deleteMany({ where: { code: { contains: "1" } } });
  await add(1_000, 2_000);
  const killed = await scratchFolder();
  await cp(data, killed, { recursive: true });
  await copyFile(copy, path.join(killed, "lastbolt.db"));
  await rm(path.join(killed, "lastbolt.db-shm"), { force: true });
  expect(await refusal(killed)).toContain("is damaged");
  // By the command it is whole.
  await restoreBackup(path.join(killed, "backups", path.basename(copy)), killed);
  await readyData(killed, () => {});
  const back = await openData(killed);
  expect(await back.store.part.count()).toBe(300);
});
