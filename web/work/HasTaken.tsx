import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { useFieldValue } from "../shared/Form.tsx";
import { hours } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";

const HasTakenQuery = graphql(`
  query HasTaken($restoration: ID!, $trade: String!) {
    restoration(id: $restoration) {
      id
      workRecord { counts trade(name: $trade) { factor countedAt } }
    }
  }
`);

/** Where hours are entered: how long work of the trade has really taken, and what that makes of the estimate. */
export function HasTaken() {
  const { id } = useRestoration();
  const typed = useFieldValue("trade");
  const likely = useFieldValue("hoursLikely");
  const trade = typeof typed === "string" ? typed.trim() : "";
  const [{ data }] = useQuery({ query: HasTakenQuery, variables: { restoration: id, trade } });
  const record = data?.restoration.workRecord;
  if (!record) return null;
  return (
    <p className="wide has-taken soft" role="status">
      {record.trade.countedAt}
      {record.counts &&
        typeof likely === "number" &&
        likely > 0 &&
        ` ${hours(likely)} are counted as ${hours(Math.round(likely * record.trade.factor * 10) / 10)}.`}{" "}
      Enter what you think it takes. <Link to={addressOf.howLong(id)}>How long it takes</Link>
    </p>
  );
}
