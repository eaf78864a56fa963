/** What a member finds wrong with a row, and the hiding of it by an admin, with the reason. */
import { type Member, mayModerate, readsClubRow } from "../access/club.ts";
import type { ClubRowKind as Kind } from "../generated/prisma/enums.ts";
import { Gathered } from "../plan/gathered.ts";
import type { Store, Tx } from "../store/client.ts";
import { clubFaultsOf } from "../store/clubRules.ts";
import { CLUB_NOUNS, clubDelegateOf, clubNameOf } from "../store/clubTables.ts";
import { InvalidInput, NotFound, Refused } from "../store/fault.ts";
import { builder } from "./builder.ts";
import { memberIn } from "./club.ts";
import { pageOfClubRows } from "./clubPage.ts";
import { inClub, mayPost } from "./clubSave.ts";
import type { Context } from "./context.ts";
import { ClubRowKind } from "./enums.ts";
import { connectionOf, forwards } from "./page.ts";
import { SaveResult, saving } from "./saveResult.ts";

const TABLES = {
  SOURCE: "clubSource",
  WANT: "want",
  SPARE: "spare",
  BATCH: "batch",
  MESSAGE: "matchMessage",
} as const satisfies Record<Kind, string>;

const ReportedMatch = builder.objectRef<{ wantId: string; spareId: string }>("ReportedMatch").implement({
  description: "Where the message stands that was reported.",
  fields: (t) => ({ want: t.exposeID("wantId"), spare: t.exposeID("spareId") }),
});

/** How a reported row stands now. */
interface Reported {
  hidden: boolean;
  match: { wantId: string; spareId: string } | null;
}

const reportedBy = async (context: Context, { kind, rowId }: { kind: Kind; rowId: string }) => {
  const rows = await context.once(
    `reported ${kind}`,
    async () => new Gathered((ids) => readReported(context.store, kind, ids)),
  );
  return rows.of(rowId);
};

async function readReported(store: Store, kind: Kind, ids: readonly string[]): Promise<Map<string, Reported>> {
  const where = { id: { in: [...ids] } };
  if (kind === "MESSAGE") {
    const messages = await store.matchMessage.findMany({ where, include: { thread: true } });
    return new Map(
      messages.map(({ id, hiddenReason, thread }) => [id, { hidden: hiddenReason !== null, match: thread }]),
    );
  }
  const rows = await clubDelegateOf(store, TABLES[kind]).findMany({ where });
  return new Map(rows.map(({ id, hiddenReason }) => [String(id), { hidden: hiddenReason != null, match: null }]));
}

const ClubReport = builder.prismaObject("ClubReport", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    member: t.relation("member"),
    kind: t.expose("kind", { type: ClubRowKind }),
    rowId: t.exposeID("rowId"),
    row: t.exposeString("row", { description: "The row as it read when it was reported." }),
    reason: t.exposeString("reason"),
    settled: t.exposeBoolean("settled"),
    outcome: t.exposeString("outcome"),
    rowHidden: t.boolean({
      description: "The row is hidden as things stand now.",
      resolve: async (report, _args, context) => (await reportedBy(context, report))?.hidden ?? false,
    }),
    match: t.field({
      type: ReportedMatch,
      nullable: true,
      description: "Of a message: the match that it is about.",
      resolve: async (report, _args, context) => (await reportedBy(context, report))?.match ?? null,
    }),
    postedAt: t.expose("postedAt", { type: "DateTime" }),
  }),
});

const ClubReportConnection = connectionOf("ClubReport", ClubReport);

builder.queryField("clubReports", (t) =>
  t.field({
    type: ClubReportConnection,
    description: "Reports: to an admin all of them, those that wait first; to others their own.",
    args: { ...forwards, settled: t.arg.boolean() },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      return pageOfClubRows(context, info, args, "clubReport", {
        where: {
          clubId: member.club.id,
          ...(member.admin ? {} : { memberId: member.id }),
          ...(args.settled == null ? {} : { settled: args.settled }),
        },
        orderBy: [{ settled: "asc" }, { postedAt: "desc" }, { id: "desc" }],
      });
    },
  }),
);

const rowArguments = builder.args((t) => ({
  kind: t.field({ type: ClubRowKind, required: true }),
  id: t.id({ required: true }),
}));

