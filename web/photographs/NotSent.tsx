import { useEffect, useRef, useState } from "react";
import { unfold } from "../shared/Fold.tsx";
import { percent } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { UnsentWords } from "../shared/unsent.tsx";
import type { useSendingPhotographs, WaitingPhotograph } from "./waiting.ts";

/** Photographs that only this device has: how far each is, and why one was not taken. */
export function NotSent({ waiting }: { waiting: ReturnType<typeof useSendingPhotographs> }) {
  const { rows, sending, progress } = waiting;
  const box = useRef<HTMLDivElement>(null);
  const some = rows.length > 0;
  useEffect(() => {
    if (some && box.current) unfold(box.current);
  }, [some]);
  if (!some) return null;
  return (
    <div className="photographs-waiting no-print" ref={box}>
      <h3>Not yet sent</h3>
      <UnsentWords waiting={waiting} noun="photograph" />
      <ul>
        {rows.map((row) => {
          const far = progress.get(row.clientKey);
          return (
            <li key={row.clientKey}>
              <Preview of={row} />
              <div>
                <p>
                  {row.fileName || "Photograph"}, of {row.subject.name}
                </p>
                {row.problem ? (
                  <p className="form-problem">Not taken: {row.problem} It is kept here.</p>
                ) : typeof far === "number" && sending ? (
                  <p>
                    <progress value={far} aria-label={`${row.fileName} sent`} /> {percent(far)}
                  </p>
                ) : (
                  <p>
                    <Mark word="not yet sent" colour="brass" shape="half" />
                    {far === "unanswered" && " The server did not answer. It is kept here."}
                  </p>
                )}
                <button type="button" className="remove" onClick={() => void waiting.drop(row.clientKey)}>
                  Throw away<span className="unseen"> {row.fileName}</span>
                </button>
              </div>
            </li>
          );
        })}
      </ul>
    </div>
  );
}

/** The picture as it lies on this device; nothing where it is none. */
function Preview({ of: { picture } }: { of: WaitingPhotograph }) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(picture);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [picture]);
  return address && <img src={address} alt="" onError={() => setAddress(null)} />;
}
