import type { ResultOf } from "gql.tada";
import { type CombinedError, useClient } from "urql";
import { told } from "../shared/Brief.tsx";
import { ChoiceField, NotesField, TextField } from "../shared/Fields.tsx";
import { Folded } from "../shared/Folded.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, days, hours, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { wordsOf } from "../shared/Page.tsx";
import { Paging, type PagingState } from "../shared/paging.tsx";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { PROVENANCE } from "../shared/words.ts";
import { DECISION_STATE } from "./decision.ts";
import { AnswerBack, AnswerDecision, AskBack, type Decision, type Report } from "./documents.ts";

interface WaitingProps {
  decisions: readonly Decision[];
  /** Who may answer, and under which name it is offered; null: only read here. */
  answersAs: string | null;
  /** The restorer notes what the owner said, since the owner has no account. */
  noting: boolean;
  /** Whom it waits for: a name, or "you" where the owner reads. */
  waitsFor: string;
  /** Why nobody can answer on this page. */
  otherwise: string;
  /** What the owner asked back is answered here. */
  answers: boolean;
}

/** What waits for the owner, each with its sum, and the answer. */
export function Waiting({ decisions, answersAs, noting, waitsFor, otherwise, answers }: WaitingProps) {
  if (decisions.length === 0) return <p>Nothing waits for a decision.</p>;
  return (
    <ol className="decisions">
      {decisions.map((decision) => (
        <li key={decision.id}>
          <h3>
            {decision.title}
            {decision.amount && <span className="decision-sum"> {money(decision.amount)}</span>}
          </h3>
          <p className="decision-marks">
            <Mark word={`waits for ${waitsFor}`} colour="brass" shape="empty" />{" "}
            <span className="soft">asked on {dateInFull(decision.askedOn)}</span>
          </p>
          {decision.question && <p className="prose">{decision.question}</p>}
          <AboutWords of={decision} />
          <Questions of={decision} answers={answers} />
          <p className="on-paper">Approve ☐ &nbsp; Decline ☐ &nbsp; Name and date</p>
          {answersAs === null ? (
            <p className="soft no-print">{otherwise}</p>
          ) : (
            <>
              <Folded summary={noting ? "Note the owner's answer" : "Answer it"}>
                <AnswerForm decision={decision} name={answersAs} noting={noting} />
              </Folded>
              <AskBackForm decision={decision} name={answersAs} noting={noting} />
            </>
          )}
        </li>
      ))}
    </ol>
  );
}

/** What the quote, the remedy or the way is, in a line. */
function AboutWords({ of: { title, quote, remedy, way } }: { of: Decision }) {
  if (quote)
    return (
      <p className="soft">
        {quote.supplier.name}, {PROVENANCE[quote.provenance]}, {days(quote.leadDays)} from the order.
      </p>
    );
  const how = remedy ?? way;
  if (!how) return null;
  const { days: wait, hours: work } = how;
  const about = `${(remedy ? remedy.snag : way!.operation).title}: ${how.title}`;
  const words = [
    // The heading says as much, where it was left as it was offered.
    !title.includes(about) && about,
    how.supplier?.name,
    wait > 0 && (remedy ? `to hand in ${days(wait)}` : `away for ${days(wait)}`),
    work > 0 && `${hours(work)} at the bench`,
  ];
  const said = words.filter(Boolean).join(", ");
  return said === "" ? null : <p className="soft">{`${said.charAt(0).toUpperCase()}${said.slice(1)}.`}</p>;
}

/** Approve or decline, under a name; it is kept with the date and cannot be taken back. */
function AnswerForm({ decision, name, noting }: { decision: Decision; name: string; noting: boolean }) {
  const client = useClient();
  const answer = async (values: Record<string, unknown>): Promise<SaveOutcome> => {
    if (typeof values["approve"] !== "string")
      return {
        kind: "faults",
        message: "",
        faults: [{ code: "REQUIRED", field: "approve", message: "choose whether to approve or to decline." }],
      };
    const { data, error } = await client
      .mutation(AnswerDecision, {
        decision: decision.id,
        approve: values["approve"] === "APPROVE",
        name: String(values["name"] ?? ""),
        answer: String(values["answer"] ?? ""),
      })
      .toPromise();
    return outcomeOf(data?.answerDecision, error);
  };
  const sum = decision.amount ? ` ${money(decision.amount)}` : "";
  return (
    <Form
      label={noting ? `Note the owner's answer: ${decision.title}` : `Answer: ${decision.title}`}
      initial={{ approve: null, name, answer: "" }}
      onSave={answer}
      saveLabel={noting ? "Note the answer" : "Give the answer"}
    >
      <div className="fields">
        <ChoiceField
          name="approve"
          label={noting ? "The owner's answer" : "Your answer"}
          none="choose"
          choices={[
            { value: "APPROVE", label: `Approve${sum}` },
            { value: "DECLINE", label: "Decline" },
          ]}
        />
        <TextField name="name" label="Name" hint="Kept with the answer and the date" autoComplete="name" />
        <NotesField name="answer" label="In your own words" hint="Blank is enough" rows={2} />
      </div>
      <p className="soft small">An answer is final: it is kept with its date, name and sum, and is not taken back.</p>
    </Form>
  );
}

