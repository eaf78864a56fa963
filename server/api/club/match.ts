/** Where one member's want meets another's spare: why, what the two write to each other, and the step into a plan. */
import { type Member, memberOf, readClubRow, readsClubRow } from "../../access/club.ts";
import type { Spare as SpareRow, Want as WantRow } from "../../generated/prisma/client.ts";
import { clubIndex } from "../../plan/club/index.ts";
import type { Tx } from "../../store/client.ts";
import { clubFaultsOf } from "../../store/clubRules.ts";
import { BY_CODE, codeInWords } from "../../store/codes.ts";
import { InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { type Journal, record } from "../../store/journal.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { connectionOf, forwards, type Page, pageOf } from "../core/page.ts";
import { write } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { quoteDraft } from "../parts/quote.ts";
import { supplierDraft } from "../parts/supplier.ts";
import { memberIn } from "./club.ts";
import { pageOfClubRows } from "./clubPage.ts";
import { inClub, mayEnter } from "./clubSave.ts";
import { Spare } from "./spare.ts";
import { Want } from "./want.ts";

const MatchReason = builder.enumType("MatchReason", {
  description: "Same reference number; same machine and the same words; same machine and most words alike.",
  values: ["SAME_REFERENCE", "SAME_MACHINE_AND_WORDING", "SAME_MACHINE_ALIKE_WORDING"] as const,
});

const MatchMessage = builder.prismaObject("MatchMessage", {
  fields: (t) => ({
    id: t.exposeID("id"),
    member: t.relation("member"),
    text: t.string({
      description: "What was written; empty where it was withheld.",
      resolve: ({ text, withheldReason }) => (withheldReason === null ? text : ""),
    }),
    withheldReason: t.exposeString("withheldReason", { nullable: true }),
    enteredAt: t.expose("enteredAt", { type: "DateTime" }),
  }),
});

const MatchMessageConnection = connectionOf("MatchMessage", MatchMessage);

interface MatchShape {
  want: WantRow;
  spare: SpareRow;
  reason: "SAME_REFERENCE" | "SAME_MACHINE_AND_WORDING" | "SAME_MACHINE_ALIKE_WORDING" | null;
  correspondenceId: string | null;
}

const Match = builder.objectRef<MatchShape>("Match").implement({
  fields: (t) => ({
    want: t.field({ type: Want, resolve: ({ want }) => want }),
    spare: t.field({ type: Spare, resolve: ({ spare }) => spare }),
    reason: t.field({
      type: MatchReason,
      nullable: true,
      description: "Null where it was one once.",
      resolve: ({ reason }) => reason,
    }),
    messages: t.field({
      type: MatchMessageConnection,
      args: forwards,
      resolve: ({ correspondenceId }, args, context, info) =>
        correspondenceId === null
          ? (pageOf(args, []) as Page<never>)
          : pageOfClubRows(context, info, args, "matchMessage", {
              where: { correspondenceId },
              orderBy: [{ enteredAt: "asc" }, { id: "asc" }],
            }),
    }),
    messageCount: t.int({
      resolve: ({ correspondenceId }, _args, { store }) =>
        correspondenceId === null ? 0 : store.matchMessage.count({ where: { correspondenceId } }),
    }),
  }),
});

const MatchConnection = connectionOf("Match", Match);

builder.queryFields((t) => ({
  matches: t.field({
    type: MatchConnection,
    description: "The asker's wants that others have, and spares that others want: the surest first.",
    args: forwards,
    resolve: async (_root, args, context) => {
      const member = await memberIn(context);
      const index = await clubIndex(context.store, member.club.id);
      const page = pageOf(args, index.matchesOf(member.id));
      return { ...page, rows: async () => withRows(context, member, await page.rows()) };
    },
  }),
  match: t.field({
    type: Match,
    description: "To the two members, and to the club's stewards where somebody complained about one of its messages.",
    args: { want: t.arg.id({ required: true }), spare: t.arg.id({ required: true }) },
    resolve: async (_root, { want, spare }, context) => {
      const member = await memberIn(context);
      const [found] = await withRows(context, member, [{ wantId: want, spareId: spare, reason: null }]);
      if (found === undefined || !(await mayRead(context, member, found))) throw new NotFound("match");
      const index = await clubIndex(context.store, member.club.id);
      return { ...found, reason: index.reason(want, spare) };
    },
  }),
}));

/** Messages are between the two; a steward reads them only to answer a complaint about one. */
async function mayRead(
  { store }: Context,
  member: Member,
  { want, spare, correspondenceId }: MatchShape,
): Promise<boolean> {
  if (want.memberId === member.id || spare.memberId === member.id) return true;
  if (!member.steward || correspondenceId === null || want.clubId !== member.club.id) return false;
  const messages = await store.matchMessage.findMany({ where: { correspondenceId }, select: { id: true } });
  const rowId = { in: messages.map(({ id }) => id) };
  return (await store.clubComplaint.count({ where: { clubId: member.club.id, kind: "MESSAGE", rowId } })) > 0;
}

/** The matches of pairs of which the member may read both rows. */
async function withRows(
  { store }: Context,
  member: Member,
  pairs: readonly { wantId: string; spareId: string; reason: MatchShape["reason"] }[],
): Promise<MatchShape[]> {
  const wants = new Map(
    (await store.want.findMany({ where: { id: { in: pairs.map((p) => p.wantId) } } })).map((r) => [r.id, r]),
  );
  const spares = new Map(
    (await store.spare.findMany({ where: { id: { in: pairs.map((p) => p.spareId) } } })).map((r) => [r.id, r]),
  );
  const correspondences = await store.correspondence.findMany({
    where: { wantId: { in: [...wants.keys()] }, spareId: { in: [...spares.keys()] } },
  });
  const correspondenceOf = new Map(
    correspondences.map((correspondence) => [`${correspondence.wantId} ${correspondence.spareId}`, correspondence.id]),
  );
  return pairs.flatMap(({ wantId, spareId, reason }) => {
    const [want, spare] = [wants.get(wantId), spares.get(spareId)];
    if (want === undefined || spare === undefined) return [];
    if (!readsClubRow(member, want) || !readsClubRow(member, spare)) return [];
    return [{ want, spare, reason, correspondenceId: correspondenceOf.get(`${wantId} ${spareId}`) ?? null }];
  });
}

builder.mutationFields((t) => ({
  writeAboutMatch: t.field({
    type: SaveResult,
    description: "Writes to the other member of a match.",
    args: {
      want: t.arg.id({ required: true }),
      spare: t.arg.id({ required: true }),
      text: t.arg.string({ required: true }),
    },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => writeAbout(context, args),
        () => {},
      ),
  }),
  planSpare: t.field({
    type: SaveResult,
    description: "Makes another member's spare a quote for a part of one's own restoration, in one step.",
    args: {
      spare: t.arg.id({ required: true }),
      part: t.arg.id({ required: true }),
      priceMinor: t.arg({ type: "Minor", description: "Agreed for one; default, what is asked." }),
      leadDays: t.arg.int({ description: "Default: 7." }),
    },
    resolve: (_root, args, context) => saving(context, () => planSpare(context, args)),
  }),
}));

