import { type FormEvent, useId, useState } from "react";
import type { CombinedError } from "urql";
import { wordsOf } from "../shared/Page.tsx";
import type { AccountAnswer } from "./documents.ts";

interface FieldOf {
  name: string;
  label: string;
  type: "text" | "email" | "password";
  /** What the browser may fill in: a token of the HTML standard. */
  autoComplete: string;
  hint?: string;
  initial?: string;
}

interface AccountFormProps {
  label: string;
  fields: readonly FieldOf[];
  button: string;
  send: (
    values: Record<string, string>,
  ) => Promise<{ answer: AccountAnswer | undefined; error: CombinedError | undefined }>;
  onDone: () => void;
}

/** A few lines of text that go to the account's side of the server; what is wrong stands at its field. */
export function AccountForm({ label, fields, button, send, onDone }: AccountFormProps) {
  const id = useId();
  const [values, setValues] = useState(() =>
    Object.fromEntries(fields.map((field) => [field.name, field.initial ?? ""])),
  );
  const [faults, setFaults] = useState<readonly { field: string | null; message: string }[]>([]);
  const [problem, setProblem] = useState<string | null>(null);
  const [sending, setSending] = useState(false);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    if (sending) return;
    setSending(true);
    setFaults([]);
    setProblem(null);
    const { answer, error } = await send(values);
    setSending(false);
    if (answer?.__typename === "AccountSaved") return onDone();
    if (answer?.__typename === "InvalidInput") {
      setFaults(answer.faults);
      setProblem(answer.faults.some(({ field }) => fields.some(({ name }) => name === field)) ? null : answer.message);
    } else setProblem(answer?.message ?? (error ? wordsOf(error) : "The server gave no answer. Try again."));
  };

  return (
    <form className="account-form" aria-label={label} onSubmit={(event) => void submit(event)} noValidate>
      {fields.map(({ name, label: words, type, autoComplete, hint }) => {
        const wrong = faults.filter(({ field }) => field === name);
        return (
          <div className="field" key={name}>
            <label htmlFor={`${id}-${name}`}>{words}</label>
            <input
              id={`${id}-${name}`}
              type={type}
              autoComplete={autoComplete}
              value={values[name] ?? ""}
              aria-invalid={wrong.length > 0 ? true : undefined}
              aria-describedby={`${id}-${name}-hint`}
              onChange={(event) => setValues((now) => ({ ...now, [name]: event.target.value }))}
            />
            <p id={`${id}-${name}-hint`} className={wrong.length > 0 ? "fault" : "hint"}>
              {wrong.length > 0 ? wrong.map(({ message }) => message).join(" ") : hint}
            </p>
          </div>
        );
      })}
      {problem && (
        <p className="form-problem" role="alert">
          {problem}
        </p>
      )}
      <div className="row">
        <button type="submit" className="main" disabled={sending}>
          {button}
        </button>
      </div>
    </form>
  );
}
