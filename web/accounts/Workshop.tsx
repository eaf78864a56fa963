import { useState } from "react";
import { useClient, useQuery } from "urql";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { SaveWorkshop, WorkshopQuery } from "./documents.ts";

const ZONES = Intl.supportedValuesOf("timeZone");

/** Where most who restore machines live. */
const COMMON = [
  "Europe/London",
  "Europe/Dublin",
  "Europe/Paris",
  "Europe/Berlin",
  "Europe/Stockholm",
  "America/New_York",
  "America/Chicago",
  "America/Denver",
  "America/Los_Angeles",
  "Australia/Sydney",
  "Pacific/Auckland",
];

const placeOf = (zone: string): string => zone.slice(zone.lastIndexOf("/") + 1).replaceAll("_", " ");

/** "London (Europe)", "UTC" */
const labelOf = (zone: string): string => {
  const region = zone.slice(0, Math.max(0, zone.lastIndexOf("/"))).replaceAll("_", " ");
  return region === "" ? placeOf(zone) : `${placeOf(zone)} (${region})`;
};

/** The server's, that of the workshop, this browser's and the common ones; then the others by the name of the place. */
function zoneChoices(own: string | null) {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const first = [own, here, ...COMMON].filter((zone) => zone !== null);
  const others = ZONES.toSorted((a, b) => placeOf(a).localeCompare(placeOf(b)));
  return [
    { value: "", label: "as the server's" },
    ...[...new Set([...first, ...others])].map((value) => ({ value, label: labelOf(value) })),
  ];
}

/** What the workshop is called, and where its days begin: figures are for today there. */
export function Workshop() {
  const client = useClient();
  const [result, again] = useQuery({ query: WorkshopQuery, requestPolicy: "cache-and-network" });
  const [said, setSaid] = useState("");
  const workshop = result.data?.me.workshop;
  const readAgain = () => again({ requestPolicy: "network-only" });
  return (
    <Section title="The workshop" id="workshop">
      {workshop ? (
        <>
          <AccountForm
            key={workshop.revision}
            label="The workshop"
            button="Save"
            fields={[
              { name: "name", label: "Workshop", autoComplete: "organization", initial: workshop.name },
              {
                name: "address",
                label: "Address",
                type: "lines",
                hint: "At the head of the owner's report.",
                autoComplete: "street-address",
                initial: workshop.address,
              },
              {
                name: "replyTo",
                label: "Where to reply",
                hint: "A telephone number, an e-mail: owners see it on their report.",
                initial: workshop.replyTo,
              },
              {
                name: "timeZone",
                label: "Time zone",
                hint: "Figures are for today in it, and the mail of the morning goes out after six.",
                choices: zoneChoices(workshop.timeZone),
                initial: workshop.timeZone ?? "",
              },
            ]}
            send={async ({ name = "", address = "", replyTo = "", timeZone = "" }) => {
              setSaid("");
              const input = {
                revision: workshop.revision,
                name,
                address,
                replyTo,
                timeZone: timeZone === "" ? null : timeZone,
              };
              const { data, error } = await client.mutation(SaveWorkshop, { input }).toPromise();
              if (data?.saveWorkshop.__typename === "StaleRow") {
                setSaid("Not saved: it was changed elsewhere meanwhile, and is shown here as it is now.");
                readAgain();
              }
              return { answer: data?.saveWorkshop, error };
            }}
            onDone={(_saved, { name = "", timeZone = "" }) => {
              setSaid(
                `Saved: ${name.trim()}; days begin ${timeZone === "" ? "where the server is" : `in ${placeOf(timeZone)}`}.`,
              );
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
