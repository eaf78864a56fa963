/** The account that asks, and its workshop. */
import { builder } from "./builder.ts";
import { Role } from "./enums.ts";

builder.prismaObject("Workshop", {
  fields: (t) => ({ id: t.exposeID("id"), name: t.exposeString("name") }),
});

export const Account = builder.prismaObject("Account", {
  fields: (t) => ({
    id: t.exposeID("id"),
    name: t.exposeString("name"),
    role: t.expose("role", { type: Role }),
    workshop: t.relation("workshop"),
  }),
});

builder.queryField("me", (t) =>
  t.prismaField({
    type: "Account",
    resolve: (query, _root, _args, { store, viewer }) =>
      store.account.findUniqueOrThrow({ ...query, where: { id: viewer.accountId } }),
  }),
);
