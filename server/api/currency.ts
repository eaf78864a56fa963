/** The currencies that money can stand in. */
import currencyCodes from "currency-codes";
import { builder } from "./builder.ts";

const Currency = builder.objectRef<{ code: string; currency: string; digits: number }>("Currency").implement({
  fields: (t) => ({
    code: t.exposeString("code"),
    name: t.exposeString("currency"),
    decimals: t.exposeInt("digits"),
  }),
});

builder.queryField("currencies", (t) =>
  t.field({
    type: [Currency],
    description: "The currencies of ISO 4217 with their decimals.",
    resolve: () => currencyCodes.data,
  }),
);