async function writeAbout(context: Context, { want, spare, text }: { want: string; spare: string; text: string }) {
  const faults = clubFaultsOf("matchMessage", { text });
  if (faults.length > 0) throw new InvalidInput(faults);
  // Read before the transaction begins: what is read beside one waits until it has ended.
  const index = await clubIndex(context.store, (await memberIn(context)).club.id);
  return inClub(context, async (journal, member) => {
    const [wanted, offered] = [
      await readClubRow(member, journal.tx, "want", want),
      await readClubRow(member, journal.tx, "spare", spare),
    ];
    if ((wanted.memberId === member.id) === (offered.memberId === member.id))
      throw new Refused("NOT_ALLOWED", "Only the two whose want and spare go together write about them.");
    if (wanted.withheldReason !== null || offered.withheldReason !== null)
      throw new Refused(
        "NOT_ALLOWED",
        "A steward of the club has withheld one of the two: nobody writes about it now.",
      );
    const known = await journal.tx.correspondence.findUnique({
      where: { wantId_spareId: { wantId: want, spareId: spare } },
    });
    if (known === null && index.reason(want, spare) === null)
      throw new Refused(
        "NOT_ALLOWED",
        "This want and this spare are not for the same part, or one of them has been met or is gone.",
      );
    await mayEnter(journal.tx, member);
    const correspondence = known ?? (await journal.create("correspondence", { wantId: want, spareId: spare }));
    const { id, revision } = await journal.create("matchMessage", {
      correspondenceId: correspondence.id,
      memberId: member.id,
      text,
    });
    return { id, revision, summary: `Wrote about ${codeInWords("spare", offered.code)} ${offered.part}` };
  });
}

