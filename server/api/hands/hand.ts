/** Who works in the shop, and when they are away. Hands belong to the workshop and serve all its restorations. */
import { handsOf, own } from "../../access/rules.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { asText, textsOf } from "../../store/texts.ts";
import { alike, speller } from "../../store/trades.ts";
import { builder } from "../core/builder.ts";
import { workshopRecord } from "../core/change.ts";
import type { Context } from "../core/context.ts";
import { bothWays, connectionOf, forwards, pageOfRows } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { eachWeekday } from "../core/week.ts";
import { Account } from "../people/account.ts";
import { joined } from "./handsJoined.ts";

const Absence = builder.prismaObject("Absence", {
  description: "Days on which a hand does not work. Why is not asked.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    fromDate: t.expose("fromDate", { type: "Date", description: "The first day." }),
    toDate: t.expose("toDate", { type: "Date", description: "The last day." }),
  }),
});

const AbsenceConnection = connectionOf("Absence", Absence);

export const Hand = builder.prismaObject("Hand", {
  description: "A person, or a line of several without names, with one set of hours over all trades.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    name: t.exposeString("name"),
    people: t.exposeInt("people", { description: "How many work by these hours." }),
    trades: t.stringList({
      description: "The trades that each of them can do.",
      resolve: ({ trades }) => textsOf(trades),
    }),
    ...eachWeekday((day) => t.exposeFloat(day, { description: "Hours of each; 0 is a day off." })),
    joinsOn: t.expose("joinsOn", { type: "Date", nullable: true, description: "The first day at work." }),
    leavesOn: t.expose("leavesOn", { type: "Date", nullable: true, description: "The last day at work." }),
    account: t.field({
      type: Account,
      nullable: true,
      description: "The account of this person, which can enter its own absences.",
      resolve: ({ accountId }, _args, context, info) =>
        accountId === null ? null : context.row("account", accountId, info),
    }),
    askSame: t.exposeBoolean("askSame", {
      description: "It was kept as hands of one trade, and nobody has said yet whether it is another line's person.",
    }),
    absences: t.field({
      type: AbsenceConnection,
      description: "In order of their days; from: those that end on this day or after it.",
      args: { ...forwards, from: t.arg({ type: "Date" }) },
      resolve: ({ id }, { from, ...args }, context, info) =>
        pageOfRows(context, info, args, "absence", {
          where: { handId: id, ...(from == null ? {} : { toDate: { gte: from } }) },
          orderBy: [{ fromDate: "asc" }, { toDate: "asc" }, { id: "asc" }],
        }),
    }),
  }),
});

const HandConnection = connectionOf("Hand", Hand);

builder.queryFields((t) => ({
  hands: t.field({
    type: HandConnection,
    description: "All who work in the workshop, in order of name.",
    args: bothWays,
    resolve: (_root, args, context, info) =>
      pageOfRows(context, info, args, "hand", {
        where: handsOf(context.viewer),
        orderBy: [{ name: "asc" }, { id: "asc" }],
      }),
  }),
  hand: t.prismaField({
    type: "Hand",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.hand.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "hand", id)).id } }),
  }),
  ownHand: t.prismaField({
    type: "Hand",
    nullable: true,
    description: "The hand whose account this is; null: none.",
    resolve: (query, _root, _args, { store, viewer }) =>
      store.hand.findFirst({ ...query, where: { accountId: viewer.accountId, ...handsOf(viewer) } }),
  }),
}));

const HandInput = builder.inputType("HandInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    name: t.string(),
    people: t.int(),
    trades: t.stringList(),
    ...eachWeekday(() => t.float()),
    joinsOn: t.field({ type: "Date" }),
    leavesOn: t.field({ type: "Date" }),
    account: t.id({ description: "Of a restorer of the workshop." }),
    askSame: t.boolean(),
  }),
});

const AbsenceInput = builder.inputType("AbsenceInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    hand: t.id(),
    fromDate: t.field({ type: "Date" }),
    toDate: t.field({ type: "Date", description: "The last day; absent in a new one: the first day alone." }),
  }),
});

