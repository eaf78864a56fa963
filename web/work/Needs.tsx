import { useState } from "react";
import { Link } from "react-router";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { NumberField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindParts } from "../shared/find.ts";
import { counted, dateInFull } from "../shared/format.ts";
import { SupplyMark } from "../shared/Mark.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import type { NeedOnPage, OperationOnPage } from "./operation.ts";

const SaveNeed = graphql(
  `
  mutation SaveWorkNeed($input: NeedInput!) {
    saveNeed(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** Parts without which the operation cannot start. */
export function Needs({ operation }: { operation: OperationOnPage }) {
  const restoration = useRestoration();
  const [adding, setAdding] = useState(false);
  const [editing, setEditing] = useState<string | null>(null);
  return (
    <>
      {operation.needs.length === 0 && !adding && <p className="soft">It needs no part.</p>}
      <ul className="lines">
        {operation.needs.map((need) => (
          <li key={need.id}>
            <span>
              <Link to={addressOf.part(restoration.id, need.part.id)}>
                <Code noun="part" of={need.part.code} /> {need.part.name}
              </Link>
              {need.part.safetyCritical && <span className="soft"> safety-critical</span>}
            </span>
            <SupplyMark of={need.part.outlook} />
            <span className="soft">
              {counted(need.quantity, "piece")}
              {need.part.outlook.arrivalDate ? `, expected ${dateInFull(need.part.outlook.arrivalDate)}` : ""}
            </span>
            <span className="row no-print">
              <button
                type="button"
                aria-expanded={editing === need.id}
                onClick={() => setEditing(editing === need.id ? null : need.id)}
              >
                {" "}
                How many<span className="unseen"> of {need.part.name}</span>
              </button>
              <RemoveButton row="NEED" id={need.id} revision={need.revision} what={`the need for ${need.part.name}`} />
            </span>
            {editing === need.id && (
              <div className="block">
                <QuantityForm need={need} onDone={() => setEditing(null)} />
              </div>
            )}
          </li>
        ))}
      </ul>
      {adding ? (
        <NewNeed operation={operation} onDone={() => setAdding(false)} />
      ) : (
        <button type="button" className="no-print" onClick={() => setAdding(true)}>
          Add a part
        </button>
      )}
    </>
  );
}

function QuantityForm({ need, onDone }: { need: NeedOnPage; onDone: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={`How many of ${need.part.name}`}
      saveLabel="Save the need"
      row={{ id: need.id, revision: need.revision }}
      initial={{ quantity: need.quantity }}
      onSave={(input) => save(SaveNeed, { input })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <NumberField name="quantity" label="How many" whole />
      </div>
    </Form>
  );
}

function NewNeed({ operation, onDone }: { operation: OperationOnPage; onDone: () => void }) {
  const { save } = useSave();
  const find = useFindParts();
  return (
    <Form
      label="New need"
      saveLabel="Add the part"
      initial={{ part: null, quantity: 1 }}
      onSave={(input) => save(SaveNeed, { input: { ...input, operation: operation.id } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <FindField
          name="part"
          label="Part"
          noun="part"
          find={find}
          without={operation.needs.map((need) => need.part.id)}
        />
        <NumberField name="quantity" label="How many" whole />
      </div>
    </Form>
  );
}
