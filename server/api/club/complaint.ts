/** What a member says is wrong with a row, and the withholding of it by a steward, with the reason. */
import { type Member, maySteward, readsClubRow } from "../../access/club.ts";
import type { ClubRowKind as Kind } from "../../generated/prisma/enums.ts";
import { Gathered } from "../../plan/rows/gathered.ts";
import type { Store, Tx } from "../../store/client.ts";
import { clubFaultsOf } from "../../store/clubRules.ts";
import { CLUB_NOUNS, clubDelegateOf, clubNameOf, clubNameWithNoun, nounBeforeCode } from "../../store/clubTables.ts";
import { InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { ClubRowKind } from "../core/enums.ts";
import { connectionOf, forwards } from "../core/page.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { memberIn } from "./club.ts";
import { pageOfClubRows } from "./clubPage.ts";
import { inClub, mayEnter } from "./clubSave.ts";

const TABLES = {
  SOURCE: "clubSource",
  WANT: "want",
  SPARE: "spare",
  BATCH: "batch",
  MESSAGE: "matchMessage",
} as const satisfies Record<Kind, string>;

const ComplaintMatch = builder.objectRef<{ wantId: string; spareId: string }>("ComplaintMatch").implement({
  description: "Where the message stands that the complaint is about.",
  fields: (t) => ({ want: t.exposeID("wantId"), spare: t.exposeID("spareId") }),
});

/** What became of a row that a complaint is about. */
interface Complained {
  withheld: boolean;
  match: { wantId: string; spareId: string } | null;
}

const complainedOf = async (context: Context, { kind, rowId }: { kind: Kind; rowId: string }) => {
  const rows = await context.once(
    `complaints of ${kind}`,
    async () => new Gathered((ids) => readComplained(context.store, kind, ids)),
  );
  return rows.of(rowId);
};

async function readComplained(store: Store, kind: Kind, ids: readonly string[]): Promise<Map<string, Complained>> {
  const where = { id: { in: [...ids] } };
  if (kind === "MESSAGE") {
    const messages = await store.matchMessage.findMany({ where, include: { correspondence: true } });
    return new Map(
      messages.map(({ id, withheldReason, correspondence }) => [
        id,
        { withheld: withheldReason !== null, match: correspondence },
      ]),
    );
  }
  const rows = await clubDelegateOf(store, TABLES[kind]).findMany({ where });
  return new Map(rows.map(({ id, withheldReason }) => [String(id), { withheld: withheldReason != null, match: null }]));
}

const ClubComplaint = builder.prismaObject("ClubComplaint", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    member: t.relation("member"),
    kind: t.expose("kind", { type: ClubRowKind }),
    rowId: t.exposeID("rowId"),
    row: t.exposeString("row", { description: "The row as it read when the complaint was made." }),
    reason: t.exposeString("reason"),
    answered: t.exposeBoolean("answered"),
    answer: t.exposeString("answer"),
    rowWithheld: t.boolean({
      description: "The row is withheld as things stand now.",
      resolve: async (complaint, _args, context) => (await complainedOf(context, complaint))?.withheld ?? false,
    }),
    match: t.field({
      type: ComplaintMatch,
      nullable: true,
      description: "Of a message: the match that it is about.",
      resolve: async (complaint, _args, context) => (await complainedOf(context, complaint))?.match ?? null,
    }),
    enteredAt: t.expose("enteredAt", { type: "DateTime" }),
  }),
});

const ClubComplaintConnection = connectionOf("ClubComplaint", ClubComplaint);

builder.queryField("clubComplaints", (t) =>
  t.field({
    type: ClubComplaintConnection,
    description: "Complaints: to a steward all of them, those that wait first; to others their own.",
    args: { ...forwards, answered: t.arg.boolean() },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      return pageOfClubRows(context, info, args, "clubComplaint", {
        where: {
          clubId: member.club.id,
          ...(member.steward ? {} : { memberId: member.id }),
          ...(args.answered == null ? {} : { answered: args.answered }),
        },
        orderBy: [{ answered: "asc" }, { enteredAt: "desc" }, { id: "desc" }],
      });
    },
  }),
);

const rowArguments = builder.args((t) => ({
  kind: t.field({ type: ClubRowKind, required: true }),
  id: t.id({ required: true }),
}));

