/** A reproduction run that members put their names down for: what it costs at each size, who is in it, and its place in a plan. */
import { type Member, memberOf, readableBy, readClubRow } from "../../access/club.ts";
import type { Batch as Row } from "../../generated/prisma/client.ts";
import {
  type BatchOutlook,
  type BatchRow,
  clubDay,
  depositFor,
  type NameDownMoney,
  nameDownMoney,
  outlookOfBatch,
  quoteOfBatch,
  settleBatch,
  settleDue,
} from "../../plan/club/batch.ts";
import { Gathered } from "../../plan/rows/gathered.ts";
import { clubFaultsOf } from "../../store/clubRules.ts";
import { type Fault, InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { checkFresh } from "../../store/journal.ts";
import { MOST_MINOR } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { BatchBasis, BatchState, DepositState } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { Part } from "../parts/part.ts";
import { memberIn } from "./club.ts";
import { pageOfClubRows } from "./clubPage.ts";
import { type ClubDraft, inClub, removeInClub, saveInClub } from "./clubSave.ts";
import { planQuote } from "./match.ts";
import { ownPartFor } from "./ownPart.ts";

const BatchPrice = builder.objectRef<{ size: number; unitMinor: number; currency: string }>("BatchPrice").implement({
  description: "The maker's own price for a piece from this size on.",
  fields: (t) => ({
    size: t.exposeInt("size"),
    unit: t.field({ type: Money, resolve: ({ unitMinor: minor, currency }) => ({ minor, currency }) }),
  }),
});

const BatchStage = builder.objectRef<{ title: string; percent: number }>("BatchStage").implement({
  fields: (t) => ({ title: t.exposeString("title"), percent: t.exposeInt("percent") }),
});

type Sized = BatchOutlook["sizes"][number] & { currency: string };
const BatchSize = builder.objectRef<Sized>("BatchSize").implement({
  fields: (t) => ({
    size: t.exposeInt("size"),
    cast: t.exposeInt("cast", { description: "Castings, spares among them." }),
    total: t.field({ type: Money, resolve: ({ totalMinor: minor, currency }) => ({ minor, currency }) }),
    piece: t.field({
      type: Money,
      description: "For one piece, at most.",
      resolve: ({ pieceMinor: minor, currency }) => ({ minor, currency }),
    }),
  }),
});

type Outlook = BatchOutlook & { currency: string };
const Outlook = builder.objectRef<Outlook>("BatchOutlook").implement({
  fields: (t) => ({
    putDown: t.exposeInt("putDown", { description: "Pieces that members are down for." }),
    needed: t.exposeInt("needed", { description: "Pieces wanting for the smallest size." }),
    room: t.exposeInt("room", {
      nullable: true,
      description: "Pieces that can still be put down for; null: no limit.",
    }),
    now: t.field({ type: BatchSize, nullable: true, resolve: ({ now, currency }) => now && { ...now, currency } }),
    withOneMore: t.field({
      type: BatchSize,
      nullable: true,
      resolve: ({ withOneMore: one, currency }) => one && { ...one, currency },
    }),
    oneMoreSaves: t.field({
      type: Money,
      nullable: true,
      description: "On each piece; negative where it would cost more.",
      resolve: ({ oneMoreSaves: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    goingAhead: t.field({ type: BatchSize, resolve: ({ goingAhead, currency }) => ({ ...goingAhead, currency }) }),
    chance: t.exposeFloat("chance", { description: "That it goes ahead, 0 to 1." }),
    arrivesOn: t.field({ type: "Date", resolve: ({ arrivesOn }) => arrivesOn }),
    sizes: t.field({ type: [BatchSize], resolve: ({ sizes, currency }) => sizes.map((one) => ({ ...one, currency })) }),
  }),
});

/** A member's name down, and what it pays; the deposit and the stages are told to its member and to the organiser. */
interface NameDownShape {
  id: string;
  revision: number;
  memberName: string;
  quantity: number;
  depositState: "HELD" | "RETURNED" | "SPENT";
  own: boolean;
  currency: string;
  money: NameDownMoney;
  told: boolean;
}

const NameDown = builder.objectRef<NameDownShape>("NameDown").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    memberName: t.exposeString("memberName"),
    own: t.exposeBoolean("own"),
    quantity: t.exposeInt("quantity"),
    price: t.field({ type: Money, resolve: ({ money, currency }) => ({ minor: money.priceMinor, currency }) }),
    deposit: t.field({
      type: Money,
      nullable: true,
      resolve: ({ money, currency, told }) => (told ? { minor: money.depositMinor, currency } : null),
    }),
    depositState: t.field({
      type: DepositState,
      nullable: true,
      resolve: ({ depositState, told }) => (told ? depositState : null),
    }),
    stages: t.field({
      type: [Money],
      description: "What is due at each of the batch's stages, in their order.",
      resolve: ({ money, currency, told }) => (told ? money.stagesMinor.map((minor) => ({ minor, currency })) : []),
    }),
  }),
});

const NameDownConnection = connectionOf("NameDown", NameDown);

const withTerms = {
  prices: { orderBy: { size: "asc" as const } },
  stages: { orderBy: [{ position: "asc" as const }, { id: "asc" as const }] },
};

const money = (field: "patternMinor" | "setUpMinor" | "unitMinor") => (batch: Row) => ({
  minor: batch[field],
  currency: batch.currency,
});

export const Batch = builder.prismaObject("Batch", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    member: t.relation("member", { description: "Who gathers the names." }),
    part: t.exposeString("part"),
    machine: t.exposeString("machine"),
    references: t.exposeString("references"),
    maker: t.exposeString("maker"),
    basis: t.expose("basis", { type: BatchBasis }),
    currency: t.exposeString("currency"),
    pattern: t.field({ type: Money, resolve: money("patternMinor") }),
    setUp: t.field({ type: Money, resolve: money("setUpMinor") }),
    unit: t.field({ type: Money, resolve: money("unitMinor") }),
    sparePercent: t.exposeInt("sparePercent"),
    smallest: t.exposeInt("smallest"),
    most: t.exposeInt("most", { nullable: true }),
    depositPercent: t.exposeInt("depositPercent"),
    begunOn: t.expose("begunOn", { type: "Date" }),
    closesOn: t.expose("closesOn", { type: "Date" }),
    leadDays: t.exposeInt("leadDays"),
    state: t.expose("state", { type: BatchState }),
    notes: t.exposeString("notes"),
    withheldReason: t.exposeString("withheldReason", { nullable: true }),
    own: t.boolean({ resolve: async (batch, _args, context) => (await memberIn(context)).id === batch.memberId }),
    ownPart: t.field({
      type: Part,
      nullable: true,
      description:
        "The asker's own outstanding part that it is for, by reference number, else by machine and wording; null where none is.",
      resolve: async (batch, _args, context, info) => context.rowOrNull("part", await ownPartFor(context, batch), info),
    }),
    prices: t.field({
      type: [BatchPrice],
      select: { prices: withTerms.prices },
      resolve: ({ prices, currency }) => prices.map((price) => ({ ...price, currency })),
    }),
    stages: t.field({ type: [BatchStage], select: { stages: withTerms.stages }, resolve: ({ stages }) => stages }),
    outlook: t.field({
      type: Outlook,
      select: { prices: withTerms.prices },
      resolve: async (batch, _args, context) => {
        const { club } = await memberIn(context);
        return { ...outlookOfBatch(batch as BatchRow, clubDay(club)), currency: batch.currency };
      },
    }),
    namesDown: t.field({
      type: NameDownConnection,
      args: forwards,
      resolve: (batch, args, context) => namesDownOf(context, batch.id, args),
    }),
    ownNameDown: t.field({
      type: NameDown,
      nullable: true,
      resolve: async (batch, _args, context) => {
        const page = await namesDownOf(context, batch.id, { first: 0 });
        return page.all.find(({ own }) => own) ?? null;
      },
    }),
  }),
});

