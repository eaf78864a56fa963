import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { counted } from "../shared/format.ts";
import { SUPPLIER_KIND } from "../shared/words.ts";
import { countryName } from "./countries.ts";

/** What is needed of a supplier's orders, the newest first, to tell how they delivered. */
export const Deliveries = graphql(`
  fragment Deliveries on OrderConnection @_unmask {
    totalCount
    edges { node { id state daysLate promisedOn arrivedOn } }
  }
`);

interface SupplierSentenceProps {
  supplier: { name: string; kind: keyof typeof SUPPLIER_KIND; country: string; quoteCount: number };
  deliveries: ResultOf<typeof Deliveries>;
}

/** Who they are, and the plain facts of their deliveries: how many orders, how many came, how many of those late. */
export function SupplierSentence({ supplier, deliveries }: SupplierSentenceProps) {
  const orders = deliveries.edges.map(({ node }) => node);
  const arrived = orders.filter(({ arrivedOn }) => arrivedOn !== null);
  const late = arrived.filter(({ arrivedOn, promisedOn }) => arrivedOn !== null && arrivedOn > promisedOn);
  const back = orders.filter(({ state }) => state === "SENT_BACK");
  const out = orders.filter(({ state, arrivedOn }) => state === "PLACED" && arrivedOn === null);
  const overdue = out.filter(({ daysLate }) => daysLate > 0);
  const own = supplier.kind === "SHOP";
  const kind = SUPPLIER_KIND[supplier.kind];
  const facts = [
    `${arrived.length === 0 ? "none" : arrived.length} ${own ? "ready" : "arrived"}${arrived.length > 0 ? `, ${late.length === 0 ? "none" : late.length} of them late` : ""}`,
    ...(back.length > 0 ? [`${back.length} sent back`] : []),
    ...(out.length > 0
      ? [
          `${out.length} ${own ? "being made" : "still out"}${overdue.length > 0 ? `, ${overdue.length} past the promise` : ""}`,
        ]
      : []),
  ];
  return (
    <>
      {supplier.name} is {own ? kind : `a ${kind}`}
      {supplier.country && ` in ${placeOf(supplier.country)}`}, with {counted(supplier.quoteCount, "quote")}.{" "}
      {deliveries.totalCount === 0
        ? `Nothing was ${own ? "begun" : "ordered from them"} yet, so nothing is known of how they ${own ? "keep to their days" : "deliver"}.`
        : `${deliveries.totalCount > orders.length ? `Of the newest ${orders.length} of ${deliveries.totalCount} orders` : `Of ${counted(deliveries.totalCount, "order")}`}: ${facts.join("; ")}.`}
    </>
  );
}

/** "the United Kingdom" takes its article. */
const placeOf = (code: string): string => `${WITH_ARTICLE.has(code) ? "the " : ""}${countryName(code)}`;

const WITH_ARTICLE = new Set(["AE", "BS", "GB", "GM", "MV", "NL", "PH", "US"]);
