import { Navigate } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Outside } from "./SignInPage.tsx";

const OwnQuery = graphql(`
  query OwnRestorations {
    restorations(first: 2) { edges { node { id } } }
  }
`);

/** An owner's first sheet: the report on the own machine. */
export function OwnerLanding() {
  const [{ data, error }, again] = useQuery({ query: OwnQuery });
  const first = data?.restorations.edges[0]?.node;
  if (first) return <Navigate to={addressOf.owner(first.id)} replace />;
  return (
    <Outside>
      <Page title="Your machine">
        {error ? (
          <Problem of={error} what="your machine" again={() => again({ requestPolicy: "network-only" })} />
        ) : data ? (
          <Empty title="No machine is shown to this account">
            Ask the workshop: its admin says which restoration an owner sees.
          </Empty>
        ) : (
          <Loading what="your machine" />
        )}
      </Page>
    </Outside>
  );
}
