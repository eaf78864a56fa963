import { graphql } from "../client.ts";
import { ListField } from "../parts/ListField.tsx";
import { TypedList } from "../parts/typedList.ts";
import { currencyChoices, decimalsOf, useFormCurrency } from "../shared/currency.ts";
import "../parts/parts.css";
import { ChoiceField, DateField, MoneyField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form, type Values } from "../shared/Form.tsx";
import { majorText } from "../shared/format.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { choicesOf } from "../shared/words.ts";
import { BATCH_BASIS, type Batch } from "./batch.ts";
import { type ClubInView, useClub } from "./club.ts";

const SaveBatch = graphql(
  `
  mutation SaveBatch($input: BatchInput!) {
    saveBatch(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface BatchFormProps {
  /** Absent for a new one. */
  batch?: Batch;
  /** What a new one is for. */
  of?: { part: string; machine: string; references: string; pieces: number };
  onSaved: (id: string) => void;
  onCancel: () => void;
}

type PriceText = Record<"size" | "unitMinor", string>;
type StageText = Record<"title" | "percent", string>;

/** The two lists as they are typed: the maker's prices by size, and the stages after the deposit. */
function typedLists(batch: Batch | undefined): { prices: PriceText[]; stages: StageText[] } {
  return {
    prices: (batch?.prices ?? []).map(({ size, unit }) => ({
      size: String(size),
      unitMinor: majorText(unit.minor, unit.decimals),
    })),
    stages: (batch?.stages ?? []).map(({ title, percent }) => ({ title, percent: String(percent) })),
  };
}

/** Lists as values; a fault at its cell where something cannot be read. */
function readLists(input: Values, currency: string, decimals: number) {
  const prices = new TypedList("prices");
  const stages = new TypedList("stages");
  const sent = {
    ...(input.prices
      ? {
          prices: (input.prices as PriceText[]).map(({ size, unitMinor }, row) => ({
            size: prices.whole(row, "size", size),
            unitMinor: prices.minor(row, "unitMinor", unitMinor, currency, decimals),
          })),
        }
      : {}),
    ...(input.stages
      ? {
          stages: (input.stages as StageText[]).map(({ title, percent }, row) => ({
            title,
            percent: stages.whole(row, "percent", percent),
          })),
        }
      : {}),
  };
  return { sent, outcome: prices.outcome() ?? stages.outcome() };
}

/** Gathers a batch, or changes one. Once somebody is down for it, what they are down for stays as it was. */
export function BatchForm({ batch, of, onSaved, onCancel }: BatchFormProps) {
  const { save } = useSave();
  const club = useClub();
  const fixed = (batch?.outlook.putDown ?? 0) > 0;
  const terms = fixed
    ? {}
    : {
        part: batch?.part ?? of?.part ?? "",
        maker: batch?.maker ?? "",
        currency: batch?.currency ?? club.currency,
        patternMinor: batch?.pattern.minor ?? 0,
        setUpMinor: batch?.setUp.minor ?? 0,
        unitMinor: batch?.unit.minor ?? null,
        sparePercent: batch?.sparePercent ?? 10,
        smallest: batch?.smallest ?? of?.pieces ?? null,
        depositPercent: batch?.depositPercent ?? 30,
        ...typedLists(batch),
      };
  return (
    <Form
      label={batch ? `Change batch ${batch.code}` : "Make a batch"}
      initial={{
        ...terms,
        machine: batch?.machine ?? of?.machine ?? "",
        references: batch?.references ?? of?.references ?? "",
        basis: batch?.basis ?? "SAMPLE",
        most: batch?.most ?? null,
        closesOn: batch?.closesOn ?? null,
        leadDays: batch?.leadDays ?? null,
        notes: batch?.notes ?? "",
      }}
      row={batch ? { id: batch.id, revision: batch.revision } : null}
      onSave={async (input) => {
        const currency = String(input.currency ?? batch?.currency ?? club.currency);
        const { sent, outcome } = readLists(input, currency, decimalsOf(club, currency));
        return outcome ?? save(SaveBatch, { input: { ...input, ...sent } });
      }}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={batch ? "Save the batch" : "Make the batch"}
    >
      {fixed && (
        <p className="prose">
          Members are down for it: price, smallest size, deposit and maker stay as they are. The rest can be changed.
        </p>
      )}
      <div className="fields">
        {!fixed && <TextField name="part" label="Part" />}
        <TextField name="machine" label="Machine" hint="Make and model." />
        <TextField name="references" label="Reference numbers" hint="Several are separated by commas." />
        {!fixed && <TextField name="maker" label="Maker" />}
        <ChoiceField name="basis" label="Made from" choices={choicesOf(BATCH_BASIS)} />
        {!fixed && <Costs club={club} />}
        {!fixed && <NumberField name="sparePercent" label="Spare castings" unit="per cent" whole />}
        {!fixed && <NumberField name="smallest" label="Smallest size" unit="pieces" whole />}
        <NumberField
          name="most"
          label="Most that the maker takes on"
          unit="pieces"
          whole
          hint="Left blank: no limit."
        />
        {!fixed && <NumberField name="depositPercent" label="Deposit" unit="per cent" whole />}
        <DateField
          name="closesOn"
          label="Closes on"
          hint="Short of the smallest size then, every deposit is returned."
        />
        <NumberField name="leadDays" label="From closing to having the parts" unit="days" whole />
        <NotesField name="notes" label="Notes" rows={3} />
      </div>
      {!fixed && <Lists />}
    </Form>
  );
}

function Costs({ club }: { club: ClubInView }) {
  const { currency, decimals } = useFormCurrency(club);
  return (
    <>
      <ChoiceField name="currency" label="Currency" choices={currencyChoices(club)} />
      <MoneyField
        name="patternMinor"
        label="Pattern or tooling"
        hint="Paid once."
        currency={currency}
        decimals={decimals}
      />
      <MoneyField name="setUpMinor" label="Setting up" hint="Paid once." currency={currency} decimals={decimals} />
      <MoneyField name="unitMinor" label="Each casting" currency={currency} decimals={decimals} />
    </>
  );
}

function Lists() {
  return (
    <>
      <h3>The maker's own prices by size</h3>
      <p className="hint soft">
        Without any, pattern, setting up and castings are shared over the pieces put down for.
      </p>
      <ListField
        name="prices"
        noun="price"
        columns={[
          { name: "size", label: "From so many pieces", numeric: true },
          { name: "unitMinor", label: "One piece costs", numeric: true },
        ]}
        blank={{ size: "", unitMinor: "" }}
      />
      <h3>Payments after the deposit</h3>
      <p className="hint soft">Shares of what is left, 100 per cent in all. Without any, the rest is due at once.</p>
      <ListField
        name="stages"
        noun="payment"
        columns={[
          { name: "title", label: "Due when" },
          { name: "percent", label: "Per cent", numeric: true },
        ]}
        blank={{ title: "", percent: "" }}
      />
    </>
  );
}
