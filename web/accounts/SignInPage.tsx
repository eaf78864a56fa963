import type { ReactNode } from "react";
import { useClient } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { JobHead } from "../shared/Head.tsx";
import { Page } from "../shared/Page.tsx";
import { useMay } from "../shared/useMay.ts";
import { AccountForm } from "./AccountForm.tsx";
import { SignIn } from "./documents.ts";
import { Who } from "./Who.tsx";
import "./accounts.css";

/** Signing in; the sheet that was asked for stands at the same address afterwards. */
export function SignInPage() {
  const client = useClient();
  return (
    <Outside>
      <Page
        title="Sign in"
        sentence="This is a workshop's own record. Sign in with the e-mail and the password that you set by your link."
      >
        <AccountForm
          label="Sign in"
          button="Sign in"
          fields={[
            { name: "email", label: "E-mail", type: "email", autoComplete: "username" },
            {
              name: "password",
              label: "Password",
              type: "password",
              autoComplete: "current-password",
              hint: "Forgotten: ask the workshop's admin for a link to set a new one.",
            },
          ]}
          send={async ({ email = "", password = "" }) => {
            const { data, error } = await client.mutation(SignIn, { email, password }).toPromise();
            return { answer: data?.signIn, error };
          }}
          onDone={() => window.location.reload()}
        />
      </Page>
    </Outside>
  );
}

/** The head of a sheet that belongs to no restoration. */
export function Outside({ children }: { children: ReactNode }) {
  const may = useMay();
  return (
    <div className="sheet">
      <JobHead
        of={{ label: "", value: "Lastbolt" }}
        who={<Who />}
        ways={
          may("Query.me")
            ? [
                {
                  address: addressOf.restorations(),
                  name: may("Restoration.parts") ? "All restorations" : "Back to your sheet",
                },
              ]
            : []
        }
      />
      <main id="main" tabIndex={-1}>
        {children}
      </main>
    </div>
  );
}
