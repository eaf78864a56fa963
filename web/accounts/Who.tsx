import { useId, useState } from "react";
import { Link } from "react-router";
import { useClient, useQuery } from "urql";
import { HeadPanel } from "../shared/Head.tsx";
import { wordsOf } from "../shared/Page.tsx";
import { ThemeSwitch } from "../shared/ThemeSwitch.tsx";
import { useMay } from "../shared/useMay.ts";
import { ActAs, SignOut, VisitorQuery } from "./documents.ts";
import { ROLE_WORDS } from "./words.ts";
import "./accounts.css";

/** Everything read so far was somebody else's, so the program begins anew. */
const begin = () => window.location.assign("/");

interface WhoProps {
  /** The name that the reader goes by in the club, and where it is changed. */
  inTheClub?: { name: string; address: string } | null;
}

/** The box of the head that says who is signed in. It opens on the account, the people, the colours and the way out. In the demo nobody signs in: one looks on as any of its people. */
export function Who({ inTheClub }: WhoProps) {
  const client = useClient();
  const may = useMay();
  const [{ data }] = useQuery({ query: VisitorQuery });
  const account = data?.visitor.account;
  const demo = (data?.visitor.demoPeople.length ?? 0) > 0;
  return (
    <HeadPanel label={account ? ROLE_WORDS[account.role] : "not signed in"} value={account?.name ?? "Colours"}>
      <ul>
        {account && (
          <li>
            <Link to="/account">
              <span>Account</span> <span>{!demo && account.name}</span>
            </Link>
          </li>
        )}
        {inTheClub && (
          <li>
            <Link to={inTheClub.address}>
              <span>Your name in the club</span> <span>{inTheClub.name}</span>
            </Link>
          </li>
        )}
        {account && may("Query.people") && (
          <li>
            <Link to="/people">People of the workshop</Link>
          </li>
        )}
        <li>
          <ThemeSwitch />
        </li>
        {account && demo && (
          <li>
            <LookOnAs people={data?.visitor.demoPeople ?? []} account={account.id} />
          </li>
        )}
        {account && !demo && (
          <li>
            <button type="button" onClick={() => void client.mutation(SignOut, {}).toPromise().then(begin)}>
              Sign out
            </button>
          </li>
        )}
      </ul>
    </HeadPanel>
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
    if (data?.actAs.__typename === "AccountSaved") return begin();
    setProblem(data?.actAs.message ?? (error ? wordsOf(error) : "The server gave no answer. Try again."));
  };
  return (
    <span className="look-on">
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
