import { type DragEvent, useId, useState } from "react";
import { type ChosenFile, ofDrop, ofInput } from "./chosenFiles.ts";
import { plainNumber } from "./format.ts";
import "./files.css";

/** Where files are chosen or dropped: a zip, loose files or a folder. */
export function Chooser({
  disabled,
  onChoose,
}: {
  disabled: boolean;
  onChoose: (files: readonly ChosenFile[]) => void;
}) {
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

/** What of the choice is sent, what is left aside, or why nothing can be. */
export function ChoiceShown({
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
          Left out, not being CSV or JSON: {aside.slice(0, 8).join(", ")}
          {aside.length > 8 ? ` and ${aside.length - 8} more` : ""}
        </p>
      )}
    </div>
  );
}
