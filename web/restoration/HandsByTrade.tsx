import { useState } from "react";
import { MoneyField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { counted, hours, money } from "../shared/format.ts";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type RestorationRow, SaveHands } from "./restorationRow.ts";

type Hands = RestorationRow["hands"][number];

/** How many people of each trade, for how many hours a day, and what an hour of theirs is charged at. */
export function HandsByTrade({ restoration, hands }: { restoration: string; hands: readonly Hands[] }) {
  const [open, setOpen] = useState<string | null>(null);
  return (
    <>
      {hands.length === 0 && <p className="soft">No trade has hands on record yet.</p>}
      <ul className="lines-narrow">
        {hands.map((row) => (
          <li key={row.id}>
            <span>
              <strong>{row.trade}</strong>{" "}
              <span className="soft">
                {counted(row.people, "person", "people")}, {hours(row.hoursPerDay)} a day each
                {row.rate && `, ${money(row.rate)} an hour`}
              </span>
            </span>
            <span className="row no-print">
              <button
                type="button"
                aria-expanded={open === row.id}
                onClick={() => setOpen(open === row.id ? null : row.id)}
              >
                Change<span className="unseen"> the hands for {row.trade}</span>
              </button>
              <RemoveButton row="HANDS" id={row.id} revision={row.revision} what={`the hands for ${row.trade}`} />
            </span>
            {open === row.id && (
              <div className="block">
                <HandsForm restoration={restoration} row={row} onDone={() => setOpen(null)} />
              </div>
            )}
          </li>
        ))}
      </ul>
      {open === "new" ? (
        <HandsForm restoration={restoration} onDone={() => setOpen(null)} />
      ) : (
        <button type="button" className="no-print" onClick={() => setOpen("new")}>
          Add a trade
        </button>
      )}
    </>
  );
}

function HandsForm({ restoration, row, onDone }: { restoration: string; row?: Hands; onDone: () => void }) {
  const { trades, currency, decimals } = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={row ? `Hands for ${row.trade}` : "Hands for a trade"}
      saveLabel="Save the hands"
      row={row ? { id: row.id, revision: row.revision } : null}
      initial={
        row
          ? { trade: row.trade, people: row.people, hoursPerDay: row.hoursPerDay, rateMinor: row.rate?.minor ?? null }
          : { trade: "", people: 1, hoursPerDay: 8, rateMinor: null }
      }
      onSave={(input) => save(SaveHands, { input: row ? input : { ...input, restoration } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="trade" label="Trade" suggestions={trades} />
        <NumberField name="people" label="People" whole />
        <NumberField name="hoursPerDay" label="Hours a day each" unit="h" />
        <MoneyField
          name="rateMinor"
          label="An hour is charged at"
          hint="Blank: the restoration's own rate"
          currency={currency}
          decimals={decimals}
        />
      </div>
    </Form>
  );
}
