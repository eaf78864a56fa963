import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "./addresses.ts";
import { counted, dateInFull, hours } from "./format.ts";

const OnHandsQuery = graphql(`
  query OnHands($restoration: ID!, $figuresFor: Date) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor) {
      restoration { id }
      completion { entered open lacking cleared dateWithOpenInHand }
      onHands { date notBefore nobodyFor { trade operations hours } }
    }
  }
`);

/** What every date rests on: no end of hands; and when the work ends on the hands that are entered. */
export function OnHands({ restoration, figuresFor }: { restoration: string; figuresFor: string | null }) {
  const [{ data }] = useQuery({ query: OnHandsQuery, variables: { restoration, figuresFor } });
  if (!data?.holdUps.completion.entered) return null;
  const { completion, onHands } = data.holdUps;
  const hands = <Link to={`${addressOf.restoration(restoration)}#hands`}>hands entered</Link>;
  if (onHands === null)
    return (
      <p className="prose soft on-hands">
        Every date is with no end of hands: <Link to={`${addressOf.restoration(restoration)}#hands`}>enter them</Link>{" "}
        to see when they can be done.
      </p>
    );
  const { date, notBefore, nobodyFor } = onHands;
  if (date === null || notBefore === null)
    return (
      <p className="prose on-hands">
        <strong className="late">On the {hands} the work has no end:</strong> nobody is entered for{" "}
        {nobodyFor
          .map(({ trade, operations, hours: toDo }) => `${trade} (${counted(operations, "operation")}, ${hours(toDo)})`)
          .join(", ")}
        . All other dates are with no end of hands.
      </p>
    );
  return (
    <p className="prose on-hands">
      {date === completion.dateWithOpenInHand ? (
        <>
          On the {hands} the work ends on <strong>{dateInFull(date)}</strong> too.
        </>
      ) : (
        <>
          On the {hands} the work {completion.open ? "would end" : "ends"} on <strong>{dateInFull(date)}</strong>, as
          quoted{completion.open && `, with what has ${completion.lacking} ${completion.cleared} today`}. All other
          dates are with no end of hands.
        </>
      )}{" "}
      {notBefore === date ? "No order of work ends sooner." : `No order of work ends before ${dateInFull(notBefore)}.`}
    </p>
  );
}
