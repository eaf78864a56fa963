import { useState } from "react";
import { Link } from "react-router";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { DateField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import type { NeedOnPage, OperationOnPage } from "./operation.ts";

const SaveInspection = graphql(
  `
  mutation SaveWorkInspection($input: InspectionInput!) {
    saveInspection(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** Safety-critical parts that this operation fits: who looked at each, and a form to record it. */
export function Inspections({ operation, needs }: { operation: OperationOnPage; needs: readonly NeedOnPage[] }) {
  const missing = needs.filter((need) => need.part.inspections.length === 0).length;
  return (
    <Section title="Inspection of safety-critical parts" id="inspections">
      <p className="prose">
        {missing > 0
          ? "The operation can be marked done once every part named here has an inspection on record."
          : "Every safety-critical part has an inspection on record."}
      </p>
      <ul className="lines">
        {needs.map((need) => (
          <Inspected key={need.id} operation={operation} need={need} />
        ))}
      </ul>
    </Section>
  );
}

function Inspected({ operation, need: { part } }: { operation: OperationOnPage; need: NeedOnPage }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const [open, setOpen] = useState(false);
  return (
    <li>
      <span>
        <Link to={addressOf.part(restoration.id, part.id)}>
          <Code noun="part" of={part.code} /> {part.name}
        </Link>
      </span>
      {part.inspections.length > 0 ? (
        <Mark word="inspected" colour="verdigris" shape="full" />
      ) : (
        <Mark word="no inspection on record" colour="red-lead" shape="broken" />
      )}
      {!open && (
        <button type="button" onClick={() => setOpen(true)}>
          Record an inspection<span className="unseen"> of {part.name}</span>
        </button>
      )}
      {part.inspections.map((inspection) => (
        <p className="block row" key={inspection.id}>
          <span>
            {inspection.inspector}, {dateInFull(inspection.inspectedOn)}: {inspection.what}
          </span>
          <RemoveButton
            row="INSPECTION"
            id={inspection.id}
            revision={inspection.revision}
            what={`the inspection of ${part.name}`}
          />
        </p>
      ))}
      {open && (
        <div className="block">
          {part.caution && <p className="caution prose">{part.caution}</p>}
          <Form
            label={`Inspection of ${part.name}`}
            saveLabel="Record the inspection"
            initial={{ inspector: "", inspectedOn: restoration.day, what: "" }}
            onSave={(input) => save(SaveInspection, { input: { ...input, part: part.id, operation: operation.id } })}
            onSaved={() => setOpen(false)}
            onCancel={() => setOpen(false)}
          >
            <div className="fields">
              <TextField name="inspector" label="Who looked at it" />
              <DateField name="inspectedOn" label="On" />
              <NotesField
                name="what"
                label="What was done"
                rows={2}
                hint="Crack test, measured, by whose certificate"
              />
            </div>
          </Form>
        </div>
      )}
    </li>
  );
}