async function namesDownOf(
  context: Context,
  batchId: string,
  args: { first?: number | null | undefined; after?: string | null | undefined },
) {
  const member = await memberIn(context);
  const namesDown = await context.once(
    "namesDown",
    async () => new Gathered((ids) => readNamesDown(context, member, ids)),
  );
  const all = (await namesDown.of(batchId)) ?? [];
  return { ...pageOf(args, all), all };
}

/** The names down of batches, by the batches' ids, in the order in which they were made. */
async function readNamesDown(
  { store }: Context,
  member: Member,
  ids: readonly string[],
): Promise<Map<string, NameDownShape[]>> {
  const batches = await store.batch.findMany({
    where: { id: { in: [...ids] } },
    include: {
      ...withTerms,
      namesDown: {
        where: { takenOff: false },
        orderBy: [{ putDownAt: "asc" }, { id: "asc" }],
        include: { member: { select: { name: true } } },
      },
    },
  });
  return new Map(
    batches.map((batch) => {
      const paid = nameDownMoney(batch, batch.namesDown);
      const shapes = batch.namesDown.map(
        ({ id, revision, quantity, depositState, memberId, member: { name } }): NameDownShape => ({
          id,
          revision,
          memberName: name,
          quantity,
          depositState,
          own: memberId === member.id,
          currency: batch.currency,
          money: paid.get(id)!,
          told: memberId === member.id || batch.memberId === member.id,
        }),
      );
      return [batch.id, shapes] as const;
    }),
  );
}

