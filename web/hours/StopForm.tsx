import { type FormEvent, useEffect, useId, useRef, useState } from "react";
import { codeInWords } from "../shared/Code.tsx";
import { newKey } from "../shared/device.ts";
import { hours, today } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { numberTyped } from "../shared/typedNumber.ts";
import { hoursOf } from "./clock.ts";
import { leftAfter } from "./hours.ts";
import type { Clock, WaitingHours } from "./kept.ts";

const DAY_HOURS = 24;

interface StopFormProps {
  /** A clock that was stopped. */
  clock: Clock;
  onBook: (booking: WaitingHours) => Promise<void>;
  onGoOn: () => void;
  onThrowAway: () => void;
}

/** After the stop: how long it was, and what remains. Until it is typed, what remains follows from the hours. */
export function StopForm({ clock, onBook, onGoOn, onThrowAway }: StopFormProps) {
  const { operation } = clock;
  const { timeZone } = useRestoration();
  const id = useId();
  const ran = hoursOf((clock.stoppedAt ?? clock.startedAt) - clock.startedAt);
  const forgotten = ran > DAY_HOURS;
  const [worked, setWorked] = useState(forgotten ? "" : String(ran));
  const [judged, setJudged] = useState<string | null>(null);
  const [notes, setNotes] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const first = useRef<HTMLInputElement>(null);
  useEffect(() => first.current?.focus(), []);

  const count = numberOf(worked);
  const follows = leftAfter(operation.hoursLeft, count ?? 0);
  const remaining = judged === null ? follows : numberOf(judged);

  const book = async (event: FormEvent) => {
    event.preventDefault();
    if (count === null || count <= 0 || count > DAY_HOURS)
      return setProblem("The hours worked must be a number, more than zero and at most 24.");
    if (remaining === null) return setProblem("The hours still to do must be a number; 0 where nothing remains.");
    const clientKey = newKey();
    const input = {
      operation: operation.id,
      clientKey,
      workedOn: today(timeZone, clock.startedAt),
      hours: count,
      remainingHours: remaining,
      ...(notes.trim() === "" ? {} : { notes: notes.trim() }),
    };
    try {
      await onBook({
        clientKey,
        restoration: clock.restoration,
        notedAt: Date.now(),
        input,
        operationName: `${codeInWords("operation", operation.code)} ${operation.title}`,
        problem: null,
      });
    } catch {
      setProblem(
        "This browser keeps nothing, in a private window perhaps. The clock is stopped here; write the time down.",
      );
    }
  };

  return (
    <form className="hours-stop" aria-label={`Hours of ${operation.title}`} noValidate onSubmit={(e) => void book(e)}>
      {forgotten && (
        <p className="caution">The clock ran for {hours(ran)}. Say how long the work was, at most 24 h in one entry.</p>
      )}
      <div className="fields">
        <div className="field">
          <label htmlFor={`${id}-hours`}>Hours worked</label>
          <span className="hint" id={`${id}-hours-hint`}>
            By the clock; change it for a break
          </span>
          <span className="with-unit">
            <input
              ref={first}
              id={`${id}-hours`}
              inputMode="decimal"
              autoComplete="off"
              aria-describedby={`${id}-hours-hint`}
              value={worked}
              onChange={(event) => setWorked(event.target.value)}
            />
            <span>h</span>
          </span>
        </div>
        <div className="field">
          <label htmlFor={`${id}-left`}>Hours still to do</label>
          <span className="hint" id={`${id}-left-hint`}>
            {hours(operation.hoursLeft)} were left, so {hours(follows)} if all goes as expected
          </span>
          <span className="with-unit">
            <input
              id={`${id}-left`}
              inputMode="decimal"
              autoComplete="off"
              aria-describedby={`${id}-left-hint`}
              value={judged ?? String(follows)}
              onChange={(event) => setJudged(event.target.value)}
            />
            <span>h</span>
          </span>
        </div>
        <div className="field wide">
          <label htmlFor={`${id}-notes`}>Notes</label>
          <input
            id={`${id}-notes`}
            autoComplete="off"
            value={notes}
            onChange={(event) => setNotes(event.target.value)}
          />
        </div>
      </div>
      <div aria-live="polite">{problem && <p className="form-problem">{problem}</p>}</div>
      <div className="form-foot">
        <button type="submit" className="main">
          Book the hours
        </button>
        <button type="button" onClick={onGoOn}>
          Go on working
        </button>
        <button type="button" className="remove" onClick={onThrowAway}>
          Throw the clock away
        </button>
      </div>
    </form>
  );
}

function numberOf(text: string): number | null {
  const read = numberTyped(text);
  return "value" in read && read.value >= 0 ? read.value : null;
}
