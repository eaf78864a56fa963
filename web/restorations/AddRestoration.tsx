import { graphql } from "../client.ts";
import { type Currency, currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, DateField, MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";

const SaveRestoration = graphql(
  `
  mutation AddRestoration($input: RestorationInput!) {
    saveRestoration(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface AddRestorationProps {
  currencies: readonly Currency[];
  onSaved: (id: string) => void;
  onCancel: () => void;
}

const BLANK = { machine: "", owner: "", targetName: "", targetDate: null, currency: "GBP", capMinor: null };

/** What is needed for one more restoration; the rest stands on its own sheet. */
export function AddRestoration({ currencies, onSaved, onCancel }: AddRestorationProps) {
  const { save } = useSave();
  return (
    <Form
      label="A new restoration"
      initial={BLANK}
      onSave={(input) => save(SaveRestoration, { input })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel="Add the restoration"
    >
      <div className="fields">
        <TextField name="machine" label="Machine" hint="Year, maker and kind, as on its sheets" wide />
        <TextField name="owner" label="Owner" />
        <TextField name="targetName" label="What it is to be ready for" hint="A show, a rally, a promise" />
        <DateField name="targetDate" label="Target date" />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices({ currencies })} />
        <Cap currencies={currencies} />
      </div>
    </Form>
  );
}

function Cap({ currencies }: { currencies: readonly Currency[] }) {
  const { currency, decimals } = useFormCurrency({ currency: BLANK.currency, currencies });
  return (
    <MoneyField
      name="capMinor"
      label="Money cap"
      hint="Blank where the owner has set none"
      currency={currency}
      decimals={decimals}
    />
  );
}
