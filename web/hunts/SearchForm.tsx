import { DateField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useSave } from "../shared/save.tsx";
import { type HuntRow, RecordFruitlessSearch } from "./documents.ts";

/** A search that brought nothing: it stands among the hunt's dates. */
export function SearchForm({ hunt, figuresFor, onDone }: { hunt: HuntRow; figuresFor: string; onDone: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label="Searched, nothing found"
      saveLabel="Note the search"
      initial={{ date: figuresFor, title: "" }}
      onSave={(input) => save(RecordFruitlessSearch, { ...input, hunt: hunt.id, revision: hunt.revision } as never)}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <DateField name="date" label="Searched on" />
        <TextField name="title" label="Where" hint="A swap meet, a breaker, a telephone round" />
      </div>
    </Form>
  );
}
