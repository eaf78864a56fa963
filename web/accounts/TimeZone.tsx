import { useState } from "react";
import { useClient, useQuery } from "urql";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { SaveWorkshop, WorkshopQuery } from "./documents.ts";

const ZONES = Intl.supportedValuesOf("timeZone").map((value) => ({ value, label: value.replaceAll("_", " ") }));

/** Where the workshop's days begin: figures are for today there. */
export function TimeZone() {
  const client = useClient();
  const [result, again] = useQuery({ query: WorkshopQuery, requestPolicy: "cache-and-network" });
  const [said, setSaid] = useState("");
  const workshop = result.data?.me.workshop;
  const readAgain = () => again({ requestPolicy: "network-only" });
  return (
    <Section title="The workshop's day" id="time-zone">
      {workshop ? (
        <>
          <AccountForm
            key={workshop.revision}
            label="The workshop's day"
            button="Save"
            fields={[
              {
                name: "timeZone",
                label: "Time zone",
                hint: "Figures are for today in it, and the mail of the morning goes out after six.",
                choices: [{ value: "", label: "as the server's" }, ...ZONES],
                initial: workshop.timeZone ?? "",
              },
            ]}
            send={async ({ timeZone = "" }) => {
              setSaid("");
              const input = { revision: workshop.revision, timeZone: timeZone === "" ? null : timeZone };
              const { data, error } = await client.mutation(SaveWorkshop, { input }).toPromise();
              if (data?.saveWorkshop.__typename === "StaleRow") {
                setSaid("Not saved: it was changed elsewhere meanwhile, and is shown here as it is now.");
                readAgain();
              }
              return { answer: data?.saveWorkshop, error };
            }}
            onDone={(_saved, { timeZone = "" }) => {
              setSaid(timeZone === "" ? "Days begin where the server is." : `Days begin in ${timeZone}.`);
              readAgain();
            }}
          />
          <p role="status">{said}</p>
        </>
      ) : result.error ? (
        <Problem of={result.error} what="the workshop" again={readAgain} />
      ) : (
        <Loading what="the workshop" />
      )}
    </Section>
  );
}
