import { currencyChoices } from "../shared/currency.ts";
import { ChoiceField, DateField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type ExchangeRate, SaveExchangeRate } from "./exchangeRate.ts";

interface RateFormProps {
  rate?: ExchangeRate;
  /** What a new rate begins with, where it was asked for elsewhere. */
  asked?: { date: string | null; base: string | null; counter: string | null };
  onSaved: () => void;
  onCancel: () => void;
}

/** What one currency costs in another from a day on. */
export function RateForm({ rate, asked, onSaved, onCancel }: RateFormProps) {
  const restoration = useRestoration();
  const { save } = useSave();
  const currencies = currencyChoices(restoration);
  return (
    <Form
      label={rate ? `Rate from ${rate.base} to ${rate.counter} on ${rate.date}` : "New exchange rate"}
      saveLabel={rate ? "Save the rate" : "Add the rate"}
      row={rate ? { id: rate.id, revision: rate.revision } : null}
      initial={{
        date: rate?.date ?? asked?.date ?? restoration.day,
        base: rate?.base ?? asked?.base ?? "EUR",
        counter: rate?.counter ?? asked?.counter ?? restoration.currency,
        rate: rate?.rate ?? "",
      }}
      onSave={(input) => save(SaveExchangeRate, { input })}
      onSaved={onSaved}
      onCancel={onCancel}
    >
      <div className="fields">
        <TextField name="rate" label="Rate" hint="Every digit is kept" />
        <ChoiceField name="base" label="1 unit of" hint="What is priced" choices={currencies} />
        <ChoiceField name="counter" label="costs so much of" hint="What it is priced in" choices={currencies} />
        <DateField name="date" label="Holds from" hint="Until a newer one is entered" />
      </div>
    </Form>
  );
}
