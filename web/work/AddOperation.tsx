import { useNavigate } from "react-router";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { Dialog } from "../shared/Dialog.tsx";
import { NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { HasTaken } from "./HasTaken.tsx";

export const SaveOperation = graphql(
  `
  mutation SaveOperation($input: OperationInput!) {
    saveOperation(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** A new piece of shop work; then its own page, for what comes before it and what it needs. */
export function AddOperation({ open, onClose }: { open: boolean; onClose: () => void }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const navigate = useNavigate();
  return (
    <Dialog open={open} title="Add an operation" onClose={onClose}>
      <Form
        label="New operation"
        saveLabel="Add the operation"
        initial={{
          title: "",
          code: null,
          trade: "",
          group: "",
          hoursLeast: null,
          hoursLikely: null,
          hoursMost: null,
        }}
        onSave={(input) => save(SaveOperation, { input: { ...input, restoration: restoration.id } })}
        onSaved={(id) => {
          onClose();
          void navigate(addressOf.operation(restoration.id, id));
        }}
        onCancel={onClose}
      >
        <div className="fields">
          <TextField name="title" label="Title" wide hint="What is done: line the brake shoes" />
          <TextField name="code" label="Code" nullable hint="Blank: one is given" />
          <TextField name="trade" label="Trade" suggestions={restoration.trades} />
          <TextField name="group" label="Group" suggestions={restoration.groups} />
          <NumberField name="hoursLeast" label="Hours, least" unit="h" />
          <NumberField name="hoursLikely" label="Hours, likely" unit="h" />
          <NumberField name="hoursMost" label="Hours, most" unit="h" />
          <HasTaken />
        </div>
      </Form>
    </Dialog>
  );
}
