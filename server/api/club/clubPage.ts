/** Pages of the club's rows, read from its own tables. */
import type { GraphQLResolveInfo } from "graphql";
import type { Member } from "../../access/club.ts";
import { type Among, clubIndex, type SearchedTable } from "../../plan/club/index.ts";
import type { SearchField } from "../../plan/find/wordSearch.ts";
import { type ClubTable, type ClubTables, clubDelegateOf } from "../../store/clubTables.ts";
import { numberAsked } from "../../store/codes.ts";
import type { Table } from "../../store/tables.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { type Page, type PageArgs, pageOfIds, pageOfRows } from "../core/page.ts";
import { MOST_LETTERS } from "../find/holding.ts";

/** A page of rows of a club table: one count, one query with what the document selects. */
export const pageOfClubRows = async <T extends ClubTable>(
  context: Context,
  info: GraphQLResolveInfo,
  args: PageArgs,
  table: T,
  query: { where: object; orderBy: object | object[] },
): Promise<Page<ClubTables[T]>> =>
  (await pageOfRows(context, info, args, table as unknown as Table, query)) as unknown as Page<ClubTables[T]>;

/** A page of rows whose order was found elsewhere: `ids` is the whole list, in order. */
export const pageOfClubIds = <T extends ClubTable>(
  context: Context,
  info: GraphQLResolveInfo,
  args: PageArgs,
  table: T,
  ids: readonly string[],
): Page<ClubTables[T]> =>
  pageOfIds(context, info, args, table as unknown as Table, ids) as unknown as Page<ClubTables[T]>;

/** Arguments by which rows of the club are looked for. */
export const searched = builder.args((t) => ({
  search: t.string({
    description:
      "Words, best first: begun, misspelt, run together or by another name of the trade too; or the row's number.",
  }),
  nearest: t.boolean({
    description: "Instead, what comes nearest where nothing fits all words; none where anything does.",
  }),
}));

type SearchArgs = PageArgs & { search?: string | null | undefined; nearest?: boolean | null | undefined };

/** What a number is said with. */
export const SAID: Record<SearchedTable, string> = { clubSource: "source", want: "wanted", spare: "spare" };

interface Looked {
  where: object;
  orderBy: object[];
  fields?: readonly SearchField[] | undefined;
  among: Among;
  /** Whether the clause leaves out rows that the index finds. */
  narrowed: boolean;
}

/** A page of what is looked for by its words; without words of all, in the order given. */
export async function pageOfClubSearch<T extends SearchedTable>(
  context: Context,
  info: GraphQLResolveInfo,
  args: SearchArgs,
  member: Member,
  table: T,
  { where, orderBy, fields, among, narrowed }: Looked,
): Promise<Page<ClubTables[T]>> {
  const words = args.search?.trim() ?? "";
  if (words === "") return pageOfClubRows(context, info, args, table, { where, orderBy });
  const index = await clubIndex(context.store, member.club.id);
  const text = words.slice(0, MOST_LETTERS);
  const byCode = await idsOf(context, table, { AND: [where, { code: numberAsked(SAID[table], words) ?? words }] });
  // A document asks for what fits and for what comes nearest: the one decides whether there is the other.
  const key = `found ${JSON.stringify([table, text, fields, among])}`;
  const fits = await context.once(key, async () => index.find(table, text, fields, among));
  const all = [...new Set([...byCode, ...fits])];
  const found = !args.nearest ? all : all.length > 0 ? [] : index.nearest(table, text, fields, among);
  return pageOfClubIds(context, info, args, table, narrowed ? await amongst(context, table, found, where) : found);
}

/** Ids asked for at once. */
const AT_ONCE = 5_000;

/** Those of the ids whose rows meet the clause, in the order given. */
async function amongst(context: Context, table: ClubTable, ids: readonly string[], where: object): Promise<string[]> {
  const fit = new Set<string>();
  for (let at = 0; at < ids.length; at += AT_ONCE) {
    const clause = { AND: [where, { id: { in: ids.slice(at, at + AT_ONCE) } }] };
    for (const id of await idsOf(context, table, clause)) fit.add(id);
  }
  return ids.filter((id) => fit.has(id));
}

export const idsOf = async ({ store }: Context, table: ClubTable, where: object): Promise<string[]> =>
  (await clubDelegateOf(store, table).findMany({ where, select: { id: true } })).map(({ id }) => String(id));
