/** The club that stands on this server, and who belongs to it. */
import { type Member, maySteward, memberOf, memberOrNull } from "../../access/club.ts";
import type { ClubMember as ClubMemberRow } from "../../generated/prisma/client.ts";
import { clubDay } from "../../plan/club/batch.ts";
import { today } from "../../plan/days/today.ts";
import { recordClub } from "../../store/clubJournal.ts";
import { clubFaultsOf } from "../../store/clubRules.ts";
import { InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { inCapitals } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { connectionOf, forwards } from "../core/page.ts";
import { type ClubSaved, SaveResult, saving } from "../core/saveResult.ts";
import { pageOfClubRows } from "./clubPage.ts";
import { inClub, keepsSteward } from "./clubSave.ts";

/** The viewer as a member, asked once a request. */
export const memberIn = (context: Context): Promise<Member> =>
  context.once("member", () => memberOf(context.viewer, context.store));

export const ClubMember = builder.prismaObject("ClubMember", {
  description: "Somebody of the club, by the name that the others see.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    name: t.exposeString("name"),
    steward: t.exposeBoolean("steward", {
      description: "Withholds rows, answers complaints, and makes other members stewards.",
    }),
    joinedOn: t.expose("joinedOn", { type: "Date" }),
    own: t.boolean({
      description: "The member who asks.",
      resolve: async (member, _args, context) => (await memberIn(context)).id === member.id,
    }),
  }),
});

const ClubMemberConnection = connectionOf("ClubMember", ClubMember);

interface ClubShape {
  id: string;
  name: string;
  currency: string;
  day: string;
  entriesPerDay: number;
  member: Member | null;
}

const Club = builder.objectRef<ClubShape>("Club").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    name: t.exposeString("name"),
    currency: t.exposeString("currency"),
    day: t.field({ type: "Date", description: "The day its figures are for.", resolve: ({ day }) => day }),
    entriesPerDay: t.exposeInt("entriesPerDay", { description: "Entries that one member may make in 24 hours." }),
    memberName: t.string({
      nullable: true,
      description: "The name under which the asker belongs to it; null: not a member.",
      resolve: ({ member }) => member?.name ?? null,
    }),
    steward: t.boolean({ resolve: ({ member }) => member?.steward ?? false }),
    memberCount: t.int({ resolve: ({ id }, _args, { store }) => store.clubMember.count({ where: { clubId: id } }) }),
    sourceCount: t.int({
      resolve: ({ id }, _args, { store }) => store.clubSource.count({ where: { clubId: id, withheldReason: null } }),
    }),
  }),
});

builder.queryField("club", (t) =>
  t.field({
    type: Club,
    nullable: true,
    description: "The club of this server; null where none has begun, or for an owner.",
    resolve: async (_root, _args, { store, viewer }) => {
      if (viewer.role !== "RESTORER" && viewer.role !== "MEMBER") return null;
      const club = await store.club.findFirst({ orderBy: { id: "asc" } });
      if (club === null) return null;
      return { ...club, day: clubDay(club), member: await memberOrNull(viewer, store) };
    },
  }),
);

builder.queryField("clubMembers", (t) =>
  t.field({
    type: ClubMemberConnection,
    description: "Everybody of the club: its stewards first, then by name.",
    args: forwards,
    resolve: async (_root, args, context, info) => {
      const { club } = await memberIn(context);
      return pageOfClubRows(context, info, args, "clubMember", {
        where: { clubId: club.id },
        orderBy: [{ steward: "desc" }, { name: "asc" }, { id: "asc" }],
      });
    },
  }),
);

