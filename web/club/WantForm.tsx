import { graphql } from "../client.ts";
import { DateField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form, type Values } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { useClub } from "./club.ts";
import { useFindOwnParts } from "./ownParts.ts";
import type { Want } from "./want.ts";

export const SaveWant = graphql(
  `
  mutation SaveWant($input: WantInput!) {
    saveWant(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface WantFormProps {
  /** Absent for a new one. */
  want?: Want;
  onSaved: () => void;
  onCancel: () => void;
}

/** What is left blank beside an own part is taken from that part. */
function filled(input: Values): Values {
  if (!input.ownPart && input.quantity !== null) return input;
  return Object.fromEntries(
    Object.entries(input).filter(
      ([field, value]) =>
        !(input.ownPart && ["part", "machine", "references"].includes(field) && value === "") &&
        !(field === "quantity" && value === null),
    ),
  );
}

/** Says what one looks for, or changes it. */
export function WantForm({ want, onSaved, onCancel }: WantFormProps) {
  const { save } = useSave();
  const { restorer } = useClub();
  const findOwnParts = useFindOwnParts();
  return (
    <Form
      label={want ? `Change ${want.part}` : "Say what you want"}
      initial={{
        ...(!want && restorer ? { ownPart: null } : {}),
        part: want?.part ?? "",
        machine: want?.machine ?? "",
        references: want?.references ?? "",
        quantity: want?.quantity ?? null,
        needBy: want?.needBy ?? null,
        notes: want?.notes ?? "",
      }}
      row={want ? { id: want.id, revision: want.revision } : null}
      onSave={(input) => save(SaveWant, { input: want ? input : filled(input) })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={want ? "Save the want" : "Want it"}
    >
      <div className="fields">
        {!want && restorer && (
          <FindField
            name="ownPart"
            label="Part of my own"
            hint="What is left blank here is taken from it. The others see only these words, not your restoration."
            noun="part"
            find={findOwnParts}
          />
        )}
        <TextField name="part" label="Part" />
        <TextField name="machine" label="Machine" hint="Make and model." />
        <TextField name="references" label="Reference numbers" hint="Several are separated by commas." />
        <NumberField
          name="quantity"
          label="How many"
          whole
          hint={want ? undefined : "Left blank, as many as are missing."}
        />
        <DateField name="needBy" label="Need-by date" />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}
