import { useRef, useState } from "react";
import { useClient } from "urql";
import { type StaleChoice, StaleDialog } from "../shared/StaleDialog.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { type AccountAnswer, OwnQuery, SaveAccount } from "./documents.ts";

interface Own {
  id: string;
  revision: number;
  name: string;
  email: string | null;
}

type StaleAnswer = Extract<AccountAnswer, { __typename: "StaleRow" }>;

interface NameAndEmailProps {
  me: Own;
  /** Tells what came of it; blank while it is sent. */
  say: (words: string) => void;
}

/** The own name and e-mail. What was changed elsewhere meanwhile is chosen between field by field, as with any other row. */
export function NameAndEmail({ me, say }: NameAndEmailProps) {
  const client = useClient();
  const [base, setBase] = useState<Own>(me);
  const [round, setRound] = useState(0);
  /** Theirs was kept in every field, so nothing of ours was sent. */
  const theirs = useRef(false);
  const [stale, setStale] = useState<{ row: StaleAnswer; choose: (choice: StaleChoice) => void } | null>(null);

  const send = async (
    changed: { name?: string; email?: string | null },
    revision: number,
  ): ReturnType<Parameters<typeof AccountForm>[0]["send"]> => {
    const { data, error } = await client.mutation(SaveAccount, { input: { ...changed, revision } }).toPromise();
    const answer = data?.saveAccount;
    if (answer?.__typename !== "StaleRow") return { answer, error };
    const choice = await new Promise<StaleChoice>((choose) => setStale({ row: answer, choose }));
    setStale(null);
    if (choice === "putOff") return { answer, error };
    const left = Object.fromEntries(Object.entries(changed).filter(([field]) => !choice.has(field)));
    if (Object.keys(left).length > 0) return send(left, answer.revision);
    theirs.current = true;
    return { answer: { __typename: "AccountSaved", id: answer.id, link: null }, error };
  };

  return (
    <>
      <AccountForm
        key={round}
        label="Name and e-mail"
        button="Save"
        fields={[
          { name: "name", label: "Name", autoComplete: "name", initial: base.name },
          { name: "email", label: "E-mail", type: "email", autoComplete: "username", initial: base.email ?? "" },
        ]}
        send={({ name = "", email = "" }) => {
          say("");
          theirs.current = false;
          return send(
            {
              ...(name === base.name ? {} : { name }),
              ...(email === (base.email ?? "") ? {} : { email }),
            },
            base.revision,
          );
        }}
        onDone={() => {
          void client
            .query(OwnQuery, {}, { requestPolicy: "network-only" })
            .toPromise()
            .then(({ data }) => {
              if (data) setBase(data.me);
              setRound((now) => now + 1);
              say(theirs.current ? "Theirs is kept; nothing of yours was saved." : "Name and e-mail are saved.");
            });
        }}
      />
      {stale && <StaleDialog row={stale.row} onChoose={stale.choose} />}
    </>
  );
}
