import { useState } from "react";
import { Link } from "react-router";
import { Photographs } from "../photographs/Photographs.tsx";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, daysBetween } from "../shared/format.ts";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { RowChanges } from "../shared/RowChanges.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Remedies } from "./Remedies.tsx";
import { RemedyForm } from "./RemedyForm.tsx";
import { SnagForm } from "./SnagForm.tsx";
import { SaveSnag, type SnagOnSheet } from "./snag.ts";

/** One snag: what was found, and its remedies side by side. */
export function SnagSheet({ snag, onRemoved }: { snag: SnagOnSheet; onRemoved: () => void }) {
  const restoration = useRestoration();
  const { save, saving } = useSave();
  const [editing, setEditing] = useState(false);
  const [adding, setAdding] = useState(false);
  const { inDays } = useDayInView();
  const on = restoration.day;
  return (
    <>
      <Section
        title={`${codeInWords("Snag", snag.code)} ${snag.title}`}
        id="snag"
        aside={
          <>
            <button
              type="button"
              disabled={saving}
              onClick={() =>
                void save(SaveSnag, {
                  input: { id: snag.id, revision: snag.revision, clearedOn: snag.clearedOn ? null : on },
                })
              }
            >
              {snag.clearedOn ? "Open it again" : "Mark cleared"}
            </button>
            <button type="button" aria-expanded={editing} onClick={() => setEditing(!editing)}>
              Change<span className="unseen"> the snag</span>
            </button>
            <RemoveButton
              row="SNAG"
              id={snag.id}
              revision={snag.revision}
              what={`the snag ${snag.title}`}
              onRemoved={onRemoved}
            />
          </>
        }
      >
        {editing ? (
          <SnagForm snag={snag} onSaved={() => setEditing(false)} onCancel={() => setEditing(false)} />
        ) : (
          <>
            <p className="prose">
              {snag.clearedOn ? (
                <>Cleared on {dateInFull(snag.clearedOn)}. </>
              ) : (
                <>
                  <Link to={addressOf.operation(restoration.id, snag.operation.id)}>
                    {codeInWords("operation", snag.operation.code)}
                  </Link>{" "}
                  stops here until it is cleared.{" "}
                </>
              )}
              {snag.foundOn && `Found on ${dateInFull(snag.foundOn)}, ${inDays(daysBetween(on, snag.foundOn))}.`}
            </p>
            {snag.description && <p className="prose">{snag.description}</p>}
          </>
        )}
        <h3 className="remedies-head">Remedies</h3>
        {snag.remedies.length === 0 && !adding && (
          <p className="soft">
            No remedy is on record{snag.clearedOn ? "." : ": while there is none, the machine has no completion date."}
          </p>
        )}
        <Remedies snag={snag} />
        {adding ? (
          <RemedyForm snag={snag} onDone={() => setAdding(false)} />
        ) : (
          <button type="button" className="no-print" onClick={() => setAdding(true)}>
            Add a remedy
          </button>
        )}
      </Section>
      <Photographs of={[{ kind: "snag", id: snag.id, name: `snag ${snag.code} ${snag.title}` }]} />
      <RowChanges row="SNAG" id={snag.id} />
    </>
  );
}
