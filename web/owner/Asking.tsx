import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { ChoiceField, MoneyField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { choicesOf } from "../shared/words.ts";
import { DECISION_KIND, DECISION_STATE, DUE_STANDS } from "./decision.ts";
import { AskDecision, AskingQuery, type Decision, type DueConsent, WithdrawDecision } from "./documents.ts";

/** The restorer's side: what is over the owner's limit, asking for a decision, and taking a question back. */
export function Asking({ waiting }: { waiting: readonly Decision[] }) {
  const { id } = useRestoration();
  const open = useOpen();
  const [result, again] = useQuery({ query: AskingQuery, variables: { restoration: id } });
  const read = result.data?.restoration;
  const { save } = useSave();
  return (
    <div className="no-print">
      <Section
        title="Ask the owner"
        id="ask"
        aside={
          <OpenButton of={open} opens="new">
            Ask for a decision
          </OpenButton>
        }
      >
        <p className="soft">
          For the workshop only; it is not printed. In many places the owner's consent, with date, name and sum, is due
          before an estimate is exceeded: local law decides.
        </p>
        {open.has("new") && (
          <Opened>
            <AskForm onDone={() => open.close("new")} />
          </Opened>
        )}
        {!read ? (
          result.error ? (
            <Problem
              of={result.error}
              what="what is over the limit"
              again={() => again({ requestPolicy: "network-only" })}
            />
          ) : (
            <Loading what="what is over the limit" />
          )
        ) : read.consentOver === null ? (
          <p>
            No limit is set above which the owner is asked. It is entered on the{" "}
            <Link to={addressOf.restoration(id)}>Restoration sheet</Link>.
          </p>
        ) : (
          <>
            <h3>Over the limit of {money(read.consentOver)}</h3>
            <Table
              caption={`Over the limit of ${money(read.consentOver)}`}
              copy={false}
              rows={read.consentDue.edges.map(({ node }) => node)}
              rowKey={({ row }) => row}
              columns={[
                {
                  id: "what",
                  title: "What",
                  lead: true,
                  cell: ({ kind, title, code }) => (
                    <>
                      {title} <Code noun={kind.toLowerCase()} of={code} />
                    </>
                  ),
                },
                { id: "stands", title: "State", cell: ({ kind }) => DUE_STANDS[kind] },
                { id: "from", title: "From", cell: (due) => supplierOf(due) },
                { id: "amount", title: "Comes to", numeric: true, cell: ({ amount }) => money(amount) },
                {
                  id: "asked",
                  title: "Owner",
                  cell: ({ asked }) =>
                    asked === null ? (
                      <Mark word="not asked" colour="brass" shape="broken" />
                    ) : (
                      <Mark
                        word={DECISION_STATE[asked]}
                        colour={asked === "APPROVED" ? "verdigris" : "brass"}
                        shape={asked === "APPROVED" ? "full" : asked === "DECLINED" ? "cross" : "empty"}
                      />
                    ),
                },
                {
                  id: "controls",
                  title: "",
                  controls: true,
                  cell: (due) =>
                    due.asked !== "WAITING" &&
                    due.asked !== "APPROVED" && (
                      <OpenButton of={open} opens={due.row}>
                        Ask<span className="unseen"> about {due.title}</span>
                      </OpenButton>
                    ),
                },
              ]}
              below={(due) =>
                open.has(due.row) && (
                  <Opened>
                    <AskForm about={due} onDone={() => open.close(due.row)} />
                  </Opened>
                )
              }
              empty={<p>Nothing that is chosen, or ordered without consent, is over it.</p>}
            />
          </>
        )}
        {waiting.length > 0 && (
          <>
            <h3>Asked, and not answered</h3>
            <Table
              caption="Asked, and not answered"
              copy={false}
              rows={waiting}
              rowKey={({ id: decision }) => decision}
              columns={[
                { id: "title", title: "What", lead: true, cell: ({ title }) => title },
                { id: "kind", title: "Kind", cell: ({ kind }) => DECISION_KIND[kind] },
                { id: "amount", title: "Sum", numeric: true, cell: ({ amount }) => amount && money(amount) },
                {
                  id: "controls",
                  title: "",
                  controls: true,
                  cell: ({ id: decision, title }) => (
                    <button type="button" onClick={() => void save(WithdrawDecision, { decision })}>
                      No longer ask<span className="unseen"> about {title}</span>
                    </button>
                  ),
                },
              ]}
            />
          </>
        )}
      </Section>
    </div>
  );
}

const supplierOf = ({ quote, remedy, way }: DueConsent): string | undefined => (quote ?? remedy ?? way)?.supplier?.name;

/** "Gear set, from Halloway Gears"; of a snag or an operation with how it is to be done: "Crack at the lug: cold stitching". */
function titleOf(due: DueConsent): string {
  const how = (due.remedy ?? due.way)?.title;
  const supplier = supplierOf(due);
  return `${due.title}${how ? `: ${how}` : ""}${supplier ? `, from ${supplier}` : ""}`;
}

/** What is asked, in words that the owner reads. */
function AskForm({ about, onDone }: { about?: DueConsent; onDone: () => void }) {
  const { id, currency, decimals } = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={about ? `Ask about ${about.title}` : "Ask for a decision"}
      initial={{
        kind: "SUM",
        title: about ? titleOf(about) : "",
        question: "",
        amountMinor: about?.amount.minor ?? null,
      }}
      onSave={(input) =>
        save(AskDecision, {
          input: {
            ...input,
            restoration: id,
            ...(about?.quote ? { quote: about.quote.id } : {}),
            ...(about?.remedy ? { remedy: about.remedy.id } : {}),
            ...(about?.way ? { way: about.way.id } : {}),
          },
        })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Ask the owner"
    >
      <div className="fields">
        <TextField name="title" label="What is to be decided" hint="The owner reads it" />
        <ChoiceField name="kind" label="Kind" choices={choicesOf(DECISION_KIND)} />
        <MoneyField name="amountMinor" label="Sum" hint="Blank: no sum" currency={currency} decimals={decimals} />
        <NotesField name="question" label="Why it is asked" hint="The owner reads it" rows={3} />
      </div>
    </Form>
  );
}
