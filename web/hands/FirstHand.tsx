import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { SaveRestoration } from "../restoration/restorationRow.ts";
import { MoneyField, TextField, TradesField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { listed } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { USUAL_WEEK } from "../shared/weekdays.ts";
import { SaveHand } from "./hand.ts";
import { WeekFields } from "./WeekFields.tsx";

const RatesQuery = graphql(`
  query RatesOfShop {
    restorations(first: 100) { edges { node { id revision machine currency hourlyRate { minor } } } }
  }
`);

/** What a workshop is asked in which nobody is entered yet: who works, when, at what rate. */
export function FirstHand({ row }: { row: { id: string; revision: number; hourlyRate: { minor: number } | null } }) {
  const { machine, trades, currency, decimals } = useRestoration();
  const { save } = useSave();
  const rate = row.hourlyRate?.minor ?? null;
  const [{ data }] = useQuery({ query: RatesQuery, requestPolicy: "cache-and-network" });
  // A rate that was agreed for another machine stays as it is.
  const without = (data?.restorations.edges ?? [])
    .map(({ node }) => node)
    .filter((other) => other.id !== row.id && other.currency === currency && other.hourlyRate === null);
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
        for (const { id, revision } of [row, ...without]) {
          const charged = await save(SaveRestoration, {
            input: { id, revision, hourlyRateMinor: hourlyRateMinor as number | null },
          });
          if (charged.kind !== "saved") return charged;
        }
        return hand;
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
          hint={`On ${listed([machine, ...without.map((other) => other.machine)])}${without.length > 0 ? ", which have no rate yet" : ""}; blank: not said`}
          currency={currency}
          decimals={decimals}
        />
      </div>
    </Form>
  );
}
