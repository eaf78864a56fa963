import { useState } from "react";
import type { Conflict } from "./conflict.ts";
import { Dialog } from "./Dialog.tsx";

/** Fields in which theirs is kept, or the choice put off. */
export type StaleChoice = ReadonlySet<string> | "putOff";

interface StaleDialogProps {
  message: string;
  /** Of several rows, the one that it is. */
  row?: string | null;
  /** Nothing is set: the row is removed. */
  removes?: boolean;
  conflicts: readonly Conflict[];
  onChoose: (choice: StaleChoice) => void;
}

/** "hoursLikely" is "Hours likely"; for what stands in no form. */
const wordsOfField = (field: string): string =>
  field
    .replace(/Minor$/, "")
    .replace(/([A-Z])/g, (letter) => ` ${letter.toLowerCase()}`)
    .replace(/^./, (letter) => letter.toUpperCase());

/** Two changes of one row, side by side: which value to keep, field by field. */
export function StaleDialog({ message, row, removes = false, conflicts, onChoose }: StaleDialogProps) {
  const [theirs, setTheirs] = useState<ReadonlySet<string>>(new Set());
  const keep = (field: string, whose: "theirs" | "yours") => {
    const next = new Set(theirs);
    if (whose === "theirs") next.add(field);
    else next.delete(field);
    setTheirs(next);
  };
  return (
    <Dialog open title={`Changed elsewhere meanwhile${row ? `: ${row}` : ""}`} onClose={() => onChoose("putOff")}>
      {removes ? (
        <p className="prose">It was changed after you last saw it. Decide later to look at it first.</p>
      ) : conflicts.length === 0 ? (
        <p className="prose">Their change touches none of the fields that you changed. Saving keeps both.</p>
      ) : (
        <p className="prose">{message}</p>
      )}
      {conflicts.map(({ field, label = wordsOfField(field), shown = String, theirs: other, yours }) => (
        <fieldset key={field} className="stale-field">
          <legend>{label}</legend>
          {(["yours", "theirs"] as const).map((whose) => {
            const value = whose === "yours" ? yours : other;
            return (
              <label key={whose}>
                <input
                  type="radio"
                  name={`keep-${field}`}
                  checked={theirs.has(field) === (whose === "theirs")}
                  onChange={() => keep(field, whose)}
                />
                <span>
                  {whose}: <strong>{(value && shown(value)) || "blank"}</strong>
                </span>
              </label>
            );
          })}
        </fieldset>
      ))}
      <div className="dialog-foot">
        <button type="button" className="main" onClick={() => onChoose(theirs)}>
          {removes ? "Remove it all the same" : conflicts.length === 0 ? "Save both" : "Save what is marked"}
        </button>
        <button type="button" onClick={() => onChoose("putOff")}>
          Decide later
        </button>
      </div>
    </Dialog>
  );
}
