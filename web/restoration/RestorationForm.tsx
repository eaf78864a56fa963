import { currencyChoices, decimalsOf, useFormCurrency } from "../shared/currency.ts";
import {
  CheckField,
  ChoiceField,
  DateField,
  MoneyField,
  NotesField,
  NumberField,
  TextField,
} from "../shared/Fields.tsx";
import { Form, useFormState } from "../shared/Form.tsx";
import { money, odds } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { choicesOf } from "../shared/words.ts";
import { CUSTOMS_BASIS, type RestorationRow, SaveRestoration } from "./restorationRow.ts";

const CHANCES = [0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 0.95];

/** The machine, its owner, the target, and the owner's money: the cap, the hour's rate, the limit above which consent is asked, and what a day and a point are worth. */
export function RestorationForm({ row }: { row: RestorationRow }) {
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
        currency: row.currency,
        ...amountsOf(row),
        capCoversLabour: row.capCoversLabour,
        countOwnHours: row.countOwnHours,
        confidence: row.confidence,
        pointStep: row.pointStep,
        customsBasis: row.customsBasis,
        carriageTaxed: row.carriageTaxed,
      }}
      // With another currency each amount is said anew, also where the figure is the same.
      onSave={(input) =>
        save(SaveRestoration, { input: "currency" in input ? { ...amountsOf(row), ...input } : input })
      }
    >
      <div className="fields">
        <TextField name="machine" label="Machine" wide />
        <TextField name="targetName" label="Target" hint="A show, a rally, a promise" wide />
        <TextField name="owner" label="Owner" />
        <DateField name="targetDate" label="Target date" hint="Blank: none" />
        <ChoiceField
          name="confidence"
          label="Order-by dates are to hold"
          hint="Never later than as promised; what is set aside in money holds with the same odds"
          numeric
          none="as promised"
          choices={chances.map((chance) => ({ value: String(chance), label: odds(chance) }))}
        />
        <Currency row={row} />
        <Amount row={row} name="capMinor" label="Money cap" hint="Blank: none" />
        <CheckField name="capCoversLabour" label="The cap is for labour too" />
        <Amount row={row} name="hourlyRateMinor" label="An hour at the bench is charged at" hint="Blank: not said" />
        <CheckField
          name="countOwnHours"
          label="Count our own hours"
          hint="Wherever quotes, remedies and ways are compared, at what an hour is charged"
        />
        <Amount
          row={row}
          name="consentOverMinor"
          label="Consent is asked above"
          hint="A single sum over this waits for consent; blank: none does"
        />
        <Amount
          row={row}
          name="pricePerDayMinor"
          label="A day past the target costs"
          hint="Without a target, each day to the end. Blank: nothing that counts"
        />
        <Amount
          row={row}
          name="pricePerPointMinor"
          label="A judge's point is worth"
          hint="Blank: nothing that counts"
        />
        <NumberField
          name="pointStep"
          label="A line loses points in steps of"
          hint="Such as 0.5; what is over is in the owner's favour. Blank: to a hundredth"
        />
        <ChoiceField
          name="customsBasis"
          label="Duty is on"
          wide
          hint="As the customs of the shop's country do it"
          choices={choicesOf(CUSTOMS_BASIS)}
        />
        <CheckField
          name="carriageTaxed"
          label="Tax falls on carriage too"
          hint="And on insurance: beside the goods and the duty"
        />
        <NotesField name="description" label="Description" />
      </div>
    </Form>
  );
}

/** The amounts that are in the restoration's currency. */
const amountsOf = (row: RestorationRow) => ({
  capMinor: row.cap?.minor ?? null,
  hourlyRateMinor: row.hourlyRate?.minor ?? null,
  consentOverMinor: row.consentOver?.minor ?? null,
  pricePerDayMinor: row.pricePerDay?.minor ?? null,
  pricePerPointMinor: row.pricePerPoint?.minor ?? null,
});

/** The currency: with another the amounts are asked for again. */
function Currency({ row }: { row: RestorationRow }) {
  const form = useFormState();
  const restoration = useRestoration();
  return (
    <ChoiceField
      name="currency"
      label="Currency"
      hint={form.value("currency") === row.currency ? undefined : "Say each amount again in it: none is converted"}
      choices={currencyChoices(restoration)}
      onPick={(picked) => {
        for (const [name, minor] of Object.entries(amountsOf(row))) {
          form.setTyped(name, null);
          form.set(name, picked === row.currency ? minor : null);
        }
      }}
    />
  );
}

/** An amount in the currency that stands in the form. */
function Amount({
  row,
  hint,
  ...field
}: {
  row: RestorationRow;
  name: keyof ReturnType<typeof amountsOf>;
  label: string;
  hint: string;
}) {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  const minor = amountsOf(row)[field.name];
  const was =
    minor === null || currency === row.currency
      ? ""
      : `Was ${money({ minor, currency: row.currency, decimals: decimalsOf(restoration, row.currency) })}. `;
  // What was typed in one currency is no text of another.
  return <MoneyField key={currency} {...field} hint={`${was}${hint}`} currency={currency} decimals={decimals} />;
}
