import { graphql } from "../client.ts";
import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { CONDITION, choicesOf, PROVENANCE } from "../shared/words.ts";
import { useClub } from "./club.ts";
import type { Spare } from "./want.ts";

export const SaveSpare = graphql(
  `
  mutation SaveSpare($input: SpareInput!) {
    saveSpare(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface SpareFormProps {
  /** Absent for a new one. */
  spare?: Spare;
  onSaved: () => void;
  onCancel: () => void;
}

/** Says what one can let go, or changes it. */
export function SpareForm({ spare, onSaved, onCancel }: SpareFormProps) {
  const { save } = useSave();
  const club = useClub();
  return (
    <Form
      label={spare ? `Change ${spare.part}` : "Offer a spare"}
      initial={{
        part: spare?.part ?? "",
        machine: spare?.machine ?? "",
        references: spare?.references ?? "",
        provenance: spare?.provenance ?? "ORIGINAL",
        condition: spare?.condition ?? "SERVICEABLE",
        quantity: spare?.quantity ?? 1,
        priceMinor: spare?.price?.minor ?? null,
        currency: spare?.currency ?? club.currency,
        notes: spare?.notes ?? "",
      }}
      row={spare ? { id: spare.id, revision: spare.revision } : null}
      onSave={(input) => save(SaveSpare, { input })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={spare ? "Save the spare" : "Offer it"}
    >
      <div className="fields">
        <TextField name="part" label="Part" />
        <TextField name="machine" label="Machine" hint="Make and model." />
        <TextField name="references" label="Reference numbers" hint="Several are separated by commas." />
        <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
        <ChoiceField name="condition" label="Condition" choices={choicesOf(CONDITION)} />
        <NumberField name="quantity" label="How many" whole />
        <Asked />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices(club)} />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

function Asked() {
  const club = useClub();
  const { currency, decimals } = useFormCurrency(club);
  return (
    <MoneyField
      name="priceMinor"
      label="Asked for one"
      hint="Left blank, it is to be agreed."
      currency={currency}
      decimals={decimals}
    />
  );
}
