import { useRef, useState } from "react";
import { type ChosenFile, packed, sortedOut } from "../shared/chosenFiles.ts";
import { ChoiceShown, Chooser } from "../shared/FileChooser.tsx";
import { counted, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { clubAddress } from "./addresses.ts";
import { type ClubFault, ClubFaults } from "./ClubFaults.tsx";

interface Imported {
  /** Null where nothing differed. */
  change: string | null;
  counts: readonly { file: string; rows: number; added: number; changed: number; same: number }[];
  notices: readonly ClubFault[];
}

interface Refusal {
  message: string;
  faults?: readonly ClubFault[];
}

type Stands =
  | { is: "resting" }
  | { is: "working" }
  | { is: "stopped" }
  | { is: "done"; imported: Imported }
  | { is: "refused"; refusal: Refusal };

const KEPT = "Nothing was changed; your choice of files is kept.";

/** Choosing the club's files, sending them, and what came of it. What was chosen stays until something else is. */
export function ClubImport() {
  const [chosen, setChosen] = useState<readonly ChosenFile[]>([]);
  const [stands, setStands] = useState<Stands>({ is: "resting" });
  const sending = useRef<AbortController | null>(null);
  const { send, aside, fault } = sortedOut(chosen);
  const working = stands.is === "working";

  const bringIn = async () => {
    setStands({ is: "working" });
    const stop = new AbortController();
    sending.current = stop;
    setStands(await sent(send, stop.signal));
  };

  return (
    <>
      <Chooser
        disabled={working}
        onChoose={(files) => {
          if (files.length === 0) return;
          setChosen(files);
          setStands({ is: "resting" });
        }}
      />
      {chosen.length > 0 && <ChoiceShown send={send} aside={aside} fault={fault} />}
      <div className="row">
        <button
          type="button"
          className="main"
          disabled={working || send.length === 0 || fault !== null}
          onClick={() => void bringIn()}
        >
          {stands.is === "resting" || working ? "Import" : "Import again"}
        </button>
        {working && (
          <button type="button" onClick={() => sending.current?.abort()}>
            Stop
          </button>
        )}
      </div>
      <div role="status">
        {working && (
          <>
            <p>Sending the files, and checking every row of them …</p>
            <progress aria-label="Importing" />
          </>
        )}
        {stands.is === "stopped" && (
          <p>
            Stopped; your choice of files is kept. Nothing was changed, unless all of it was written before the stop:
            importing again says so.
          </p>
        )}
      </div>
      {stands.is === "refused" && <Refused refusal={stands.refusal} />}
      {stands.is === "done" && <Done imported={stands.imported} />}
    </>
  );
}

async function sent(files: readonly ChosenFile[], signal: AbortSignal): Promise<Stands> {
  try {
    const body = await packed(files);
    const headers = { "content-type": "application/zip" };
    const response = await fetch("/club-import", { method: "POST", body, headers, signal });
    const answer: unknown = await response.json().catch(() => null);
    if (response.ok && answer !== null) return { is: "done", imported: answer as Imported };
    return { is: "refused", refusal: (answer as Refusal | null) ?? { message: "The server did not take the files." } };
  } catch (error) {
    const name = error instanceof DOMException ? error.name : "";
    if (name === "AbortError") return { is: "stopped" };
    return {
      is: "refused",
      refusal: {
        message:
          name === "NotReadableError"
            ? "A file was changed or moved after it was chosen. Choose the files again."
            : "The files could not be sent: the server did not answer.",
      },
    };
  }
}

function Refused({ refusal: { message, faults = [] } }: { refusal: Refusal }) {
  const placed = faults.filter(({ file }) => file != null);
  return (
    <div className="run">
      <p className="form-problem" role="alert">
        {placed.length > 0
          ? `${counted(placed.length, "value")} must be corrected before anything is written. Correct the files and choose them again. ${KEPT}`
          : `${message} ${KEPT}`}
      </p>
      {placed.length > 0 && <ClubFaults kind="faults" faults={placed} />}
    </div>
  );
}

/** The import is one change, so one undo takes all of it back. */
function Done({ imported: { change, counts, notices } }: { imported: Imported }) {
  const { undo, saving } = useSave();
  const [undone, setUndone] = useState(false);
  const wrote = counts.reduce((sum, { added, changed }) => sum + added + changed, 0);
  return (
    <div className="run">
      <p role="status">
        <Mark
          word={
            undone
              ? "The import has been taken back"
              : change === null
                ? "The club had all of it already"
                : `${counted(wrote, "row")} brought in`
          }
          colour={undone ? "ink" : "verdigris"}
          shape={undone ? "empty" : "full"}
        />
      </p>
      <div className="row">
        <a className="button" href={clubAddress.sources()}>
          See the sources
        </a>
        {change !== null && !undone && (
          <button type="button" disabled={saving} onClick={async () => setUndone(await undo(change))}>
            Undo the import
          </button>
        )}
      </div>
      <Table
        caption="Rows by file"
        captionSeen
        rows={counts}
        rowKey={({ file }) => file}
        columns={[
          { id: "file", title: "File", lead: true, cell: ({ file }) => file },
          { id: "rows", title: "Rows", numeric: true, cell: ({ rows }) => plainNumber(rows) },
          { id: "added", title: "New", numeric: true, cell: ({ added }) => plainNumber(added) },
          { id: "changed", title: "Changed", numeric: true, cell: ({ changed }) => plainNumber(changed) },
          { id: "same", title: "Same", numeric: true, cell: ({ same }) => plainNumber(same) },
        ]}
      />
      {notices.length > 0 && <ClubFaults kind="notices" faults={notices} />}
    </div>
  );
}
