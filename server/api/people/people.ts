/** The workshop's people: who is invited, in which role, and whose account is closed. For its admins. */
import { recordEvent } from "../../access/events.ts";
import { endLinks, invitationOf, newLink, takenEmail, takeUp } from "../../access/invitation.ts";
import { accountsOf, mayAdminister, own } from "../../access/rules.ts";
import { emailAsStored, endSignIns } from "../../access/signIn.ts";
import type { Account as AccountRow } from "../../generated/prisma/client.ts";
import type { Tx } from "../../store/client.ts";
import { InvalidInput, NotFound, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { keepsSteward } from "../club/clubSave.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Role } from "../core/enums.ts";
import { forwards, pageOf } from "../core/page.ts";
import { AccountConnection } from "./account.ts";
import { AccountEventConnection } from "./accountEvent.ts";
import { AccountResult, answering, linkOf } from "./accountResult.ts";

const InvitationKind = builder.enumType("InvitationKind", { values: ["JOIN", "RESET"] as const });

const InvitationSeen = builder
  .objectRef<{ kind: "JOIN" | "RESET"; name: string; email: string; workshop: string; endsAt: Date }>("InvitationSeen")
  .implement({
    description: "What somebody who holds a link is told before taking it up.",
    fields: (t) => ({
      kind: t.expose("kind", { type: InvitationKind }),
      name: t.exposeString("name"),
      email: t.exposeString("email"),
      workshop: t.exposeString("workshop", { description: "Empty where whoever takes the link up names it." }),
      endsAt: t.expose("endsAt", { type: "DateTime" }),
    }),
  });

builder.queryFields((t) => ({
  invitation: t.field({
    type: InvitationSeen,
    description: "What a link is for. Refused (LINK_ENDED) where it was used, has ended, or never was.",
    args: { secret: t.arg.string({ required: true }) },
    resolve: async (_root, { secret }, { store }) => {
      const { kind, endsAt, account } = await invitationOf(store, secret);
      return { kind, endsAt, name: account.name, email: account.email ?? "", workshop: account.workshop.name };
    },
  }),
  people: t.field({
    type: AccountConnection,
    description: "The accounts of the workshop, by name.",
    args: forwards,
    resolve: async (_root, args, { store, viewer }) =>
      pageOf(
        args,
        await store.account.findMany({ where: accountsOf(viewer), orderBy: [{ name: "asc" }, { id: "asc" }] }),
      ),
  }),
  accountEvents: t.field({
    type: AccountEventConnection,
    description: "The record of the workshop's accounts, the newest first; account: of that one alone.",
    args: { ...forwards, account: t.arg.id() },
    resolve: async (_root, { account, ...args }, context) => {
      const { store, viewer } = context;
      if (account != null) await personOf(context, account);
      const where = { workshopId: viewer.workshopId, ...(account == null ? {} : { accountId: account }) };
      return pageOf(args, await store.accountEvent.findMany({ where, orderBy: [{ at: "desc" }, { id: "desc" }] }));
    },
  }),
}));

const InviteInput = builder.inputType("InviteInput", {
  fields: (t) => ({
    name: t.string({ required: true }),
    email: t.string(),
    role: t.field({ type: Role, required: true }),
    admin: t.boolean(),
    restoration: t.id({ description: "Needed for an owner: the restoration that the account sees." }),
  }),
});

const account = { required: true, description: "An account of the own workshop." } as const;

builder.mutationFields((t) => ({
  invite: t.field({
    type: AccountResult,
    description: "Adds an account and answers with the link by which it joins.",
    args: { input: t.arg({ type: InviteInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => invite(context, input)),
  }),
  handOutReset: t.field({
    type: AccountResult,
    description: "Answers with a link by which the account sets a new password; before it has joined, one to join.",
    args: { account: t.arg.id(account) },
    resolve: (_root, { account: id }, context) => answering(() => handOutReset(context, id)),
  }),
  closeAccount: t.field({
    type: AccountResult,
    description: "Closes an account, or opens it again: it can no longer sign in, and all that it did stays.",
    args: { account: t.arg.id(account), closed: t.arg.boolean({ required: true }) },
    resolve: (_root, args, context) => answering(() => closeAccount(context, args.account, args.closed)),
  }),
  changeRole: t.field({
    type: AccountResult,
    args: {
      account: t.arg.id(account),
      role: t.arg({ type: Role, required: true }),
      admin: t.arg.boolean(),
      restoration: t.arg.id({ description: "For an owner: the restoration that it sees from now on." }),
    },
    resolve: (_root, args, context) => answering(() => changeRole(context, args)),
  }),
  takeUpInvitation: t.field({
    type: AccountResult,
    description: "Sets name, e-mail and password by a link, once, and signs in.",
    args: {
      secret: t.arg.string({ required: true }),
      name: t.arg.string(),
      email: t.arg.string(),
      password: t.arg.string({ required: true }),
      workshop: t.arg.string({ description: "What the workshop is called, where it has no name yet." }),
    },
    resolve: (_root, args, { store, visit }) =>
      answering(async () => {
        const joined = await takeUp(store, args, visit?.browser ?? "");
        visit?.signIn(joined.secret);
        return { id: joined.account.id };
      }),
  }),
}));

async function invite(context: Context, input: typeof InviteInput.$inferInput) {
  const { store, viewer } = context;
  mayAdminister(viewer);
  const { name, role } = input;
  const email = input.email ? emailAsStored(input.email) : null;
  const faults = faultsOf("account", { name, email: email ?? "nobody@example.org" });
  if (email !== null) faults.push(...(await takenEmail(store, email, { id: null, workshopId: viewer.workshopId })));
  if (faults.length > 0) throw new InvalidInput(faults);
  return assigned(context, { role, restoration: input.restoration }, `Invited ${name}`, async (tx) => {
    const admin = role === "RESTORER" && (input.admin ?? false);
    const added = await tx.account.create({ data: { workshopId: viewer.workshopId, name, email, role, admin } });
    const summary = `Invited ${name} as ${inWords(role, admin)}`;
    await recordEvent(tx, { account: added, byId: viewer.accountId, kind: "INVITED", summary });
    return { id: added.id, link: linkOf(await newLink(tx, added.id, "JOIN")) };
  });
}

const ROLE_WORDS = { RESTORER: "restorer", OWNER: "owner", MEMBER: "club member" } as const;
const inWords = (role: keyof typeof ROLE_WORDS, admin: boolean): string =>
  ROLE_WORDS[role] + (admin ? " and admin" : "");

/** Changes an account in one transaction; an owner's restoration is changed, and recorded, with it. */
async function assigned<T extends { id: string }>(
  { store, viewer }: Context,
  { role, restoration }: { role: keyof typeof ROLE_WORDS; restoration?: string | null | undefined },
  summary: string,
  work: (tx: Tx) => Promise<T>,
): Promise<T> {
  if (role !== "OWNER") return store.$transaction(work);
  if (restoration == null)
    throw new InvalidInput([
      { code: "REQUIRED", field: "restoration", message: "restoration must be given: an owner sees one." },
    ]);
  const { id, revision } = await own(viewer, store, "restoration", restoration);
  let done: T | undefined;
  const occasion = { restorationId: id, accountId: viewer.accountId, summary: `${summary}, who sees it as its owner` };
  await record(store, occasion, async (journal) => {
    done = await work(journal.tx);
    await journal.update("restoration", id, revision, { ownerAccountId: done.id });
  });
  return done as T;
}

/** An account of the admin's workshop. Throws {@link NotFound} for any other. */
async function personOf({ store, viewer }: Context, id: string): Promise<AccountRow> {
  mayAdminister(viewer);
  const found = await store.account.findFirst({ where: { AND: [accountsOf(viewer), { id }] } });
  if (found === null) throw new NotFound("account");
  return found;
}

async function handOutReset(context: Context, id: string) {
  const person = await personOf(context, id);
  if (person.closed) throw new Refused("NOT_ALLOWED", "The account is closed: open it again first.");
  const { viewer, store } = context;
  const joined = person.passwordHash !== null;
  return store.$transaction(async (tx) => {
    const link = await newLink(tx, id, joined ? "RESET" : "JOIN");
    const summary = `Handed out a link to ${joined ? "reset the password" : "join"} to ${person.name}`;
    await recordEvent(tx, { account: person, byId: viewer.accountId, kind: "RESET_HANDED_OUT", summary });
    return { id, link: linkOf(link) };
  });
}

async function closeAccount(context: Context, id: string, closed: boolean) {
  const person = await personOf(context, id);
  return context.store.$transaction(async (tx) => {
    if (closed) await keepsAnAdmin(tx, person);
    await tx.account.update({ where: { id }, data: { closed, revision: { increment: 1 } } });
    if (closed) {
      const member = await tx.clubMember.findUnique({ where: { accountId: id } });
      if (member?.steward) await keepsSteward(tx, member.clubId);
      await endSignIns(tx, id);
      await endLinks(tx, id);
    }
    await recordEvent(tx, {
      account: person,
      byId: context.viewer.accountId,
      kind: closed ? "CLOSED" : "REOPENED",
      summary: `${closed ? "Closed" : "Opened again"} the account of ${person.name}`,
    });
    return { id };
  });
}

async function changeRole(
  context: Context,
  asked: {
    account: string;
    role: keyof typeof ROLE_WORDS;
    admin?: boolean | null | undefined;
    restoration?: string | null | undefined;
  },
) {
  const person = await personOf(context, asked.account);
  const { role } = asked;
  const admin = role === "RESTORER" && (asked.admin ?? false);
  return assigned(context, asked, `Made ${person.name} owner`, async (tx) => {
    if (!admin) await keepsAnAdmin(tx, person);
    await tx.account.update({ where: { id: person.id }, data: { role, admin, revision: { increment: 1 } } });
    const summary = `Made ${person.name} ${inWords(role, admin)}, who was ${inWords(person.role, person.admin)}`;
    await recordEvent(tx, { account: person, byId: context.viewer.accountId, kind: "ROLE_CHANGED", summary });
    return { id: person.id };
  });
}

/** Throws {@link Refused} (LAST_ADMIN) where nobody could invite or reset any more without this account. */
async function keepsAnAdmin(tx: Tx, person: AccountRow): Promise<void> {
  const others = await tx.account.count({
    where: { workshopId: person.workshopId, admin: true, closed: false, id: { not: person.id } },
  });
  if (person.admin && others === 0)
    throw new Refused("LAST_ADMIN", `${person.name} is the workshop's only admin: make somebody else one first.`);
}
