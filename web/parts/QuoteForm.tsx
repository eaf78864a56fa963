import { useRef, useState } from "react";
import { useQuery } from "urql";
import { currencyChoices, decimalsOf, useFormCurrency } from "../shared/currency.ts";
import { Dialog } from "../shared/Dialog.tsx";
import { ChoiceField, NumberField } from "../shared/Fields.tsx";
import { Form, useFieldValue, useFormState, type Values } from "../shared/Form.tsx";
import { majorText, minorOfText } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { useSettled } from "../shared/useSettled.ts";
import { EffectWords } from "../shared/Weighed.tsx";
import { choicesOf, isOwnWork, leadLabel, PROVENANCE } from "../shared/words.ts";
import { SupplierForm } from "../suppliers/SupplierForm.tsx";
import { makerRecord } from "./makerRecord.ts";
import { type Part, type Quote, QuoteEffectQuery, SaveQuote, SupplierRecordQuery } from "./part.ts";
import { Amount, QuoteFolds } from "./QuoteFolds.tsx";
import {
  type BreakRow,
  type KnockOnRow,
  knockOnsOf,
  type StatedRow,
  statedOf,
  typedKnockOns,
  typedStated,
} from "./quoteLists.ts";
import { SupplierChoice } from "./RowChoice.tsx";
import { TypedList } from "./typedList.ts";

interface QuoteFormProps {
  part: Part;
  /** Absent for a new quote. */
  quote?: Quote;
  onDone: () => void;
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

  /** The input of what is typed, or its faults. */
  const inputOf = ({ priceBreaks, knockOns, statedDimensions, ...input }: Record<string, unknown>) => {
    const list = new TypedList("priceBreaks");
    const rows = (priceBreaks as BreakRow[] | undefined)?.map((row, place) => ({
      quantity: list.whole(place, "quantity", row.quantity),
      unitPriceMinor: list.minor(
        place,
        "unitPriceMinor",
        row.unitPriceMinor,
        row.currency,
        decimalsOf(restoration, row.currency),
      ),
    }));
    const brings = knockOnsOf(knockOns as KnockOnRow[] | undefined, (code) => decimalsOf(restoration, code));
    const stated = statedOf(statedDimensions as StatedRow[] | undefined, part.specification);
    return {
      bad: faultsOf([list.outcome(), brings.outcome, stated.outcome]),
      atItsRow: stated.atItsRow,
      input: {
        ...input,
        ...(rows ? { priceBreaks: rows } : {}),
        ...(brings.rows ? { knockOns: brings.rows } : {}),
        ...(stated.rows ? { statedDimensions: stated.rows } : {}),
        ...(quote ? {} : { part: part.id }),
      },
    };
  };
  const send = async (values: Record<string, unknown>) => {
    const { bad, atItsRow, input } = inputOf(values);
    return bad ?? atItsRow(await save(SaveQuote, { input }));
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
        below={<QuoteFolds own={own} isNew={quote === undefined} />}
      >
        <div className="four">
          <div>
            <SupplierChoice
              name="supplier"
              label="From"
              hint={<SupplierRecord />}
              now={quote ? { value: quote.supplier.id, label: quote.supplier.name } : null}
            />
            <NewSupplier
              onAsk={(take) => {
                takeSupplier.current = take;
                setAddingSupplier(true);
              }}
            />
          </div>
          <div className="price-each">
            <CurrencyField />
            <Amount name="unitPriceMinor" label="Price each" />
          </div>
          <ChoiceField name="provenance" label="What it is" choices={choicesOf(PROVENANCE)} />
          <NumberField
            name="leadDays"
            label={leadLabel(own, quote === undefined)}
            unit="days"
            whole
            hint={`From ${own ? "the beginning" : quote ? "the order" : "the order, or from when the shop begins it"}.`}
          />
        </div>
        <WhatItDoes
          row={quote ? { id: quote.id, revision: quote.revision } : {}}
          inputOf={(values) => {
            const { bad, input } = inputOf(values);
            return bad ? null : input;
          }}
        />
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

/** What the quote would do if it were chosen, as it is typed. */
function WhatItDoes({
  row,
  inputOf,
}: {
  row: { id?: string; revision?: number };
  inputOf: (values: Values) => Values | null;
}) {
  const { all } = useFormState();
  const input = useSettled(inputOf(all));
  const wanting = input === null || [input.supplier, input.unitPriceMinor, input.leadDays].some((one) => one == null);
  const [{ data, fetching }] = useQuery({
    query: QuoteEffectQuery,
    variables: { input: { ...input, ...row } },
    pause: wanting,
  });
  const effect = data?.quoteEffect ?? undefined;
  if (wanting || !(fetching || effect)) return null;
  return (
    <p className="prose" aria-live="polite">
      Chosen: <EffectWords effect={fetching ? undefined : effect} />
    </p>
  );
}

/** How they kept to what they promised. */
function SupplierRecord() {
  const restoration = useRestoration();
  const supplier = useFieldValue("supplier") as string | null;
  const [{ data }] = useQuery({
    query: SupplierRecordQuery,
    variables: { supplier: supplier ?? "", restoration: restoration.id },
    pause: supplier === null,
  });
  if (supplier === null) return "Who quotes it.";
  if (data?.supplier.id !== supplier) return "…";
  const said = makerRecord(data.supplier.makerRecord);
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}.`;
}

function NewSupplier({ onAsk }: { onAsk: (take: (id: string) => void) => void }) {
  const form = useFormState();
  return (
    <button type="button" className="plain" onClick={() => onAsk((id) => form.set("supplier", id))}>
      Somebody new
    </button>
  );
}

/** The digits that stand in the fields stay when the currency changes; an amount that the new currency cannot hold is emptied. */
function CurrencyField() {
  const restoration = useRestoration();
  const form = useFormState();
  const { currency: now, decimals: before } = useFormCurrency(restoration);
  // The one chosen goes by its code, which has room beside the price.
  const choices = currencyChoices(restoration).map((one) => (one.value === now ? { ...one, label: now } : one));
  return (
    <ChoiceField
      name="currency"
      label="Currency"
      choices={choices}
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