builder.mutationFields((t) => ({
  setClubSteward: t.field({
    type: SaveResult,
    description: "Makes a member a steward of the club, or no longer one; for its stewards. One always remains.",
    args: {
      clubMember: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      steward: t.arg.boolean({ required: true }),
    },
    resolve: (_root, args, context) =>
      saving(
        context,
        () => setSteward(context, args),
        () => {},
      ),
  }),
  beginClub: t.field({
    type: SaveResult,
    description: "Begins the club of this server, with the restorer who asks as its first member.",
    args: {
      name: t.arg.string({ required: true }),
      memberName: t.arg.string({ required: true }),
      currency: t.arg.string(),
    },
    resolve: (_root, args, context) => saving(context, () => beginClub(context, args)),
  }),
  joinClub: t.field({
    type: SaveResult,
    description: "Joins the club of this server under a name that the others see, or changes that name.",
    args: { memberName: t.arg.string({ required: true }) },
    resolve: (_root, { memberName }, context) => saving(context, () => joinClub(context, memberName), mayJoin),
  }),
}));

function mayJoin({ role }: Context["viewer"]): void {
  if (role !== "RESTORER" && role !== "MEMBER")
    throw new Refused("NOT_ALLOWED", "Restorers and members can belong to the club; owners look on at their machine.");
}

async function beginClub(
  { store, viewer }: Context,
  { name, memberName, currency }: { name: string; memberName: string; currency?: string | null | undefined },
): Promise<ClubSaved> {
  const club = inCapitals({ name: name.trim(), currency: currency ?? "GBP", figuresFor: null, entriesPerDay: 50 });
  const first = { name: memberName.trim(), joinedOn: today() };
  const faults = [
    ...clubFaultsOf("club", club),
    ...clubFaultsOf("clubMember", first).map((fault) => ({ ...fault, field: "memberName" })),
  ];
  if (faults.length > 0) throw new InvalidInput(faults);
  const { id } = await store.$transaction(async (tx) => {
    if ((await tx.club.count()) > 0)
      throw new Refused("NOT_ALLOWED", "There is a club on this server already: join it.");
    return tx.club.create({ data: club });
  });
  return enter({ store, viewer }, id, first, `Began ${club.name}`);
}

async function joinClub(context: Context, memberName: string): Promise<ClubSaved> {
  const { store, viewer } = context;
  const row = { name: memberName.trim(), joinedOn: today() };
  const faults = clubFaultsOf("clubMember", row).map((fault) => ({ ...fault, field: "memberName" }));
  if (faults.length > 0) throw new InvalidInput(faults);
  const now = await store.clubMember.findUnique({ where: { accountId: viewer.accountId } });
  if (now !== null)
    return inClub(context, async (journal) => {
      const { id, revision } = await journal.update("clubMember", now.id, now.revision, { name: row.name });
      return { id, revision, summary: `Changed the member's name to ${row.name}` };
    });
  const club = await store.club.findFirst({ orderBy: { id: "asc" } });
  if (club === null) throw new Refused("NOT_ALLOWED", "There is no club on this server yet.");
  return enter(context, club.id, row, `Joined ${club.name} as ${row.name}`);
}

const setSteward = (
  context: Context,
  { clubMember, revision, steward }: { clubMember: string; revision: number; steward: boolean },
): Promise<ClubSaved> =>
  inClub(context, async (journal, member) => {
    maySteward(member);
    const row = await journal.tx.clubMember.findUnique({ where: { id: clubMember } });
    if (row === null || row.clubId !== member.club.id) throw new NotFound("member");
    const saved = await journal.update("clubMember", clubMember, revision, { steward });
    await keepsSteward(journal.tx, member.club.id);
    return {
      id: clubMember,
      revision: saved.revision,
      summary: steward ? `Made ${row.name} a steward of the club` : `${row.name} is no longer a steward of the club`,
    };
  });

/** Whoever comes into a club without a steward is its steward: the one who begins it. */
async function enter(
  { store, viewer }: Pick<Context, "store" | "viewer">,
  clubId: string,
  row: { name: string; joinedOn: string },
  summary: string,
): Promise<ClubSaved> {
  let member: ClubMemberRow | undefined;
  const change = await recordClub(store, { clubId, accountId: viewer.accountId, summary }, async (journal) => {
    const steward = (await journal.tx.clubMember.count({ where: { clubId, steward: true } })) === 0;
    member = await journal.create("clubMember", { ...row, clubId, accountId: viewer.accountId, steward });
  });
  return { is: "ClubSaved", change, id: member!.id, revision: 1 };
}
