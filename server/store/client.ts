/** The one way to the database file: a Prisma client over libsql. */
import { mkdir } from "node:fs/promises";
import path from "node:path";
import { pathToFileURL } from "node:url";
import type { Client } from "@libsql/client";
import { PrismaLibSql } from "@prisma/adapter-libsql";
import type { SqlDriverAdapter } from "@prisma/driver-adapter-utils";
import { PrismaClient } from "../generated/prisma/client.ts";
import { withCodeOrder } from "./codes.ts";
import { Connection, clientOf } from "./connection.ts";

/** Everything that is stored. Inside a `$transaction` callback use only the {@link Tx} it is given: the store itself reads what was committed before, and waits to write. */
export type Store = PrismaClient;

/** The store as seen from inside one transaction. */
export type Tx = Parameters<Parameters<Store["$transaction"]>[0]>[0];

/** The address of a database file as libsql reads it; any character may stand in the path. */
export const fileUrl = (file: string): string => pathToFileURL(path.resolve(file)).href;

/**
 * Prisma's libsql adapter over connections of our own. What it reads outside a transaction it reads on a connection of
 * its own, and so waits for nobody who writes: it finds what was committed last.
 */
class LibSql extends PrismaLibSql {
  constructor(
    protected readonly file: string,
    protected readonly patience?: number,
  ) {
    super({ url: fileUrl(file) });
  }

  override createClient(): Client {
    return clientOf(new Connection(this.file, this.patience));
  }

  /** The connection, which when it is closed leaves nothing in the write-ahead log: the file alone is then the database. */
  override async connect(): Promise<SqlDriverAdapter> {
    const connection = await super.connect();
    const close = connection.dispose.bind(connection);
    connection.dispose = async () => {
      // Another process may be writing; then what stands in the log stays there, and is safe.
      await connection.executeScript("PRAGMA wal_checkpoint(TRUNCATE)").catch(() => {});
      await close();
    };
    return connection;
  }
}

/** The same with a connection for reading beside the one that writes. */
class TwoLibSql extends LibSql {
  private writing: Connection | null = null;
  private reading: Connection | null = null;

  override createClient(): Client {
    // The one that writes is opened first.
    const connection = new Connection(this.file, this.patience);
    if (this.writing === null) this.writing = connection;
    else this.reading = connection;
    return clientOf(connection);
  }

  version(): number {
    if (this.reading === null) throw new Error("The store is not connected.");
    return this.reading.version();
  }

  /** The connection on which a transaction is. */
  get writer(): Connection {
    if (this.writing === null) throw new Error("The store is not connected.");
    return this.writing;
  }

  override async connect(): Promise<SqlDriverAdapter> {
    this.writing = null;
    const writer = await super.connect();
    const reader = await super.connect();
    const write = writer.queryRaw.bind(writer);
    writer.queryRaw = (query) => (query.sql.startsWith("SELECT") ? reader.queryRaw(query) : write(query));
    const close = writer.dispose.bind(writer);
    writer.dispose = async () => {
      await reader.dispose();
      await close();
    };
    return writer;
  }
}

/** A driver adapter for one file, as the schema engine wants it: what it has not committed, it reads. */
export const adapterFor = (file: string): PrismaLibSql => new LibSql(file);

/**
 * Opens a database file, and makes it and its folder when they are not there. Migrate it first: {@link migrate}.
 * Write-ahead log and foreign keys are on. Close with `store.$disconnect()`.
 * @param patience milliseconds to wait for another process that is writing
 */
export async function openStore(file: string, { patience }: { patience?: number } = {}): Promise<Store> {
  await mkdir(path.dirname(path.resolve(file)), { recursive: true });
  // A whole import is one transaction, so it may last longer than the few seconds Prisma allows.
  const adapter = new TwoLibSql(file, patience);
  const store = new PrismaClient({
    adapter,
    transactionOptions: { maxWait: 60_000, timeout: 300_000 },
  });
  try {
    await store.$queryRawUnsafe("PRAGMA journal_mode = WAL");
  } catch (error) {
    await store.$disconnect();
    throw error;
  }
  return withCodes(Object.assign(store, { [ADAPTER]: adapter }));
}

/** The store, which writes with every code what lists sort it by, whoever it is that writes. */
function withCodes(store: PrismaClient): Store {
  interface Write {
    args: object;
    query: (args: never) => Promise<unknown>;
  }
  const writing =
    (...fields: string[]) =>
    ({ args, query }: Write): Promise<unknown> => {
      const given = args as Record<string, unknown>;
      const ordered = fields.map((field) => {
        const data = given[field];
        return [field, Array.isArray(data) ? data.map(withCodeOrder) : withCodeOrder(data)];
      });
      return query({ ...args, ...Object.fromEntries(ordered) } as never);
    };
  const data = writing("data");
  const write = { create: data, createMany: data, createManyAndReturn: data, update: data, updateMany: data };
  const query = { $allModels: { ...write, upsert: writing("create", "update") } };
  return store.$extends({ query } as never) as unknown as Store;
}

/** Where a store has what it reads and writes by; whatever extends the store, or is a transaction of it, inherits it. */
const ADAPTER = Symbol("adapter");

const adapterOf = (store: Store | Tx): TwoLibSql => (store as Store & { [ADAPTER]: TwoLibSql })[ADAPTER];

/**
 * Which state of the database is read now: a number that differs after every commit, of this process or another.
 * What was worked out from the database alone holds as long as it is the same.
 */
export const versionOf = (store: Store): number => adapterOf(store).version();

/** Runs one statement for each row of values inside the transaction, past Prisma, which takes ten times as long. */
export const runEach = (tx: Tx, sql: string, rows: Iterable<readonly unknown[]>): void =>
  adapterOf(tx).writer.each(sql, rows);