interface Planning {
  spare: string;
  part: string;
  priceMinor?: number | null | undefined;
  leadDays?: number | null | undefined;
}

async function planSpare(
  context: Context,
  { spare, part, priceMinor, leadDays }: Planning,
): Promise<Omit<Saved, "is">> {
  const member = await memberOf(context.viewer, context.store);
  const offered = await readClubRow(member, context.store, "spare", spare);
  if (offered.memberId === member.id)
    throw new Refused("NOT_ALLOWED", "This spare is your own: book it to the part as in hand.");
  if (offered.gone) throw new Refused("NOT_ALLOWED", `The spare ${offered.code} ${offered.part} is gone.`);
  const { name } = await context.store.clubMember.findUniqueOrThrow({ where: { id: offered.memberId } });
  const price = priceMinor ?? offered.priceMinor;
  if (price === null)
    throw new InvalidInput([
      {
        code: "REQUIRED",
        field: "priceMinor",
        message: "price must be given: the member asks for no price, so give the one agreed.",
      },
    ]);
  return planQuote(
    context,
    `Planned ${offered.part} from ${name}`,
    name,
    "CLUB_MEMBER",
    {
      part,
      provenance: offered.provenance,
      condition: offered.condition,
      unitPriceMinor: price,
      currency: offered.currency,
      leadDays: leadDays ?? 7,
      notes: `${codeInWords("Spare", offered.code)} ${offered.part}${offered.notes === "" ? "" : `\n${offered.notes}`}`,
    },
    async (journal, row) => {
      await notPlannedYet(journal.tx, member, offered, part);
      return journal.update("quote", row.id, row.revision, { spareId: spare });
    },
  );
}

/** A spare is planned once for a part, and for as many parts as there are pieces. Throws {@link Refused} IN_USE. */
async function notPlannedYet(tx: Tx, { workshopId }: Member, spare: SpareRow, partId: string): Promise<void> {
  const planned = await tx.quote.findMany({
    where: { spareId: spare.id, restoration: { workshopId } },
    select: { code: true, supplier: { select: { name: true } }, part: { select: { id: true, name: true } } },
    orderBy: BY_CODE,
  });
  const stands =
    planned.find(({ part }) => part.id === partId) ?? (planned.length >= spare.quantity ? planned[0] : null);
  if (stands != null)
    throw new Refused(
      "IN_USE",
      `The spare ${spare.code} is in your plan already: ${codeInWords("quote", stands.code)} of ${stands.supplier.name} for ${stands.part.name}.`,
      [stands.code],
    );
}

/** Adds a quote to the viewer's plan, and the supplier where the workshop does not know the name. `then` writes more with it. */
export async function planQuote(
  context: Context,
  summary: string,
  seller: string,
  kind: "CLUB_MEMBER" | "MAKER",
  quote: Omit<Parameters<typeof quoteDraft>[0], "supplier">,
  then: (journal: Journal, quote: { id: string; revision: number }) => Promise<{ revision: number }> = async (
    _journal,
    q,
  ) => q,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const part = await store.part.findFirst({
    where: { id: quote.part ?? "", restoration: { workshopId: viewer.workshopId } },
    select: { restorationId: true },
  });
  if (part === null) throw new NotFound("part");
  let saved = { id: "", revision: 1 };
  const occasion = { restorationId: part.restorationId, accountId: viewer.accountId, summary };
  const change = await record(store, occasion, async (journal) => {
    const known = await journal.tx.supplier.findFirst({
      where: { workshopId: viewer.workshopId, name: seller },
      orderBy: BY_CODE,
    });
    const supplier = known ?? (await write(context, journal, supplierDraft(context, { name: seller, kind })));
    const row = await write(context, journal, quoteDraft({ ...quote, supplier: supplier.id }));
    saved = { id: row.id, revision: (await then(journal, row)).revision };
  });
  return { change, ...saved };
}
