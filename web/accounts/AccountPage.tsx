import { useState } from "react";
import { useClient, useQuery } from "urql";
import { Dialog } from "../shared/Dialog.tsx";
import { counted, momentInFull } from "../shared/format.ts";
import { Loading, Page, Problem, Section, wordsOf } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { Table } from "../shared/Table.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { ChangePassword, EndSignIn, MeQuery, SignOutEverywhere, VisitorQuery } from "./documents.ts";
import { NameAndEmail } from "./NameAndEmail.tsx";
import { Outside } from "./SignInPage.tsx";
import { roleWords } from "./words.ts";

/** One's own account: its name and e-mail, its password, and where it is signed in. */
export default function AccountPage() {
  const client = useClient();
  const paging = usePaging("signIns", 20);
  const [visitor] = useQuery({ query: VisitorQuery });
  const [result, again] = useQuery({
    query: MeQuery,
    variables: { first: paging.size, after: paging.variables.after ?? null },
  });
  const [said, setSaid] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const [leaving, setLeaving] = useState(false);
  const [round, setRound] = useState(0);
  const me = result.data?.me;
  if (!me)
    return (
      <Outside>
        <Page title="Your account">
          {result.error ? (
            <Problem of={result.error} what="your account" again={() => again({ requestPolicy: "network-only" })} />
          ) : (
            <Loading what="your account" />
          )}
        </Page>
      </Outside>
    );
  const inDemo = (visitor.data?.visitor.demoPeople.length ?? 0) > 0;
  const end = async (id: string, current: boolean) => {
    const { data, error } = await client.mutation(EndSignIn, { id }).toPromise();
    if (data?.endSignIn.__typename === "AccountSaved") {
      setProblem(null);
      if (current) window.location.assign("/");
      else setSaid("That sign-in has ended.");
    } else setProblem(error ? wordsOf(error) : (data?.endSignIn.message ?? "The server gave no answer. Try again."));
  };
  const leave = async () => {
    setLeaving(false);
    const { data, error } = await client.mutation(SignOutEverywhere, {}).toPromise();
    if (data?.signOutEverywhere.__typename === "AccountSaved") window.location.assign("/");
    else setProblem(error ? wordsOf(error) : "The server gave no answer. Try again.");
  };
  const signIns = me.signIns;
  return (
    <Outside>
      <Page
        title="Your account"
        sentence={`You are ${me.name}, ${roleWords(me)} at ${me.workshop.name}${signIns.totalCount > 0 ? `, signed in on ${counted(signIns.totalCount, "browser")}` : ""}.`}
      >
        <p role="status">{said}</p>
        {problem && (
          <p className="form-problem" role="alert">
            {problem}
          </p>
        )}
        <Section title="Name and e-mail">
          <NameAndEmail
            me={me}
            say={(words) => {
              setSaid(words);
              if (words !== "") again({ requestPolicy: "network-only" });
            }}
          />
        </Section>
        <Section title="Password">
          {inDemo ? (
            <p className="prose">The people of the demo sign in without a password.</p>
          ) : (
            <AccountForm
              key={round}
              label="Password"
              button="Change the password"
              fields={[
                {
                  name: "present",
                  label: "Present password",
                  type: "password",
                  autoComplete: "current-password",
                },
                {
                  name: "next",
                  label: "New password",
                  type: "password",
                  autoComplete: "new-password",
                  hint: "At least 10 characters. Every other browser is then signed out.",
                },
              ]}
              send={async ({ present = "", next = "" }) => {
                setSaid("");
                const { data, error } = await client.mutation(ChangePassword, { present, next }).toPromise();
                return { answer: data?.changePassword, error };
              }}
              onDone={() => {
                setRound((now) => now + 1);
                setSaid("The password is changed, and every other browser is signed out.");
              }}
            />
          )}
        </Section>
        <Section title="Where you are signed in" id="sign-ins">
          <Table
            caption="Where you are signed in"
            rows={signIns.edges.map(({ node }) => node)}
            rowKey={(row) => row.id}
            copy={false}
            columns={[
              {
                id: "browser",
                title: "Browser",
                lead: true,
                cell: ({ browser, current }) => `${browser || "not named"}${current ? " (this one)" : ""}`,
              },
              {
                id: "begun",
                title: "Signed in",
                cell: ({ begunAt }) => <time dateTime={begunAt}>{momentInFull(begunAt)}</time>,
              },
              {
                id: "used",
                title: "Last used",
                cell: ({ usedAt }) => <time dateTime={usedAt}>{momentInFull(usedAt)}</time>,
              },
              {
                id: "end",
                title: "End",
                controls: true,
                cell: ({ id, current, browser }) => (
                  <button type="button" onClick={() => void end(id, current)}>
                    {current ? "Sign out here" : "End it"}
                    <span className="unseen"> {browser}</span>
                  </button>
                ),
              },
            ]}
            paging={
              <Paging
                of={paging}
                page={signIns.pageInfo}
                total={signIns.totalCount}
                shown={signIns.edges.length}
                noun="sign-in"
              />
            }
            empty={<p className="soft">Nowhere: the demo is open without signing in.</p>}
          />
          {signIns.totalCount > 0 && (
            <button type="button" onClick={() => setLeaving(true)}>
              Sign out everywhere
            </button>
          )}
        </Section>
      </Page>
      <Dialog open={leaving} title="Sign out everywhere?" onClose={() => setLeaving(false)}>
        <p className="prose">Every browser is signed out, this one too. What was entered stays.</p>
        <div className="dialog-foot">
          <button type="button" className="main" onClick={() => void leave()}>
            Sign out everywhere
          </button>
          <button type="button" onClick={() => setLeaving(false)}>
            Stay signed in
          </button>
        </div>
      </Dialog>
    </Outside>
  );
}
