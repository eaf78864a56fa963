/** Landed cost: what a quote costs by the time it lies on the bench, line by line. */
import type { Landed, LandedLine, MissingRate as Missing } from "../../plan/money/landed.ts";
import { builder } from "../core/builder.ts";
import { Money } from "../core/money.ts";

const LandedCostLineKind = builder.enumType("LandedCostLineKind", {
  values: [
    "PRICE",
    "CARRIAGE",
    "INSURANCE",
    "DUTY",
    "ONWARD",
    "TAX",
    "CORE_CHARGE",
    "CORE_RETURN",
    "CORE_CARRIAGE",
    "KNOCK_ON",
    "ORDER_CARRIAGE",
    "ORDER_MINIMUM",
  ] as const,
});

const LandedCostLine = builder.objectRef<LandedLine & { currency: string }>("LandedCostLine").implement({
  fields: (t) => ({
    kind: t.field({ type: LandedCostLineKind, resolve: (line) => line.kind }),
    words: t.exposeString("words", { description: "For people: what the line is and how it comes about." }),
    amount: t.field({
      type: Money,
      description: "Rounded once, half to even; only the return of a core is negative.",
      resolve: ({ amountMinor: minor, currency }) => ({ minor, currency }),
    }),
    basis: t.field({
      type: Money,
      nullable: true,
      description: "What the rate is applied to; null without a rate.",
      resolve: ({ basisMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    rate: t.exposeFloat("rate", { nullable: true, description: "Duty or tax as a fraction; null on other lines." }),
  }),
});

const LandedExchange = builder.objectRef<NonNullable<Landed["exchange"]>>("LandedExchange").implement({
  description: "The rate as it was entered, or a cross rate: 1 from = rate to.",
  fields: (t) => ({
    from: t.exposeString("from"),
    to: t.exposeString("to"),
    rate: t.exposeString("rate"),
    date: t.field({ type: "Date", resolve: (rate) => rate.on }),
  }),
});

const MissingRate = builder.objectRef<Missing>("MissingRate").implement({
  description: "No rate from one currency to the other is known on or before the day, entered or by a cross rate.",
  fields: (t) => ({
    from: t.exposeString("from"),
    to: t.exposeString("to"),
    date: t.field({ type: "Date", resolve: ({ on }) => on }),
  }),
});

export const LandedCost = builder.objectRef<Landed>("LandedCost").implement({
  description: "In the restoration's currency, at the newest rates on or before the day of the figures.",
  fields: (t) => ({
    lines: t.field({
      type: [LandedCostLine],
      resolve: ({ lines, currency }) => lines.map((line) => ({ ...line, currency })),
    }),
    total: t.field({
      type: Money,
      nullable: true,
      description: "The sum of the lines; null when a rate is missing.",
      resolve: ({ totalMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    quantity: t.exposeInt("quantity"),
    ordered: t.exposeInt("ordered", {
      description: "Pieces that must be bought: the quantity, or the smallest number sold.",
    }),
    exchange: t.field({
      type: LandedExchange,
      nullable: true,
      description: "The rate for the quote's own money; null where it is the restoration's.",
      resolve: ({ exchange }) => exchange,
    }),
    rateDate: t.expose("rateDate", {
      type: "Date",
      nullable: true,
      description: "Date of the oldest rate used; null where none was needed.",
    }),
    problem: t.exposeString("problem", { nullable: true, description: "For people: why there is no total." }),
    missingRates: t.field({
      type: [MissingRate],
      description: "Rates that would have to be entered for a total.",
      resolve: ({ missing }) => [...missing],
    }),
  }),
});
