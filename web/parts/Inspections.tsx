import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { DateField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { type Inspection, type Part, SaveInspection } from "./part.ts";
import { OperationChoice } from "./RowChoice.tsx";

/** Who looked at a safety-critical part, when, and what was done. It records; it certifies nothing. */
export function Inspections({ part, figuresFor }: { part: Part; figuresFor: string }) {
  const restoration = useRestoration();
  const open = useOpen();
  return (
    <Section
      title="Inspections"
      id="inspections"
      aside={
        <OpenButton of={open} opens="new">
          Record an inspection
        </OpenButton>
      }
    >
      {part.caution && (
        <div className="caution prose">
          <h3>Caution</h3>
          <p>{part.caution}</p>
        </div>
      )}
      {part.safetyCritical && part.inspections.length === 0 && (
        <p className="prose">
          <strong>No inspection is on record.</strong> Until one is, an operation that fits this part cannot be called
          done.
        </p>
      )}
      {open.has("new") && (
        <Opened>
          <InspectionForm part={part} figuresFor={figuresFor} onDone={() => open.close("new")} />
        </Opened>
      )}
      {part.inspections.length > 0 && (
        <Table
          caption={`Inspections of ${part.name}`}
          copy={false}
          rows={part.inspections}
          rowKey={({ id }) => id}
          columns={[
            {
              id: "inspectedOn",
              title: "Day",
              lead: true,
              cell: ({ inspectedOn }) => <span className="nowrap">{dateInFull(inspectedOn)}</span>,
            },
            { id: "inspector", title: "By", cell: ({ inspector }) => inspector },
            { id: "what", title: "What was done and found", cell: ({ what }) => what },
            {
              id: "operation",
              title: "At",
              cell: ({ operation }) =>
                operation && <Link to={addressOf.operation(restoration.id, operation.id)}>{operation.title}</Link>,
            },
            {
              id: "controls",
              title: "",
              controls: true,
              cell: ({ id, revision, inspectedOn }) => (
                <>
                  <OpenButton of={open} opens={id}>
                    Change<span className="unseen"> inspection of {dateInFull(inspectedOn)}</span>
                  </OpenButton>
                  <RemoveButton
                    row="INSPECTION"
                    id={id}
                    revision={revision}
                    what={`inspection of ${dateInFull(inspectedOn)}`}
                  />
                </>
              ),
            },
          ]}
          below={(inspection) =>
            open.has(inspection.id) && (
              <Opened>
                <InspectionForm
                  part={part}
                  inspection={inspection}
                  figuresFor={figuresFor}
                  onDone={() => open.close(inspection.id)}
                />
              </Opened>
            )
          }
        />
      )}
    </Section>
  );
}

interface InspectionFormProps {
  part: Part;
  inspection?: Inspection;
  figuresFor: string;
  onDone: () => void;
}

function InspectionForm({ part, inspection, figuresFor, onDone }: InspectionFormProps) {
  const { save } = useSave();
  const at = inspection?.operation;
  return (
    <Form
      label={inspection ? "Change the inspection" : "Record an inspection"}
      initial={{
        inspectedOn: inspection?.inspectedOn ?? figuresFor,
        inspector: inspection?.inspector ?? "",
        operation: at?.id ?? null,
        what: inspection?.what ?? "",
      }}
      row={inspection ? { id: inspection.id, revision: inspection.revision } : null}
      onSave={(input) => save(SaveInspection, { input: inspection ? input : { ...input, part: part.id } })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save the inspection"
    >
      <div className="fields">
        <DateField name="inspectedOn" label="Day" />
        <TextField name="inspector" label="By whom" hint="Name, and trade or licence." />
        <OperationChoice
          name="operation"
          label="At which operation"
          none="none in particular"
          now={at ? { value: at.id, label: `${codeInWords("operation", at.code)} ${at.title}` } : null}
        />
        <NotesField name="what" label="What was done and found" rows={3} />
      </div>
    </Form>
  );
}
