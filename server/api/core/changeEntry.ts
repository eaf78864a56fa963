/** One entry in the record of changes. */

import type { Entry } from "../../store/journal.ts";
import { Account } from "../people/account.ts";
import { builder } from "./builder.ts";
import { connectionOf } from "./page.ts";

export const Change = builder.prismaObject("Change", {
  fields: (t) => ({
    id: t.exposeID("id"),
    at: t.expose("at", { type: "DateTime" }),
    summary: t.exposeString("summary"),
    undoOf: t.exposeID("undoOfId", { nullable: true }),
    undone: t.boolean({
      select: { undoneBy: { select: { id: true } } },
      resolve: (change) => change.undoneBy !== null,
    }),
    final: t.boolean({
      description:
        "It is never taken back: what the owner answered, asked or was told, and that a restoration was added, which is removed instead.",
      resolve: async ({ id, restorationId }, _args, { store }) => {
        const adds = `"table":"restoration","id":"${restorationId}","before":null`;
        const said = await store.change.findFirst({
          where: { id, OR: ['"table":"decision', adds].map((entry) => ({ rows: { contains: entry } })) },
          select: { rows: true },
        });
        return said !== null && (said.rows.includes(adds) || whyFinal(JSON.parse(said.rows) as Entry[]) !== null);
      },
    }),
    account: t.field({
      type: Account,
      resolve: (change, _args, context, info) => context.row("account", change.accountId, info),
    }),
    restoration: t.relation("restoration"),
  }),
});

export const ChangeConnection = connectionOf("Change", Change);

const ANSWERS: ReadonlySet<string> = new Set(["APPROVED", "DECLINED"]);

/** Why a change is never taken back; null where it may be. */
export function whyFinal(entries: readonly Entry[]): string | null {
  if (entries.some(({ table }) => table === "decisionQuestion"))
    return "What the owner asked and was told is kept: add to it instead.";
  return entries.some(({ table, after }) => table === "decision" && ANSWERS.has(String(after?.state)))
    ? "The owner's answer is kept as it was given: ask again instead."
    : null;
}
