import { type ReactNode, startTransition, useEffect, useId, useOptimistic, useRef, useState } from "react";
import { useNarrow } from "./useNarrow.ts";

interface FilterProps {
  label: string;
  /** What the address says; null where the list is not narrowed by it. */
  value: string | null;
  onChange: (value: string | null) => void;
}

/** Milliseconds without a key pressed, after which a search goes out. */
const PAUSE_MS = 250;

/** Words to search for; sent once the typing pauses. */
export function SearchFilter({ label, value, onChange }: FilterProps) {
  const id = useId();
  const [text, setText] = useState(value ?? "");
  const sent = useRef(value ?? "");
  useEffect(() => {
    if ((value ?? "") === sent.current) return;
    sent.current = value ?? "";
    setText(value ?? "");
  }, [value]);
  useEffect(() => {
    const words = text.trim();
    if (words === sent.current) return;
    const pause = setTimeout(() => {
      sent.current = words;
      onChange(words || null);
    }, PAUSE_MS);
    return () => clearTimeout(pause);
  }, [text, onChange]);
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <input id={id} type="search" autoComplete="off" value={text} onChange={(event) => setText(event.target.value)} />
    </div>
  );
}

interface ChoiceFilterProps extends FilterProps {
  choices: readonly { value: string; label: string }[];
  /** Words for no narrowing: "all groups". */
  all: string;
}

/** What a filter shows: what was just chosen, at once, although the address and the list follow a little later. */
function useChosen({ value, onChange }: Pick<FilterProps, "value" | "onChange">) {
  const [chosen, show] = useOptimistic(value);
  const choose = (next: string | null) =>
    startTransition(() => {
      show(next);
      onChange(next);
    });
  return [chosen, choose] as const;
}

/** One of several, or all. */
export function ChoiceFilter({ label, value, onChange, choices, all }: ChoiceFilterProps) {
  const id = useId();
  const [chosen, choose] = useChosen({ value, onChange });
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={chosen ?? ""} onChange={(event) => choose(event.target.value || null)}>
        <option value="">{all}</option>
        {choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.label}
          </option>
        ))}
      </select>
    </div>
  );
}

/** Only those of a kind; the address then says "yes". */
export function CheckFilter({ label, value, onChange }: FilterProps) {
  const id = useId();
  const [chosen, choose] = useChosen({ value, onChange });
  return (
    <div className="field check">
      <input
        id={id}
        type="checkbox"
        checked={chosen === "yes"}
        onChange={(event) => choose(event.target.checked ? "yes" : null)}
      />
      <label htmlFor={id}>{label}</label>
    </div>
  );
}

interface NarrowingProps {
  title?: string;
  /** What is set, in words; what is not set is left out. */
  says: readonly (string | null | undefined | false)[];
  children: ReactNode;
}

/** Filters: as they are where there is room, on a narrow screen behind one line that sums up what is set. */
export function Narrowing({ title = "Narrow the list", says, children }: NarrowingProps) {
  if (!useNarrow()) return children;
  const set = says.filter(Boolean).join(", ");
  return (
    <details className="narrowing unfolds">
      <summary>
        <b>{title}</b> <span className="soft">{set || "all are listed"}</span>
      </summary>
      <div className="narrowing-fields">{children}</div>
    </details>
  );
}
