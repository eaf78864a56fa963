/** The currencies that money can stand in. */
import { restorationsOf } from "../../access/rules.ts";
import { CURRENCIES } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";

/** In which the viewer's restorations are kept, and their quotes are. */
const used = (context: Context): Promise<ReadonlySet<string>> =>
  context.once("currencies used", async () => {
    const where = restorationsOf(context.viewer);
    const [kept, quoted] = await Promise.all([
      context.store.restoration.findMany({ where, distinct: ["currency"], select: { currency: true } }),
      context.store.quote.findMany({
        where: { restoration: where },
        distinct: ["currency"],
        select: { currency: true },
      }),
    ]);
    return new Set([...kept, ...quoted].map(({ currency }) => currency));
  });

const Currency = builder.objectRef<{ code: string; currency: string; digits: number }>("Currency").implement({
  fields: (t) => ({
    code: t.exposeString("code"),
    name: t.exposeString("currency"),
    decimals: t.exposeInt("digits"),
    used: t.boolean({
      description: "A restoration of yours is kept in it, or a quote is in it.",
      resolve: async ({ code }, _args, context) => (await used(context)).has(code),
    }),
  }),
});

builder.queryField("currencies", (t) =>
  t.field({
    type: [Currency],
    description: "The currencies of ISO 4217 in which things are paid, with their decimals.",
    resolve: () => CURRENCIES,
  }),
);
