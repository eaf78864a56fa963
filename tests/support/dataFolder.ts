/** A data folder of its own: a database with a restoration in it, and photographs as files. */
import { createHash } from "node:crypto";
import { copyFile, mkdir, mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import sharp from "sharp";
import { onTestFinished } from "vitest";
import { storePhotograph } from "../../server/io/photographFile.ts";
import { openStore, type Store } from "../../server/store/client.ts";
import { migrate } from "../../server/store/migrate.ts";

let shade = 0;

/** A folder that goes when the test has finished. */
export async function scratchFolder(): Promise<string> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-data-"));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  return folder;
}

export interface DataFolder {
  data: string;
  store: Store;
  restorationId: string;
  accountId: string;
  /** Stores a picture unlike any other, and a row that names it. Returns its hash. */
  photograph(caption?: string): Promise<string>;
  /** Closes the store. */
  close(): Promise<void>;
}

/** A new data folder with one workshop and one restoration, open. */
export async function dataFolder(): Promise<DataFolder> {
  const data = await scratchFolder();
  const file = path.join(data, "lastbolt.db");
  const template = process.env["LASTBOLT_TEST_TEMPLATE"];
  if (template === undefined) await migrate(file);
  else await copyFile(template, file);
  return openData(data);
}

/** Opens a data folder, and makes its workshop where there is none. */
export async function openData(data: string): Promise<DataFolder> {
  const store = await openStore(path.join(data, "lastbolt.db"));
  const workshop =
    (await store.workshop.findFirst()) ?? (await store.workshop.create({ data: { name: "Quill Lane Workshop" } }));
  const workshopId = workshop.id;
  const account =
    (await store.account.findFirst()) ??
    (await store.account.create({ data: { workshopId, name: "Hesper Quill", admin: true } }));
  const restoration =
    (await store.restoration.findFirst()) ??
    (await store.restoration.create({ data: { workshopId, machine: "1913 Tallow & Wren" } }));
  let open = true;
  const close = async (): Promise<void> => {
    if (open) await store.$disconnect();
    open = false;
  };
  onTestFinished(close);
  return {
    data,
    store,
    restorationId: restoration.id,
    accountId: account.id,
    async photograph(caption = "") {
      const colour = ++shade;
      const picture = await sharp({
        create: { width: 24, height: 16, channels: 3, background: { r: colour % 256, g: (colour >> 8) % 256, b: 60 } },
      })
        .png()
        .toBuffer();
      const stored = await storePhotograph(path.join(data, "photographs"), picture);
      await store.photograph.create({
        data: { restorationId: restoration.id, accountId: account.id, caption, ...stored },
      });
      return stored.hash;
    },
    close,
  };
}

/**
 * Every file of a folder by its path within it, with the hash of its bytes. What the lock keeps there is left out, and so
 * is an empty log: a closed connection lets go of it only when memory is next cleared.
 */
export async function bytesOf(folder: string): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  await mkdir(folder, { recursive: true });
  for (const entry of await readdir(folder, { recursive: true, withFileTypes: true })) {
    const file = path.join(entry.parentPath, entry.name);
    if (!entry.isFile() || entry.name.startsWith("lock.") || entry.name.endsWith("-shm")) continue;
    const bytes = await readFile(file);
    if (entry.name.endsWith("-wal") && bytes.length === 0) continue;
    found.set(path.relative(folder, file), createHash("sha256").update(bytes).digest("hex"));
  }
  return found;
}
