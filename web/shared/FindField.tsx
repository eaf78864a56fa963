import { type ReactNode, useEffect, useRef, useState } from "react";
import "./find.css";
import { Code, codeInWords } from "./Code.tsx";
import { useFieldOfForm } from "./Form.tsx";

/** A row that can be picked. */
export interface Found {
  id: string;
  code: string;
  title: string;
}

interface FindFieldProps {
  name: string;
  label: string;
  hint?: ReactNode;
  wide?: boolean;
  /** What a row is called. */
  noun: string;
  /** Looks rows up by what was typed; blank text gives the first ones. */
  find: (search: string) => Promise<readonly Found[]>;
  /** The row that the field holds to begin with. */
  holds?: Found | null;
  /** Ids not offered. */
  without?: readonly string[];
}

const SHOWN = 8;
const WAIT_MS = 150;
const wordsFor = (noun: string, row: Found | null | undefined): string =>
  row ? `${codeInWords(noun, row.code)} ${row.title}` : "";

/** Picks one row by its code or title while typing; the value is its id, or null. */
export function FindField({ name, label, hint, wide, noun, find, holds = null, without = [] }: FindFieldProps) {
  const form = useFieldOfForm(name, { label });
  const id = `${form.id}-${name}`;
  const faults = form.faults(name);
  const [text, setText] = useState(wordsFor(noun, holds));
  const [open, setOpen] = useState(false);
  const [rows, setRows] = useState<readonly Found[]>();
  const [problem, setProblem] = useState(false);
  const [at, setAt] = useState(0);
  const asked = useRef(0);
  const options = (rows ?? []).filter((row) => !without.includes(row.id)).slice(0, SHOWN);

  // biome-ignore lint/correctness/useExhaustiveDependencies: only a value from outside replaces what is being typed
  useEffect(() => {
    setText(form.value(name) === null || form.value(name) === undefined ? "" : wordsFor(noun, holds));
    setOpen(false);
  }, [form.round]);

  const search = (words: string) => {
    asked.current += 1;
    const turn = asked.current;
    setTimeout(async () => {
      if (turn !== asked.current) return;
      try {
        const found = await find(words);
        if (turn !== asked.current) return;
        setRows(found);
        setProblem(false);
        setAt(0);
      } catch {
        if (turn === asked.current) setProblem(true);
      }
    }, WAIT_MS);
  };

  const choose = (row: Found) => {
    form.set(name, row.id);
    form.setTyped(name, null);
    setText(wordsFor(noun, row));
    setOpen(false);
  };

  return (
    <div className={`field find${wide ? " wide" : ""}`}>
      <label htmlFor={id}>{label}</label>
      {hint && (
        <span className="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      <input
        id={id}
        role="combobox"
        autoComplete="off"
        placeholder="type a code or a word"
        aria-expanded={open}
        aria-controls={`${id}-list`}
        aria-autocomplete="list"
        aria-activedescendant={open && options[at] ? `${id}-${at}` : undefined}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={
          [hint ? `${id}-hint` : "", faults.length ? `${id}-fault` : ""].filter(Boolean).join(" ") || undefined
        }
        value={text}
        onFocus={() => {
          if (form.value(name) === null || form.value(name) === undefined) {
            setOpen(true);
            search(text);
          }
        }}
        onBlur={() => setOpen(false)}
        onChange={(event) => {
          setText(event.target.value);
          form.set(name, null);
          form.setTyped(name, event.target.value.trim() ? "Pick one from the list." : null);
          setOpen(true);
          search(event.target.value);
        }}
        onKeyDown={(event) => {
          if (event.key === "ArrowDown" || event.key === "ArrowUp") {
            event.preventDefault();
            if (!open) {
              setOpen(true);
              search(form.value(name) ? "" : text);
            } else if (options.length > 0)
              setAt((at + (event.key === "ArrowDown" ? 1 : options.length - 1)) % options.length);
          } else if (event.key === "Enter" && open && options[at]) {
            event.preventDefault();
            choose(options[at]);
          } else if (event.key === "Escape" && open) {
            event.preventDefault();
            event.stopPropagation();
            setOpen(false);
          }
        }}
      />
      <div id={`${id}-list`} role="listbox" aria-label={label} hidden={!open || options.length === 0}>
        {options.map((row, place) => (
          // biome-ignore lint/a11y/useFocusableInteractive: the focus stays in the field, which names the option in view
          // biome-ignore lint/a11y/useKeyWithClickEvents: the field takes the keys
          <div
            key={row.id}
            id={`${id}-${place}`}
            role="option"
            aria-selected={place === at}
            onPointerDown={(event) => event.preventDefault()}
            onClick={() => choose(row)}
          >
            <Code noun={noun} of={row.code} /> {row.title}
          </div>
        ))}
      </div>
      {open && (problem || (rows && options.length === 0)) && (
        <span className="hint" role="status">
          {problem ? "The list cannot be read now; the server did not answer." : "Nothing is called that."}
        </span>
      )}
      {faults.length > 0 && (
        <span className="fault" id={`${id}-fault`}>
          {faults.join(" ")}
        </span>
      )}
    </div>
  );
}
