import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { WorkMark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { type Need, type Part, SaveNeed } from "./part.ts";
import { OperationChoice } from "./RowChoice.tsx";

/** Operations that cannot start before the part is in hand. */
export function Needs({ part }: { part: Part }) {
  const restoration = useRestoration();
  const open = useOpen();
  return (
    <Section
      title="Operations that need it"
      id="needs"
      aside={
        <OpenButton of={open} opens="new">
          Add an operation
        </OpenButton>
      }
    >
      {open.has("new") && (
        <Opened>
          <NeedForm part={part} onDone={() => open.close("new")} />
        </Opened>
      )}
      {part.needs.length === 0 ? (
        !open.has("new") && <p className="soft">No operation is said to need it.</p>
      ) : (
        <Table
          caption={`Operations that need ${part.name}`}
          copy={false}
          rows={part.needs}
          rowKey={({ id }) => id}
          columns={[
            {
              id: "operation",
              title: "Operation",
              lead: true,
              cell: ({ operation }) => (
                <Link to={addressOf.operation(restoration.id, operation.id)}>{operation.title}</Link>
              ),
            },
            { id: "code", title: "Code", cell: ({ operation }) => <Code noun="operation" of={operation.code} /> },
            { id: "state", title: "State", cell: ({ operation }) => <WorkMark state={operation.state} /> },
            { id: "quantity", title: "How many", numeric: true, cell: ({ quantity }) => quantity },
            {
              id: "controls",
              title: "",
              controls: true,
              cell: ({ id, revision, operation }) => (
                <>
                  <OpenButton of={open} opens={id}>
                    Change<span className="unseen"> need of {operation.title}</span>
                  </OpenButton>
                  <RemoveButton row="NEED" id={id} revision={revision} what={`need of ${operation.title}`} />
                </>
              ),
            },
          ]}
          below={(need) =>
            open.has(need.id) && (
              <Opened>
                <NeedForm part={part} need={need} onDone={() => open.close(need.id)} />
              </Opened>
            )
          }
        />
      )}
    </Section>
  );
}

function NeedForm({ part, need, onDone }: { part: Part; need?: Need; onDone: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={need ? `Change how many ${need.operation.title} needs` : "Add an operation that needs it"}
      initial={need ? { quantity: need.quantity } : { operation: null, quantity: part.quantity }}
      row={need ? { id: need.id, revision: need.revision } : null}
      onSave={(input) => save(SaveNeed, { input: need ? input : { ...input, part: part.id } })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save the need"
    >
      <div className="fields">
        {!need && <OperationChoice name="operation" label="Operation" />}
        <NumberField name="quantity" label="How many of them" whole />
      </div>
    </Form>
  );
}
