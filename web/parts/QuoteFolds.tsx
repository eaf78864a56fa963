import type { ReactNode } from "react";
import { useFormCurrency } from "../shared/currency.ts";
import {
  CheckField,
  ChoiceField,
  DateField,
  MoneyField,
  NotesField,
  NumberField,
  TextField,
} from "../shared/Fields.tsx";
import { Fold, Folds } from "../shared/Fold.tsx";
import { useFormState } from "../shared/Form.tsx";
import { counted, dateInFull, days, hours, listed, money, percent, plainNumber } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { CONDITION, choicesOf, INCOTERM } from "../shared/words.ts";
import { KnockOns, StatedDimensions } from "./KnockOns.tsx";
import { ListField } from "./ListField.tsx";
import type { BreakRow, KnockOnRow, StatedRow } from "./quoteLists.ts";

/** What is seldom said on the telephone: folds that say what stands in them. Only within a Form. */
export function QuoteFolds({ own, isNew }: { own: boolean; isNew: boolean }) {
  const says = useSaid();
  return (
    <Folds>
      <Fold title="Getting it here" says={gettingHere(says, own)}>
        <div className="fields">
          {!own && <ChoiceField name="incoterm" label="Incoterms 2020 rule" choices={choicesOf(INCOTERM)} />}
          <Amount
            name="carriageMinor"
            label="Carriage"
            hint="0 where the supplier charges carriage on the whole order: it is shared then."
          />
          <Amount name="insuranceMinor" label="Insurance" />
          <NumberField name="dutyRate" label="Duty" unit="%" scale={100} />
          <NumberField name="taxRate" label="Tax" unit="%" scale={100} />
          <NumberField
            name="weightGrams"
            label="Weight of a piece"
            unit="g"
            whole
            hint="For a supplier whose charge on an order is shared by weight."
          />
        </div>
      </Fold>
      <Fold title="How many" says={howMany(says)}>
        <div className="fields narrow-fields">
          <NumberField name="minimumQuantity" label="Smallest number sold" whole />
        </div>
        <h3>Price at larger numbers</h3>
        <PriceBreaks />
      </Fold>
      <Fold title={own ? "If the days are not sure" : "If the promise is not believed"} says={estimate(says, own)}>
        <div className="fields narrow-fields">
          <NumberField name="leadLeast" label="Least" unit="days" whole />
          <NumberField name="leadLikely" label="Likely" unit="days" whole />
          <NumberField name="leadMost" label="Most" unit="days" whole />
        </div>
      </Fold>
      <Fold title="Deposit and old part" says={depositAndCore(says)}>
        <div className="fields">
          <Amount name="depositMinor" label="Deposit" />
          <Amount name="coreChargeMinor" label="Core charge a piece" />
          <CheckField name="coreReturned" label="The old part goes back" hint="The core charge is then paid back." />
        </div>
      </Fold>
      <Fold title="On the machine" says={onTheMachine(says)}>
        <div className="fields">
          <ChoiceField name="condition" label="Condition" choices={choicesOf(CONDITION)} />
          <NumberField name="preparationHours" label="Preparation before it fits" unit="h" />
          <NumberField
            name="pointsByHand"
            label="Points lost, your own figure"
            hint="Your own figure; 0 goes by the judging sheet."
          />
        </div>
        <h3>Dimensions the supplier states</h3>
        <StatedDimensions />
      </Fold>
      <Fold title="What it brings with it" says={bringsWithIt(says)}>
        <KnockOns />
      </Fold>
      <Fold title="Valid, from, notes" says={validAndNotes(says)}>
        <div className="fields">
          <DateField name="validUntil" label="Valid until" hint="Blank: no end was given." />
          <DateField name="orderFrom" label={own ? "Can be begun from" : "Takes orders from"} hint="Blank: at once." />
          <TextField
            name="code"
            label="Code"
            nullable
            hint={isNew ? "Left blank, the next number is taken." : undefined}
          />
          <CheckField
            name="ruledOut"
            label="Rule this one out"
            hint="It stays on record and is never chosen, whatever it costs."
          />
          <NotesField name="notes" label="Notes" rows={2} />
        </div>
      </Fold>
    </Folds>
  );
}

/** What stands in the form, as it is said: null where nothing does, or 0. */
interface Said {
  number: (name: string) => number | null;
  amount: (name: string) => string | null;
  text: (name: string) => string;
  list: <Row>(name: string) => readonly Row[];
  is: (name: string) => boolean;
}

