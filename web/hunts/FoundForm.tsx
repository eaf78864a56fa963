import { SupplierChoice } from "../parts/RowChoice.tsx";
import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NotesField, NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { choicesOf, PROVENANCE } from "../shared/words.ts";
import { HuntFound, type HuntRow } from "./documents.ts";

/** What was found becomes the quote chosen for the part, and the hunt is over. What stands here first is what was expected. */
export function FoundForm({ hunt, onDone }: { hunt: HuntRow; onDone: () => void }) {
  const { save } = useSave();
  const restoration = useRestoration();
  return (
    <Form
      label="What was found"
      saveLabel="It becomes the chosen quote"
      initial={{
        supplier: null,
        provenance: hunt.provenance,
        currency: hunt.currency,
        unitPriceMinor: hunt.price?.minor ?? null,
        leadDays: hunt.leadDays,
        preparationHours: hunt.preparationHours,
        notes: "",
      }}
      onSave={(input) => save(HuntFound, { ...input, hunt: hunt.id, revision: hunt.revision, inHand: false })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <SupplierChoice name="supplier" label="From whom" none="choose" />
        <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices(restoration)} />
        <Price />
        <NumberField name="leadDays" label="From find to shop" unit="days" whole />
        <NumberField name="preparationHours" label="Work before it fits" unit="h" />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

function Price() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return (
    <MoneyField
      key={decimals}
      name="unitPriceMinor"
      label="Price of one"
      hint="Landed: carriage and tax in it"
      currency={currency}
      decimals={decimals}
    />
  );
}
