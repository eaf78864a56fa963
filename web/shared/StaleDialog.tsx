import { useState } from "react";
import { Dialog } from "./Dialog.tsx";

/** Fields in which theirs is kept, or the choice put off. */
export type StaleChoice = ReadonlySet<string> | "putOff";

interface StaleDialogProps {
  row: { message: string; differences: readonly { field: string; theirs: string; yours: string }[] };
  onChoose: (choice: StaleChoice) => void;
}

/** "hoursLikely" is "hours likely" */
export const wordsOfField = (field: string): string =>
  field.replace(/Minor$/, "").replace(/([A-Z])/g, (letter) => ` ${letter.toLowerCase()}`);

/** Two changes of one row, side by side: which value to keep, field by field. */
export function StaleDialog({ row, onChoose }: StaleDialogProps) {
  const [theirs, setTheirs] = useState<ReadonlySet<string>>(new Set());
  const keep = (field: string, whose: "theirs" | "yours") => {
    const next = new Set(theirs);
    if (whose === "theirs") next.add(field);
    else next.delete(field);
    setTheirs(next);
  };
  return (
    <Dialog open title="Changed elsewhere meanwhile" onClose={() => onChoose("putOff")}>
      <p className="prose">{row.message}</p>
      {row.differences.map(({ field, theirs: other, yours }) => (
        <fieldset key={field} className="stale-field">
          <legend>{wordsOfField(field)}</legend>
          <label>
            <input
              type="radio"
              name={`keep-${field}`}
              checked={!theirs.has(field)}
              onChange={() => keep(field, "yours")}
            />
            <span>
              yours: <strong>{yours || "blank"}</strong>
            </span>
          </label>
          <label>
            <input
              type="radio"
              name={`keep-${field}`}
              checked={theirs.has(field)}
              onChange={() => keep(field, "theirs")}
            />
            <span>
              theirs: <strong>{other || "blank"}</strong>
            </span>
          </label>
        </fieldset>
      ))}
      {row.differences.length === 0 && (
        <p className="prose">Their change touches none of the fields that you changed. Saving keeps both.</p>
      )}
      <div className="dialog-foot">
        <button type="button" className="main" onClick={() => onChoose(theirs)}>
          Save what is marked
        </button>
        <button type="button" onClick={() => onChoose("putOff")}>
          Decide later
        </button>
      </div>
    </Dialog>
  );
}
