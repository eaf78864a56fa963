import { useId, useState } from "react";
import { Link } from "react-router";
import { useClient, useQuery } from "urql";
import { wordsOf } from "../shared/Page.tsx";
import { useMay } from "../shared/useMay.ts";
import { ActAs, SignOut, VisitorQuery } from "./documents.ts";
import { ROLE_WORDS } from "./words.ts";
import "./accounts.css";

/** Who is signed in, and the way out. In the demo nobody signs in: one looks on as any of its people. */
export function Who() {
  const client = useClient();
  const may = useMay();
  const [{ data }] = useQuery({ query: VisitorQuery });
  const account = data?.visitor.account;
  if (!account) return null;
  const people = may("Query.people") && (
    <Link className="no-print" to="/people">
      People
    </Link>
  );
  if (data.visitor.demoPeople.length > 0)
    return (
      <>
        {people}
        <Link className="no-print" to="/account">
          Account
        </Link>
        <LookOnAs people={data.visitor.demoPeople} account={account.id} />
      </>
    );
  return (
    <>
      {people}
      <Link className="no-print" to="/account">
        <span className="unseen">Your account: </span>
        {account.name}
      </Link>
      <button
        type="button"
        className="plain no-print"
        onClick={() =>
          void client
            .mutation(SignOut, {})
            .toPromise()
            .then(() => window.location.assign("/"))
        }
      >
        Sign out
      </button>
    </>
  );
}

interface Person {
  id: string;
  name: string;
  role: keyof typeof ROLE_WORDS;
}

/** The demo as one of its people sees it. Each begins on the own first sheet. */
function LookOnAs({ people, account }: { people: readonly Person[]; account: string }) {
  const client = useClient();
  const id = useId();
  const [problem, setProblem] = useState<string | null>(null);
  const take = async (chosen: string) => {
    const { data, error } = await client.mutation(ActAs, { account: chosen }).toPromise();
    // Everything read so far was read by somebody else, so the program begins anew.
    if (data?.actAs.__typename === "AccountSaved") return window.location.assign("/");
    setProblem(data?.actAs.message ?? (error ? wordsOf(error) : "The server gave no answer. Try again."));
  };
  return (
    <span className="look-on no-print">
      <label htmlFor={id}>Demo, seen by</label>{" "}
      <select id={id} value={account} onChange={(event) => void take(event.target.value)}>
        {people.map((person) => (
          <option key={person.id} value={person.id}>
            {person.name}, {ROLE_WORDS[person.role]}
          </option>
        ))}
      </select>
      {problem && <span role="alert"> {problem}</span>}
    </span>
  );
}
