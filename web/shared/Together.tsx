import type { VariablesOf } from "gql.tada";
import { type ReactNode, useRef, useState } from "react";
import { graphql } from "../client.ts";
import { codeInWords } from "./Code.tsx";
import type { Choice } from "./choice.ts";
import { Dialog } from "./Dialog.tsx";
import { ChoiceField } from "./Fields.tsx";
import { Form, useFieldValue, type Values } from "./Form.tsx";
import { counted, listed } from "./format.ts";
import { Opened } from "./Opened.tsx";
import { type FieldFault, type SaveOutcome, SaveParts, useSave } from "./save.tsx";
import { useNarrow } from "./useNarrow.ts";
import "./together.css";

const RemoveSeveral = graphql(
  `
  mutation RemoveSeveral($row: RowKind!, $rows: [ReadRow!]!) {
    removeSeveral(row: $row, rows: $rows) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Rows = ReturnType<Choice["rows"]>;

/** What can be set for several rows at once. */
export interface SharedField {
  name: string;
  label: string;
  /** Fields of a form, under that name. */
  field: ReactNode;
  /** What is sent of them; the value under that name when absent. */
  input?: (values: Values) => Values;
}

/** One that is yes or no; neither is set before it is said. */
export const yesOrNo = (name: string, label: string, hint?: string): SharedField => ({
  name,
  label,
  field: <ChoiceField name={name} label={label} {...(hint && { hint })} choices={YES_OR_NO} />,
  input: (values) => ({ [name]: values[name] === null ? null : values[name] === "yes" }),
});

const YES_OR_NO = ["yes", "no"].map((value) => ({ value, label: value }));

interface TogetherProps {
  choice: Choice;
  /** The rows of the page. */
  page: readonly string[];
  noun: string;
  removes: VariablesOf<typeof RemoveSeveral>["row"];
  fields: readonly SharedField[];
  onChange: (rows: Rows, input: Values) => Promise<SaveOutcome>;
}

/** How many rows are chosen, and what can be done with all of them: one field set, or all removed, as one change. */
export function Together({ choice, page, noun, removes, fields, onChange }: TogetherProps) {
  const narrow = useNarrow();
  const [changing, setChanging] = useState(false);
  /** How many of the chosen rows turned out to be gone when something was last done with them. */
  const [missing, setMissing] = useState(0);
  const { save, saving } = useSave();
  const line = useRef<HTMLDivElement>(null);
  const count = choice.ids.size;
  const elsewhere = count - page.filter((id) => choice.ids.has(id)).length;
  /** For where what was pressed goes away by it. */
  const focusLine = () => requestAnimationFrame(() => line.current?.focus());
  const begin = () => {
    choice.begin();
    focusLine();
  };
  const end = () => {
    setChanging(false);
    setMissing(0);
    choice.end();
    focusLine();
  };
  const heed = (outcome: SaveOutcome) => {
    const gone = outcome.kind === "faults" ? goneAmong(outcome.faults) : [];
    choice.put(gone, false);
    setMissing(gone.length);
    return outcome;
  };
  const [removing, setRemoving] = useState(false);
  const remove = async () => {
    setRemoving(false);
    const outcome = heed(await save(RemoveSeveral, { row: removes, rows: choice.rows() }, { removes: true }));
    if (outcome.kind === "saved") end();
  };
  return (
    <>
      <div ref={line} className="together no-print" tabIndex={-1} data-any={count > 0 ? "" : undefined}>
        <p role="status">
          {count > 0
            ? `${counted(count, noun)} chosen${elsewhere > 0 ? `, ${elsewhere} of them not on this page` : ""}`
            : narrow && choice.on
              ? "None chosen"
              : ""}
        </p>
        {!choice.on ? (
          <button type="button" onClick={begin}>
            Choose several
          </button>
        ) : count === 0 && !narrow ? (
          page.length > 1 && (
            <p className="soft">Choose rows to change or remove them together; with Shift all rows between.</p>
          )
        ) : (
          <>
            {narrow && (
              <button type="button" onClick={() => choice.put(page, true)}>
                All of this page
              </button>
            )}
            <button type="button" onClick={end}>
              {count > 0 ? "None" : "Stop choosing"}
            </button>
            <button
              type="button"
              disabled={count === 0}
              aria-expanded={changing && count > 0}
              onClick={() => setChanging(true)}
            >
              Change them
            </button>
            <button type="button" className="remove" disabled={count === 0 || saving} onClick={() => setRemoving(true)}>
              Remove them
            </button>
          </>
        )}
      </div>
      <Dialog open={removing && count > 0} title={`Remove ${counted(count, noun)}?`} onClose={() => setRemoving(false)}>
        <p className="prose">
          {listed(choice.names(), count > 4 ? 3 : 4)}. What hangs on them goes too; one undo brings all of it back.
        </p>
        <div className="dialog-foot">
          <button type="button" className="main" onClick={() => void remove()}>
            Remove {counted(count, noun)}
          </button>
          <button type="button" onClick={() => setRemoving(false)}>
            Keep them
          </button>
        </div>
      </Dialog>
      <div aria-live="polite" className="no-print">
        {missing > 0 && (
          <p className="form-problem">
            Nothing was done: {counted(missing, noun)} of those chosen {missing === 1 ? "is" : "are"} no longer there,
            and not chosen any more.
          </p>
        )}
      </div>
      {changing && count > 0 && (
        <div className="together-form no-print">
          <Opened>
            <Form
              label={`Change the chosen ${noun}s`}
              initial={Object.fromEntries(["field", ...fields.map(({ name }) => name)].map((name) => [name, null]))}
              onSave={async ({ field, ...values }) => {
                const shared = fields.find(({ name }) => name === field);
                if (!shared) return { kind: "faults", message: "", faults: [NOT_SAID] };
                const input = shared.input?.(values) ?? { [shared.name]: values[shared.name] };
                return ofThose(heed(await onChange(choice.rows(), input)), count, noun);
              }}
              onSaved={end}
              onCancel={() => setChanging(false)}
              saveLabel={`Change ${counted(count, noun)}`}
            >
              <div className="fields">
                <ChoiceField
                  name="field"
                  label="What to change"
                  choices={fields.map(({ name, label }) => ({ value: name, label }))}
                />
                <Shared fields={fields} />
              </div>
            </Form>
          </Opened>
        </div>
      )}
    </>
  );
}

function Shared({ fields }: { fields: readonly SharedField[] }) {
  const chosen = useFieldValue("field");
  return fields.find(({ name }) => name === chosen)?.field ?? null;
}

const NOT_SAID: FieldFault = { code: "REQUIRED", field: "field", message: "Choose what to change." };

/** The ids of rows that are no longer there. */
const goneAmong = (faults: readonly FieldFault[]): string[] =>
  faults.flatMap(({ code, field, value }) => (code === "UNKNOWN_ROW" && field === "rows" && value ? [value] : []));

const isAlike = (one: FieldFault, other: FieldFault): boolean =>
  one.field === other.field && one.message === other.message;

/** Many rows can have the same fault: it is told once, and of which rows, unless all have it. */
function ofThose(outcome: SaveOutcome, count: number, noun: string): SaveOutcome {
  if (outcome.kind !== "faults") return outcome;
  const told = outcome.faults.filter((fault, i) => outcome.faults.findIndex((other) => isAlike(other, fault)) === i);
  const faults = told.map((first) => {
    const same = outcome.faults.filter((other) => isAlike(other, first));
    const codes = same.flatMap(({ row }) => (row ? [codeInWords(noun, row)] : []));
    if (codes.length === 0 || same.length === count) return first;
    const those = ` (${listed(codes, 5)})`;
    return {
      ...first,
      message: `${first.message.replace(/\.$/, "")}${those}.`,
      complaint: first.complaint && first.complaint + those,
    };
  });
  return { ...outcome, faults };
}