builder.mutationFields((t) => ({
  sayWhatIsWrong: t.field({
    type: SaveResult,
    description: "Tells the stewards what is wrong with a row.",
    args: { ...rowArguments, reason: t.arg.string({ required: true }) },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => sayWhatIsWrong(context, args),
        () => {},
      ),
  }),
  withhold: t.field({
    type: SaveResult,
    description:
      "Withholds a row from the club with the reason, or shows it again with none; for stewards. Complaints about it are answered.",
    args: { ...rowArguments, reason: t.arg.string() },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => withholdRow(context, args),
        () => {},
      ),
  }),
  answerComplaint: t.field({
    type: SaveResult,
    description: "Answers a complaint and leaves the row as it is; for stewards.",
    args: {
      id: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      answer: t.arg.string({ required: true }),
    },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => answerComplaint(context, args),
        () => {},
      ),
  }),
}));

async function rowIn(tx: Tx, member: Member, kind: Kind, id: string) {
  const row = await clubDelegateOf(tx, TABLES[kind]).findUnique({ where: { id } });
  if (row === null) throw new NotFound(CLUB_NOUNS[TABLES[kind]]);
  if (kind === "MESSAGE") {
    const correspondence = await tx.correspondence.findUniqueOrThrow({
      where: { id: String(row.correspondenceId) },
      include: { want: true, spare: true },
    });
    const { want, spare } = correspondence;
    const party = [want.memberId, spare.memberId].includes(member.id) && row.withheldReason === null;
    if (!(party || member.steward) || !readsClubRow(member, want) || !readsClubRow(member, spare))
      throw new NotFound("message");
  } else if (row.clubId !== member.club.id || (row.withheldReason !== null && !member.steward))
    throw new NotFound(CLUB_NOUNS[TABLES[kind]]);
  return row;
}

interface RowOf {
  kind: Kind;
  id: string;
}

const sayWhatIsWrong = (context: Context, { kind, id, reason }: RowOf & { reason: string }) =>
  inClub(context, async (journal, member) => {
    const faults = clubFaultsOf("clubComplaint", { reason });
    if (faults.length > 0) throw new InvalidInput(faults);
    const row = await rowIn(journal.tx, member, kind, id);
    const waiting = { clubId: member.club.id, memberId: member.id, kind, rowId: id, answered: false };
    if ((await journal.tx.clubComplaint.count({ where: waiting })) > 0)
      throw new Refused("NOT_ALLOWED", "You have said already what is wrong with it; a steward has yet to answer.");
    await mayEnter(journal.tx, member);
    const words = kind === "MESSAGE" ? String(row.text).slice(0, 500) : clubNameOf(row);
    const complaint = await journal.create("clubComplaint", {
      clubId: member.club.id,
      memberId: member.id,
      kind,
      rowId: id,
      row: words,
      reason,
    });
    return {
      id: complaint.id,
      revision: complaint.revision,
      summary: `Said what is wrong with ${nounBeforeCode(TABLES[kind])} ${words.slice(0, 80)}`,
    };
  });

const withholdRow = (context: Context, { kind, id, reason }: RowOf & { reason?: string | null | undefined }) =>
  inClub(context, async (journal, member) => {
    maySteward(member);
    const why = reason?.trim() || null;
    if (why !== null) {
      const faults = clubFaultsOf("clubComplaint", { reason: why });
      if (faults.length > 0) throw new InvalidInput(faults);
    }
    const row = await rowIn(journal.tx, member, kind, id);
    const { revision } = await journal.update(TABLES[kind], id, row.revision, { withheldReason: why } as never);
    const waiting = await journal.tx.clubComplaint.findMany({
      where: { clubId: member.club.id, kind, rowId: id, answered: false },
    });
    for (const complaint of waiting)
      await journal.update("clubComplaint", complaint.id, complaint.revision, {
        answered: true,
        answer: why === null ? "Shown again" : `Withheld: ${why}`,
      });
    const called = clubNameWithNoun(TABLES[kind], row);
    return {
      id,
      revision,
      summary: why === null ? `Showed ${called} again` : `Withheld ${called}`,
    };
  });

const answerComplaint = (
  context: Context,
  { id, revision, answer }: { id: string; revision: number; answer: string },
) =>
  inClub(context, async (journal, member) => {
    maySteward(member);
    const faults = clubFaultsOf("clubComplaint", { reason: answer }).map((fault) => ({ ...fault, field: "answer" }));
    if (faults.length > 0) throw new InvalidInput(faults);
    const complaint = await journal.tx.clubComplaint.findUnique({ where: { id } });
    if (complaint === null || complaint.clubId !== member.club.id) throw new NotFound("complaint");
    const row = await journal.update("clubComplaint", id, revision, { answered: true, answer });
    return { id, revision: row.revision, summary: `Answered a complaint about ${complaint.row.slice(0, 80)}` };
  });
