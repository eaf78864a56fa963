import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NumberField, TextField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindSuppliers } from "../shared/find.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { SaveWay, type WayOnPage } from "./way.ts";

interface WayFormProps {
  /** Id of the operation that is done this way. */
  operation: string;
  way?: WayOnPage;
  onDone: () => void;
}

/** One way to do an operation: who does it, and what it costs in hours, days, money and points. */
export function WayForm({ operation, way, onDone }: WayFormProps) {
  const restoration = useRestoration();
  const { save } = useSave();
  const find = useFindSuppliers();
  const supplier = way?.supplier ? { ...way.supplier, title: way.supplier.name } : null;
  return (
    <Form
      label={way ? `Way ${way.code}` : "New way"}
      saveLabel={way ? "Save the way" : "Add the way"}
      row={way ? { id: way.id, revision: way.revision } : null}
      initial={{
        title: way?.title ?? "",
        supplier: supplier?.id ?? null,
        hours: way?.hours ?? 0,
        days: way?.days ?? 0,
        priceMinor: way?.price.minor ?? 0,
        currency: way?.price.currency ?? restoration.currency,
        points: way?.points ?? 0,
      }}
      onSave={(input) => save(SaveWay, { input: way ? input : { ...input, operation } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="title" label="How it is done" wide />
        <FindField
          name="supplier"
          label="Where"
          hint="Blank: in the shop"
          noun="supplier"
          find={find}
          holds={supplier}
        />
        <NumberField name="hours" label="Shop work" unit="h" hint="All that the shop has to do" />
        <NumberField name="days" label="Away" unit="days" whole hint="Calendar, after those hours" />
        <Price />
        <ChoiceField name="currency" label="Currency" hint="Of that price" choices={currencyChoices(restoration)} />
        <NumberField name="points" label="Points lost" hint="A judge takes them off" />
      </div>
    </Form>
  );
}

function Price() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return <MoneyField name="priceMinor" label="Price" hint="For all of it" currency={currency} decimals={decimals} />;
}
