import { SaveRestoration } from "../restoration/restorationRow.ts";
import { MoneyField, TextField, TradesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { USUAL_WEEK } from "../shared/weekdays.ts";
import { SaveHand } from "./hand.ts";
import { WeekFields } from "./WeekFields.tsx";

/** What a workshop is asked in which nobody is entered yet: who works, when, at what rate. */
export function FirstHand({ row }: { row: { id: string; revision: number; hourlyRate: { minor: number } | null } }) {
  const { trades, currency, decimals } = useRestoration();
  const { save } = useSave();
  const rate = row.hourlyRate?.minor ?? null;
  return (
    <Form
      label="Who works, when, at what rate"
      saveLabel="Save who works"
      initial={{
        name: "",
        trades: [],
        ...USUAL_WEEK,
        hourlyRateMinor: rate,
      }}
      onSave={async ({ hourlyRateMinor, ...input }) => {
        const hand = await save(SaveHand, { input });
        if (hand.kind !== "saved" || hourlyRateMinor === rate) return hand;
        const { id, revision } = row;
        const charged = await save(SaveRestoration, {
          input: { id, revision, hourlyRateMinor: hourlyRateMinor as number | null },
        });
        return charged.kind === "saved" ? hand : charged;
      }}
    >
      <h3>Who works?</h3>
      <div className="fields">
        <TextField name="name" label="Name" hint="The first person; others are added below" />
        <TradesField name="trades" label="Trades" hint="Enter after each" suggestions={trades} />
      </div>
      <h3>When?</h3>
      <WeekFields />
      <h3>At what rate?</h3>
      <div className="fields">
        <MoneyField
          name="hourlyRateMinor"
          label="An hour is charged at"
          hint="On this restoration; blank: not said"
          currency={currency}
          decimals={decimals}
        />
      </div>
    </Form>
  );
}
