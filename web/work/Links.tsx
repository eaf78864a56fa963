import { useState } from "react";
import { graphql } from "../client.ts";
import { ChoiceField, NumberField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindOperations } from "../shared/find.ts";
import { dateInFull } from "../shared/format.ts";
import { WorkMark } from "../shared/Mark.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, SaveParts, useSave } from "../shared/save.tsx";
import { choicesOf, LAG_UNIT } from "../shared/words.ts";
import { Circle } from "./Circle.tsx";
import { OperationLink } from "./CriticalMark.tsx";
import { lagWords } from "./lag.ts";
import type { OperationOnPage } from "./operation.ts";

const SaveLink = graphql(
  `
  mutation SaveLink($input: LinkInput!) {
    saveLink(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Side = "before" | "after";

interface LinkRow {
  id: string;
  revision: number;
  lag: number;
  lagUnit: "HOURS" | "DAYS";
  other: { id: string; code: string; title: string; state: "NOT_STARTED" | "UNDER_WAY" | "DONE" };
  /** Early finish of what comes before, early start of what comes after. */
  date: string;
}

/** Links on one side of an operation: change the lag, remove, add. A link that closes a circle is refused with the circle. */
export function Links({
  operation,
  side,
  links,
}: {
  operation: OperationOnPage;
  side: Side;
  links: readonly LinkRow[];
}) {
  const [adding, setAdding] = useState(false);
  const [editing, setEditing] = useState<string | null>(null);
  const restoration = useRestoration();
  return (
    <>
      {links.length === 0 && !adding && (
        <p className="soft">{side === "before" ? "Nothing has to be done first." : "Nothing waits for it."}</p>
      )}
      <ul className="lines">
        {links.map((link) => (
          <li key={link.id}>
            <span>
              <OperationLink restoration={restoration.id} of={link.other} />
            </span>
            <WorkMark state={link.other.state} />
            <span className="soft">
              {side === "before" ? `done ${dateInFull(link.date)}` : `starts ${dateInFull(link.date)}`},{" "}
              {lagWords(link.lag, link.lagUnit)}
            </span>
            <span className="row no-print">
              <button
                type="button"
                aria-expanded={editing === link.id}
                onClick={() => setEditing(editing === link.id ? null : link.id)}
              >
                Lag<span className="unseen"> of the link with {link.other.title}</span>
              </button>
              <RemoveButton
                row="LINK"
                id={link.id}
                revision={link.revision}
                what={`the link with ${link.other.title}`}
              />
            </span>
            {editing === link.id && (
              <div className="block">
                <LagForm link={link} onDone={() => setEditing(null)} />
              </div>
            )}
          </li>
        ))}
      </ul>
      {adding ? (
        <NewLink
          operation={operation}
          side={side}
          taken={links.map((link) => link.other.id)}
          onDone={() => setAdding(false)}
        />
      ) : (
        <button type="button" className="no-print" onClick={() => setAdding(true)}>
          {side === "before" ? "Add what comes before" : "Add what comes after"}
        </button>
      )}
    </>
  );
}

function LagFields() {
  return (
    <>
      <NumberField name="lag" label="Lag" hint="Time that must pass in between; 0 for none" />
      <ChoiceField name="lagUnit" label="Counted in" choices={choicesOf(LAG_UNIT)} />
    </>
  );
}

function LagForm({ link, onDone }: { link: LinkRow; onDone: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={`Link with ${link.other.title}`}
      saveLabel="Save the lag"
      row={{ id: link.id, revision: link.revision }}
      initial={{ lag: link.lag, lagUnit: link.lagUnit }}
      onSave={(input) => save(SaveLink, { input })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <LagFields />
      </div>
    </Form>
  );
}

function NewLink({
  operation,
  side,
  taken,
  onDone,
}: {
  operation: OperationOnPage;
  side: Side;
  taken: readonly string[];
  onDone: () => void;
}) {
  const { save } = useSave();
  const find = useFindOperations();
  const [circle, setCircle] = useState<readonly string[] | null>(null);
  return (
    <>
      <Form
        label={side === "before" ? "New link: what comes before" : "New link: what comes after"}
        saveLabel="Add the link"
        initial={{ other: null, lag: 0, lagUnit: "HOURS" }}
        onSave={async ({ other, ...lag }) => {
          setCircle(null);
          const ends =
            side === "before"
              ? { before: other as string | null, after: operation.id }
              : { before: operation.id, after: other as string | null };
          const outcome = await save(SaveLink, { input: { ...lag, ...ends } });
          setCircle(circleIn(outcome));
          return named(outcome, side);
        }}
        onSaved={onDone}
        onCancel={onDone}
      >
        <div className="fields">
          <FindField
            name="other"
            label={side === "before" ? "Operation that comes before" : "Operation that comes after"}
            noun="operation"
            find={find}
            without={[operation.id, ...taken]}
          />
          <LagFields />
        </div>
      </Form>
      {circle && <Circle codes={circle} />}
    </>
  );
}

function circleIn(outcome: SaveOutcome): readonly string[] | null {
  if (outcome.kind !== "faults") return null;
  return outcome.faults.find((fault) => fault.code === "CYCLE")?.rows ?? null;
}

/** Faults of the input's own end belong to the field in which the other operation was chosen. */
function named(outcome: SaveOutcome, side: Side): SaveOutcome {
  if (outcome.kind !== "faults") return outcome;
  return {
    ...outcome,
    faults: outcome.faults.map((fault) =>
      fault.field === side || fault.code === "CYCLE" ? { ...fault, field: "other" } : fault,
    ),
  };
}
