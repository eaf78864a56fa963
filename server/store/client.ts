/** The one way to the database file: a Prisma client over libsql. */
import { mkdir } from "node:fs/promises";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { type Client, type Config, createClient } from "@libsql/client";
import { PrismaLibSql } from "@prisma/adapter-libsql";
import type { SqlDriverAdapter } from "@prisma/driver-adapter-utils";
import { PrismaClient } from "../generated/prisma/client.ts";

/** Everything that is stored. Inside a `$transaction` callback use only the {@link Tx} it is given: the store itself waits there. */
export type Store = PrismaClient;

/** The store as seen from inside one transaction. */
export type Tx = Parameters<Parameters<Store["$transaction"]>[0]>[0];

/** Milliseconds to wait for another process that holds the file. */
const BUSY_MS = 5_000;

/** The address of a database file as libsql reads it; any character may stand in the path. */
export const fileUrl = (file: string): string => pathToFileURL(path.resolve(file)).href;

/**
 * Prisma's libsql adapter, with the client whose connections are pooled: a transaction gives its connection back,
 * and closing the store closes every one. The client that comes inside the adapter opens a connection for each transaction.
 */
class PooledLibSql extends PrismaLibSql {
  override createClient(config: Config): Client {
    return createClient({ ...config, timeout: BUSY_MS });
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

/** A driver adapter for one file, for the store and for the schema engine alike. */
export const adapterFor = (file: string): PrismaLibSql => new PooledLibSql({ url: fileUrl(file) });

/**
 * Opens a database file, and makes it and its folder when they are not there. Migrate it first: {@link migrate}.
 * Write-ahead log and foreign keys are on. Close with `store.$disconnect()`.
 */
export async function openStore(file: string): Promise<Store> {
  await mkdir(path.dirname(path.resolve(file)), { recursive: true });
  // A whole import is one transaction, so it may last longer than the few seconds Prisma allows.
  const store = new PrismaClient({
    adapter: adapterFor(file),
    transactionOptions: { maxWait: 60_000, timeout: 300_000 },
  });
  try {
    await store.$queryRawUnsafe("PRAGMA journal_mode = WAL");
    await store.$executeRawUnsafe("PRAGMA foreign_keys = ON");
  } catch (error) {
    await store.$disconnect();
    throw error;
  }
  return store;
}
