/**
 * One connection to a database file, as Prisma's adapter for libsql asks for it. Unlike the client that comes with libsql
 * it keeps its prepared statements, hands rows on as they are read, begins transactions with the right to write, and
 * waits for another process without holding up the whole program.
 */
import { setTimeout as pause } from "node:timers/promises";
import type { Client, InArgs, InStatement, ResultSet, Transaction } from "@libsql/client";
import Database from "libsql";

/** Milliseconds to wait for another process that holds the file, and between two tries. */
export const PATIENCE_MS = 5_000;
const AGAIN_MS = 10;

/** Statements kept prepared; the documents of the client need some hundreds. */
const MOST_STATEMENTS = 500;

const SQLITE_BUSY = 5;

const WRITES = /^\s*(INSERT|UPDATE|DELETE|REPLACE)\b/i;
const KEPT = /^\s*(SELECT|INSERT|UPDATE|DELETE|REPLACE|PRAGMA data_version)\b/i;

interface Prepared {
  statement: Database.Statement;
  /** Null for a statement that gives no rows. */
  columns: { names: string[]; types: string[] } | null;
}

type Value = Parameters<Database.Statement["run"]>[0];

export class Connection {
  private readonly database: Database.Database;
  private readonly prepared = new Map<string, Prepared>();
  readonly protocol = "file";
  closed = false;
  /** What ended the transaction that was open: SQLite takes the whole of it back by itself where the disk is full. */
  private lost: unknown = null;

  /** @param patience milliseconds after which a file that another process holds is given up */
  constructor(
    file: string,
    private readonly patience = PATIENCE_MS,
  ) {
    this.database = new Database(file, { timeout: 0 });
    this.database.exec("PRAGMA foreign_keys = ON");
  }

  /** Runs one statement; outside a transaction it waits its turn where another process holds the file. */
  execute(statement: InStatement | string): Promise<ResultSet> {
    const { sql, args } = typeof statement === "string" ? { sql: statement, args: [] } : statement;
    if (!WRITES.test(sql)) return this.patiently(() => this.run(sql, args));
    // A write that finds the file held stays half begun, and no later transaction could end: so the lock comes first.
    return this.patiently(() => {
      this.database.exec("BEGIN IMMEDIATE");
      try {
        const result = this.run(sql, args);
        this.database.exec("COMMIT");
        return result;
      } catch (error) {
        this.rollBack();
        throw error;
      }
    });
  }

  async executeMultiple(script: string): Promise<void> {
    await this.patiently(() => this.database.exec(script));
  }

  /** A transaction that may write from its first statement, so that it cannot fail half-way for want of the lock. */
  async transaction(): Promise<Transaction> {
    await this.patiently(() => this.database.exec("BEGIN IMMEDIATE"));
    this.lost = null;
    const inside = this;
    return {
      execute: async (statement: InStatement) =>
        inside.within(() =>
          typeof statement === "string" ? inside.run(statement, []) : inside.run(statement.sql, statement.args),
        ),
      executeMultiple: async (script: string) => void this.within(() => this.database.exec(script)),
      async commit() {
        try {
          inside.within(() => inside.database.exec("COMMIT"));
        } catch (error) {
          // A full disk leaves the transaction open: whoever comes next must not find himself inside it.
          inside.rollBack();
          throw error;
        }
      },
      rollback: async () => inside.rollBack(),
      close: () => inside.rollBack(),
      get closed() {
        return inside.closed || !inside.database.inTransaction;
      },
    } as Transaction;
  }

  /** Runs one statement for each row of values, at once, inside the transaction that is open. */
  each(sql: string, rows: Iterable<readonly unknown[]>): void {
    this.within(() => {
      const { statement } = this.statementOf(sql);
      for (const row of rows) statement.run(row.map(stored) as unknown as Value);
    });
  }

  /** Does something inside the transaction that is open. One that has ended takes nothing more: it would stand by itself. */
  private within<T>(work: () => T): T {
    if (!this.database.inTransaction) throw this.lost ?? new Error("The transaction has ended.");
    try {
      return work();
    } catch (error) {
      if (!this.database.inTransaction) this.lost = error;
      throw error;
    }
  }

  /** A number that differs as soon as any other connection, of whatever process, has committed something. */
  version(): number {
    return Number(this.run("PRAGMA data_version").rows[0]?.[0]);
  }

  close(): void {
    if (this.closed) return;
    this.closed = true;
    this.prepared.clear();
    this.database.close();
  }

  private rollBack(): void {
    if (!this.closed && this.database.inTransaction) this.database.exec("ROLLBACK");
  }

  private run(sql: string, args: InArgs = []): ResultSet {
    const { statement, columns } = this.statementOf(sql);
    const values = (args as unknown[]).map(stored) as unknown as Value;
    if (columns === null) {
      const { changes } = statement.run(values);
      return { columns: [], columnTypes: [], rows: [], rowsAffected: changes } as unknown as ResultSet;
    }
    const rows = statement.all(values) as unknown[][];
    for (const row of rows) for (let i = 0; i < row.length; i++) row[i] = read(row[i]);
    return {
      columns: columns.names,
      columnTypes: columns.types,
      rows,
      rowsAffected: 0,
    } as unknown as ResultSet;
  }

  private statementOf(sql: string): Prepared {
    const known = this.prepared.get(sql);
    if (known !== undefined) return known;
    const statement = this.database.prepare(sql);
    statement.safeIntegers(true);
    const made: Prepared = { statement, columns: null };
    if (statement.reader) {
      statement.raw(true);
      const columns = statement.columns();
      made.columns = { names: columns.map(({ name }) => name), types: columns.map(({ type }) => type ?? "") };
    }
    if (!KEPT.test(sql)) return made;
    if (this.prepared.size >= MOST_STATEMENTS) this.prepared.delete(this.prepared.keys().next().value!);
    this.prepared.set(sql, made);
    return made;
  }

  private async patiently<T>(work: () => T): Promise<T> {
    for (const began = performance.now(); ; ) {
      try {
        return work();
      } catch (error) {
        const code = (error as { rawCode?: number }).rawCode ?? 0;
        const waited = performance.now() - began;
        if ((code & 0xff) !== SQLITE_BUSY || this.database.inTransaction || waited > this.patience) throw error;
        await pause(AGAIN_MS);
      }
    }
  }
}

/** As SQLite takes it: no booleans, dates as milliseconds. */
function stored(value: unknown): unknown {
  if (typeof value === "boolean") return value ? 1 : 0;
  if (value instanceof Date) return value.valueOf();
  if (value instanceof ArrayBuffer) return Buffer.from(value);
  return value;
}

/** Whole numbers up to 2^53 as numbers; larger ones stay as they are, so that nothing is rounded. */
function read(value: unknown): unknown {
  if (typeof value === "bigint") return Number.isSafeInteger(Number(value)) ? Number(value) : value;
  if (value instanceof Buffer) return value.buffer.slice(value.byteOffset, value.byteOffset + value.byteLength);
  return value;
}

/** What Prisma's adapter takes for a client; of its methods it calls those that are here. */
export const clientOf = (connection: Connection): Client => connection as unknown as Client;
