import { useId, useRef, useState } from "react";
import { type ChosenFile, packed, sortedOut } from "../shared/chosenFiles.ts";
import { ChoiceShown, Chooser } from "../shared/FileChooser.tsx";
import { counted } from "../shared/format.ts";
import type { ColumnsSaid } from "./ColumnsRead.tsx";
import { ImportRun } from "./ImportRun.tsx";
import { useImportJob } from "./job.ts";

interface ImportProps {
  /** Absent where there is none yet. */
  restoration?: string;
  machine?: string;
}

/** Choosing files, sending them, and what came of it. What was chosen stays until something else is. */
export function Import({ restoration, machine }: ImportProps) {
  const [chosen, setChosen] = useState<readonly ChosenFile[]>([]);
  const [into, setInto] = useState<"this" | "new">(restoration === undefined ? "new" : "this");
  const [called, setCalled] = useState("");
  /** What columns are said to be, by file and heading. */
  const [columns, setColumns] = useState<ColumnsSaid>({});
  const name = useId();
  const [sending, setSending] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [id, setId] = useState<string | null>(null);
  const stop = useRef<AbortController | null>(null);
  const run = useImportJob(id);
  const { send, aside, fault } = sortedOut(chosen);

  const choose = (files: readonly ChosenFile[]) => {
    if (files.length === 0) return;
    setChosen(files);
    setColumns({});
    setProblem(null);
    setId(null);
  };

  const check = async (said: ColumnsSaid) => {
    setColumns(said);
    setSending(true);
    setProblem(null);
    setId(null);
    stop.current = new AbortController();
    try {
      const body = await packed(send);
      const where = new URLSearchParams();
      if (into === "this" && restoration !== undefined) where.set("restoration", restoration);
      else if (called.trim() !== "") where.set("machine", called.trim());
      if (Object.keys(said).length > 0) where.set("columns", JSON.stringify(said));
      const response = await fetch(`/import?${where}`, {
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
      {restoration !== undefined && (
        <fieldset className="into" disabled={busy}>
          <legend>Bring them</legend>
          <label>
            <input type="radio" name="into" checked={into === "this"} onChange={() => setInto("this")} />
            <span>into {machine}: rows with a known code are changed, others added, none taken away</span>
          </label>
          <label>
            <input type="radio" name="into" checked={into === "new"} onChange={() => setInto("new")} />
            <span>in as a new restoration, or into another by its name</span>
          </label>
        </fieldset>
      )}
      {into === "new" && (
        <div className="field called">
          <label htmlFor={name}>Machine</label>
          <span className="hint" id={`${name}-hint`}>
            One that is in the shop, or a new one; blank: as restoration.json says
          </span>
          <input
            id={name}
            autoComplete="off"
            aria-describedby={`${name}-hint`}
            value={called}
            disabled={busy}
            onChange={(event) => setCalled(event.target.value)}
          />
        </div>
      )}
      <div className="row">
        <button
          type="button"
          className={run.job?.state === "READY" ? "" : "main"}
          disabled={busy || send.length === 0 || fault !== null}
          onClick={() => void check(columns)}
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
      {id && (
        <ImportRun key={id} run={run} restoration={restoration} onColumns={(said) => void check(said)} said={columns} />
      )}
    </>
  );
}
