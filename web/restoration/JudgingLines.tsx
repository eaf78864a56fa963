import { useEffect, useState } from "react";
import { useFormState } from "../shared/Form.tsx";
import { numberTyped } from "../shared/typedNumber.ts";
import { rowCalled } from "../shared/words.ts";

interface Line {
  /** Absent for a line that is not saved yet: parts are judged on the others, whatever they are called. */
  id?: string;
  title: string;
  maximum: number | null;
  mandatory: boolean;
  disqualifying: boolean;
}

/** The lines of a section in its form: saved with it, in the order in which they stand. */
export function JudgingLines() {
  const form = useFormState();
  const lines = (form.value("lines") as Line[] | undefined) ?? [];
  const set = (place: number, change: Partial<Line>) =>
    form.set(
      "lines",
      lines.map((line, at) => (at === place ? { ...line, ...change } : line)),
    );
  useEffect(() => {
    form.call("lines", "Lines");
    for (const place of lines.keys()) {
      form.call(`lines.${place}.title`, `Line ${place + 1}`);
      form.call(`lines.${place}.maximum`, `Points of line ${place + 1}`);
    }
  });
  const move = (place: number, by: number) => {
    const next = [...lines];
    const [line] = next.splice(place, 1);
    if (line) next.splice(place + by, 0, line);
    form.set("lines", next);
  };
  return (
    <fieldset className="closed-dates">
      <legend>Lines</legend>
      <ol className="line-fields">
        {lines.map((line, place) => (
          <li key={place}>
            <div className="field">
              <label htmlFor={`${form.id}-line-${place}`}>Line {place + 1}</label>
              <input
                id={`${form.id}-line-${place}`}
                value={line.title}
                onChange={(event) => set(place, { title: event.target.value })}
              />
            </div>
            <Points
              place={place}
              value={line.maximum}
              round={form.round}
              onChange={(maximum) => set(place, { maximum })}
            />
            <div className="field check">
              <input
                id={`${form.id}-mandatory-${place}`}
                type="checkbox"
                checked={line.mandatory}
                onChange={(event) => set(place, { mandatory: event.target.checked })}
              />
              <label htmlFor={`${form.id}-mandatory-${place}`}>lost whole</label>
            </div>
            <div className="field check">
              <input
                id={`${form.id}-disqualifying-${place}`}
                type="checkbox"
                checked={line.disqualifying}
                onChange={(event) => set(place, { disqualifying: event.target.checked })}
              />
              <label htmlFor={`${form.id}-disqualifying-${place}`}>a loss leaves no award</label>
            </div>
            <div className="row">
              <button type="button" disabled={place === 0} onClick={() => move(place, -1)}>
                Up<span className="unseen">, {rowCalled("line", line.title, place, lines.length)}</span>
              </button>
              <button type="button" disabled={place === lines.length - 1} onClick={() => move(place, 1)}>
                Down<span className="unseen">, {rowCalled("line", line.title, place, lines.length)}</span>
              </button>
              <button
                type="button"
                className="remove"
                onClick={() =>
                  form.set(
                    "lines",
                    lines.filter((_, at) => at !== place),
                  )
                }
              >
                Remove<span className="unseen"> {rowCalled("line", line.title, place, lines.length)}</span>
              </button>
            </div>
          </li>
        ))}
      </ol>
      <p>
        <button
          type="button"
          onClick={() =>
            form.set("lines", [...lines, { title: "", maximum: 1, mandatory: false, disqualifying: false }])
          }
        >
          Add a line
        </button>
      </p>
    </fieldset>
  );
}

function Points({
  place,
  value,
  round,
  onChange,
}: {
  place: number;
  value: number | null;
  round: number;
  onChange: (value: number | null) => void;
}) {
  const form = useFormState();
  const id = `${form.id}-maximum-${place}`;
  const [text, setText] = useState(value === null ? "" : String(value));
  const wrong = faultOf(text) !== null;
  // A line that was moved or taken over from outside brings its own figure.
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is being typed stays while it means the same
  useEffect(() => {
    const read = numberTyped(text);
    if (value !== null && !("value" in read && read.value === value)) setText(String(value));
  }, [value, round]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: only a line taken away takes its fault with it
  useEffect(() => () => form.setTyped(`lines.${place}.maximum`, null), [place]);
  return (
    <div className="field points">
      <label htmlFor={id}>
        Points<span className="unseen"> of line {place + 1}</span>
      </label>
      <input
        id={id}
        inputMode="decimal"
        autoComplete="off"
        value={text}
        aria-invalid={wrong || undefined}
        onChange={(event) => {
          const typed = event.target.value;
          setText(typed);
          form.setTyped(`lines.${place}.maximum`, faultOf(typed));
          const read = numberTyped(typed);
          if ("value" in read && read.value >= 0) onChange(read.value);
        }}
      />
    </div>
  );
}

function faultOf(text: string): string | null {
  const read = numberTyped(text);
  if ("fault" in read) return read.fault;
  return read.value < 0 ? "Must not be negative." : null;
}
