import { useRef, useState } from "react";
import { currencyChoices, decimalsOf, useFormCurrency } from "../shared/currency.ts";
import { Dialog } from "../shared/Dialog.tsx";
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
import { majorText, minorOfText } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { CONDITION, choicesOf, INCOTERM, isOwnWork, leadLabel, PROVENANCE } from "../shared/words.ts";
import { SupplierForm } from "../suppliers/SupplierForm.tsx";
import { KnockOns, StatedDimensions } from "./KnockOns.tsx";
import { ListField } from "./ListField.tsx";
import { type Part, type Quote, SaveQuote } from "./part.ts";
import { type KnockOnRow, knockOnsOf, type StatedRow, statedOf, typedKnockOns, typedStated } from "./quoteLists.ts";
import { SupplierChoice } from "./RowChoice.tsx";
import { TypedList } from "./typedList.ts";

interface QuoteFormProps {
  part: Part;
  /** Absent for a new quote. */
  quote?: Quote;
  onDone: () => void;
}

interface BreakRow {
  quantity: string;
  unitPriceMinor: string;
  currency: string;
}

const AMOUNTS = ["unitPriceMinor", "carriageMinor", "insuranceMinor", "depositMinor", "coreChargeMinor"] as const;

/** Adds a quote for a part, or changes one. */
export function QuoteForm({ part, quote, onDone }: QuoteFormProps) {
  const restoration = useRestoration();
  const { save } = useSave();
  const [addingSupplier, setAddingSupplier] = useState(false);
  const takeSupplier = useRef<(id: string) => void>(() => undefined);
  const own = quote !== undefined && isOwnWork(quote);
  const currency = quote?.unitPrice.currency ?? restoration.currency;

  const send = async ({ priceBreaks, knockOns, statedDimensions, ...input }: Record<string, unknown>) => {
    const list = new TypedList("priceBreaks");
    const rows = (priceBreaks as BreakRow[] | undefined)?.map((row, place) => ({
      quantity: list.whole(place, "quantity", row.quantity),
      unitPriceMinor: list.minor(place, "unitPriceMinor", row.unitPriceMinor, decimalsOf(restoration, row.currency)),
    }));
    const brings = knockOnsOf(knockOns as KnockOnRow[] | undefined, (code) => decimalsOf(restoration, code));
    const stated = statedOf(statedDimensions as StatedRow[] | undefined, part.specification);
    const bad = faultsOf([list.outcome(), brings.outcome, stated.outcome]);
    if (bad) return bad;
    const sent = {
      ...input,
      ...(rows ? { priceBreaks: rows } : {}),
      ...(brings.rows ? { knockOns: brings.rows } : {}),
      ...(stated.rows ? { statedDimensions: stated.rows } : {}),
    };
    return stated.atItsRow(await save(SaveQuote, { input: quote ? sent : { ...sent, part: part.id } }));
  };

  return (
    <>
      <Form
        label={quote ? `Change quote ${quote.code}` : "Add a quote"}
        initial={{
          supplier: quote?.supplier.id ?? null,
          provenance: quote?.provenance ?? null,
          currency,
          unitPriceMinor: quote?.unitPrice.minor ?? null,
          minimumQuantity: quote?.minimumQuantity ?? 1,
          leadDays: quote?.leadDays ?? null,
          leadLeast: quote?.leadLeast ?? null,
          leadLikely: quote?.leadLikely ?? null,
          leadMost: quote?.leadMost ?? null,
          orderFrom: quote?.orderFrom ?? null,
          validUntil: quote?.validUntil ?? null,
          depositMinor: quote?.deposit.minor ?? 0,
          carriageMinor: quote?.carriage.minor ?? 0,
          insuranceMinor: quote?.insurance.minor ?? 0,
          incoterm: quote?.incoterm ?? "EXW",
          dutyRate: quote?.dutyRate ?? 0,
          taxRate: quote?.taxRate ?? 0,
          preparationHours: quote?.preparationHours ?? 0,
          pointsByHand: quote?.pointsByHand ?? 0,
          code: quote?.code ?? null,
          notes: quote?.notes ?? "",
          ruledOut: quote?.ruledOut ?? false,
          condition: quote?.condition ?? "SERVICEABLE",
          coreChargeMinor: quote?.coreCharge.minor ?? 0,
          coreReturned: quote?.coreReturned ?? true,
          weightGrams: quote?.weightGrams ?? null,
          knockOns: typedKnockOns(quote),
          statedDimensions: typedStated(quote, part.specification),
          priceBreaks: (quote?.priceBreaks ?? []).map(({ quantity, unitPrice }) => ({
            quantity: String(quantity),
            unitPriceMinor: majorText(unitPrice.minor, unitPrice.decimals),
            currency,
          })),
        }}
        row={quote ? { id: quote.id, revision: quote.revision } : null}
        onSave={send}
        onSaved={onDone}
        onCancel={onDone}
        saveLabel="Save the quote"
      >
        <div className="fields">
          <div>
            <SupplierChoice
              name="supplier"
              label="Supplier"
              now={quote ? { value: quote.supplier.id, label: quote.supplier.name } : null}
            />
            <NewSupplier
              onAsk={(take) => {
                takeSupplier.current = take;
                setAddingSupplier(true);
              }}
            />
          </div>
          <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
          <ChoiceField name="condition" label="Condition" choices={choicesOf(CONDITION)} />
          <CurrencyField />
          <Amount name="unitPriceMinor" label="Unit price" />
          <NumberField name="minimumQuantity" label="Smallest number sold" whole />
          <NumberField
            name="leadDays"
            label={leadLabel(own, quote === undefined)}
            unit="days"
            whole
            hint={`Calendar days from ${own ? "the beginning" : quote ? "the order" : "the order, or from the beginning where the shop makes it"}.`}
          />
        </div>
        <h3>{own ? "Days to make it, if that is not sure" : "Lead time, if the promise is not believed"}</h3>
        <div className="fields narrow-fields">
          <NumberField name="leadLeast" label="Least" unit="days" whole />
          <NumberField name="leadLikely" label="Likely" unit="days" whole />
          <NumberField name="leadMost" label="Most" unit="days" whole />
        </div>
        <h3>Price at larger numbers</h3>
        <PriceBreaks />
        <h3>Getting it here</h3>
        <div className="fields">
          <Amount
            name="carriageMinor"
            label="Carriage"
            hint="0 where the supplier charges carriage on the whole order: it is shared then."
          />
          <NumberField
            name="weightGrams"
            label="Weight of a piece"
            unit="g"
            whole
            hint="For a supplier whose charge on an order is shared by weight."
          />
          <Amount name="insuranceMinor" label="Insurance" />
          <Amount name="depositMinor" label="Deposit" />
          {!own && <ChoiceField name="incoterm" label="Incoterms 2020 rule" choices={choicesOf(INCOTERM)} />}
          <NumberField name="dutyRate" label="Duty" unit="%" scale={100} />
          <NumberField name="taxRate" label="Tax" unit="%" scale={100} />
          <Amount name="coreChargeMinor" label="Core charge a piece" />
          <CheckField name="coreReturned" label="The old part goes back" hint="The core charge is then paid back." />
          <DateField name="orderFrom" label={own ? "Can be begun from" : "Takes orders from"} hint="Blank: at once." />
          <DateField name="validUntil" label="Valid until" hint="Blank: no end was given." />
        </div>
        <h3>On the machine</h3>
        <div className="fields">
          <NumberField name="preparationHours" label="Preparation before it fits" unit="h" />
          <NumberField
            name="pointsByHand"
            label="Points lost, your own figure"
            hint="Your own figure; 0 goes by the judging sheet."
          />
          <TextField
            name="code"
            label="Code"
            nullable
            hint={quote ? undefined : "Left blank, the next number is taken."}
          />
          <CheckField
            name="ruledOut"
            label="Rule this one out"
            hint="It stays on record and is never chosen, whatever it costs."
          />
          <NotesField name="notes" label="Notes" rows={2} />
        </div>
        <h3>What it brings with it</h3>
        <KnockOns />
        <h3>Dimensions the supplier states</h3>
        <StatedDimensions />
      </Form>
      <Dialog open={addingSupplier} title="Add a supplier" onClose={() => setAddingSupplier(false)}>
        <SupplierForm
          onSaved={(id) => {
            takeSupplier.current(id);
            setAddingSupplier(false);
          }}
          onCancel={() => setAddingSupplier(false)}
        />
      </Dialog>
    </>
  );
}

