/** Which photographs the database names, however it is read. */

/** Runs a query and gives its rows: the store's connection, or a file's. */
export type Read = (sql: string, ...values: (string | number)[]) => Promise<readonly Record<string, unknown>[]>;

export interface PhotographNames {
  /** Hashes that rows name. */
  shown: Set<string>;
  /** Hashes that the record of changes alone names, from which undo brings rows back. */
  recorded: Set<string>;
}

/** Changes that are read at once: a whole import may stand in one. */
const AT_ONCE = 100;

/** A change that was itself removed stands inside another as text, with its quotation marks escaped. */
const HASH = /\\*"hash\\*":\\*"([0-9a-f]{64})\\*"/g;

/** The photographs that rows and the record of changes name. A database from before there were any names none. */
export async function photographNames(read: Read): Promise<PhotographNames> {
  const shown = new Set<string>();
  const recorded = new Set<string>();
  const tables = new Set(
    (await read(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name IN ('Photograph', 'Change')`)).map(
      ({ name }) => name,
    ),
  );
  if (!tables.has("Photograph")) return { shown, recorded };
  for (const { hash } of await read(`SELECT DISTINCT "hash" FROM "Photograph"`)) shown.add(String(hash));
  if (!tables.has("Change")) return { shown, recorded };
  for (let after = ""; ; ) {
    const changes = await read(
      `SELECT "id", "rows" FROM "Change" WHERE "id" > ? AND "rows" LIKE '%"hash%' ORDER BY "id" LIMIT ${AT_ONCE}`,
      after,
    );
    for (const { rows } of changes)
      for (const [, hash = ""] of String(rows).matchAll(HASH)) if (!shown.has(hash)) recorded.add(hash);
    if (changes.length < AT_ONCE) return { shown, recorded };
    after = String(changes.at(-1)!["id"]);
  }
}
