import { graphql } from "../client.ts";
import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NotesField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { choicesOf, PROVENANCE } from "../shared/words.ts";
import { countryChoices } from "../suppliers/countries.ts";
import { useClub } from "./club.ts";
import type { Source } from "./source.ts";
import { sourceWords } from "./sourceWords.ts";

export const SaveSource = graphql(
  `
  mutation SaveClubSource($input: ClubSourceInput!) {
    saveClubSource(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface SourceFormProps {
  /** Absent for a new one. */
  source?: Source;
  onSaved: () => void;
  onCancel: () => void;
}

/** Shares who made a part, or changes what was shared. */
export function SourceForm({ source, onSaved, onCancel }: SourceFormProps) {
  const { save } = useSave();
  const club = useClub();
  return (
    <Form
      label={source ? `Change ${sourceWords(source)}` : "Share a source"}
      initial={{
        part: source?.part ?? "",
        machine: source?.machine ?? "",
        references: source?.references ?? "",
        supplier: source?.supplier ?? "",
        country: source?.country ?? "",
        provenance: source?.provenance ?? "REPRODUCTION",
        priceMinor: source?.price?.minor ?? null,
        currency: source?.price?.currency ?? club.currency,
        notes: source?.notes ?? "",
      }}
      row={source ? { id: source.id, revision: source.revision } : null}
      onSave={(input) => save(SaveSource, { input: { ...input, ...(input.country === null && { country: "" }) } })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={source ? "Save the source" : "Share the source"}
    >
      <div className="fields">
        <TextField name="part" label="Part" hint="In the words that others would search for." />
        <TextField name="machine" label="Machine" hint="Make and model, as far as it fits." />
        <TextField name="references" label="Reference numbers" hint="Several are separated by commas." />
        <TextField name="supplier" label="Who makes it" />
        <ChoiceField name="country" label="Country" none="not noted" choices={countryChoices()} />
        <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
        <Price />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices(club)} />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

function Price() {
  const club = useClub();
  const { currency, decimals } = useFormCurrency(club);
  return (
    <MoneyField
      name="priceMinor"
      label="Price paid for one"
      hint="Left blank, it is not shared."
      currency={currency}
      decimals={decimals}
    />
  );
}
