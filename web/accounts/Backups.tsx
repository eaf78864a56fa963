import type { ResultOf } from "gql.tada";
import { useState } from "react";
import { useClient, useQuery } from "urql";
import { ago, counted, fileSize, momentInFull } from "../shared/format.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { AccountForm } from "./AccountForm.tsx";
import { BackupsQuery, SaveBackups } from "./documents.ts";

type BackupsRow = ResultOf<typeof BackupsQuery>["backups"];

/** The workshop's backups: how old the newest is, whether the last try failed, and whether one is written each night. */
export function Backups() {
  const client = useClient();
  const [result, again] = useQuery({ query: BackupsQuery, requestPolicy: "cache-and-network" });
  const [round, setRound] = useState(0);
  const [said, setSaid] = useState("");
  const row = result.data?.backups;
  const readAgain = () => again({ requestPolicy: "network-only" });
  return (
    <Section title="Backups" id="backups">
      {row ? (
        <>
          <Newest row={row} />
          <AccountForm
            key={`${row.revision} ${round}`}
            label="Backups"
            button="Save"
            fields={[
              {
                name: "nightly",
                label: "A backup each night",
                choices: [
                  { value: "on", label: "on, after three in the morning" },
                  { value: "off", label: "off" },
                ],
                initial: row.nightly ? "on" : "off",
              },
              {
                name: "kept",
                label: "Backups kept",
                hint: "From 1 to 100; the oldest are removed. The newest that lacks nothing always stays.",
                initial: String(row.kept),
                when: ({ nightly }) => nightly === "on",
              },
            ]}
            send={async ({ nightly, kept = "" }) => {
              setSaid("");
              const number = /^\s*\d{1,9}\s*$/.test(kept) ? Number(kept) : 0;
              const input = {
                revision: row.revision,
                nightly: nightly === "on",
                kept: nightly === "on" ? number : null,
              };
              const { data, error } = await client.mutation(SaveBackups, { input }).toPromise();
              if (data?.saveBackups.__typename === "StaleRow") {
                setSaid("Not saved: it was changed elsewhere meanwhile, and is shown here as it is now.");
                readAgain();
              }
              return { answer: data?.saveBackups, error };
            }}
            onDone={(_saved, { nightly }) => {
              setRound((now) => now + 1);
              setSaid(nightly === "on" ? "A backup is written each night." : "No backup is written each night.");
              readAgain();
            }}
          />
          <p role="status">{said}</p>
        </>
      ) : result.error ? (
        <Problem of={result.error} what="the backups" again={readAgain} />
      ) : (
        <Loading what="the backups" />
      )}
    </Section>
  );
}

function Newest({ row: { newest, failed, nightly } }: { row: BackupsRow }) {
  return (
    <>
      {newest ? (
        <p className="prose">
          Newest backup: <time dateTime={newest.madeAt}>{ago(newest.madeAt)}</time>,{" "}
          {counted(newest.photographs, "photograph")}, {fileSize(newest.bytes)}.
          {newest.wrong > 0 &&
            ` ${counted(newest.wrong, "file")} of photographs ${newest.wrong === 1 ? "was" : "were"} missing or altered when it was made: npm run -s verify names them.`}{" "}
          It is on the server as backups/{newest.name}; keep a copy on another machine.
        </p>
      ) : (
        <p className="prose">
          There is no backup yet.{" "}
          {nightly
            ? "The first is written in the coming night, after three; the server must be running then, or be started later."
            : "None is written each night. npm run -s backup -- FILE writes one now."}
        </p>
      )}
      {failed && (
        <p className="form-problem" role="alert">
          The last backup failed ({momentInFull(failed.at)}) and is tried again by itself: {failed.why}
        </p>
      )}
    </>
  );
}
