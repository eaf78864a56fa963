/** Photographs of parts, quotes, operations and snags: what is said of each; the pictures go over photographFiles.ts. */
import { photographsOf } from "../../access/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { connectionOf, forwards, type PageArgs, pageOfRows } from "../core/page.ts";
import { save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { Account } from "../people/account.ts";

/** Where the browser fetches a picture. */
const pathOf = (id: string, size: "full" | "small"): string => `/photographs/${encodeURIComponent(id)}/${size}`;

const Photograph = builder.prismaObject("Photograph", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    caption: t.exposeString("caption"),
    takenOn: t.expose("takenOn", { type: "Date", nullable: true }),
    forOwner: t.exposeBoolean("forOwner", {
      description: "The owner sees it too; never one of a quote.",
    }),
    width: t.exposeInt("width", { description: "Of the full picture, in pixels." }),
    height: t.exposeInt("height"),
    bytes: t.exposeInt("bytes"),
    addedAt: t.expose("addedAt", { type: "DateTime" }),
    account: t.field({
      type: Account,
      description: "Who added it.",
      resolve: (photograph, _args, context, info) => context.row("account", photograph.accountId, info),
    }),
    path: t.string({
      description: "Of the full picture, under the server's address.",
      resolve: ({ id }) => pathOf(id, "full"),
    }),
    smallPath: t.string({
      description: "Of a copy of at most 480 pixels a side.",
      resolve: ({ id }) => pathOf(id, "small"),
    }),
    part: t.relation("part", { nullable: true }),
    quote: t.relation("quote", { nullable: true }),
    operation: t.relation("operation", { nullable: true }),
    snag: t.relation("snag", { nullable: true }),
  }),
});

const PhotographConnection = connectionOf("Photograph", Photograph);

const NEWEST_FIRST = [{ addedAt: "desc" }, { id: "desc" }];

/** The photographs of one row that the viewer may see. */
const listOf = (column: "quoteId" | "operationId" | "snagId") => ({
  type: PhotographConnection,
  description: "The newest first.",
  args: forwards,
  resolve: ({ id }: { id: string }, args: PageArgs, context: Context, info: Parameters<typeof pageOfRows>[1]) =>
    pageOfRows(context, info, args, "photograph", {
      where: { AND: [photographsOf(context.viewer)], [column]: id },
      orderBy: NEWEST_FIRST,
    }),
});

builder.prismaObjectFields("Part", (t) => ({
  photographs: t.field({
    type: PhotographConnection,
    description: "The newest first; quotes: those of its quotes too.",
    args: { ...forwards, quotes: t.arg.boolean() },
    resolve: ({ id }, { quotes, ...args }, context, info) =>
      pageOfRows(context, info, args, "photograph", {
        where: {
          AND: [photographsOf(context.viewer)],
          ...(quotes ? { OR: [{ partId: id }, { quote: { partId: id } }] } : { partId: id }),
        },
        orderBy: NEWEST_FIRST,
      }),
  }),
}));
builder.prismaObjectFields("Quote", (t) => ({ photographs: t.field(listOf("quoteId")) }));
builder.prismaObjectFields("Operation", (t) => ({ photographs: t.field(listOf("operationId")) }));
builder.prismaObjectFields("Snag", (t) => ({ photographs: t.field(listOf("snagId")) }));
builder.prismaObjectFields("Restoration", (t) => ({
  photographs: t.field({
    type: PhotographConnection,
    description: "The newest first; forOwner: those alone that the owner sees too.",
    args: { ...forwards, forOwner: t.arg.boolean() },
    resolve: ({ id }, { forOwner, ...args }, context, info) =>
      pageOfRows(context, info, args, "photograph", {
        where: { AND: [photographsOf(context.viewer)], restorationId: id, ...(forOwner && { forOwner }) },
        orderBy: NEWEST_FIRST,
      }),
  }),
}));

const PhotographInput = builder.inputType("PhotographInput", {
  fields: (t) => ({
    id: t.id({ required: true }),
    revision: t.int(),
    caption: t.string(),
    takenOn: t.field({ type: "Date" }),
    forOwner: t.boolean(),
  }),
});

builder.mutationField("savePhotograph", (t) =>
  t.field({
    type: SaveResult,
    description: "What is said of a photograph. One is added by sending the picture to /photographs.",
    args: { input: t.arg({ type: PhotographInput, required: true }) },
    resolve: (_root, { input: { id, revision, ...patch } }, context) =>
      saving(context, () =>
        save(context, {
          table: "photograph",
          rule: "photograph",
          id,
          revision,
          patch,
          defaults: { caption: "", takenOn: null },
          place: async () => ({}),
        }),
      ),
  }),
);