builder.mutationFields((t) => ({
  report: t.field({
    type: SaveResult,
    description: "Tells the admins what is wrong with a row.",
    args: { ...rowArguments, reason: t.arg.string({ required: true }) },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => reportRow(context, args),
        () => {},
      ),
  }),
  hide: t.field({
    type: SaveResult,
    description:
      "Hides a row from the club with the reason, or shows it again with none; for admins. Reports of it are settled.",
    args: { ...rowArguments, reason: t.arg.string() },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => hideRow(context, args),
        () => {},
      ),
  }),
  settleReport: t.field({
    type: SaveResult,
    description: "Answers a report and leaves the row as it is; for admins.",
    args: {
      id: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      outcome: t.arg.string({ required: true }),
    },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => settleReport(context, args),
        () => {},
      ),
  }),
}));

async function rowIn(tx: Tx, member: Member, kind: Kind, id: string) {
  const row = await clubDelegateOf(tx, TABLES[kind]).findUnique({ where: { id } });
  if (row === null) throw new NotFound(CLUB_NOUNS[TABLES[kind]], id);
  if (kind === "MESSAGE") {
    const thread = await tx.matchThread.findUniqueOrThrow({
      where: { id: String(row.threadId) },
      include: { want: true, spare: true },
    });
    const { want, spare } = thread;
    const party = [want.memberId, spare.memberId].includes(member.id) && row.hiddenReason === null;
    if (!(party || member.admin) || !readsClubRow(member, want) || !readsClubRow(member, spare))
      throw new NotFound("message", id);
  } else if (row.clubId !== member.club.id || (row.hiddenReason !== null && !member.admin))
    throw new NotFound(CLUB_NOUNS[TABLES[kind]], id);
  return row;
}

interface RowOf {
  kind: Kind;
  id: string;
}

const reportRow = (context: Context, { kind, id, reason }: RowOf & { reason: string }) =>
  inClub(context, async (journal, member) => {
    const faults = clubFaultsOf("clubReport", { reason });
    if (faults.length > 0) throw new InvalidInput(faults);
    const row = await rowIn(journal.tx, member, kind, id);
    const waiting = { clubId: member.club.id, memberId: member.id, kind, rowId: id, settled: false };
    if ((await journal.tx.clubReport.count({ where: waiting })) > 0)
      throw new Refused("NOT_ALLOWED", "You have reported this already; an admin has yet to answer.");
    await mayPost(journal.tx, member);
    const words = kind === "MESSAGE" ? String(row.text).slice(0, 500) : clubNameOf(row);
    const report = await journal.create("clubReport", {
      clubId: member.club.id,
      memberId: member.id,
      kind,
      rowId: id,
      row: words,
      reason,
    });
    return {
      id: report.id,
      revision: report.revision,
      summary: `Reported ${CLUB_NOUNS[TABLES[kind]]} ${words.slice(0, 80)}`,
    };
  });

const hideRow = (context: Context, { kind, id, reason }: RowOf & { reason?: string | null | undefined }) =>
  inClub(context, async (journal, member) => {
    mayModerate(member);
    const why = reason?.trim() || null;
    if (why !== null) {
      const faults = clubFaultsOf("clubReport", { reason: why });
      if (faults.length > 0) throw new InvalidInput(faults);
    }
    const row = await rowIn(journal.tx, member, kind, id);
    const { revision } = await journal.update(TABLES[kind], id, row.revision, { hiddenReason: why } as never);
    const waiting = await journal.tx.clubReport.findMany({
      where: { clubId: member.club.id, kind, rowId: id, settled: false },
    });
    for (const report of waiting)
      await journal.update("clubReport", report.id, report.revision, {
        settled: true,
        outcome: why === null ? "Shown again" : `Hidden: ${why}`,
      });
    const noun = CLUB_NOUNS[TABLES[kind]];
    return {
      id,
      revision,
      summary: why === null ? `Showed ${noun} ${clubNameOf(row)} again` : `Hid ${noun} ${clubNameOf(row)}`,
    };
  });

const settleReport = (context: Context, { id, revision, outcome }: { id: string; revision: number; outcome: string }) =>
  inClub(context, async (journal, member) => {
    mayModerate(member);
    const faults = clubFaultsOf("clubReport", { reason: outcome }).map((fault) => ({ ...fault, field: "outcome" }));
    if (faults.length > 0) throw new InvalidInput(faults);
    const report = await journal.tx.clubReport.findUnique({ where: { id } });
    if (report === null || report.clubId !== member.club.id) throw new NotFound("report", id);
    const row = await journal.update("clubReport", id, revision, { settled: true, outcome });
    return { id, revision: row.revision, summary: `Answered a report of ${report.row.slice(0, 80)}` };
  });
