import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "./addresses.ts";
import { counted, dateInFull, hours } from "./format.ts";

const OnHandsQuery = graphql(`
  query OnHands($restoration: ID!, $figuresFor: Date) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor) {
      restoration { id }
      completion { entered dateWithOpenInHand }
      hands { noEndOfHands notBefore otherMachines nobodyFor { trade operations hours } }
    }
  }
`);

/** What every date rests on: the hands of the shop, or no end of them. */
export function OnHands({ restoration, figuresFor }: { restoration: string; figuresFor: string | null }) {
  const [{ data }] = useQuery({ query: OnHandsQuery, variables: { restoration, figuresFor } });
  if (!data?.holdUps.completion.entered) return null;
  const { completion, hands } = data.holdUps;
  const entered = <Link to={`${addressOf.restoration(restoration)}#hands`}>hands of the shop</Link>;
  if (hands === null)
    return (
      <p className="prose soft on-hands">
        Every date is with no end of hands: <Link to={`${addressOf.restoration(restoration)}#hands`}>enter them</Link>{" "}
        to see when they can be done.
      </p>
    );
  const { noEndOfHands, notBefore, otherMachines, nobodyFor } = hands;
  const date = completion.dateWithOpenInHand;
  if (nobodyFor.length > 0)
    return (
      <p className="prose on-hands">
        <strong className="late">Nobody is entered for</strong>{" "}
        {nobodyFor
          .map(({ trade, operations, hours: toDo }) => `${trade} (${counted(operations, "operation")}, ${hours(toDo)})`)
          .join(", ")}
        : that work has no date until one of the {entered} does it. The dates take it as done by hands without end.
      </p>
    );
  return (
    <p className="prose on-hands">
      Every date is one that the {entered} can keep
      {otherMachines > 0 &&
        `, who work on ${counted(otherMachines, "other machine", "other machines")} too, each by its rank`}
      . {notBefore === date ? "No order of work ends sooner" : `No order of work ends before ${dateInFull(notBefore)}`};{" "}
      {noEndOfHands === date
        ? "no end of hands would change nothing."
        : `with no end of hands it would be ${dateInFull(noEndOfHands)}.`}{" "}
      What a hold-up gains, and every date by which it is needed, is with this order of work kept.
    </p>
  );
}