builder.mutationFields((t) => ({
  saveHand: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: HandInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveHand(context, input)),
  }),
  saveAbsence: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: AbsenceInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveAbsence(context, input)),
  }),
  beAway: t.field({
    type: SaveResult,
    description: "Enters an absence of the account's own hand; refused where it is nobody's account.",
    args: { fromDate: t.arg({ type: "Date", required: true }), toDate: t.arg({ type: "Date", required: true }) },
    resolve: (_root, days, context) => saving(context, () => beAway(context, days)),
  }),
  joinHands: t.field({
    type: SaveResult,
    description:
      "Says that two lines are one person: the second has the trades and absences of both, and hours for both as far as the shop is open; the first goes.",
    args: {
      hand: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      as: t.arg.id({ required: true }),
      asRevision: t.arg.int({ required: true }),
    },
    resolve: (_root, named, context) => saving(context, () => joinHands(context, named)),
  }),
}));

const saveHand = (context: Context, input: typeof HandInput.$inferInput) => save(context, handDraft(context, input));

/** A hand as an input gives it. */
export const handDraft = (
  context: Context,
  { id, revision, trades, account, name, ...patch }: typeof HandInput.$inferInput,
): Draft<"hand"> => ({
  table: "hand",
  rule: "hand",
  id,
  revision,
  patch: {
    ...patch,
    ...(name !== undefined && { name: name?.trim() ?? null }),
    ...(trades != null && { trades: asText(trades) }),
  },
  defaults: {
    people: 1,
    trades: asText([]),
    monday: 8,
    tuesday: 8,
    wednesday: 8,
    thursday: 8,
    friday: 8,
    saturday: 0,
    sunday: 0,
    joinsOn: null,
    leavesOn: null,
    askSame: false,
  },
  place: async (find, before) => {
    const workshopId = before?.workshopId ?? context.viewer.workshopId;
    const spelt = trades == null ? null : await speller(find.tx, workshopId, { besides: before ? [before.id] : [] });
    const placed = { workshopId, ...(spelt && { trades: asText(trades!.map(spelt)) }) };
    if (account === undefined) return placed;
    const known =
      account === null || (await find.tx.account.count({ where: { id: account, workshopId, role: "RESTORER" } })) > 0;
    if (!known) find.fault(notARestorer(account));
    return { ...placed, accountId: account };
  },
  check: async (hand, before, find) => {
    const others = await find.tx.hand.findMany({
      where: { workshopId: hand.workshopId, id: { not: before?.id ?? "" } },
    });
    const same = others.find((other) => alike(other.name) === alike(hand.name));
    if (same) find.fault({ code: "DUPLICATE", field: "name", value: hand.name, message: nameTaken(same.name) });
  },
  recordOn: (tx, hand) => workshopRecord(tx, hand.workshopId),
});

const nameTaken = (name: string): string => `name must be another than ${name}: somebody is called that already.`;

const notARestorer = (account: string): Fault => ({
  code: "UNKNOWN_ROW",
  field: "account",
  value: account,
  message: "account is not a restorer's of this workshop.",
});

const saveAbsence = (context: Context, { id, revision, hand, ...patch }: typeof AbsenceInput.$inferInput) =>
  save(context, {
    table: "absence",
    rule: "absence",
    id,
    revision,
    patch,
    defaults: { toDate: patch.fromDate },
    place: async (find, before) => ({
      workshopId: before?.workshopId ?? context.viewer.workshopId,
      handId: before === null ? (await find.find("hand", "hand", hand))?.id : find.stays("hand", before.handId, hand),
    }),
    recordOn: (tx, absence) => workshopRecord(tx, absence.workshopId),
  });

async function beAway(context: Context, days: { fromDate: string; toDate: string }): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const hand = await store.hand.findFirst({ where: { accountId: viewer.accountId, workshopId: viewer.workshopId } });
  if (hand !== null) return saveAbsence(context, { hand: hand.id, ...days });
  throw new Refused("NOT_ALLOWED", "This account is not that of anybody who works here: say so under Hands first.");
}

async function joinHands(
  context: Context,
  { hand, revision, as, asRevision }: { hand: string; revision: number; as: string; asRevision: number },
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  if (hand === as)
    throw new InvalidInput([
      { code: "NOT_A_CHOICE", field: "as", value: as, message: "as must be another line than the hand itself." },
    ]);
  const restorationId = await workshopRecord(store, viewer.workshopId);
  let summary = "";
  const occasion = { restorationId, accountId: viewer.accountId, summary: () => summary };
  const change = await record(store, occasion, async (journal) => {
    const { one, other } = await joined(journal, viewer, { hand, revision, as, asRevision });
    summary = `Joined hands ${one.name} and ${other.name}`;
  });
  return { change, id: as, revision: asRevision + 1 };
}
