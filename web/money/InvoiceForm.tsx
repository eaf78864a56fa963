import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, DateField, MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, type MoneyValue } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { choicesOf } from "../shared/words.ts";
import { CorrectInvoice, SaveInvoice } from "./documents.ts";
import { OWNER_KIND } from "./ledger.ts";

interface InvoiceFormProps {
  kind: keyof typeof OWNER_KIND;
  /** The day that stands in the form: the day of the figures. */
  day: string;
  /** The entry to put right; without one a new entry is made. */
  wrong?: { id: string; code: string; day: string; amount: MoneyValue; notes: string };
  onDone: () => void;
}

/** Asked of the owner, or received: a new entry, or the right one in place of a wrong one, which stays in the ledger. */
export function InvoiceForm({ kind, day, wrong, onDone }: InvoiceFormProps) {
  const restoration = useRestoration();
  const { save } = useSave();
  const { currency } = restoration;
  return (
    <Form
      label={
        wrong
          ? `Correct the ${OWNER_KIND[kind]} of ${dateInFull(wrong.day)}, ${wrong.code}`
          : `Enter ${kind === "INVOICE" ? "an invoice" : "a receipt"}`
      }
      initial={{
        kind,
        day: wrong?.day ?? day,
        amountMinor: wrong?.amount.minor ?? null,
        currency: wrong?.amount.currency ?? currency,
        notes: wrong?.notes ?? "",
        ...(wrong ? {} : { code: "" }),
      }}
      onSave={({ code, ...input }) =>
        wrong
          ? save(CorrectInvoice, { invoice: wrong.id, input })
          : save(SaveInvoice, {
              input: { ...input, ...(code ? { code: String(code) } : {}), restoration: restoration.id },
            })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel={wrong ? "Save the correction" : `Save the ${OWNER_KIND[kind]}`}
    >
      <div className="fields">
        <ChoiceField name="kind" label="Kind" choices={choicesOf(OWNER_KIND)} />
        <DateField name="day" label="Day" />
        <Amount />
        <ChoiceField name="currency" label="Currency" choices={currencyChoices(restoration)} />
        {!wrong && <TextField name="code" label="Number" hint="Blank: the next free one" />}
        <TextField name="notes" label="Notes" hint="The owner does not see them" />
      </div>
    </Form>
  );
}

/** In the currency that stands in the form. */
function Amount() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return <MoneyField name="amountMinor" label="Amount" currency={currency} decimals={decimals} />;
}
