import { useQuery } from "urql";
import { type HuntOdds, HuntOddsQuery } from "./documents.ts";

/** The odds by stop date: on their way, not to be had, or there. */
export type OddsState = { kind: "none" } | { kind: "coming" } | { kind: "failed" } | { kind: "there"; odds: HuntOdds };

/** Asks for the odds of a hunt that is on; null asks for nothing. */
export function useHuntOdds(hunt: string | null): OddsState {
  const [{ data, error, fetching }] = useQuery({
    query: HuntOddsQuery,
    variables: { hunt: hunt ?? "" },
    pause: hunt === null,
  });
  if (hunt === null) return { kind: "none" };
  const found = data?.hunt.id === hunt ? data.hunt.outlook?.odds : undefined;
  if (found) return { kind: "there", odds: found };
  if (error) return { kind: "failed" };
  return { kind: fetching || data === undefined ? "coming" : "none" };
}
