import { useState } from "react";
import { useClient, useQuery } from "urql";
import { AccountForm } from "../accounts/AccountForm.tsx";
import { SaveWorkshop, WorkshopQuery } from "../accounts/documents.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { useMay } from "../shared/useMay.ts";

/** What the workshop expects of its estimates before it knows: stated, and for its admins to set. */
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
  const { shopSpread, tradeSpread, revision } = workshop;
  return (
    <>
      <p className="prose">
        Before anything is known, two shops in three lie within a factor of {plain(Math.exp(shopSpread))} of their
        estimates, and two trades in three within a factor of {plain(Math.exp(tradeSpread))} of their shop: spreads of{" "}
        {shopSpread} and {tradeSpread}. That is this program's own judgement until the workshop sets its own; every
        finished operation with hours booked counts against it.
      </p>
      {may("Mutation.saveWorkshop") && (
        <AccountForm
          key={revision}
          label="Spreads"
          button="Save the spreads"
          fields={[
            { name: "shopSpread", label: "Spread of shops", hint: "0 to 1", initial: String(shopSpread) },
            {
              name: "tradeSpread",
              label: "Spread of trades in a shop",
              hint: "With both at 0 estimates are taken as they stand",
              initial: String(tradeSpread),
            },
          ]}
          send={async ({ shopSpread: shop = "", tradeSpread: trade = "" }) => {
            setSaid("");
            const input = { revision, shopSpread: numberOf(shop), tradeSpread: numberOf(trade) };
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

const plain = (factor: number): string => String(Number(factor.toFixed(2)));

/** What is no number is out of range, which the server tells at its field. */
const numberOf = (text: string): number => {
  const value = Number(text.trim().replace(",", "."));
  return text.trim() !== "" && Number.isFinite(value) ? value : -1;
};
