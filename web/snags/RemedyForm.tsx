import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindSuppliers } from "../shared/find.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type RemedyOnSheet, SaveRemedy, type SnagOnSheet } from "./snag.ts";

/** One remedy for a snag: what it costs in money, days, hours and points. */
export function RemedyForm({
  snag,
  remedy,
  onDone,
}: {
  snag: SnagOnSheet;
  remedy?: RemedyOnSheet;
  onDone: () => void;
}) {
  const restoration = useRestoration();
  const { save } = useSave();
  const find = useFindSuppliers();
  const supplier = remedy?.supplier ? { ...remedy.supplier, title: remedy.supplier.name } : null;
  return (
    <Form
      label={remedy ? `Remedy ${remedy.code}` : "New remedy"}
      saveLabel={remedy ? "Save the remedy" : "Add the remedy"}
      row={remedy ? { id: remedy.id, revision: remedy.revision } : null}
      initial={
        remedy
          ? {
              title: remedy.title,
              priceMinor: remedy.price.minor,
              currency: remedy.price.currency,
              days: remedy.days,
              hours: remedy.hours,
              points: remedy.points,
              supplier: supplier?.id ?? null,
              notes: remedy.notes,
            }
          : {
              title: "",
              priceMinor: 0,
              currency: restoration.currency,
              days: 0,
              hours: 0,
              points: 0,
              supplier: null,
              notes: "",
            }
      }
      onSave={(input) => save(SaveRemedy, { input: remedy ? input : { ...input, snag: snag.id } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="title" label="What is done" wide />
        <Price />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices(restoration)} />
        <NumberField name="days" label="Until it is to hand" unit="days" whole />
        <NumberField name="hours" label="Shop work" unit="h" />
        <NumberField name="points" label="Points lost" />
        <FindField
          name="supplier"
          label="From"
          hint="Blank: nobody in particular"
          noun="supplier"
          find={find}
          holds={supplier}
        />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

function Price() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return <MoneyField name="priceMinor" label="Price" currency={currency} decimals={decimals} />;
}
