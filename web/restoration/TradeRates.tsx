import { useState } from "react";
import { MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { money } from "../shared/format.ts";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type RestorationRow, SaveTradeRate } from "./restorationRow.ts";

type TradeRate = RestorationRow["tradeRates"][number];

/** What an hour of each trade is charged at. */
export function TradeRates({ restoration, rates }: { restoration: string; rates: readonly TradeRate[] }) {
  const [open, setOpen] = useState<string | null>(null);
  return (
    <>
      {rates.length === 0 && <p className="soft">Every hour is charged at the restoration's own rate.</p>}
      <ul className="lines-narrow">
        {rates.map((row) => (
          <li key={row.id}>
            <span>
              <strong>{row.trade}</strong>{" "}
              <span className="soft">{row.rate ? `${money(row.rate)} an hour` : "at the restoration's own rate"}</span>
            </span>
            <span className="row no-print">
              <button
                type="button"
                aria-expanded={open === row.id}
                onClick={() => setOpen(open === row.id ? null : row.id)}
              >
                Change<span className="unseen"> the rate for {row.trade}</span>
              </button>
              <RemoveButton row="TRADE_RATE" id={row.id} revision={row.revision} what={`the rate for ${row.trade}`} />
            </span>
            {open === row.id && (
              <div className="block">
                <RateOfTrade restoration={restoration} row={row} onDone={() => setOpen(null)} />
              </div>
            )}
          </li>
        ))}
      </ul>
      {open === "new" ? (
        <RateOfTrade restoration={restoration} onDone={() => setOpen(null)} />
      ) : (
        <button type="button" className="no-print" onClick={() => setOpen("new")}>
          Add a rate for a trade
        </button>
      )}
    </>
  );
}

function RateOfTrade({ restoration, row, onDone }: { restoration: string; row?: TradeRate; onDone: () => void }) {
  const { trades, currency, decimals } = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={row ? `Rate for ${row.trade}` : "Rate for a trade"}
      saveLabel="Save the rate for the trade"
      row={row ? { id: row.id, revision: row.revision } : null}
      initial={{ trade: row?.trade ?? "", rateMinor: row?.rate?.minor ?? null }}
      onSave={(input) => save(SaveTradeRate, { input: row ? input : { ...input, restoration } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="trade" label="Trade" suggestions={trades} />
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
