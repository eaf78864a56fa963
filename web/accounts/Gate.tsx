import type { ReactNode } from "react";
import { useClient, useQuery } from "urql";
import { SignOut, VisitorQuery } from "./documents.ts";
import { SignInPage } from "./SignInPage.tsx";

/** What stands behind it is for those who are signed in. Without a connection the kept sheets stay readable. */
export function Gate({ children }: { children: ReactNode }) {
  const [{ data }] = useQuery({ query: VisitorQuery });
  return data && !data.visitor.account ? <SignInPage /> : children;
}

/** Who is signed in, and the way out; in the demo everybody is its restorer and nobody signs in. */
export function Who() {
  const client = useClient();
  const [{ data }] = useQuery({ query: VisitorQuery });
  const account = data?.visitor.account;
  if (!account || data.visitor.demoPeople.length > 0) return null;
  return (
    <span className="no-print">
      {account.name}{" "}
      <button
        type="button"
        className="plain"
        onClick={() =>
          void client
            .mutation(SignOut, {})
            .toPromise()
            .then(() => window.location.assign("/"))
        }
      >
        Sign out
      </button>
    </span>
  );
}
