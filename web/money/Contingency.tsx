import type { ResultOf } from "gql.tada";
import { useQuery } from "urql";
import { Folded } from "../shared/Folded.tsx";
import { money, oddsOfRuns, percent, plainNumber } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { ContingencyQuery } from "./documents.ts";

type Exposure = ResultOf<typeof ContingencyQuery>["restoration"]["exposure"];
type Found = NonNullable<Exposure["contingency"]>;

/** Whether what counts against the cap still fits under it. */
function Fits({ found: { capLeft }, capCoversLabour }: { found: Found; capCoversLabour: boolean }) {
  if (!capLeft) return null;
  const what = capCoversLabour ? "It" : "What of it is for parts";
  if (capLeft.minor >= 0)
    return (
      <>
        {what} fits under the cap, and {money(capLeft)} is left then.
      </>
    );
  return (
    <span className="late">
      {what} does not fit under the cap: {money({ ...capLeft, minor: -capLeft.minor })} over it.
    </span>
  );
}

/** What hours and parts would need each by itself, where both need something. */
function Apart({ found: { amount, labour, parts } }: { found: Found }) {
  if (labour.minor === 0 || parts.minor === 0) return null;
  return (
    <p>
      Hours that take longer would alone need {money(labour)}; orders that fail and prices not yet decided{" "}
      {money(parts)}.
      {amount.minor < labour.minor + parts.minor &&
        " Together they need less than the two, since both seldom come at once."}
    </p>
  );
}

/** Labour to go by how long work really takes, where that is not as estimated. */
function ReallyTakes({ of: { buckets, labourExpected } }: { of: Exposure }) {
  const estimated = { ...labourExpected, minor: buckets.labourToGo.planned };
  if (estimated.minor === labourExpected.minor) return null;
  return (
    <p>
      Labour to go is {money(estimated)} as estimated, and {money(labourExpected)} by how long work has really taken:
      the runs go by that.
    </p>
  );
}

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
        {oddsOfRuns(found.chance)}. <Fits found={found} capCoversLabour={read.capCoversLabour} />
      </p>
      <Folded summary="How that is worked out">
        <Apart found={found} />
        <ReallyTakes of={read.exposure} />
        <p className="soft">
          From the {plainNumber(found.runs)} runs that give the dates: in each, hours at their rates, orders that come
          to nothing and the next way paid for, finds that spare an order, and prices of parts that are not decided,
          between the least and the most that they may cost.
          {found.never > 0 && (
            <>
              {" "}
              In {percent(Number(found.never.toFixed(3)))} of all runs something fails and nothing can take its place;
              those runs are left out, since they never end.
            </>
          )}
        </p>
      </Folded>
    </>
  );
}
