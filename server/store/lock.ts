/** The data folder is one process's alone: two servers on one folder would each keep plans and photographs the other does not know of. */
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import type { Client, Transaction } from "@libsql/client";
import { connectTo } from "./backup.ts";

/** Who has the folder, as far as that is known. */
export interface Holder {
  pid: number;
  /** Where it is reached, once it listens. */
  address?: string;
}

/** Another live process has the data folder. Nothing was touched. */
export class DataInUse extends Error {
  readonly code = "DATA_IN_USE";
  override readonly name = "DataInUse";
  constructor(
    readonly folder: string,
    readonly holder: Holder | null,
  ) {
    const who = holder === null ? "" : ` (process ${holder.pid}${holder.address ? `, ${holder.address}` : ""})`;
    super(`The data folder ${folder} is in use by another Lastbolt${who}. Stop that one first. Nothing was touched.`);
  }
}

export interface DataLock {
  /** Notes where this process is reached, for the message that another gets. */
  reachedAt(address: string): Promise<void>;
  release(): Promise<void>;
}

/** Milliseconds to wait for somebody who only looks whether the folder is free. */
const LOOK_MS = 500;

// A connection that nobody refers to is closed in time, and its lock with it.
const held = new Set<object>();

/**
 * Takes the data folder, which is made where there is none, until `release` or the end of this process, however it
 * ends. The lock is the operating system's on `lock.db`, by a transaction that never writes: a dead process holds
 * nothing. `lock.json` says who it is, and counts for nothing else. Never move or remove `lock.db`, and open it by no
 * other way in this process: on some systems closing any handle of a file gives up its locks.
 * Throws {@link DataInUse}.
 */
export async function lockData(folder: string): Promise<DataLock> {
  const whole = path.resolve(folder);
  const note = path.join(whole, "lock.json");
  await mkdir(whole, { recursive: true });
  const connection = connectTo(path.join(whole, "lock.db"), LOOK_MS);
  const transaction = await begin(connection).catch(async (error: unknown) => {
    connection.close();
    if ((error as { code?: unknown }).code !== "SQLITE_BUSY") throw error;
    throw new DataInUse(whole, await holderOf(note));
  });
  held.add(transaction);
  // Without the note (the disk may be full) the lock holds all the same.
  const say = (holder: Holder) => writeFile(note, `${JSON.stringify(holder)}\n`).catch(() => {});
  await say({ pid: process.pid });
  return {
    reachedAt: (address) => say({ pid: process.pid, address }),
    async release() {
      if (!held.delete(transaction)) return;
      await rm(note, { force: true }).catch(() => {});
      await transaction.rollback();
      connection.close();
    },
  };
}

async function begin(connection: Client): Promise<Transaction> {
  // A file that holds something: to begin on an empty one writes, which a full disk would not let pass.
  const { rows } = await connection.execute("PRAGMA user_version");
  if (rows[0]?.["user_version"] === 0) await connection.execute("PRAGMA user_version = 1");
  return connection.transaction("write");
}

async function holderOf(note: string): Promise<Holder | null> {
  try {
    const { pid, address } = JSON.parse(await readFile(note, "utf8")) as Partial<Record<keyof Holder, unknown>>;
    if (typeof pid !== "number") return null;
    return typeof address === "string" ? { pid, address } : { pid };
  } catch {
    return null;
  }
}