const BatchConnection = connectionOf("Batch", Batch);

builder.queryFields((t) => ({
  batches: t.field({
    type: BatchConnection,
    description:
      "Batches: those taking names first, then those not filled, then those that go ahead; each by closing date.",
    args: {
      ...forwards,
      state: t.arg({ type: BatchState }),
      own: t.arg.boolean({ description: "Those that the asker is down for or gathers." }),
    },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      await context.once("settled", () => settleDue(context.store, member.club.id, clubDay(member.club)));
      return pageOfClubRows(context, info, args, "batch", {
        where: {
          ...(args.state == null ? {} : { state: args.state }),
          ...(args.own
            ? {
                clubId: member.club.id,
                // One's own is told even where it is withheld, with the reason.
                OR: [
                  { memberId: member.id },
                  { ...readableBy(member), namesDown: { some: { memberId: member.id, takenOff: false } } },
                ],
              }
            : readableBy(member)),
        },
        orderBy: [{ state: "desc" }, { closesOn: "asc" }, { id: "asc" }],
      });
    },
  }),
  batch: t.prismaField({
    type: "Batch",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, context) => {
      const member = await memberIn(context);
      await context.once("settled", () => settleDue(context.store, member.club.id, clubDay(member.club)));
      await readClubRow(member, context.store, "batch", id);
      return context.store.batch.findUniqueOrThrow({ ...query, where: { id } });
    },
  }),
}));

const BatchPriceInput = builder.inputType("BatchPriceInput", {
  fields: (t) => ({ size: t.int({ required: true }), unitMinor: t.field({ type: "Minor", required: true }) }),
});
const BatchStageInput = builder.inputType("BatchStageInput", {
  fields: (t) => ({ title: t.string({ required: true }), percent: t.int({ required: true }) }),
});

const BatchInput = builder.inputType("BatchInput", {
  description:
    "prices: the maker's own by size; without any, the whole cost is shared. stages: shares of what is left after the deposit, 100 in all.",
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    code: t.string(),
    part: t.string(),
    machine: t.string(),
    references: t.string(),
    maker: t.string(),
    basis: t.field({ type: BatchBasis }),
    currency: t.string(),
    patternMinor: t.field({ type: "Minor" }),
    setUpMinor: t.field({ type: "Minor" }),
    unitMinor: t.field({ type: "Minor" }),
    sparePercent: t.int(),
    smallest: t.int(),
    most: t.int(),
    depositPercent: t.int(),
    closesOn: t.field({ type: "Date" }),
    leadDays: t.int(),
    notes: t.string(),
    prices: t.field({ type: [BatchPriceInput] }),
    stages: t.field({ type: [BatchStageInput] }),
  }),
});

