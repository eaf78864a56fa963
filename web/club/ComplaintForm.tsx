import type { VariablesOf } from "gql.tada";
import { graphql } from "../client.ts";
import { NotesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";

const SayWhatIsWrong = graphql(
  `
  mutation SayWhatIsWrong($kind: ClubRowKind!, $id: ID!, $reason: String!) {
    sayWhatIsWrong(kind: $kind, id: $id, reason: $reason) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const Withhold = graphql(
  `
  mutation WithholdRow($kind: ClubRowKind!, $id: ID!, $reason: String) {
    withhold(kind: $kind, id: $id, reason: $reason) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type RowKind = VariablesOf<typeof SayWhatIsWrong>["kind"];

interface RowFormProps {
  kind: RowKind;
  id: string;
  /** How the row is called: "source S-4". */
  what: string;
  onDone: () => void;
}

/** Tells the club's stewards what is wrong with a row. */
export function ComplaintForm({ kind, id, what, onDone }: RowFormProps) {
  const { save } = useSave();
  return (
    <Form
      label={`Say what is wrong with ${what}`}
      initial={{ reason: "" }}
      onSave={({ reason }) => save(SayWhatIsWrong, { kind, id, reason: String(reason) })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Send it to the stewards"
    >
      <div className="fields">
        <NotesField
          name="reason"
          label="What is wrong with it"
          rows={2}
          hint="The stewards of the club read it with your name; whoever entered it does not."
        />
      </div>
    </Form>
  );
}

/** Withholds a row from the club, with the reason that its member reads. */
export function WithholdForm({ kind, id, what, onDone }: RowFormProps) {
  const { save } = useSave();
  return (
    <Form
      label={`Withhold ${what}`}
      initial={{ reason: "" }}
      // With no reason a row would be shown again, so a blank one is a fault here.
      onSave={({ reason }) =>
        String(reason).trim() === ""
          ? Promise.resolve({
              kind: "faults" as const,
              message: "",
              faults: [
                { code: "REQUIRED", field: "reason", message: "A reason is needed: whoever entered it reads it." },
              ],
            })
          : save(Withhold, { kind, id, reason: String(reason) })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Withhold it"
    >
      <div className="fields">
        <NotesField
          name="reason"
          label="Why it is withheld"
          rows={2}
          hint="Whoever entered it reads this; complaints about it are answered with it."
        />
      </div>
    </Form>
  );
}

/** Shows a withheld row to the club again. */
export function ShowAgainButton({ kind, id, what }: Omit<RowFormProps, "onDone">) {
  const { save, saving } = useSave();
  return (
    <button type="button" disabled={saving} onClick={() => void save(Withhold, { kind, id, reason: null })}>
      Show again<span className="unseen"> {what}</span>
    </button>
  );
}
