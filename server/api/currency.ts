/** The currencies that money can stand in. */
import currencyCodes from "currency-codes";
import { restorationsOf } from "../access/rules.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";

/** Codes of ISO 4217 in which nothing is paid: metals, units of account and of funds, codes for tests and for none. */
const NOT_PAID_IN: ReadonlySet<string> = new Set(
  "BOV CHE CHW CLF COU MXV USN UYI UYW XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX".split(" "),
);

const PAID_IN = currencyCodes.data.filter(({ code }) => !NOT_PAID_IN.has(code));

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
    resolve: () => PAID_IN,
  }),
);
