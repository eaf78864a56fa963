import { ChoiceField, DateField, MoneyField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form, useFieldValue, useFormState } from "../shared/Form.tsx";
import { odds, today } from "../shared/format.ts";
import { decimalsOf, useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type RestorationRow, SaveRestoration } from "./restorationRow.ts";

const CHANCES = [0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 0.95];

/** The machine, its owner, the target, the day the figures stand for, and the owner's money. */
export function RestorationForm({ row }: { row: RestorationRow }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const chances =
    row.confidence !== null && !CHANCES.includes(row.confidence) ? [...CHANCES, row.confidence].sort() : CHANCES;
  return (
    <Form
      label="The restoration"
      saveLabel="Save the restoration"
      row={{ id: row.id, revision: row.revision }}
      initial={{
        machine: row.machine,
        owner: row.owner,
        description: row.description,
        targetName: row.targetName,
        targetDate: row.targetDate,
        dataDate: row.dataDate,
        currency: row.currency,
        capMinor: row.cap?.minor ?? null,
        confidence: row.confidence,
      }}
      onSave={(input) => save(SaveRestoration, { input })}
    >
      <div className="fields">
        <TextField name="machine" label="Machine" />
        <TextField name="owner" label="Owner" />
        <TextField name="targetName" label="Target" hint="A show, a rally, a promise" />
        <DateField name="targetDate" label="Target date" hint="Blank: none" />
        <DataDate />
        <ChoiceField
          name="confidence"
          label="Order-by dates are to hold"
          hint="The surer, the earlier the order must go out"
          numeric
          none="as promised"
          choices={chances.map((chance) => ({ value: String(chance), label: odds(chance) }))}
        />
        <ChoiceField
          name="currency"
          label="Currency"
          choices={restoration.currencies.map(({ code, name }) => ({ value: code, label: `${code}, ${name}` }))}
        />
        <Cap />
        <NotesField name="description" label="Description" />
      </div>
    </Form>
  );
}

/** The day the figures stand for; blank follows the calendar. */
function DataDate() {
  const form = useFormState();
  return (
    <div className="with-button">
      <DateField name="dataDate" label="Figures stand for" hint="Blank: always the present day" />
      <button type="button" onClick={() => form.set("dataDate", today())}>
        Set to today
      </button>
    </div>
  );
}

function Cap() {
  const restoration = useRestoration();
  const currency = String(useFieldValue("currency") ?? restoration.currency);
  return (
    <MoneyField
      name="capMinor"
      label="Money cap"
      hint="Blank: none"
      currency={currency}
      decimals={decimalsOf(restoration, currency)}
    />
  );
}
