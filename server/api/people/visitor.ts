/** Who looks at the program, signed in or not; signing in and out, and changing one's own account. */
import { isObjectType } from "graphql";
import { recordEvent } from "../../access/events.ts";
import { readFields } from "../../access/fields.ts";
import { takenEmail } from "../../access/invitation.ts";
import { hashPassword, isPassword, passwordFaults } from "../../access/password.ts";
import { actAs, emailAsStored, endSignIns, signInByPassword, signInOf } from "../../access/signIn.ts";
import { Tries } from "../../access/tries.ts";
import type { Account as AccountRow } from "../../generated/prisma/client.ts";
import { type Difference, InvalidInput, NotFound, Refused, StaleRow } from "../../store/fault.ts";
import { faultsOf } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Role } from "../core/enums.ts";
import { Account } from "./account.ts";
import { AccountResult, answering } from "./accountResult.ts";

const DemoPerson = builder
  .objectRef<{ id: string; name: string; role: typeof Role.$inferType }>("DemoPerson")
  .implement({
    fields: (t) => ({
      id: t.exposeID("id"),
      name: t.exposeString("name"),
      role: t.expose("role", { type: Role }),
    }),
  });

const Visitor = builder.objectRef<{ accountId: string }>("Visitor").implement({
  fields: (t) => ({
    account: t.field({
      type: Account,
      nullable: true,
      description: "Null for somebody who is not signed in.",
      resolve: ({ accountId }, _args, context, info) => context.rowOrNull("account", accountId || null, info),
    }),
    may: t.stringList({
      description: "What the visitor may read and do: fields of Query, Mutation and Restoration, as Type.field.",
      resolve: (_visitor, _args, { viewer }, { schema }) =>
        LEADING.flatMap((name) => {
          const type = schema.getType(name);
          return isObjectType(type) ? readFields(viewer, name, Object.keys(type.getFields())) : [];
        }),
    }),
    demoPeople: t.field({
      type: [DemoPerson],
      description: "The people of the demo, as any of whom one may look on; none outside of the demo.",
      resolve: (_visitor, _args, { store }) =>
        store.account.findMany({ where: { workshop: { demo: true }, closed: false }, orderBy: { id: "asc" } }),
    }),
  }),
});

/** Types whose fields lead to a sheet or to a change of something. */
const LEADING = ["Query", "Mutation", "Restoration"];

builder.queryField("visitor", (t) =>
  t.field({ type: Visitor, resolve: (_root, _args, { viewer }) => ({ accountId: viewer.accountId }) }),
);

const AccountInput = builder.inputType("AccountInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    name: t.string(),
    email: t.string(),
    dailySummary: t.boolean({ description: "Whether each day's summary is sent to its e-mail." }),
  }),
});

