import { graphql } from "../client.ts";
import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { CHARGE_SHARE, choicesOf, SUPPLIER_KIND } from "../shared/words.ts";
import { countryChoices } from "./countries.ts";

const SaveSupplier = graphql(
  `
  mutation SaveSupplier($input: SupplierInput!) {
    saveSupplier(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** What the form changes of a supplier. */
export interface SupplierInForm {
  id: string;
  revision: number;
  code: string;
  name: string;
  kind: keyof typeof SUPPLIER_KIND;
  country: string;
  email: string;
  phone: string;
  website: string;
  carriage: { minor: number; currency: string };
  minimum: { minor: number };
  shareBy: keyof typeof CHARGE_SHARE;
  notes: string;
}

interface SupplierFormProps {
  /** Absent for a new supplier. */
  supplier?: SupplierInForm;
  onSaved: (id: string) => void;
  onCancel: () => void;
}

/** Adds a supplier, or changes one. */
export function SupplierForm({ supplier, onSaved, onCancel }: SupplierFormProps) {
  const { save } = useSave();
  const restoration = useRestoration();
  return (
    <Form
      label={supplier ? `Change ${supplier.name}` : "Add a supplier"}
      initial={{
        code: supplier?.code ?? null,
        name: supplier?.name ?? "",
        kind: supplier?.kind ?? "MAKER",
        country: supplier?.country || null,
        email: supplier?.email ?? "",
        phone: supplier?.phone ?? "",
        website: supplier?.website ?? "",
        currency: supplier?.carriage.currency ?? restoration.currency,
        carriageMinor: supplier?.carriage.minor ?? 0,
        minimumMinor: supplier?.minimum.minor ?? 0,
        shareBy: supplier?.shareBy ?? "VALUE",
        notes: supplier?.notes ?? "",
      }}
      row={supplier ? { id: supplier.id, revision: supplier.revision } : null}
      onSave={(input) => save(SaveSupplier, { input })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={supplier ? "Save the supplier" : "Add the supplier"}
    >
      <div className="fields">
        <TextField name="name" label="Name" />
        <TextField
          name="code"
          label="Code"
          nullable
          hint={supplier ? undefined : "Left blank, the next number is taken."}
        />
        <ChoiceField name="kind" label="Kind" choices={choicesOf(SUPPLIER_KIND)} />
        <ChoiceField name="country" label="Country" none="not noted" choices={countryChoices()} />
        <TextField name="email" label="E-mail" type="email" />
        <TextField name="phone" label="Telephone" type="tel" />
        <TextField name="website" label="Web address" type="url" />
        <OnOneOrder />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

/** What they charge on one order, of however many parts. */
function OnOneOrder() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return (
    <>
      <MoneyField
        name="carriageMinor"
        label="Carriage of an order"
        hint="With its duty and tax, which are not worked out on it; shared by the parts on it. A quote with a carriage of its own keeps that instead."
        currency={currency}
        decimals={decimals}
      />
      <MoneyField
        name="minimumMinor"
        label="Least charged on an order"
        hint="Before carriage, whatever the goods come to; with its tax"
        currency={currency}
        decimals={decimals}
      />
      <ChoiceField name="currency" label="Both in" choices={currencyChoices(restoration)} />
      <ChoiceField
        name="shareBy"
        label="Its parts share both"
        hint="By weight once the quotes of all parts on an order say it; by value until then."
        choices={choicesOf(CHARGE_SHARE)}
      />
    </>
  );
}