const forMembers = () => {};

builder.mutationFields((t) => ({
  saveBatch: t.field({
    type: SaveResult,
    description: "Terms for which somebody is down stay as they were.",
    args: { input: t.arg({ type: BatchInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveBatch(context, input), forMembers),
  }),
  removeBatch: t.field({
    type: SaveResult,
    args: { id: t.arg.id({ required: true }), revision: t.arg.int({ required: true }) },
    resolve: (_root, { id, revision }, context) =>
      saving(context, () => removeInClub(context, "batch", id, revision), forMembers),
  }),
  putNameDown: t.field({
    type: SaveResult,
    description: "Puts the asker down for so many pieces of a batch that takes names, or changes how many.",
    args: { batch: t.arg.id({ required: true }), quantity: t.arg.int({ required: true }) },
    resolve: (_root, { batch, quantity }, context) =>
      saving(context, () => putNameDown(context, batch, quantity), forMembers),
  }),
  takeNameOff: t.field({
    type: SaveResult,
    description: "Takes the asker's name off while the batch takes names; the deposit is returned.",
    args: { batch: t.arg.id({ required: true }) },
    resolve: (_root, { batch }, context) => saving(context, () => takeNameOff(context, batch), forMembers),
  }),
  closeBatch: t.field({
    type: SaveResult,
    description: "Closes a filled batch before its date, so that the maker begins: the organiser's to do.",
    args: { batch: t.arg.id({ required: true }), revision: t.arg.int({ required: true }) },
    resolve: (_root, { batch, revision }, context) =>
      saving(context, () => close(context, batch, revision), forMembers),
  }),
  planBatch: t.field({
    type: SaveResult,
    description: "Makes a batch a quote for a part of one's own restoration; the quote then follows the batch.",
    args: { batch: t.arg.id({ required: true }), part: t.arg.id({ required: true }) },
    resolve: (_root, { batch, part }, context) => saving(context, () => planBatch(context, batch, part)),
  }),
}));

const FIXED = [
  "patternMinor",
  "setUpMinor",
  "unitMinor",
  "sparePercent",
  "smallest",
  "depositPercent",
  "currency",
  "part",
  "maker",
] as const;

const saveBatch = async (context: Context, input: typeof BatchInput.$inferInput) =>
  saveInClub(context, batchDraft(await memberIn(context), input));

/** A member's batch as the input has it. `past`: it may have closed already, as one that comes from another club's files. */
export function batchDraft(
  { club }: Member,
  { id, revision, prices, stages, ...patch }: typeof BatchInput.$inferInput,
  past = false,
): ClubDraft<"batch"> {
  const day = clubDay(club);
  const lists = listFaults(prices ?? [], stages ?? []);
  return {
    table: "batch",
    id,
    revision,
    patch,
    earlier: "B",
    defaults: {
      machine: "",
      references: "",
      basis: "SAMPLE",
      currency: club.currency,
      patternMinor: 0,
      setUpMinor: 0,
      unitMinor: 0,
      sparePercent: 10,
      most: null,
      depositPercent: 30,
      begunOn: day,
      notes: "",
    },
    place: async (_tx, merged, before, fault) => {
      for (const one of lists) fault(one);
      if (before !== null && before.state !== "TAKING_NAMES")
        throw new Refused("BATCH_SETTLED", `Batch ${before.code} takes no more names: it stays as it was decided.`);
      if (!past && merged.closesOn !== before?.closesOn && String(merged.closesOn) < day)
        fault({
          code: "ORDER_OF_VALUES",
          field: "closesOn",
          value: String(merged.closesOn),
          message: "closes on must not be in the past.",
        });
      if (before !== null && before.putDown > 0) {
        const moved = FIXED.filter((field) => merged[field] !== before[field]);
        if (moved.length > 0 || prices != null || stages != null)
          throw new Refused(
            "IN_USE",
            "Members are down for these terms: price, smallest size, deposit and maker stay as they are.",
            [before.code],
          );
      }
      return {};
    },
    also: async (journal, row) => {
      const { tx } = journal;
      if (prices != null) {
        for (const old of await tx.batchPrice.findMany({ where: { batchId: row.id } }))
          await journal.remove("batchPrice", old.id, old.revision);
        await journal.createMany(
          "batchPrice",
          prices.map((price) => ({ ...price, batchId: row.id })),
        );
      }
      if (stages != null) {
        for (const old of await tx.batchStage.findMany({ where: { batchId: row.id } }))
          await journal.remove("batchStage", old.id, old.revision);
        await journal.createMany(
          "batchStage",
          stages.map((stage, position) => ({ ...stage, position, batchId: row.id })),
        );
      }
      const batch = await settleBatch(tx, row.id, day);
      if (batch.most !== null && batch.most < batch.putDown)
        throw new Refused(
          "BATCH_FULL",
          `Names are down for ${batch.putDown} already, so the most cannot be ${batch.most}.`,
        );
    },
  };
}

function listFaults(
  prices: readonly { size: number; unitMinor: number }[],
  stages: readonly { title: string; percent: number }[],
): Fault[] {
  const faults = [
    ...prices.flatMap((row, i) =>
      clubFaultsOf("batchPrice", row).map((fault) => ({ ...fault, field: `prices.${i}.${fault.field}` })),
    ),
    ...stages.flatMap((row, i) =>
      clubFaultsOf("batchStage", row).map((fault) => ({ ...fault, field: `stages.${i}.${fault.field}` })),
    ),
  ];
  const sizes = new Set<number>();
  prices.forEach(({ size }, i) => {
    if (sizes.has(size))
      faults.push({
        code: "DUPLICATE",
        field: `prices.${i}.size`,
        value: String(size),
        message: `The size ${size} is in the list twice.`,
      });
    sizes.add(size);
  });
  const sum = stages.reduce((all, { percent }) => all + percent, 0);
  if (stages.length > 0 && sum !== 100)
    faults.push({
      code: "OUT_OF_RANGE",
      field: "stages",
      value: String(sum),
      message: `The stages must make 100 per cent together (they make ${sum}).`,
    });
  return faults;
}

const batchTakingNames = async (
  member: Member,
  tx: Parameters<typeof settleBatch>[0],
  id: string,
): Promise<BatchRow> => {
  await readClubRow(member, tx, "batch", id);
  const batch = await settleBatch(tx, id, clubDay(member.club));
  if (batch.state !== "TAKING_NAMES")
    throw new Refused(
      "BATCH_SETTLED",
      batch.state === "GOES_AHEAD"
        ? `Batch ${batch.code} takes no more names: it goes ahead.`
        : `Batch ${batch.code} takes no more names: it was not filled by its closing date.`,
    );
  return batch;
};

const putNameDown = (context: Context, batchId: string, quantity: number) =>
  inClub(context, async (journal, member) => {
    const faults = clubFaultsOf("nameDown", { quantity });
    if (faults.length > 0) throw new InvalidInput(faults);
    const batch = await batchTakingNames(member, journal.tx, batchId);
    const mine = await journal.tx.nameDown.findUnique({
      where: { batchId_memberId: { batchId, memberId: member.id } },
    });
    const others = batch.putDown - (mine === null || mine.takenOff ? 0 : mine.quantity);
    if (batch.most !== null && others + quantity > batch.most)
      throw new Refused(
        "BATCH_FULL",
        `The maker takes on ${batch.most} at most, and others are down for ${others}: there is room for ${batch.most - others}.`,
      );
    const depositMinor = depositFor(batch, others, quantity);
    if (depositMinor > MOST_MINOR)
      throw new InvalidInput([
        {
          code: "OUT_OF_RANGE",
          field: "quantity",
          value: String(quantity),
          message: "The deposit for so many is too large to be kept.",
        },
      ]);
    const terms = { quantity, depositMinor, depositState: "HELD" as const, takenOff: false };
    const row =
      mine === null
        ? await journal.create("nameDown", { ...terms, batchId, memberId: member.id })
        : await journal.update("nameDown", mine.id, mine.revision, terms);
    await settleBatch(journal.tx, batchId, clubDay(member.club));
    return {
      id: row.id,
      revision: row.revision,
      summary: `Put down for ${quantity} of batch ${batch.code} ${batch.part}`,
    };
  });

const takeNameOff = (context: Context, batchId: string) =>
  inClub(context, async (journal, member) => {
    const batch = await batchTakingNames(member, journal.tx, batchId);
    const mine = await journal.tx.nameDown.findUnique({
      where: { batchId_memberId: { batchId, memberId: member.id } },
    });
    if (mine === null || mine.takenOff) throw new NotFound("name of yours in the batch");
    const row = await journal.update("nameDown", mine.id, mine.revision, { takenOff: true, depositState: "RETURNED" });
    await settleBatch(journal.tx, batchId, clubDay(member.club));
    return { id: row.id, revision: row.revision, summary: `Took the name off batch ${batch.code} ${batch.part}` };
  });

const close = (context: Context, batchId: string, revision: number) =>
  inClub(context, async (journal, member) => {
    const batch = await batchTakingNames(member, journal.tx, batchId);
    if (batch.memberId !== member.id)
      throw new Refused("NOT_ALLOWED", "Only the member who gathers the names can close the batch.");
    checkFresh(batch as never, revision, {});
    if (batch.putDown < batch.smallest)
      throw new Refused(
        "NOT_ALLOWED",
        `${batch.smallest - batch.putDown} more pieces are needed before batch ${batch.code} can go ahead.`,
      );
    const day = clubDay(member.club);
    const row = await journal.update("batch", batchId, revision, {
      state: "GOES_AHEAD",
      closesOn: [day, batch.closesOn].sort()[0]!,
    });
    await settleBatch(journal.tx, batchId, day);
    return { id: row.id, revision: row.revision, summary: `Closed batch ${batch.code} ${batch.part}: it goes ahead` };
  });

async function planBatch(context: Context, batchId: string, partId: string) {
  const member = await memberOf(context.viewer, context.store);
  const day = clubDay(member.club);
  await readClubRow(member, context.store, "batch", batchId);
  const batch = await context.store.batch.findUniqueOrThrow({ where: { id: batchId }, include: { prices: true } });
  const part = await context.store.part.findFirst({
    where: { id: partId, restoration: { workshopId: member.workshopId } },
  });
  if (part === null) throw new NotFound("part");
  const down = await context.store.nameDown.count({
    where: { batchId, takenOff: false, member: { account: { workshopId: member.workshopId } } },
  });
  if (batch.state === "NOT_FILLED" || (batch.state === "GOES_AHEAD" && down === 0))
    throw new Refused("BATCH_SETTLED", `Batch ${batch.code} takes no more names.`);
  if ((await context.store.quote.count({ where: { batchId, partId } })) > 0)
    throw new Refused("IN_USE", "This batch is a quote of that part already.", [batch.code]);
  const { failureChance, ...quote } = quoteOfBatch(batch, part.quantity, down > 0, day);
  return planQuote(
    context,
    `Planned batch ${batch.code} for ${part.name}`,
    batch.maker,
    "MAKER",
    { ...quote, part: partId, provenance: "REPRODUCTION", notes: `Batch ${batch.code} of the club` },
    (journal, row) => journal.update("quote", row.id, row.revision, { batchId, failureChance }),
  );
}
