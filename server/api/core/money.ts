/** An amount with its currency. */
import { currencyDecimals } from "../../store/rules.ts";
import { builder } from "./builder.ts";

export interface MoneyShape {
  minor: number;
  currency: string;
}

export const Money = builder.objectRef<MoneyShape>("Money").implement({
  description: "An amount in integer minor units; decimals is the ISO 4217 exponent.",
  fields: (t) => ({
    minor: t.expose("minor", { type: "Minor" }),
    currency: t.exposeString("currency"),
    decimals: t.int({ resolve: (money) => currencyDecimals(money.currency) ?? 2 }),
  }),
});
