import { type DragEvent, useId, useRef, useState } from "react";
import { counted, plainNumber } from "../shared/format.ts";
import { type ChosenFile, ofDrop, ofInput, packed, sortedOut } from "./chosenFiles.ts";
import { ImportRun } from "./ImportRun.tsx";
import { useImportJob } from "./job.ts";

interface ImportProps {
  restoration: string;
  machine: string;
}

/** Choosing files, sending them, and what came of it. What was chosen stays until something else is. */
export function Import({ restoration, machine }: ImportProps) {
  const [chosen, setChosen] = useState<readonly ChosenFile[]>([]);
  const [into, setInto] = useState<"this" | "new">("this");
  const [sending, setSending] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [id, setId] = useState<string | null>(null);
  const stop = useRef<AbortController | null>(null);
  const run = useImportJob(id);
  const { send, aside, fault } = sortedOut(chosen);

  const choose = (files: readonly ChosenFile[]) => {
    if (files.length === 0) return;
    setChosen(files);
    setProblem(null);
    setId(null);
  };

  const check = async () => {
    setSending(true);
    setProblem(null);
    setId(null);
    stop.current = new AbortController();
    try {
      const body = await packed(send);
      const address = into === "this" ? `/import?restoration=${encodeURIComponent(restoration)}` : "/import";
      const response = await fetch(address, {
        method: "POST",
        body,
        headers: { "content-type": "application/zip" },
        signal: stop.current.signal,
      });
      const answer = (await response.json().catch(() => null)) as { job?: string; message?: string } | null;
      if (response.ok && answer?.job) setId(answer.job);
      else setProblem(`${answer?.message ?? "The server did not take the files."} Your choice of files is kept.`);
    } catch (error) {
      setProblem(
        error instanceof DOMException && error.name === "AbortError"
          ? "Stopped. Nothing was changed; your choice of files is kept."
          : error instanceof DOMException && error.name === "NotReadableError"
            ? "A file was changed or moved after it was chosen. Choose the files again."
            : "The files could not be sent: the server did not answer. Nothing was changed; your choice of files is kept.",
      );
    }
    setSending(false);
  };

  const busy = sending || (run.job !== null && ["READING", "CHECKING", "WRITING"].includes(run.job.state));
  return (
    <>
      <Chooser disabled={busy} onChoose={choose} />
      {chosen.length > 0 && <ChoiceShown send={send} aside={aside} fault={fault} />}
      <fieldset className="into" disabled={busy}>
        <legend>Bring them</legend>
        <label>
          <input type="radio" name="into" checked={into === "this"} onChange={() => setInto("this")} />
          <span>into {machine}: rows with a known code are changed, others added, none taken away</span>
        </label>
        <label>
          <input type="radio" name="into" checked={into === "new"} onChange={() => setInto("new")} />
          <span>in as a new restoration</span>
        </label>
      </fieldset>
      <div className="row">
        <button
          type="button"
          className={run.job?.state === "READY" ? "" : "main"}
          disabled={busy || send.length === 0 || fault !== null}
          onClick={() => void check()}
        >
          {id ? "Check the files again" : "Check the files"}
        </button>
        {sending && (
          <>
            <span role="status">Sending {counted(send.length, "file")} …</span>
            <button type="button" onClick={() => stop.current?.abort()}>
              Stop
            </button>
          </>
        )}
      </div>
      {problem && (
        <p className="form-problem" role="alert">
          {problem}
        </p>
      )}
      {id && <ImportRun key={id} run={run} restoration={restoration} />}
    </>
  );
}

function Chooser({ disabled, onChoose }: { disabled: boolean; onChoose: (files: readonly ChosenFile[]) => void }) {
  const id = useId();
  const [over, setOver] = useState(false);
  const drop = async (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (!disabled) onChoose(await ofDrop(event.dataTransfer));
  };
  const input = (kind: "files" | "folder") => (
    <div className="field">
      <label htmlFor={`${id}-${kind}`}>{kind === "files" ? "A zip, or CSV files" : "A folder"}</label>
      <input
        id={`${id}-${kind}`}
        type="file"
        multiple
        disabled={disabled}
        accept={kind === "files" ? ".zip,.csv,.json,application/zip,text/csv,application/json" : undefined}
        {...(kind === "folder" ? { webkitdirectory: "" } : {})}
        onChange={(event) => {
          if (event.target.files) onChoose(ofInput(event.target.files));
        }}
      />
    </div>
  );
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a second way; the fields inside take files by keyboard
    <div
      className={`drop${over ? " over" : ""}`}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => void drop(event)}
    >
      <p>Drop a zip, CSV files or a folder here, or choose:</p>
      <div className="columns">
        {input("files")}
        {input("folder")}
      </div>
    </div>
  );
}

function ChoiceShown({
  send,
  aside,
  fault,
}: {
  send: readonly ChosenFile[];
  aside: readonly string[];
  fault: string | null;
}) {
  const bytes = send.reduce((sum, one) => sum + one.file.size, 0);
  const named = send.slice(0, 20).map((one) => one.path.split("/").at(-1));
  return (
    <div className="choice">
      {fault && (
        <p className="form-problem" role="alert">
          {fault}
        </p>
      )}
      {send.length > 0 && (
        <p>
          Chosen: {named.join(", ")}
          {send.length > 20 ? ` and ${send.length - 20} more` : ""}{" "}
          <span className="soft">({plainNumber(Math.max(1, Math.round(bytes / 1024)), 0)} kB)</span>
        </p>
      )}
      {aside.length > 0 && (
        <p className="soft">
          Left aside, being no CSV or JSON: {aside.slice(0, 8).join(", ")}
          {aside.length > 8 ? ` and ${aside.length - 8} more` : ""}
        </p>
      )}
    </div>
  );
}
