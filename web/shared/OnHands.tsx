import { Fragment } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "./addresses.ts";
import { counted, dateInFull, days, hours } from "./format.ts";
import { HIGHER_RANK } from "./words.ts";

const OnHandsQuery = graphql(`
  query OnHands($restoration: ID!, $figuresFor: Date) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor) {
      restoration { id }
      completion { entered dateWithOpenInHand }
      otherWork { until days }
      hands { handsEnough notBefore otherMachines nobodyFor { trade operations hours people } }
    }
  }
`);

/** A trade that nobody has, and one that some have: too few for its work, or never there with those of its other trades. */
const WITHOUT = [
  { words: "Nobody is entered for", of: ({ people }: { people: number }) => people === 0 },
  { words: "Too few are there at the same time for", of: ({ people }: { people: number }) => people > 0 },
];

/** What every date rests on: the hands of the shop, or hands that are always enough. */
export function OnHands({ restoration, figuresFor }: { restoration: string; figuresFor: string | null }) {
  const [{ data }] = useQuery({ query: OnHandsQuery, variables: { restoration, figuresFor } });
  if (!data?.holdUps.completion.entered) return null;
  const { completion, hands, otherWork } = data.holdUps;
  const entered = <Link to={`${addressOf.restoration(restoration)}#hands`}>hands of the shop</Link>;
  if (hands === null)
    return (
      <p className="prose soft on-hands">
        Every date takes it that there are always hands enough:{" "}
        <Link to={`${addressOf.restoration(restoration)}#hands`}>enter who works</Link> to see what can be done when.
      </p>
    );
  const { handsEnough, notBefore, otherMachines, nobodyFor } = hands;
  const date = completion.dateWithOpenInHand;
  if (nobodyFor.length > 0)
    return (
      <p className="prose on-hands">
        {WITHOUT.map(({ words, of }) => ({ words, trades: nobodyFor.filter(of) }))
          .filter(({ trades }) => trades.length > 0)
          .map(({ words, trades }, place) => (
            <Fragment key={words}>
              {place > 0 && "; "}
              <strong className="late">{place > 0 ? `${words[0]!.toLowerCase()}${words.slice(1)}` : words}</strong>{" "}
              {trades
                .map(
                  ({ trade, operations, hours: toDo }) =>
                    `${trade} (${counted(operations, "operation")}, ${hours(toDo)})`,
                )
                .join(", ")}
            </Fragment>
          ))}
        : that work has no date until the {entered} can do it. The dates take it as if there were hands enough for it.
      </p>
    );
  return (
    <p className="prose on-hands">
      Every date is one that the {entered} can keep
      {otherMachines > 0 && `, who work on ${counted(otherMachines, "other machine", "other machines")} too`}
      {otherWork && `; other work holds this one up until ${dateInFull(otherWork.until)}, by ${days(otherWork.days)}`}.{" "}
      {notBefore === date ? "No order of work ends sooner" : `No order of work ends before ${dateInFull(notBefore)}`};{" "}
      {handsEnough === date
        ? "nor would more hands end it sooner."
        : `with hands enough at all times it would be ${dateInFull(handsEnough)}.`}{" "}
      {otherMachines > 0 && `${HIGHER_RANK} `}Days that a hold-up costs, and dates by which things are needed, are told
      with the work kept in this order.
    </p>
  );
}
