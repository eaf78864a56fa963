/** One entry in the record of the workshop's accounts. */
import type { AccountEvent as EventRow } from "../../generated/prisma/client.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { connectionOf } from "../core/page.ts";

const AccountEventKind = builder.enumType("AccountEventKind", {
  values: [
    "SIGNED_IN",
    "SIGNED_OUT",
    "INVITED",
    "JOINED",
    "RESET_HANDED_OUT",
    "PASSWORD_CHANGED",
    "ROLE_CHANGED",
    "CLOSED",
    "REOPENED",
  ] as const,
});

const AccountEvent = builder.objectRef<EventRow>("AccountEvent").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    at: t.expose("at", { type: "DateTime" }),
    kind: t.expose("kind", { type: AccountEventKind }),
    summary: t.exposeString("summary"),
    account: t.exposeID("accountId", { description: "The account that it is about." }),
    by: t.exposeID("byId", { nullable: true, description: "The account that did it; null: the program." }),
    byName: t.string({ nullable: true, resolve: ({ byId }, _args, context) => nameOf(context, byId) }),
    accountName: t.string({ nullable: true, resolve: ({ accountId }, _args, context) => nameOf(context, accountId) }),
  }),
});

export const AccountEventConnection = connectionOf("AccountEvent", AccountEvent);

/** The name of an account of the viewer's workshop; all of them are read together, once a request. */
async function nameOf(context: Context, id: string | null): Promise<string | null> {
  const { store, viewer } = context;
  const names = await context.once("names of accounts", async () => {
    const people = await store.account.findMany({
      where: { workshopId: viewer.workshopId },
      select: { id: true, name: true },
    });
    return new Map(people.map(({ id, name }) => [id, name]));
  });
  return (id === null ? undefined : names.get(id)) ?? null;
}
