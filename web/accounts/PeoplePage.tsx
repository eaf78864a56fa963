import { useState } from "react";
import { useClient, useQuery } from "urql";
import { Dialog } from "../shared/Dialog.tsx";
import { counted, momentInFull } from "../shared/format.ts";
import { Loading, Page, Problem, Section, wordsOf } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { Table } from "../shared/Table.tsx";
import { Backups } from "./Backups.tsx";
import {
  type AccountAnswer,
  CloseAccount,
  HandOutReset,
  PeopleQuery,
  type PersonRow,
  VisitorQuery,
} from "./documents.ts";
import { LinkShown } from "./LinkShown.tsx";
import { InviteForm, RoleForm } from "./RoleForms.tsx";
import { Outside } from "./SignInPage.tsx";
import { Workshop } from "./Workshop.tsx";
import { roleWords } from "./words.ts";

/** What is being asked about a person before it is done. */
type Asking = { what: "close" | "role"; person: PersonRow } | null;

/** The workshop's people: who comes in, in which role, and whose account is closed; and its backups. For its admins. */
export default function PeoplePage() {
  const client = useClient();
  const people = usePaging("people", 50);
  const events = usePaging("record", 20);
  const [result, again] = useQuery({
    query: PeopleQuery,
    variables: {
      first: people.size,
      after: people.variables.after ?? null,
      eventsFirst: events.size,
      eventsAfter: events.variables.after ?? null,
    },
  });
  const [visitor] = useQuery({ query: VisitorQuery });
  const inDemo = (visitor.data?.visitor.demoPeople.length ?? 0) > 0;
  const [inviting, setInviting] = useState(false);
  const [asking, setAsking] = useState<Asking>(null);
  const [link, setLink] = useState<{ path: string; name: string } | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const data = result.data;
  if (!data)
    return (
      <Outside>
        <Page title="People">
          {result.error ? (
            <Problem of={result.error} what="the people" again={() => again({ requestPolicy: "network-only" })} />
          ) : (
            <Loading what="the people" />
          )}
        </Page>
      </Outside>
    );

  const rows = data.people.edges.map(({ node }) => node);
  const closed = rows.filter((person) => person.closed).length;
  const restorations = data.restorations.edges.map(({ node }) => node);
  /** Does it, and says what was in the way; true when it is done. */
  const told = (answer: AccountAnswer | undefined, error: Parameters<typeof wordsOf>[0] | undefined): boolean => {
    const done = answer?.__typename === "AccountSaved";
    setProblem(
      done ? null : `Not done. ${answer && "message" in answer ? answer.message : error ? wordsOf(error) : ""}`.trim(),
    );
    return done;
  };
  const handOut = async (person: PersonRow) => {
    const { data: answered, error } = await client.mutation(HandOutReset, { account: person.id }).toPromise();
    const answer = answered?.handOutReset;
    if (told(answer, error) && answer?.__typename === "AccountSaved" && answer.link)
      setLink({ path: answer.link, name: person.name });
  };
  const close = async (person: PersonRow) => {
    setAsking(null);
    const { data: answered, error } = await client
      .mutation(CloseAccount, { account: person.id, closed: !person.closed })
      .toPromise();
    told(answered?.closeAccount, error);
  };

  return (
    <Outside>
      <Page
        title="People"
        sentence={`${counted(data.people.totalCount, "account")} of ${data.me.workshop.name}${closed > 0 ? `, ${closed} of them closed` : ""}. Restorers read and change everything of the workshop, an owner sees one machine, a club member only the club.`}
        aside={
          !inviting && (
            <button type="button" className="main" onClick={() => setInviting(true)}>
              Invite somebody
            </button>
          )
        }
      >
        {problem && (
          <p className="form-problem" role="alert">
            {problem}
          </p>
        )}
        {link && <LinkShown path={link.path} name={link.name} onClose={() => setLink(null)} />}
        {inviting && (
          <Section title="Invite somebody">
            <InviteForm
              restorations={restorations}
              onDone={(path, name) => {
                setInviting(false);
                setLink({ path, name });
              }}
              onCancel={() => setInviting(false)}
            />
          </Section>
        )}
        <Table
          caption="The accounts of the workshop"
          rows={rows}
          rowKey={(person) => person.id}
          columns={[
            { id: "name", title: "Name", lead: true, cell: (person) => person.name || "not named yet" },
            { id: "role", title: "Role", cell: roleWords },
            { id: "email", title: "E-mail", cell: ({ email }) => email },
            {
              id: "state",
              title: "State",
              cell: ({ closed: shut, joined }) =>
                shut ? "closed" : joined ? "signs in" : inDemo ? "of the demo" : "has not joined",
            },
            {
              id: "do",
              title: "Change",
              controls: true,
              cell: (person) => <PersonButtons person={person} onAsk={setAsking} onLink={handOut} onOpen={close} />,
            },
          ]}
          paging={
            <Paging
              of={people}
              page={data.people.pageInfo}
              total={data.people.totalCount}
              shown={rows.length}
              noun="account"
            />
          }
        />
        <Workshop />
        <Backups />
        <Section title="Record of the accounts" id="record">
          <Table
            caption="Sign-ins, invitations and changes of role, the newest first"
            rows={data.accountEvents.edges.map(({ node }) => node)}
            rowKey={(event) => event.id}
            columns={[
              { id: "what", title: "What", lead: true, cell: ({ summary }) => summary },
              { id: "account", title: "Account", cell: ({ accountName }) => accountName },
              { id: "by", title: "By", cell: ({ byName }) => byName ?? "the program" },
              { id: "when", title: "When", cell: ({ at }) => <time dateTime={at}>{momentInFull(at)}</time> },
            ]}
            paging={
              <Paging
                of={events}
                page={data.accountEvents.pageInfo}
                total={data.accountEvents.totalCount}
                shown={data.accountEvents.edges.length}
                noun="entry"
                plural="entries"
              />
            }
            empty={<p className="soft">Nothing happened yet.</p>}
          />
        </Section>
      </Page>
      <Dialog
        open={asking?.what === "close"}
        title={`Close the account of ${asking?.person.name ?? ""}?`}
        onClose={() => setAsking(null)}
      >
        <p className="prose">
          It is signed out everywhere and can sign in no more. All that it did stays, and the account can be opened
          again.
        </p>
        <div className="dialog-foot">
          <button type="button" className="main" onClick={() => asking && void close(asking.person)}>
            Close the account
          </button>
          <button type="button" onClick={() => setAsking(null)}>
            Keep it open
          </button>
        </div>
      </Dialog>
      <Dialog
        open={asking?.what === "role"}
        title={`The role of ${asking?.person.name ?? ""}`}
        onClose={() => setAsking(null)}
      >
        {asking && (
          <RoleForm
            person={asking.person}
            restorations={restorations}
            onDone={() => setAsking(null)}
            onCancel={() => setAsking(null)}
          />
        )}
      </Dialog>
    </Outside>
  );
}

interface PersonButtonsProps {
  person: PersonRow;
  onAsk: (asking: Asking) => void;
  onLink: (person: PersonRow) => Promise<void>;
  onOpen: (person: PersonRow) => Promise<void>;
}

function PersonButtons({ person, onAsk, onLink, onOpen }: PersonButtonsProps) {
  const whose = <span className="unseen"> of {person.name}</span>;
  if (person.closed)
    return (
      <button type="button" onClick={() => void onOpen(person)}>
        Open again<span className="unseen">: {person.name}</span>
      </button>
    );
  return (
    <span className="row">
      <button type="button" onClick={() => void onLink(person)}>
        {person.joined ? "Link to reset the password" : "Link to join"}
        {whose}
      </button>
      <button type="button" onClick={() => onAsk({ what: "role", person })}>
        Role{whose}
      </button>
      <button type="button" className="remove" onClick={() => onAsk({ what: "close", person })}>
        Close{whose}
      </button>
    </span>
  );
}