function useSaid(): Said {
  const form = useFormState();
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  const number = (name: string): number | null => {
    const value = form.value(name);
    return typeof value === "number" && value !== 0 ? value : null;
  };
  return {
    number,
    amount: (name) => {
      const minor = number(name);
      return minor === null ? null : money({ minor, currency, decimals });
    },
    text: (name) => String(form.value(name) ?? "").trim(),
    list: (name) => (form.value(name) as readonly never[] | undefined) ?? [],
    is: (name) => form.value(name) === true,
  };
}

/** What is said, one after the other; what is not is left out. */
const together = (...said: (string | null | false)[]): string => said.filter(Boolean).join("; ");

function gettingHere({ number, amount, text }: Said, own: boolean): string {
  const [carriage, insurance] = [amount("carriageMinor"), amount("insuranceMinor")];
  const [duty, tax, weight] = [number("dutyRate"), number("taxRate"), number("weightGrams")];
  return together(
    !own && (INCOTERM[text("incoterm") as keyof typeof INCOTERM] ?? null),
    carriage === null ? "no carriage of its own" : `carriage ${carriage}`,
    insurance && `insurance ${insurance}`,
    duty === null && tax === null
      ? "no duty, no tax"
      : `${duty === null ? "no duty" : `duty ${percent(duty)}`}, ${tax === null ? "no tax" : `tax ${percent(tax)}`}`,
    weight !== null && `${plainNumber(weight)} g`,
  );
}

function howMany({ number, list }: Said): string {
  const breaks = list<BreakRow>("priceBreaks").length;
  return together(
    `${plainNumber(number("minimumQuantity") ?? 1)} at least`,
    breaks === 0 ? "one price" : counted(breaks, "price break"),
  );
}

function estimate({ number }: Said, own: boolean): string {
  const said = [number("leadLeast"), number("leadLikely"), number("leadMost")];
  if (said.some((one) => one !== null)) return `least, likely, most: ${said.map((one) => one ?? "–").join(", ")} days`;
  const promised = number("leadDays");
  if (own) return promised === null ? "as long as said" : days(promised);
  return "least, likely, most: as they keep to what they promise";
}

function depositAndCore({ amount, is }: Said): string {
  const [deposit, core] = [amount("depositMinor"), amount("coreChargeMinor")];
  return together(
    deposit === null ? "no deposit" : `${deposit} with the order`,
    core === null
      ? "no core charge"
      : `${core} on the old part, ${is("coreReturned") ? "back when it is returned" : "lost: it does not go back"}`,
  );
}

function onTheMachine({ number, text, list }: Said): string {
  const [work, points] = [number("preparationHours"), number("pointsByHand")];
  const stated = list<StatedRow>("statedDimensions").filter(({ value }) => value.trim() !== "").length;
  return together(
    CONDITION[text("condition") as keyof typeof CONDITION] ?? null,
    work === null ? "no preparation" : `${hours(work)} of preparation`,
    points === null ? "points by the judging sheet" : `${counted(points, "point")} lost, your own figure`,
    stated === 0 ? "no dimension stated" : `${counted(stated, "dimension")} stated`,
  );
}

function bringsWithIt({ list }: Said): string {
  const titles = list<KnockOnRow>("knockOns").map(({ title }) => title.trim() || "something without a name");
  return titles.length === 0 ? "nothing" : listed(titles);
}

function validAndNotes({ text, is }: Said): ReactNode {
  const [until, from, notes, code] = [text("validUntil"), text("orderFrom"), text("notes"), text("code")];
  return together(
    is("ruledOut") && "ruled out",
    until === "" ? "no end given" : `to ${dateInFull(until)}`,
    from === "" ? "at once" : `from ${dateInFull(from)}`,
    code !== "" && `code ${code}`,
    notes !== "" && `“${notes}”`,
  );
}

/** An amount of the form's currency; read anew when the currency has other decimals. */
export function Amount(field: { name: string; label: string; hint?: string }) {
  const { currency, decimals } = useFormCurrency(useRestoration());
  return <MoneyField key={decimals} {...field} currency={currency} decimals={decimals} />;
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
        { name: "unitPriceMinor", label: `Price each, ${currency}`, numeric: true },
      ]}
    />
  );
}
