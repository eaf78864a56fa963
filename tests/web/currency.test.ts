import { expect, it } from "vitest";
import { currencyChoices } from "../../web/shared/currency.ts";

const currencies = ["AED", "AFN", "CZK", "EUR", "GBP", "USD", "ZWL"].map((code) => ({
  code,
  name: code,
  decimals: 2,
  used: false,
}));

it("currencies begin with the usual one, those in use and those that parts are mostly bought in; the others follow by their code", () => {
  const codes = (currency?: string) =>
    currencyChoices({ currencies, ...(currency ? { currency } : {}) }).map(({ value }) => value);
  expect(codes()).toEqual(["GBP", "EUR", "USD", "CZK", "AED", "AFN", "ZWL"]);
  expect(codes("AFN")).toEqual(["AFN", "GBP", "EUR", "USD", "CZK", "AED", "ZWL"]);
  currencies[2]!.used = true;
  expect(codes("GBP")).toEqual(["GBP", "CZK", "EUR", "USD", "AED", "AFN", "ZWL"]);
});