type Result = ResultOf<typeof AnswerDecision>["answerDecision"] | ResultOf<typeof AskBack>["askBack"];

/** What became of what the owner sent: such an answer carries no change that could be taken back. */
function outcomeOf(result: Result | undefined, error: CombinedError | undefined): SaveOutcome {
  if (error) return { kind: "unreachable", message: `Not recorded. ${wordsOf(error)} What you typed is still here.` };
  if (result?.__typename === "Saved") return { kind: "saved", id: result.id, revision: result.revision };
  if (result?.__typename === "InvalidInput") return { kind: "faults", faults: result.faults, message: result.message };
  if (result?.__typename === "Refused")
    return { kind: "refused", message: result.message, code: result.code, rows: result.rows };
  return { kind: "unreachable", message: "Not recorded. The server answered with nothing that can be read." };
}

/** Asked back before answering; the decision goes on waiting. */
function AskBackForm({ decision, name, noting }: { decision: Decision; name: string; noting: boolean }) {
  const client = useClient();
  const open = useOpen();
  if (!open.has("ask"))
    return (
      <p className="no-print">
        <OpenButton of={open} opens="ask">
          {noting ? "Note a question of the owner" : "Ask something first"}
          <span className="unseen"> about {decision.title}</span>
        </OpenButton>
      </p>
    );
  const askBack = async (values: Record<string, unknown>): Promise<SaveOutcome> => {
    const { data, error } = await client
      .mutation(AskBack, {
        decision: decision.id,
        name: String(values["name"] ?? ""),
        question: String(values["question"] ?? ""),
      })
      .toPromise();
    return outcomeOf(data?.askBack, error);
  };
  return (
    <Opened>
      <Form
        label={`Ask back: ${decision.title}`}
        initial={{ name, question: "" }}
        onSave={askBack}
        onSaved={() => open.close("ask")}
        onCancel={() => open.close("ask")}
        saveLabel="Ask"
      >
        <div className="fields">
          <TextField name="name" label="Name" hint="Kept with the question and the date" autoComplete="name" />
          <NotesField name="question" label="Question" hint="The decision goes on waiting" rows={2} />
        </div>
      </Form>
    </Opened>
  );
}

/** What was asked back, and what was said to it. */
function Questions({ of: { questions }, answers }: { of: Decision; answers: boolean }) {
  const { save } = useSave();
  if (questions.edges.length === 0) return null;
  return (
    <dl className="decision-questions">
      {questions.edges.map(({ node: { id, question, askedAs, askedOn, answer, answeredOn } }) => (
        <div key={id}>
          <dt>
            {askedAs} asked on {dateInFull(askedOn)}: {question}
          </dt>
          <dd>
            {answeredOn ? (
              <>
                {answer} <span className="soft">({dateInFull(answeredOn)})</span>
              </>
            ) : answers ? (
              <Form
                label={`Answer: ${question}`}
                initial={{ answer: "" }}
                onSave={(values) => save(AnswerBack, { decisionQuestion: id, answer: String(values["answer"] ?? "") })}
                saveLabel="Answer the question"
              >
                <NotesField name="answer" label="Answer to the question" hint="The owner reads it" rows={2} />
              </Form>
            ) : (
              <span className="soft">Waits for the workshop.</span>
            )}
          </dd>
        </div>
      ))}
    </dl>
  );
}

/** What was decided, the newest first. */
export function Answered({ of, paging }: { of: Report["answered"]; paging: PagingState }) {
  const rows = of.edges.map(({ node }) => node);
  return (
    <Table
      caption="Decided"
      rows={rows}
      rowKey={({ id }) => id}
      copy={false}
      brief={({ title, amount, state, answeredAs, answeredOn }) => ({
        name: title,
        also: told(DECISION_STATE[state], answeredAs, answeredOn && dateInFull(answeredOn)),
        when: amount && money(amount),
      })}
      columns={[
        { id: "title", title: "What", lead: true, cell: ({ title }) => title },
        {
          id: "amount",
          title: "Sum",
          numeric: true,
          cell: ({ amount }) => amount && money(amount),
        },
        { id: "state", title: "Answer", cell: (decision) => <StateMark of={decision} /> },
        {
          id: "by",
          title: "By",
          cell: ({ answeredAs, noted }) => answeredAs && `${answeredAs}${noted ? ", noted by the workshop" : ""}`,
        },
        {
          id: "on",
          title: "On",
          cell: ({ answeredOn }) => answeredOn && <span className="nowrap">{dateInFull(answeredOn)}</span>,
        },
        { id: "words", title: "In words", cell: ({ answer }) => answer },
      ]}
      paging={<Paging of={paging} page={of.pageInfo} total={of.totalCount} shown={rows.length} noun="decision" />}
      empty={<p>Nothing was decided yet.</p>}
    />
  );
}

function StateMark({ of: { state, orderedAllTheSame } }: { of: Decision }) {
  if (state === "APPROVED") return <Mark word={DECISION_STATE.APPROVED} colour="verdigris" shape="full" />;
  if (state === "DECLINED")
    return (
      <>
        <Mark word={DECISION_STATE.DECLINED} colour="ink" shape="cross" />
        {orderedAllTheSame && <strong className="late"> and ordered all the same</strong>}
      </>
    );
  return <Mark word={DECISION_STATE[state]} colour="ink" shape="broken" />;
}