builder.mutationFields((t) => ({
  signIn: t.field({
    type: AccountResult,
    description: "Where accounts of several workshops have the e-mail, the password says which is meant.",
    args: { email: t.arg.string({ required: true }), password: t.arg.string({ required: true }) },
    resolve: (_root, args, context) => answering(() => enter(context, args)),
  }),
  signOut: t.field({
    type: AccountResult,
    description: "Ends this browser's sign-in.",
    resolve: (_root, _args, context) => answering(() => leave(context)),
  }),
  signOutEverywhere: t.field({
    type: AccountResult,
    description: "Ends every sign-in of the account, this browser's too.",
    resolve: (_root, _args, context) => answering(() => leaveEverywhere(context)),
  }),
  endSignIn: t.field({
    type: AccountResult,
    description: "Ends one sign-in of the account.",
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, context) => answering(() => endOne(context, id)),
  }),
  actAs: t.field({
    type: AccountResult,
    description: "Looks on as one of the demo's people. Refused for an account of any other workshop.",
    args: { account: t.arg.id({ required: true }) },
    resolve: (_root, { account }, context) => answering(() => takeOn(context, account)),
  }),
  saveAccount: t.field({
    type: AccountResult,
    description:
      "Changes the own name and e-mail, and whether the day's summary is sent to it. With the revision that was read, a change made elsewhere meanwhile is told and not overwritten.",
    args: { input: t.arg({ type: AccountInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => saveOwn(context, input)),
  }),
  changePassword: t.field({
    type: AccountResult,
    description: "Sets a new password; every other sign-in of the account ends.",
    args: { present: t.arg.string({ required: true }), next: t.arg.string({ required: true }) },
    resolve: (_root, args, context) => answering(() => changePassword(context, args)),
  }),
}));

/** The tries of this server. */
const tries = new Tries();

async function enter({ store, visit }: Context, given: { email: string; password: string }) {
  const { address = "", browser = "" } = visit ?? {};
  const { account, secret } = await signInByPassword(store, tries, given, { address, browser });
  await forgetFormer({ store, visit });
  visit?.signIn(secret);
  return { id: account.id };
}

/** Ends the sign-in that the browser had before it was given another. */
async function forgetFormer({ store, visit }: Pick<Context, "store" | "visit">): Promise<void> {
  const former = visit?.secret == null ? null : await signInOf(store, visit.secret);
  if (former !== null) await endSignIns(store, former.accountId, { id: former.id });
}

async function leave({ store, viewer, visit }: Context) {
  await forgetFormer({ store, visit });
  await signedOut({ store, viewer }, "Signed out");
  visit?.signOut(await holdsDemo({ store }));
  return { id: viewer.accountId };
}

async function leaveEverywhere({ store, viewer, visit }: Context) {
  await endSignIns(store, viewer.accountId);
  await signedOut({ store, viewer }, "Signed out everywhere");
  visit?.signOut(await holdsDemo({ store }));
  return { id: viewer.accountId };
}

async function signedOut({ store, viewer }: Pick<Context, "store" | "viewer">, summary: string): Promise<void> {
  if (viewer.accountId === "") return;
  const account = { id: viewer.accountId, workshopId: viewer.workshopId };
  await recordEvent(store, { account, byId: account.id, kind: "SIGNED_OUT", summary });
}

const holdsDemo = async ({ store }: Pick<Context, "store">): Promise<boolean> =>
  (await store.workshop.count({ where: { demo: true } })) > 0;

async function endOne({ store, viewer, visit }: Context, id: string) {
  const current = visit?.secret == null ? null : await signInOf(store, visit.secret);
  if ((await endSignIns(store, viewer.accountId, { id })) === 0) throw new NotFound("sign-in");
  if (current?.id === id) visit?.signOut(await holdsDemo({ store }));
  return { id: viewer.accountId };
}

async function takeOn({ store, visit }: Context, accountId: string) {
  const secret = await actAs(store, accountId, visit?.browser ?? "");
  await forgetFormer({ store, visit });
  visit?.signIn(secret);
  return { id: accountId };
}

async function saveOwn({ store, viewer, visit }: Context, input: typeof AccountInput.$inferInput) {
  const id = viewer.accountId;
  // Which e-mails the workshop's other accounts have is no more to be tried out than their passwords.
  const trying = [`e-mail of ${id}`, visit?.address ?? ""] as const;
  if (input.email != null) await tries.begin(...trying);
  const saved = await store.$transaction(async (tx) => {
    const stored = await tx.account.findUniqueOrThrow({ where: { id } });
    const name = input.name ?? stored.name;
    const email = input.email == null ? stored.email : emailAsStored(input.email) || null;
    if (input.revision != null && input.revision !== stored.revision)
      throw new StaleRow(id, stored.revision, differencesOf(input, stored));
    // The demo's people have no e-mail, and need none.
    const faults = faultsOf("account", { name, email: email ?? "nobody@example.org" });
    if (email !== null) faults.push(...(await takenEmail(tx, email, stored)));
    else if (input.email != null && stored.passwordHash !== null)
      faults.push({ code: "REQUIRED", field: "email", message: "An e-mail is needed: you sign in with it." });
    const dailySummary = input.dailySummary ?? stored.dailySummary;
    if (dailySummary && email === null)
      faults.push({ code: "REQUIRED", field: "email", message: "An e-mail is needed to send the summary to." });
    if (faults.length > 0) throw new InvalidInput(faults);
    await tx.account.update({ where: { id }, data: { name, email, dailySummary, revision: { increment: 1 } } });
    // Entries of the money are told by the name.
    if (name !== stored.name)
      await tx.restoration.updateMany({
        where: { workshopId: stored.workshopId },
        data: { planRevision: { increment: 1 } },
      });
    return { id };
  });
  if (input.email != null) await tries.succeeded(...trying);
  return saved;
}

/** What was sent and stands otherwise by now. */
function differencesOf(input: typeof AccountInput.$inferInput, stored: AccountRow): Difference[] {
  const sent: [field: string, theirs: string, yours: string][] = [];
  if (input.name != null) sent.push(["name", stored.name, input.name]);
  if (input.email != null) sent.push(["email", stored.email ?? "", emailAsStored(input.email)]);
  if (input.dailySummary != null)
    sent.push(["dailySummary", stored.dailySummary ? "yes" : "no", input.dailySummary ? "yes" : "no"]);
  return sent.flatMap(([field, theirs, yours]) => (theirs === yours ? [] : [{ field, theirs, yours }]));
}

async function changePassword({ store, viewer, visit }: Context, { present, next }: { present: string; next: string }) {
  const id = viewer.accountId;
  const account = await store.account.findUniqueOrThrow({ where: { id } });
  await tries.begin(`account ${id}`, visit?.address ?? "");
  if (!(await isPassword(account.passwordHash, present)))
    throw new Refused("WRONG_PASSWORD", "The present password is another. Nothing was changed.");
  await tries.succeeded(`account ${id}`, visit?.address ?? "");
  const faults = passwordFaults(next, "next");
  if (faults.length > 0) throw new InvalidInput(faults);
  const passwordHash = await hashPassword(next);
  await store.$transaction(async (tx) => {
    await tx.account.update({ where: { id }, data: { passwordHash, revision: { increment: 1 } } });
    await endSignIns(tx, id, { not: visit?.secret ?? null });
    await recordEvent(tx, { account, byId: id, kind: "PASSWORD_CHANGED", summary: "Changed the password" });
  });
  return { id };
}
