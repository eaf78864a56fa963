/** Parts that several members look for, and what a batch of them would save the asker. */
import { type BatchRow, clubDay, termsOf } from "../../plan/club/batch.ts";
import { clubIndex } from "../../plan/club/index.ts";
import {
  areFor,
  batchKeys,
  bestQuotes,
  type WantedPrice as Price,
  type WantedTogether,
  wantedPrice,
  wantedTogether,
} from "../../plan/club/wanted.ts";
import { MOST_MINOR } from "../../store/rules.ts";
import { builder, wrongArgument } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Batch } from "./batch.ts";
import { memberIn } from "./club.ts";
import { pageOfClubIds } from "./clubPage.ts";
import { WantConnection } from "./want.ts";

const WantedPrice = builder.objectRef<Price & { currency: string }>("WantedPrice").implement({
  description: "A batch of the pieces that members want. What another member would save is told to nobody.",
  fields: (t) => ({
    size: t.exposeInt("size", { description: "The pieces wanted, or the smallest size where that is more." }),
    total: t.field({ type: Money, resolve: ({ totalMinor: minor, currency }) => ({ minor, currency }) }),
    piece: t.field({
      type: Money,
      description: "For one piece, at most.",
      resolve: ({ pieceMinor: minor, currency }) => ({ minor, currency }),
    }),
    ownBest: t.field({
      type: Money,
      nullable: true,
      description: "The asker's best quotes for the pieces that the asker wants, landed; null without any.",
      resolve: ({ ownBestMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    ownSaving: t.field({
      type: Money,
      nullable: true,
      description: "Against them, on all those pieces; negative where the batch would be dearer.",
      resolve: ({ ownSavingMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
  }),
});

const WantedTerms = builder.inputType("WantedTerms", {
  description: "What a batch might cost, in minor units of the club's currency.",
  fields: (t) => ({
    patternMinor: t.field({ type: "Minor" }),
    setUpMinor: t.field({ type: "Minor" }),
    unitMinor: t.field({ type: "Minor", required: true }),
    sparePercent: t.int({ description: "Default: 10." }),
    smallest: t.int({ description: "Default: as asked of the list." }),
  }),
});

type Wanted = WantedTogether & { smallest: number };

const WantedPart = builder.objectRef<Wanted>("WantedPart").implement({
  description: "A part that several members look for, known by reference numbers or by machine and wording.",
  fields: (t) => ({
    id: t.exposeID("id"),
    part: t.field({ type: "String", resolve: async (row, _args, context) => (await wording(context, row)).part }),
    machine: t.field({ type: "String", resolve: async (row, _args, context) => (await wording(context, row)).machine }),
    references: t.field({
      type: "String",
      resolve: async (row, _args, context) => (await wording(context, row)).references,
    }),
    members: t.exposeInt("members", { description: "How many look for it." }),
    pieces: t.exposeInt("pieces"),
    needed: t.exposeInt("needed", { description: "Pieces wanting for the smallest size; 0: it would be filled." }),
    own: t.boolean({
      description: "The asker is one of them.",
      resolve: async ({ wants }, _args, context) => {
        const { id } = await memberIn(context);
        return wants.some(({ memberId }) => memberId === id);
      },
    }),
    wants: t.field({
      type: WantConnection,
      args: forwards,
      resolve: ({ wants }, args, context, info) =>
        pageOfClubIds(
          context,
          info,
          args,
          "want",
          wants.map(({ id }) => id),
        ),
    }),
    batch: t.field({
      type: Batch,
      nullable: true,
      description: "The batch taking names that is for it; null without one.",
      resolve: (row, _args, context) => batchFor(context, row),
    }),
    price: t.field({
      type: WantedPrice,
      nullable: true,
      description:
        "By the terms given, else by those of the batch taking names that is for it; null where there is none.",
      args: { terms: t.arg({ type: WantedTerms }) },
      resolve: (row, { terms }, context) => priceOf(context, row, terms ?? null),
    }),
  }),
});

const WantedPartConnection = connectionOf("WantedPart", WantedPart);

/** Fewest pieces of a batch where nobody says. */
const USUAL_SMALLEST = 6;

builder.queryField("wantedParts", (t) =>
  t.field({
    type: WantedPartConnection,
    description:
      "Parts that two members or more look for: those first that would fill a batch, then those nearest to it.",
    args: {
      ...forwards,
      smallest: t.arg.int({ description: `Fewest pieces with which a batch goes ahead; default: ${USUAL_SMALLEST}.` }),
      filled: t.arg.boolean({ description: "Those alone that would fill it." }),
      own: t.arg.boolean({ description: "Those alone that the asker looks for." }),
    },
    resolve: async (_root, args, context) => {
      const member = await memberIn(context);
      const smallest = within("smallest", args.smallest ?? USUAL_SMALLEST, 1, 10_000);
      const index = await clubIndex(context.store, member.club.id);
      const all = wantedTogether(index, smallest)
        .filter(({ needed }) => !args.filled || needed === 0)
        .filter(({ wants }) => !args.own || wants.some(({ memberId }) => memberId === member.id));
      return pageOf(
        args,
        all.map((row): Wanted => ({ ...row, smallest })),
      );
    },
  }),
);

function within(field: string, value: number, least: number, most: number): number {
  if (value < least || value > most)
    throw wrongArgument(field, `must be between ${least} and ${most} (it is ${value}).`);
  return value;
}

/** The words of the want that names the most numbers; they are the club's to read. */
async function wording(context: Context, { id, wants }: Wanted) {
  return context.once(`wanted ${id}`, async () => {
    const told = wants.toSorted((a, b) => b.known.references.size - a.known.references.size)[0]!;
    return context.store.want.findUniqueOrThrow({
      where: { id: told.id },
      select: { part: true, machine: true, references: true },
    });
  });
}

async function batchFor(context: Context, { wants }: Wanted): Promise<BatchRow | null> {
  const takingNames = await context.once("batches taking names", async () => {
    const { club } = await memberIn(context);
    const batches = await context.store.batch.findMany({
      where: { clubId: club.id, withheldReason: null, state: "TAKING_NAMES", closesOn: { gte: clubDay(club) } },
      orderBy: [{ closesOn: "asc" }, { id: "asc" }],
      include: { prices: { orderBy: { size: "asc" } } },
    });
    return batches.map((batch) => ({ batch, keys: batchKeys(batch) }));
  });
  return takingNames.find(({ keys }) => areFor(wants, keys))?.batch ?? null;
}

async function priceOf(context: Context, row: Wanted, given: typeof WantedTerms.$inferInput | null) {
  const member = await memberIn(context);
  const batch = given === null ? await batchFor(context, row) : null;
  if (given === null && batch === null) return null;
  const terms: ReturnType<typeof termsOf> =
    batch !== null
      ? termsOf(batch)
      : {
          patternMinor: within("patternMinor", given!.patternMinor ?? 0, 0, MOST_MINOR),
          setUpMinor: within("setUpMinor", given!.setUpMinor ?? 0, 0, MOST_MINOR),
          unitMinor: within("unitMinor", given!.unitMinor, 0, MOST_MINOR),
          sparePercent: within("sparePercent", given!.sparePercent ?? 10, 0, 100),
          smallest: within("smallest", given!.smallest ?? row.smallest, 1, 10_000),
          most: null,
          prices: [],
        };
  const currency = batch?.currency ?? member.club.currency;
  const index = await clubIndex(context.store, member.club.id);
  const best = member.restorer
    ? await context.once(`best quotes ${currency}`, () =>
        bestQuotes(context.store, { workshopId: member.workshopId, memberId: member.id }, index, {
          currency,
          day: clubDay(member.club),
        }),
      )
    : new Map<string, number>();
  return { ...wantedPrice(terms, row, member.id, best), currency };
}
