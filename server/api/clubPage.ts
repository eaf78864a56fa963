/** Pages of the club's rows, read from its own tables. */
import type { GraphQLResolveInfo } from "graphql";
import type { ClubTable, ClubTables } from "../store/clubTables.ts";
import type { Table } from "../store/tables.ts";
import type { Context } from "./context.ts";
import { type Page, type PageArgs, pageOfIds, pageOfRows } from "./page.ts";

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
