import type { VariablesOf } from "gql.tada";
import { useState } from "react";
import { graphql } from "../client.ts";
import { Dialog } from "./Dialog.tsx";
import { SaveParts, useSave } from "./save.tsx";

const RemoveRow = graphql(
  `
  mutation RemoveRow($id: ID!, $revision: Int!, $row: RowKind!) {
    remove(id: $id, revision: $revision, row: $row) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface RemoveButtonProps {
  row: VariablesOf<typeof RemoveRow>["row"];
  id: string;
  revision: number;
  /** What goes: "the rear axle". */
  what: string;
  /** Asks first, with these words. Only where undo cannot help. */
  confirm?: string;
  /** Called once it is gone; leave the address of the row here. */
  onRemoved?: () => void;
  /** Shorter or other words on the button. */
  label?: string;
}

/** Takes a row away; undo brings it back with all that hung on it. */
export function RemoveButton({ row, id, revision, what, confirm, onRemoved, label }: RemoveButtonProps) {
  const [asking, setAsking] = useState(false);
  const { save, saving } = useSave();
  const remove = async () => {
    setAsking(false);
    const outcome = await save(RemoveRow, { id, revision, row }, { removes: true });
    if (outcome.kind === "saved") onRemoved?.();
  };
  return (
    <>
      <button
        type="button"
        className="remove"
        disabled={saving}
        onClick={() => (confirm ? setAsking(true) : void remove())}
      >
        {label ?? "Remove"}
        <span className="unseen"> {what}</span>
      </button>
      {confirm && (
        <Dialog open={asking} title={`Remove ${what}?`} onClose={() => setAsking(false)}>
          <p className="prose">{confirm}</p>
          <div className="dialog-foot">
            <button type="button" className="main" onClick={() => void remove()}>
              Remove {what}
            </button>
            <button type="button" onClick={() => setAsking(false)}>
              Keep it
            </button>
          </div>
        </Dialog>
      )}
    </>
  );
}
