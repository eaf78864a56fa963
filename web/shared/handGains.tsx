import type { ResultOf } from "gql.tada";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "./addresses.ts";
import { days, listed } from "./format.ts";
import { useMay } from "./useMay.ts";

/** What more hands would gain, and what the marks on the order of work cost, on the restoration's own day. */
export const HandGainsQuery = graphql(`
  query HandGains($restoration: ID!) {
    restoration(id: $restoration) {
      id
      handGains(first: 100) {
        totalCount
        edges { node {
          kind trades operation { id title } way { id title } completionDate daysGained
          moneyGained { minor currency decimals }
          hours wages { minor currency decimals }
        } }
      }
      orderMarks(first: 100) {
        totalCount
        edges { node { kind operation { id title } completionDate daysCost } }
      }
    }
  }
`);

type Read = ResultOf<typeof HandGainsQuery>["restoration"];
export type HandGain = Read["handGains"]["edges"][number]["node"];
export type OrderMark = Read["orderMarks"]["edges"][number]["node"];

/** "One more hand for engine work", "An hour more a day for chassis and electrical work", "Cylinder barrels, outside: Rebored at the works" */
export function gainWords({ kind, trades, operation, way }: HandGain): string {
  switch (kind) {
    case "ONE_MORE":
      return `One more hand for ${listed(trades)} work`;
    case "HOUR_MORE":
      return `An hour more a day for ${listed(trades)} work`;
    case "SATURDAYS":
      return `Saturdays worked for ${listed(trades)} work`;
    case "SENT_OUT":
      return `${operation?.title ?? ""}, outside: ${way?.title ?? ""}`;
  }
}

/** The first of what more hands would gain, with the way to the others; nothing where none of it gains a day. */
export function FirstGain({ restoration }: { restoration: string }) {
  const may = useMay();
  const hidden = !may("Restoration.handGains");
  const [{ data }] = useQuery({ query: HandGainsQuery, variables: { restoration }, pause: hidden });
  const gains = data?.restoration.handGains;
  const first = gains?.edges[0]?.node;
  if (hidden || !gains || !first || first.daysGained === 0) return null;
  return (
    <p className="prose soft first-gain">
      {gainWords(first)} would {first.daysGained === null ? "give its work a date" : `gain ${days(first.daysGained)}`}.{" "}
      <Link to={`${addressOf.byHand(restoration)}#more-hands`}>What more hands would gain</Link>
    </p>
  );
}
