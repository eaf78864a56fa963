import { useRef, useState } from "react";
import { useClient } from "urql";
import { type Conflict, conflictsOf } from "../shared/conflict.ts";
import { type StaleChoice, StaleDialog } from "../shared/StaleDialog.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { OwnQuery, SaveAccount } from "./documents.ts";

interface Own {
  id: string;
  revision: number;
  name: string;
  email: string | null;
}

const LABELS = { name: "Name", email: "E-mail" } as const;

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
  const [stale, setStale] = useState<{
    message: string;
    conflicts: readonly Conflict[];
    choose: (choice: StaleChoice) => void;
  } | null>(null);

  const send = async (
    changed: { name?: string; email?: string | null },
    revision: number,
  ): ReturnType<Parameters<typeof AccountForm>[0]["send"]> => {
    const { data, error } = await client.mutation(SaveAccount, { input: { ...changed, revision } }).toPromise();
    const answer = data?.saveAccount;
    if (answer?.__typename !== "StaleRow") return { answer, error };
    const { message } = answer;
    const { conflicts } = conflictsOf(answer.differences, (field) =>
      field === "name" || field === "email" ? { label: LABELS[field], changed: true, read: base[field] } : undefined,
    );
    const choice = await new Promise<StaleChoice>((choose) => setStale({ message, conflicts, choose }));
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
          { name: "name", label: LABELS.name, autoComplete: "name", initial: base.name },
          { name: "email", label: LABELS.email, type: "email", autoComplete: "username", initial: base.email ?? "" },
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
      {stale && <StaleDialog message={stale.message} conflicts={stale.conflicts} onChoose={stale.choose} />}
    </>
  );
}
