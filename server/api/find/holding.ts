/** Words that somebody looks for, as a condition on rows. */
import { findIndexOf } from "../../plan/find/findIndex.ts";
import type { Store } from "../../store/client.ts";
import { numberAsked } from "../../store/codes.ts";
import { type AnyRow, delegateOf } from "../../store/tables.ts";

/** Letters of a search that are read. */
export const MOST_LETTERS = 200;

type Searched = "part" | "operation" | "supplier";

/** The list in which is looked, and what of a row beside its code. */
interface In {
  table: Searched;
  where: object;
  fields: readonly string[];
}

/** Rows that hold the words in one of the fields, the code among them, or whose number of the register they are: "part 12". */
export async function holding(store: Store, words: string | null | undefined, list: In): Promise<object> {
  return words ? { OR: await anyOf(store, words.slice(0, MOST_LETTERS), list) } : {};
}

async function anyOf(store: Store, words: string, { table, where, fields }: In): Promise<object[]> {
  const number = numberAsked(table, words);
  const read = ["code", ...fields];
  const holds = read.map((field) => ({ [field]: { contains: words } }));
  return [
    ...(/[%_]/.test(words) ? [{ id: { in: await inLetters() } }] : holds),
    ...(number === undefined ? [] : [{ code: number }]),
  ];

  /** The database reads % and _ as any letters: of what it finds so, those that hold them as they are typed. */
  async function inLetters(): Promise<string[]> {
    const rows = await delegateOf(store, table).findMany({
      where: { AND: [where, { OR: holds }] },
      select: Object.fromEntries(["id", ...read].map((field) => [field, true])),
    });
    const asked = words.toLowerCase();
    const holdsIt = (row: AnyRow) => read.some((field) => String(row[field]).toLowerCase().includes(asked));
    return rows.filter(holdsIt).map(({ id }) => id);
  }
}

/** Parts of a restoration as {@link holding} has them, those of a reference number, however it is written, and those of the quote or order whose code is asked for: "quote 70" and "70" alike. */
export async function partsHolding(
  store: Store,
  words: string | null | undefined,
  restoration: { id: string; planRevision: number },
): Promise<object> {
  if (!words) return {};
  const text = words.slice(0, MOST_LETTERS);
  const { id: restorationId } = restoration;
  const list: In = { table: "part", where: { restorationId }, fields: ["name", "notes"] };
  const index = await findIndexOf(store, restoration);
  const numbered = index.find("PARTS", text, "AS_TYPED", ["references"]).map(({ id }) => id);
  const named = (noun: string) => ({ some: { restorationId, code: numberAsked(noun, text) ?? text.trim() } });
  return {
    OR: [
      ...(await anyOf(store, text, list)),
      { id: { in: numbered } },
      { quotes: named("quote") },
      { orders: named("order") },
    ],
  };
}
