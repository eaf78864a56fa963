import { useQuery } from "urql";
import { money, odds, percent, plainNumber } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { ContingencyQuery } from "./documents.ts";

/** What to set aside beyond the plan, so that the money holds as surely as the date is asked to. */
export function Contingency({ restoration }: { restoration: string }) {
  const [result, again] = useQuery({ query: ContingencyQuery, variables: { restoration } });
  const read = result.data?.restoration;
  if (!read)
    return result.error ? (
      <Problem of={result.error} what="the contingency" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the contingency" />
    );
  const found = read.exposure.contingency;
  if (!found)
    return <p>In none of the runs does the machine get finished, so there is no figure for what to set aside.</p>;
  return (
    <>
      <p className="said">
        Set aside <strong>{money(found.amount)}</strong> beyond the plan: with that, the money holds in{" "}
        {odds(found.chance)} of the runs.
      </p>
      <p className="soft">
        From the {plainNumber(found.runs)} runs that give the dates: in each, hours at their rates, orders that come to
        nothing and the next way paid for, finds that spare an order. Quotes still to be chosen count as planned.
        {found.never > 0 && (
          <>
            {" "}
            In {percent(Number(found.never.toFixed(3)))} of all runs something fails and nothing follows it; those have
            no cost.
          </>
        )}
      </p>
    </>
  );
}
