import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { hours, money } from "./format.ts";

/** What an option costs where options are compared, and what that is made of. */
export const OptionCostParts = graphql(`
  fragment OptionCostParts on OptionCost @_unmask {
    hours
    total { minor currency decimals }
    landed { minor currency decimals }
    rate { minor currency decimals }
    labour { minor currency decimals }
  }
`);

export type Cost = ResultOf<typeof OptionCostParts>;

/** True where its hours are in the total. */
const counts = ({ total, landed, labour }: Cost): boolean =>
  total !== null && landed !== null && labour.minor !== 0 && total.minor !== landed.minor;

/** What an option comes to with its hours, and below it how that adds up. */
export function OptionTotal({ of, noun }: { of: Cost /** What is bought: "landed", "price". */; noun: string }) {
  if (!of.total) return <span className="late">cannot be worked out: a rate is missing</span>;
  return (
    <>
      <strong className="money">{money(of.total)}</strong>
      {of.hours > 0 && <span className="soft small below">{hoursInWords(of, noun)}</span>}
    </>
  );
}

function hoursInWords(of: Cost, noun: string): string {
  if (counts(of) && of.landed && of.rate)
    return `${noun} ${money(of.landed)} and ${hours(of.hours)} at ${money(of.rate)}: ${money(of.labour)}`;
  return of.rate
    ? `${hours(of.hours)} beside it, not counted`
    : `${hours(of.hours)} beside it, for which no rate is set`;
}
