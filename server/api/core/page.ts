/** Lists come in pages: a cursor is opaque to the reader, and the total is told. */
import type { ObjectRef } from "@pothos/core";
import { queryFromInfo } from "@pothos/plugin-prisma";
import type { GraphQLResolveInfo } from "graphql";
import { delegateOf, type Table, type Tables } from "../../store/tables.ts";
import { builder, type SchemaTypes, wrongArgument } from "./builder.ts";
import type { Context } from "./context.ts";
import { PAGE } from "./limits.ts";

/** Some rows of a longer list, and where in the list they stand. They are read only where the document asks for them. */
export interface Page<T> {
  rows: () => readonly T[] | Promise<readonly T[]>;
  start: number;
  /** Position after the last row. */
  end: number;
  total: number;
}

export interface PageArgs {
  first?: number | null | undefined;
  after?: string | null | undefined;
  last?: number | null | undefined;
  before?: string | null | undefined;
}

/** Arguments of a list that is read forwards. */
export const forwards = builder.args((t) => ({ after: t.string(), first: t.int() }));

/** Arguments of a list that is read both ways. */
export const bothWays = builder.args((t) => ({
  after: t.string(),
  before: t.string(),
  first: t.int(),
  last: t.int(),
}));

const PageInfo = builder.objectRef<{ start: number; end: number; total: number }>("PageInfo").implement({
  fields: (t) => ({
    startCursor: t.string({ nullable: true, resolve: (p) => (p.end > p.start ? cursorOf(p.start) : null) }),
    endCursor: t.string({ nullable: true, resolve: (p) => (p.end > p.start ? cursorOf(p.end - 1) : null) }),
    hasPreviousPage: t.boolean({ resolve: (p) => p.start > 0 }),
    hasNextPage: t.boolean({ resolve: (p) => p.end < p.total }),
  }),
});

/** The connection type of a list of `node`. */
export function connectionOf<T>(name: string, node: { $inferType: T }) {
  const type = node as unknown as ObjectRef<PothosSchemaTypes.ExtendDefaultTypes<SchemaTypes>, T>;
  const Edge = builder.objectRef<{ row: T; at: number }>(`${name}Edge`).implement({
    fields: (t) => ({
      cursor: t.string({ resolve: (edge) => cursorOf(edge.at) }),
      node: t.field({ type, resolve: (edge) => edge.row as never }),
    }),
  });
  return builder.objectRef<Page<T>>(`${name}Connection`).implement({
    fields: (t) => ({
      edges: t.field({
        type: [Edge],
        resolve: async (page) => (await page.rows()).map((row, i) => ({ row, at: page.start + i })),
      }),
      pageInfo: t.field({ type: PageInfo, resolve: (page) => page }),
      totalCount: t.int({ resolve: (page) => page.total }),
    }),
  });
}

/** A page of a list that is wholly at hand. */
export function pageOf<T>(args: PageArgs, all: readonly T[]): Page<T> {
  const { start, end } = span(args, all.length);
  return { rows: () => all.slice(start, end), start, end, total: all.length };
}

/** A page of rows read from the store: one count, one query with what the document selects of the rows. */
export async function pageOfRows<T extends Table>(
  context: Context,
  info: GraphQLResolveInfo,
  args: PageArgs,
  table: T,
  { where, orderBy }: { where: object; orderBy: object | object[] },
): Promise<Page<Tables[T]>> {
  const delegate = delegateOf(context.store, table);
  const total = await delegate.count({ where });
  const { start, end } = span(args, total);
  const rows = async (): Promise<Tables[T][]> => {
    if (end === start) return [];
    const query = { ...nodeQuery(context, info), where, orderBy, skip: start, take: end - start };
    return (await delegate.findMany(query)) as unknown as Tables[T][];
  };
  return { rows, start, end, total };
}

/** A page of rows whose order was worked out from their plan: `ids` is the whole list, in order. */
export function pageOfIds<T extends Table>(
  context: Context,
  info: GraphQLResolveInfo,
  args: PageArgs,
  table: T,
  ids: readonly string[],
): Page<Tables[T]> {
  const { start, end } = span(args, ids.length);
  const rows = async (): Promise<Tables[T][]> => {
    const wanted = ids.slice(start, end);
    if (wanted.length === 0) return [];
    const query = { ...nodeQuery(context, info), where: { id: { in: wanted } } };
    const byId = new Map((await delegateOf(context.store, table).findMany(query)).map((row) => [row.id, row]));
    return wanted.map((id) => byId.get(id)).filter((row) => row !== undefined) as unknown as Tables[T][];
  };
  return { rows, start, end, total: ids.length };
}

const nodeQuery = (context: Context, info: GraphQLResolveInfo): object =>
  queryFromInfo({ context, info, path: ["edges", "node"] });

/** Where a page starts and ends in a list of `total`. */
function span({ first, after, last, before }: PageArgs, total: number): { start: number; end: number } {
  if (first != null && last != null) throw wrongArgument("last", "cannot be given together with first.");
  size("first", first);
  size("last", last);
  const start = after == null ? 0 : Math.min(total, positionOf("after", after) + 1);
  const end = before == null ? total : Math.max(start, Math.min(total, positionOf("before", before)));
  if (last != null) return { start: Math.max(start, end - last), end };
  return { start, end: Math.min(end, start + (first ?? PAGE.usual)) };
}

/** Throws where so many rows are not to be had at once. */
export function size(field: string, value: number | null | undefined, most: number = PAGE.most): void {
  if (value != null && (value < 0 || value > most))
    throw wrongArgument(field, `must be between 0 and ${most} (it is ${value}).`);
}

const cursorOf = (position: number): string => Buffer.from(`row ${position}`).toString("base64url");

function positionOf(field: string, cursor: string): number {
  const position = /^row (\d{1,9})$/.exec(Buffer.from(cursor, "base64url").toString());
  if (position === null) throw wrongArgument(field, "is not a cursor that this list gave.");
  return Number(position[1]);
}
