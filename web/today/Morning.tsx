import { type FormEvent, useState } from "react";
import { useMutation } from "urql";
import { faultWords } from "../shared/fault.ts";
import { Section, wordsOf } from "../shared/Page.tsx";
import { SaveMorning } from "./documents.ts";

interface MorningProps {
  account: {
    id: string;
    revision: number;
    role: string;
    email: string | null;
    dailySummary: boolean;
    mailIsSent: boolean;
  };
}

/** The switch by which the summary comes by mail each morning, to this account alone. */
export function Morning({ account: { id, revision, role, email, dailySummary, mailIsSent } }: MorningProps) {
  const [{ fetching }, save] = useMutation(SaveMorning);
  const [typed, setTyped] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    setProblem(null);
    const to = email === null && !dailySummary ? { email: typed } : {};
    const { data, error } = await save({ input: { id, revision, dailySummary: !dailySummary, ...to } });
    const answer = data?.saveAccount;
    if (error) setProblem(wordsOf(error));
    else if (answer?.__typename === "InvalidInput")
      setProblem(answer.faults.map((fault) => faultWords(fault, "E-mail")).join(" ") || answer.message);
    else if (answer?.__typename === "Refused" || answer?.__typename === "StaleRow") setProblem(answer.message);
  };
  return (
    <Section title="By mail each morning" id="by-mail">
      {!mailIsSent && (
        <p className="prose">
          This server is not set up to send mail, so nothing is sent.{" "}
          {role === "RESTORER"
            ? "Whoever runs the server finds how in README.md, under Your own machine."
            : "The workshop can have it set up."}
        </p>
      )}
      {(mailIsSent || dailySummary) && (
        <form aria-label="By mail each morning" onSubmit={(event) => void submit(event)} noValidate>
          <p role="status">
            {dailySummary
              ? `This sheet goes to ${email} every morning from six.`
              : email === null
                ? "It can be sent to you every morning from six. Your account has no e-mail yet."
                : `It can be sent to ${email} every morning from six.`}
          </p>
          {email === null && !dailySummary && (
            <div className="field">
              <label htmlFor="morning-email">E-mail</label>
              <input
                id="morning-email"
                type="email"
                autoComplete="email"
                value={typed}
                onChange={(event) => setTyped(event.target.value)}
              />
            </div>
          )}
          {problem && (
            <p className="form-problem" role="alert">
              {problem}
            </p>
          )}
          <button type="submit" disabled={fetching}>
            {dailySummary ? "Stop sending it" : "Send me this every morning"}
          </button>
        </form>
      )}
    </Section>
  );
}