/** Every list's faults together; null where all could be read. */
function faultsOf(outcomes: readonly (SaveOutcome | null)[]): SaveOutcome | null {
  const faults = outcomes.flatMap((outcome) => (outcome?.kind === "faults" ? outcome.faults : []));
  return faults.length > 0 ? { kind: "faults", faults, message: "Nothing was changed." } : null;
}

function NewSupplier({ onAsk }: { onAsk: (take: (id: string) => void) => void }) {
  const form = useFormState();
  return (
    <button type="button" className="plain" onClick={() => onAsk((id) => form.set("supplier", id))}>
      Not in the list: add a supplier
    </button>
  );
}

/** An amount of the form's currency; read anew when the currency has other decimals. */
function Amount(field: { name: string; label: string; hint?: string }) {
  const { currency, decimals } = useFormCurrency(useRestoration());
  return <MoneyField key={decimals} {...field} currency={currency} decimals={decimals} />;
}

/** The digits that stand in the fields stay when the currency changes; an amount that the new currency cannot hold is emptied. */
function CurrencyField() {
  const restoration = useRestoration();
  const form = useFormState();
  const { decimals: before } = useFormCurrency(restoration);
  return (
    <ChoiceField
      name="currency"
      label="Currency"
      choices={currencyChoices(restoration)}
      onPick={(picked) => {
        const currency = String(picked ?? restoration.currency);
        const after = decimalsOf(restoration, currency);
        if (after !== before)
          for (const name of AMOUNTS) {
            const minor = form.value(name);
            form.setTyped(name, null);
            if (typeof minor === "number") form.set(name, minorOfText(majorText(minor, before), after));
          }
        form.set(
          "priceBreaks",
          (form.value("priceBreaks") as BreakRow[]).map((row) => ({ ...row, currency })),
        );
      }}
    />
  );
}

function PriceBreaks() {
  const { currency } = useFormCurrency(useRestoration());
  return (
    <ListField
      name="priceBreaks"
      noun="price break"
      blank={{ quantity: "", unitPriceMinor: "", currency }}
      columns={[
        { name: "quantity", label: "From this number", numeric: true },
        { name: "unitPriceMinor", label: `Unit price, ${currency}`, numeric: true },
      ]}
    />
  );
}
