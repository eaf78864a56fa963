import { useQuery } from "urql";
import { money, oddsOfRuns } from "../shared/format.ts";
import { figure } from "./buckets.ts";
import { ContingencyQuery, type Exposed } from "./documents.ts";

/** Everything in one sum, labour included: from what is planned to what holds as surely as the date is asked to, and what of it is paid. */
export function AllOfIt({ of, payer }: { of: Exposed; payer: string }) {
  const { id, exposure } = of;
  const { total, received } = exposure;
  // The same question as that of what to set aside: it waits for the runs.
  const [{ data }] = useQuery({ query: ContingencyQuery, variables: { restoration: id } });
  const found = data?.restoration.exposure.contingency ?? null;
  return (
    <>
      from <strong className="money">{figure(total.planned, total, received)}</strong> as planned
      {found && (
        <>
          {" "}
          to <strong className="money">{figure(found.total.minor, total, received)}</strong>, which holds in{" "}
          {oddsOfRuns(found.chance)}
        </>
      )}
      , labour included. {payer} paid <strong className="money">{money(received)}</strong> of it.
    </>
  );
}
