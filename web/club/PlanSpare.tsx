import { Link } from "react-router";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { decimalsOf } from "../shared/currency.ts";
import { MoneyField, NumberField } from "../shared/Fields.tsx";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { money } from "../shared/format.ts";
import { OpenButton, useOpen } from "../shared/Opened.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { useClub } from "./club.ts";
import { ownPartFound, useFindOwnParts } from "./ownParts.ts";
import type { Spare } from "./want.ts";

const PlanSpare = graphql(
  `
  mutation PlanSpare($spare: ID!, $part: ID!, $priceMinor: Minor, $leadDays: Int) {
    planSpare(spare: $spare, part: $part, priceMinor: $priceMinor, leadDays: $leadDays) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const PART_NEEDED = {
  kind: "faults" as const,
  message: "",
  faults: [{ code: "REQUIRED", field: "part", message: "Name the part of your restoration that it is for." }],
};

interface PlanSpareFormProps {
  spare: Spare;
  onDone: () => void;
}

/** Another member's spare becomes a quote for an own part, whichever it is. */
export function PlanSpareForm({ spare, onDone }: PlanSpareFormProps) {
  const { save } = useSave();
  const findOwnParts = useFindOwnParts(spare.part);
  return (
    <Form
      label={`Take ${spare.part} into my plan`}
      initial={{ part: spare.ownPart?.id ?? null, priceMinor: spare.price?.minor ?? null, leadDays: 7 }}
      onSave={async ({ part, priceMinor, leadDays }) =>
        typeof part === "string"
          ? save(PlanSpare, {
              spare: spare.id,
              part,
              priceMinor: priceMinor as number | null,
              leadDays: leadDays as number | null,
            })
          : PART_NEEDED
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Take it into my plan"
    >
      <div className="fields">
        <FindField
          name="part"
          label="For my part"
          hint="It gets a quote at this price."
          noun="part"
          wide
          find={findOwnParts}
          holds={spare.ownPart && ownPartFound(spare.ownPart)}
        />
        <PriceAndDays currency={spare.currency} />
      </div>
    </Form>
  );
}

interface PlanMatchProps {
  spare: Spare;
  ownPart: { id: string; restoration: string; name: string };
}

/** A spare that meets an own want goes into the plan of the want's part in one step; the price can be another than asked. */
export function PlanMatch({ spare, ownPart }: PlanMatchProps) {
  const open = useOpen();
  const { save, saving } = useSave();
  const plan = (priceMinor: number | null, leadDays: number | null) =>
    save(PlanSpare, { spare: spare.id, part: ownPart.id, priceMinor, leadDays });
  return (
    <>
      <p className="prose">
        It becomes a quote for <Link to={addressOf.part(ownPart.restoration, ownPart.id)}>{ownPart.name}</Link>, and the
        plan weighs it like any other.
      </p>
      {spare.price && (
        <div className="row">
          <button type="button" className="main" disabled={saving} onClick={() => void plan(null, null)}>
            Take it into my plan at {money(spare.price)}
          </button>
          <OpenButton of={open} opens="price">
            At another price
          </OpenButton>
        </div>
      )}
      {(!spare.price || open.has("price")) && (
        <div className="club-narrow">
          <Form
            label="Take it into my plan at the price agreed"
            initial={{ priceMinor: null, leadDays: 7 }}
            onSave={({ priceMinor, leadDays }) => plan(priceMinor as number | null, leadDays as number | null)}
            onSaved={() => open.close("price")}
            saveLabel="Take it into my plan"
          >
            <div className="fields">
              <PriceAndDays currency={spare.currency} />
            </div>
          </Form>
        </div>
      )}
    </>
  );
}

/** The price agreed, in the currency of the spare, and how long it takes to come. */
function PriceAndDays({ currency }: { currency: string }) {
  return (
    <>
      <MoneyField
        name="priceMinor"
        label="Price agreed for one"
        currency={currency}
        decimals={decimalsOf(useClub(), currency)}
      />
      <NumberField name="leadDays" label="Here in" unit="days" whole />
    </>
  );
}
