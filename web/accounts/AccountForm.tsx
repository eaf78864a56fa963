import { type ChangeEvent, type FormEvent, useId, useState } from "react";
import type { CombinedError } from "urql";
import { faultWords } from "../shared/fault.ts";
import { wordsOf } from "../shared/Page.tsx";
import type { AccountAnswer } from "./documents.ts";

export interface FieldOf {
  name: string;
  label: string;
  /** Text unless given. */
  type?: "text" | "email" | "password" | "lines";
  /** What the browser may fill in: a token of the HTML standard. */
  autoComplete?: string;
  /** One of these instead of text. */
  choices?: readonly { value: string; label: string }[];
  hint?: string;
  initial?: string;
  /** Shown only where the other values ask for it. */
  when?: (values: Record<string, string>) => boolean;
}

interface AccountFormProps {
  label: string;
  fields: readonly FieldOf[];
  button: string;
  send: (
    values: Record<string, string>,
  ) => Promise<{ answer: AccountAnswer | undefined; error: CombinedError | undefined }>;
  onDone: (saved: Extract<AccountAnswer, { __typename: "AccountSaved" }>, values: Record<string, string>) => void;
  onCancel?: () => void;
}

/** A few lines of text that go to the account's side of the server; what is wrong stands at its field. */
export function AccountForm({ label, fields, button, send, onDone, onCancel }: AccountFormProps) {
  const id = useId();
  const [values, setValues] = useState(() =>
    Object.fromEntries(fields.map((field) => [field.name, field.initial ?? ""])),
  );
  const [faults, setFaults] = useState<Extract<AccountAnswer, { __typename: "InvalidInput" }>["faults"]>([]);
  const [problem, setProblem] = useState<string | null>(null);
  const [sending, setSending] = useState(false);

  const shown = fields.filter(({ when }) => when?.(values) ?? true);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    if (sending) return;
    setSending(true);
    setFaults([]);
    setProblem(null);
    const { answer, error } = await send(values);
    setSending(false);
    if (answer?.__typename === "AccountSaved") return onDone(answer, values);
    if (answer?.__typename === "InvalidInput") {
      setFaults(answer.faults);
      setProblem(answer.faults.some(({ field }) => shown.some(({ name }) => name === field)) ? null : answer.message);
    } else setProblem(answer?.message ?? (error ? wordsOf(error) : "The server gave no answer. Try again."));
  };

  return (
    <form className="account-form" aria-label={label} onSubmit={(event) => void submit(event)} noValidate>
      {shown.map(({ name, label: words, type = "text", autoComplete, choices, hint }) => {
        const wrong = faults.filter(({ field }) => field === name);
        const common = {
          id: `${id}-${name}`,
          value: values[name] ?? "",
          "aria-invalid": wrong.length > 0 ? true : undefined,
          "aria-describedby": `${id}-${name}-hint`,
          onChange: (event: ChangeEvent<HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement>) => {
            const { value } = event.target;
            setValues((now) => ({ ...now, [name]: value }));
          },
        };
        return (
          <div className="field" key={name}>
            <label htmlFor={`${id}-${name}`}>{words}</label>
            {choices ? (
              <select {...common}>
                {choices.map((choice) => (
                  <option key={choice.value} value={choice.value}>
                    {choice.label}
                  </option>
                ))}
              </select>
            ) : type === "lines" ? (
              <textarea {...common} rows={3} autoComplete={autoComplete} />
            ) : (
              <input {...common} type={type} autoComplete={autoComplete} />
            )}
            <p id={`${id}-${name}-hint`} className={wrong.length > 0 ? "fault" : "hint"}>
              {wrong.length > 0 ? wrong.map((fault) => faultWords(fault, words)).join(" ") : hint}
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
        {onCancel && (
          <button type="button" onClick={onCancel}>
            Leave it
          </button>
        )}
      </div>
    </form>
  );
}
