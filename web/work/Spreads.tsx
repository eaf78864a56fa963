import { useState } from "react";
import { useClient, useQuery } from "urql";
import { AccountForm } from "../accounts/AccountForm.tsx";
import { SaveWorkshop, WorkshopQuery } from "../accounts/documents.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { useMay } from "../shared/useMay.ts";
import { MOST_PERCENT, percentOf, spreadOf } from "./howLong.ts";

/** What the workshop expects of its estimates before it knows: told and asked in per cent, kept as spreads. */
export function Spreads({ onSaved }: { onSaved: () => void }) {
  const client = useClient();
  const may = useMay();
  const [result, again] = useQuery({ query: WorkshopQuery });
  const [said, setSaid] = useState("");
  const workshop = result.data?.me.workshop;
  const readAgain = () => again({ requestPolicy: "network-only" });
  if (!workshop)
    return result.error ? (
      <Problem of={result.error} what="the workshop" again={readAgain} />
    ) : (
      <Loading what="the workshop" />
    );
  const { revision } = workshop;
  const shop = percentOf(workshop.shopSpread);
  const trade = percentOf(workshop.tradeSpread);
  /** What was left as it stood is kept to the last figure. */
  const kept = (text: string, percent: number, spread: number): number =>
    percentIn(text) === percent ? spread : spreadOf(percentIn(text)!);
  return (
    <>
      <p className="prose">
        Before anything is known, all work of a shop together is taken to end within {shop} per cent of its estimates in
        2 of 3 shops, and all work of a trade within {trade} per cent of what is usual in its shop in 2 of 3 trades.
        That is this program's own judgement until the workshop sets its own; every finished operation with hours booked
        counts more than it.
      </p>
      {may("Mutation.saveWorkshop") && (
        <AccountForm
          key={revision}
          label="How near estimates come"
          button="Save how near"
          fields={[
            {
              name: "shopSpread",
              label: "All work of a shop: in 2 of 3 within ± per cent",
              hint: `Of its estimates; 0 to ${MOST_PERCENT}`,
              initial: String(shop),
            },
            {
              name: "tradeSpread",
              label: "All work of a trade: in 2 of 3 within ± per cent",
              hint: "Of what is usual in the shop; with both at 0 estimates are taken as they stand",
              initial: String(trade),
            },
          ]}
          send={async ({ shopSpread = "", tradeSpread = "" }) => {
            setSaid("");
            const faults = Object.entries({ shopSpread, tradeSpread })
              .filter(([, text]) => percentIn(text) === null)
              .map(([field]) => ({ field, message: OUT, complaint: OUT }));
            if (faults.length > 0)
              return { answer: { __typename: "InvalidInput" as const, message: OUT, faults }, error: undefined };
            const input = {
              revision,
              shopSpread: kept(shopSpread, shop, workshop.shopSpread),
              tradeSpread: kept(tradeSpread, trade, workshop.tradeSpread),
            };
            const { data, error } = await client.mutation(SaveWorkshop, { input }).toPromise();
            if (data?.saveWorkshop.__typename === "StaleRow") readAgain();
            return { answer: data?.saveWorkshop, error };
          }}
          onDone={() => {
            setSaid("Saved: odds go by it from now on.");
            readAgain();
            onSaved();
          }}
        />
      )}
      <p role="status">{said}</p>
    </>
  );
}

const OUT = `must be between 0 and ${MOST_PERCENT}`;

/** Null for what is no per cent that can be meant. */
function percentIn(text: string): number | null {
  const value = Number(text.trim().replace(",", "."));
  return text.trim() !== "" && value >= 0 && value <= MOST_PERCENT ? value : null;
}
