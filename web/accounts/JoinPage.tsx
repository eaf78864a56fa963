import { useClient, useQuery } from "urql";
import { dateInFull } from "../shared/format.ts";
import { Loading, Page, Problem } from "../shared/Page.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { InvitationQuery, TakeUp } from "./documents.ts";
import { Outside } from "./SignInPage.tsx";

/** Where a link to join, or to set a new password, is taken up. Its secret stands after the "#" and is sent by this form alone. */
export default function JoinPage() {
  const client = useClient();
  const secret = window.location.hash.slice(1);
  const [result] = useQuery({ query: InvitationQuery, variables: { secret } });
  const seen = result.data?.invitation;
  if (!seen)
    return (
      <Outside>
        <Page title="Join">
          {result.error ? <Problem of={result.error} what="this link" kept="" /> : <Loading what="the link" />}
        </Page>
      </Outside>
    );
  const joins = seen.kind === "JOIN";
  const names = joins && seen.workshop === "";
  return (
    <Outside>
      <Page
        title={joins ? "Join" : "Set a new password"}
        sentence={
          joins
            ? `${names ? "Begin a workshop of your own" : `Join ${seen.workshop}`}. The link works once, until ${dateInFull(seen.endsAt.slice(0, 10))}.`
            : `Set a new password for ${seen.email} at ${seen.workshop}. The link works once, until ${dateInFull(seen.endsAt.slice(0, 10))}.`
        }
      >
        <AccountForm
          label={joins ? "Join" : "Set a new password"}
          button={joins ? "Join" : "Set the password"}
          fields={[
            ...(names
              ? ([
                  { name: "workshop", label: "Workshop", autoComplete: "organization", hint: "What it is called." },
                ] as const)
              : []),
            ...(joins
              ? ([
                  { name: "name", label: "Name", type: "text", autoComplete: "name", initial: seen.name },
                  { name: "email", label: "E-mail", type: "email", autoComplete: "username", initial: seen.email },
                ] as const)
              : []),
            {
              name: "password",
              label: "Password",
              type: "password",
              autoComplete: "new-password",
              hint: "A few words that nobody else would put together.",
            },
          ]}
          send={async ({ name, email, workshop, password = "" }) => {
            const { data, error } = await client
              .mutation(TakeUp, {
                secret,
                password,
                name: name ?? null,
                email: email ?? null,
                workshop: workshop ?? null,
              })
              .toPromise();
            return { answer: data?.takeUpInvitation, error };
          }}
          onDone={() => window.location.assign("/")}
        />
      </Page>
    </Outside>
  );
}
