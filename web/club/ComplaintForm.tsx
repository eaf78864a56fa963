import type { VariablesOf } from "gql.tada";
import { graphql } from "../client.ts";
import { NotesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";

const Report = graphql(
  `
  mutation ReportRow($kind: ClubRowKind!, $id: ID!, $reason: String!) {
    report(kind: $kind, id: $id, reason: $reason) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const Hide = graphql(
  `
  mutation HideRow($kind: ClubRowKind!, $id: ID!, $reason: String) {
    hide(kind: $kind, id: $id, reason: $reason) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type RowKind = VariablesOf<typeof Report>["kind"];

interface RowFormProps {
  kind: RowKind;
  id: string;
  /** How the row is called: "source S-4". */
  what: string;
  onDone: () => void;
}

/** Tells the club's admins what is wrong with a row. */
export function ReportForm({ kind, id, what, onDone }: RowFormProps) {
  const { save } = useSave();
  return (
    <Form
      label={`Report ${what}`}
      initial={{ reason: "" }}
      onSave={({ reason }) => save(Report, { kind, id, reason: String(reason) })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Send the report"
    >
      <div className="fields">
        <NotesField
          name="reason"
          label="What is wrong with it"
          rows={2}
          hint="The admins of the club read it with your name; whoever posted the row does not."
        />
      </div>
    </Form>
  );
}

/** Hides a row from the club, with the reason that its owner reads. */
export function HideForm({ kind, id, what, onDone }: RowFormProps) {
  const { save } = useSave();
  return (
    <Form
      label={`Hide ${what}`}
      initial={{ reason: "" }}
      // With no reason a row would be shown again, so a blank one is a fault here.
      onSave={({ reason }) =>
        String(reason).trim() === ""
          ? Promise.resolve({
              kind: "faults" as const,
              message: "",
              faults: [
                { code: "REQUIRED", field: "reason", message: "A reason is needed: the owner of the row reads it." },
              ],
            })
          : save(Hide, { kind, id, reason: String(reason) })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Hide it"
    >
      <div className="fields">
        <NotesField
          name="reason"
          label="Why it is hidden"
          rows={2}
          hint="Who posted it reads this; its reports are answered with it."
        />
      </div>
    </Form>
  );
}

/** Shows a hidden row to the club again. */
export function ShowAgainButton({ kind, id, what }: Omit<RowFormProps, "onDone">) {
  const { save, saving } = useSave();
  return (
    <button type="button" disabled={saving} onClick={() => void save(Hide, { kind, id, reason: null })}>
      Show again<span className="unseen"> {what}</span>
    </button>
  );
}
