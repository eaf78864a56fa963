/**
 * Many rows by one prepared statement, for imports: what Prisma's createMany stores and returns, to the last value, at a fraction
 * of its time, so that nobody who waits to write waits long. The columns and their defaults are asked of the database itself.
 */
import { runEach, type Tx } from "./client.ts";
import { withCodeOrder } from "./codes.ts";
import { type AnyRow, CHUNK, delegateOf, type Table } from "./tables.ts";

interface Column {
  name: string;
  type: "TEXT" | "INTEGER" | "REAL" | "BOOLEAN" | "DATETIME";
  /** What it holds where nothing is said; a function where that is the moment. */
  blank: unknown;
}

const nameOf = (table: Table): string => `"${table[0]!.toUpperCase()}${table.slice(1)}"`;
const quoted = (name: string): string => `"${name}"`;

/** By table; the same in every database that this version opens. */
const known = new Map<Table, Promise<readonly Column[]>>();

export function columnsOf(tx: Tx, table: Table): Promise<readonly Column[]> {
  let columns = known.get(table);
  if (columns === undefined) {
    columns = readColumns(tx, table);
    known.set(table, columns);
    columns.catch(() => known.delete(table));
  }
  return columns;
}

async function readColumns(tx: Tx, table: Table): Promise<readonly Column[]> {
  const rows = await tx.$queryRawUnsafe<{ name: string; type: string; dflt_value: string | null }[]>(
    `PRAGMA table_info(${nameOf(table)})`,
  );
  return rows.map(({ name, type, dflt_value }) => {
    const column = { name, type: type as Column["type"] };
    return { ...column, blank: dflt_value === null ? null : blankOf(column.type, dflt_value) };
  });
}

/** A default as the database states it: a number, a text in quotes, true or false, or the moment. */
function blankOf(type: Column["type"], stated: string): unknown {
  if (stated.startsWith("'")) return stated.slice(1, -1).replaceAll("''", "'");
  if (type === "DATETIME") return () => new Date();
  return type === "BOOLEAN" ? stated === "true" : Number(stated);
}

/** As the database holds it. */
function storedAs(value: unknown): unknown {
  if (typeof value === "boolean") return Number(value);
  return value instanceof Date ? value.toISOString().replace("Z", "+00:00") : value;
}

function* chunks<T>(all: readonly T[], size: number): Generator<readonly T[]> {
  for (let at = 0; at < all.length; at += size) yield all.slice(at, at + size);
}

/** Lists of question marks: (?,?),(?,?). */
const marks = (rows: number, columns: number): string =>
  Array.from({ length: rows }, () => `(${Array.from({ length: columns }, () => "?").join(",")})`).join(",");

/** Adds rows that bring their ids, and returns them whole. */
export async function insertRows(tx: Tx, table: Table, data: readonly (object & { id: string })[]): Promise<AnyRow[]> {
  const columns = await columnsOf(tx, table);
  const rows = data.map((given) => {
    const row: Record<string, unknown> = {};
    for (const { name, blank } of columns) {
      const value = (given as Record<string, unknown>)[name];
      row[name] = value !== undefined ? value : typeof blank === "function" ? blank() : blank;
    }
    return withCodeOrder(row) as AnyRow;
  });
  const names = columns.map(({ name }) => quoted(name)).join(",");
  const places = columns.map(() => "?").join(",");
  let at = 0;
  const values = function* () {
    for (; at < rows.length; at++) yield columns.map(({ name }) => storedAs(rows[at]![name]));
  };
  try {
    runEach(tx, `INSERT INTO ${nameOf(table)} (${names}) VALUES (${places})`, values());
  } catch (error) {
    // Prisma is refused the same, and says by which rule.
    await delegateOf(tx, table).create({ data: rows[at]! });
    throw error;
  }
  return rows;
}

/** A row as it was read, and the fields in which it is to differ. */
export interface RowChange {
  before: AnyRow;
  data: Record<string, unknown>;
}

/** Those of the changes whose row is gone or no longer at the revision read. */
export async function staleRows(tx: Tx, table: Table, changes: readonly RowChange[]): Promise<RowChange[]> {
  const stale = new Set<string>();
  for (const some of chunks(changes, CHUNK)) {
    const found = await tx.$queryRawUnsafe<{ id: string }[]>(
      `SELECT column1 AS id FROM (VALUES ${marks(some.length, 2)}) LEFT JOIN ${nameOf(table)} AS t ON t.id = column1 AND t.revision = column2 WHERE t.id IS NULL`,
      ...some.flatMap(({ before }) => [before.id, before.revision]),
    );
    for (const { id } of found) stale.add(id);
  }
  return changes.filter(({ before }) => stale.has(before.id));
}

/** Changes rows none of which is stale, raises the revision of each by one, and returns them whole. */
export async function updateRows(tx: Tx, table: Table, given: readonly RowChange[]): Promise<AnyRow[]> {
  const moments = (await columnsOf(tx, table)).filter(({ type }) => type === "DATETIME").map(({ name }) => name);
  const changes = given.map(({ before, data }) => {
    const changed: Record<string, unknown> = withCodeOrder(data);
    // As it is recorded a moment is text.
    const said = moments.filter((name) => typeof changed[name] === "string");
    const dated = Object.fromEntries(said.map((name) => [name, new Date(String(changed[name]))]));
    return { before, data: { ...changed, ...dated } };
  });
  const alike = new Map<string, RowChange[]>();
  for (const change of changes) {
    const fields = Object.keys(change.data).join(" ");
    const group = alike.get(fields);
    if (group) group.push(change);
    else alike.set(fields, [change]);
  }
  for (const group of alike.values()) {
    const fields = Object.keys(group[0]!.data);
    const sets = ["revision", ...fields].map((field) => `${quoted(field)} = ?`);
    let at = 0;
    const values = function* () {
      for (; at < group.length; at++) {
        const { before, data } = group[at]!;
        yield [before.revision + 1, ...fields.map((field) => storedAs(data[field])), before.id, before.revision];
      }
    };
    try {
      runEach(tx, `UPDATE ${nameOf(table)} SET ${sets.join(", ")} WHERE "id" = ? AND "revision" = ?`, values());
    } catch (error) {
      // Prisma is refused the same, and says by which rule.
      const { before, data } = group[at]!;
      await delegateOf(tx, table).updateMany({ where: { id: before.id }, data });
      throw error;
    }
  }
  return changes.map(({ before, data }) => ({ ...before, ...data, revision: before.revision + 1 }));
}
