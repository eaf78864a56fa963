import { dateInFull, hours } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Section } from "../shared/Page.tsx";
import { UnsentWords } from "../shared/unsent.tsx";
import type { Waiting } from "../shared/waitingRows.ts";
import type { WaitingHours } from "./kept.ts";

/** Hours that only this device knows, and why. */
export function NotSent({ waiting }: { waiting: Waiting<WaitingHours> }) {
  if (waiting.rows.length === 0) return null;
  return (
    <Section title="Not yet sent" id="not-sent">
      <UnsentWords waiting={waiting} noun="booking" />
      <ul className="hours-lines">
        {waiting.rows.map((row) => (
          <li key={row.clientKey}>
            <h3>{row.operationName}</h3>
            <p>
              <Mark word="not yet sent" colour="brass" shape="half" /> {hours(row.input.hours)} on{" "}
              {dateInFull(row.input.workedOn)}
              {row.input.remainingHours != null && <>, {hours(row.input.remainingHours)} still to do</>}
              {row.input.notes && <>. {row.input.notes}</>}
            </p>
            {row.problem && <p className="form-problem">Not taken: {row.problem} It is kept here.</p>}
            <div className="row">
              {row.problemCode === "OPERATION_DONE" && (
                <button
                  type="button"
                  onClick={() => void waiting.keep({ ...row, problem: null, input: { ...row.input, afterDone: true } })}
                >
                  Book them all the same<span className="unseen"> to {row.operationName}; it stays done</span>
                </button>
              )}
              <button type="button" className="remove" onClick={() => void waiting.drop(row.clientKey)}>
                Throw away<span className="unseen"> the hours of {row.operationName}</span>
              </button>
            </div>
          </li>
        ))}
      </ul>
    </Section>
  );
}
