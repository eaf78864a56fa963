import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { DateField, NotesField, TextField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindOperations } from "../shared/find.ts";
import { Loading } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { SaveSnag, type SnagOnSheet } from "./snag.ts";

const FoundInQuery = graphql(`
  query SnagFoundIn($operation: ID!) {
    operation(id: $operation) { id code title }
  }
`);

interface SnagFormProps {
  /** Absent for a new one. */
  snag?: SnagOnSheet;
  /** Id of the operation in which a new one was found. */
  operation?: string | null;
  onSaved: (id: string) => void;
  onCancel: () => void;
}

/** What was found, where and when. */
export function SnagForm({ snag, operation = null, onSaved, onCancel }: SnagFormProps) {
  const restoration = useRestoration();
  const { save } = useSave();
  const find = useFindOperations();
  const [foundIn] = useQuery({
    query: FoundInQuery,
    variables: { operation: operation ?? "" },
    pause: operation === null,
  });
  if (operation !== null && foundIn.fetching) return <Loading what="the operation" />;
  const holds = snag?.operation ?? foundIn.data?.operation ?? null;
  return (
    <Form
      label={snag ? `Snag ${snag.code}` : "New snag"}
      saveLabel={snag ? "Save the snag" : "Add the snag"}
      row={snag ? { id: snag.id, revision: snag.revision } : null}
      initial={
        snag
          ? {
              title: snag.title,
              code: snag.code,
              operation: snag.operation.id,
              foundOn: snag.foundOn,
              clearedOn: snag.clearedOn,
              description: snag.description,
            }
          : {
              title: "",
              code: null,
              operation: holds?.id ?? null,
              foundOn: restoration.day,
              description: "",
            }
      }
      onSave={(input) => save(SaveSnag, { input })}
      onSaved={onSaved}
      onCancel={onCancel}
    >
      <div className="fields">
        <TextField name="title" label="What was found" wide />
        <FindField
          name="operation"
          label="Found in"
          hint="The operation that stops until it is cleared"
          noun="operation"
          find={find}
          holds={holds}
        />
        <TextField name="code" label="Code" nullable={!snag} hint={snag ? undefined : "Blank: one is given"} />
        <DateField name="foundOn" label="Found on" />
        {snag && <DateField name="clearedOn" label="Cleared on" hint="Blank: still open" />}
        <NotesField name="description" label="Description" />
      </div>
    </Form>
  );
}
