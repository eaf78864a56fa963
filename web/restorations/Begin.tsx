import { graphql } from "../client.ts";
import { weekWords } from "../hands/hand.ts";
import { WeekFields } from "../hands/WeekFields.tsx";
import { type Currency, currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { ChoiceField, DateField, MoneyField, NumberField, TextField, TradesField } from "../shared/Fields.tsx";
import { Fold, Folds } from "../shared/Fold.tsx";
import { Form, useFormState } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { USUAL_WEEK, WEEKDAYS } from "../shared/weekdays.ts";
import { choicesOf, PROVENANCE } from "../shared/words.ts";
import "./begin.css";

const BeginWith = graphql(
  `
  mutation Begin($input: BeginInput!) {
    begin(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const BLANK = {
  machine: "",
  targetDate: null,
  currency: "GBP",
  hand: "",
  trades: [],
  hourlyRateMinor: null,
  ...USUAL_WEEK,
  part: "",
  operation: "",
  hoursLikely: null,
  supplier: "",
  unitPriceMinor: null,
  leadDays: null,
  provenance: "REPRODUCTION",
};

/** All that the first order-by date needs, on one sheet and saved at once: the machine, who works on it, and a part. */
export function Begin({ currencies, onSaved }: { currencies: readonly Currency[]; onSaved: (id: string) => void }) {
  const { save } = useSave();
  return (
    <div className="begin">
      <Form
        label="Begin with a machine"
        initial={BLANK}
        onSave={(input) => save(BeginWith, { input })}
        onSaved={onSaved}
        saveLabel="Save, and see what holds it up"
      >
        <div className="fields">
          <TextField name="machine" label="Machine" hint="Year, maker and kind" />
          <DateField name="targetDate" label="Target date" hint="Blank where none is promised" />
          <ChoiceField
            name="currency"
            label="Currency"
            hint="Of its owner's money"
            choices={currencyChoices({ currencies })}
          />
        </div>
        <h3>Who works on it, and when</h3>
        <div className="fields">
          <TextField name="hand" label="Who works" hint="The first person; others on the sheet Work" />
          <TradesField name="trades" label="Trades" hint="Commas between them: fitting, engine" suggestions={[]} />
          <Rate currencies={currencies} />
        </div>
        <When />
        <h3>The first part that is missing</h3>
        <div className="fields">
          <TextField name="part" label="Part" hint="What it is called" />
          <TextField name="operation" label="Work that needs it" hint="What cannot begin without it" />
          <NumberField name="hoursLikely" label="Hours of that work" hint="The most likely" unit="h" />
        </div>
        <div className="fields">
          <TextField name="supplier" label="Supplier" hint="Who quotes it" />
          <Price currencies={currencies} />
          <NumberField name="leadDays" label="Lead time" hint="From order to arrival" unit="days" whole />
          <ChoiceField
            name="provenance"
            label="Quoted as"
            hint="What kind of part it is"
            choices={choicesOf(PROVENANCE)}
          />
        </div>
      </Form>
    </div>
  );
}

/** The hours of each day, which are mostly the usual ones. */
function When() {
  const form = useFormState();
  const week = Object.fromEntries(WEEKDAYS.map((day) => [day, Number(form.value(day) ?? 0)]));
  return (
    <Folds>
      <Fold title="When" says={weekWords(week as typeof USUAL_WEEK)}>
        <WeekFields />
      </Fold>
    </Folds>
  );
}

function Rate({ currencies }: { currencies: readonly Currency[] }) {
  return (
    <MoneyField
      name="hourlyRateMinor"
      label="An hour is charged at"
      hint="Blank: not said"
      {...useFormCurrency({ currency: BLANK.currency, currencies })}
    />
  );
}

function Price({ currencies }: { currencies: readonly Currency[] }) {
  return (
    <MoneyField
      name="unitPriceMinor"
      label="Price"
      hint="Of one, before carriage"
      {...useFormCurrency({ currency: BLANK.currency, currencies })}
    />
  );
}
