/** The account that asks, its workshop, and where it is signed in. */
import { readsAccount } from "../../access/rules.ts";
import { hashOf } from "../../access/secret.ts";
import type { SignIn as SignInRow } from "../../generated/prisma/client.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Role } from "../core/enums.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";

builder.prismaObject("Workshop", {
  fields: (t) => ({
    id: t.exposeID("id"),
    name: t.exposeString("name"),
    revision: t.exposeInt("revision"),
    address: t.exposeString("address", { description: "Where it is, in lines; it stands on the owner's report." }),
    replyTo: t.exposeString("replyTo", { description: "Where an owner replies: a telephone number, an e-mail." }),
    timeZone: t.exposeString("timeZone", {
      nullable: true,
      description: "IANA name of the time zone in which its days begin; null: that of the machine the program runs on.",
    }),
    shopSpread: t.exposeFloat("shopSpread", {
      description:
        "How far the work of a shop generally lies from its estimates, before anything is known of it: standard deviation of the log.",
    }),
    tradeSpread: t.exposeFloat("tradeSpread", { description: "The same of a trade from its shop." }),
  }),
});

const SignIn = builder.objectRef<SignInRow>("SignIn").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    browser: t.exposeString("browser", { description: "As the browser names itself." }),
    begunAt: t.expose("begunAt", { type: "DateTime" }),
    usedAt: t.expose("usedAt", { type: "DateTime", description: "Last use, to the hour." }),
    endsAt: t.expose("endsAt", { type: "DateTime", description: "When it ends if it is not used until then." }),
    current: t.boolean({
      description: "True for the browser that asks.",
      resolve: (row, _args, { visit }) => typeof visit?.secret === "string" && row.secretHash === hashOf(visit.secret),
    }),
  }),
});

const SignInConnection = connectionOf("SignIn", SignIn);

export const Account = builder.prismaObject("Account", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    name: t.exposeString("name"),
    role: t.expose("role", { type: Role }),
    admin: t.exposeBoolean("admin"),
    closed: t.exposeBoolean("closed"),
    email: t.string({
      nullable: true,
      description: "Told to the account itself and to an admin of its workshop.",
      resolve: (account, _args, { viewer }) => (readsAccount(viewer, account) ? account.email : null),
    }),
    joined: t.boolean({
      nullable: true,
      description: "Whether it has set a password; told like the e-mail.",
      resolve: (account, _args, { viewer }) => (readsAccount(viewer, account) ? account.passwordHash !== null : null),
    }),
    workshop: t.relation("workshop"),
    signIns: t.field({
      type: SignInConnection,
      description: "Where it is signed in, the newest first; told to the account itself.",
      args: forwards,
      resolve: async ({ id }, args, context) => pageOf(args, await signInsOf(context, id)),
    }),
  }),
});

export const AccountConnection = connectionOf("Account", Account);

/** An account has 50 sign-ins at most, so they are read together. */
const signInsOf = async ({ store, viewer }: Context, accountId: string): Promise<SignInRow[]> =>
  viewer.accountId === accountId
    ? store.signIn.findMany({ where: { accountId, endsAt: { gt: new Date() } }, orderBy: { usedAt: "desc" } })
    : [];

builder.queryField("me", (t) =>
  t.prismaField({
    type: "Account",
    resolve: (query, _root, _args, { store, viewer }) =>
      store.account.findUniqueOrThrow({ ...query, where: { id: viewer.accountId } }),
  }),
);
