import { createContext, type FormEvent, type ReactNode, useContext, useEffect, useId, useRef, useState } from "react";
import { useLocation } from "react-router";
import type { FieldInForm, FieldWords } from "./conflict.ts";
import { unfold } from "./Fold.tsx";
import { faultWords } from "./fault.ts";
import { listed } from "./format.ts";
import { type FieldFault, type SaveOutcome, useSavingForm } from "./save.tsx";
import { keepTyped, keptTyped } from "./typed.ts";

export type Values = Record<string, unknown>;

interface FormState {
  /** Prefix of the ids of fields and of their fault texts. */
  id: string;
  value: (name: string) => unknown;
  /** Of every field, as they stand. */
  all: Values;
  set: (name: string, value: unknown) => void;
  faults: (name: string) => string[];
  /** A fault found while typing; null once it is mended. It keeps the form from being sent. */
  setTyped: (name: string, fault: string | null) => void;
  /** Rises when the values are taken over from outside, so that fields forget half-typed text. */
  round: number;
  /** A field that is on the screen, and shows its own faults. Returns how to take that back. */
  register: (name: string, words: FieldWords) => () => void;
  /** Names a field whose faults the form shows. */
  call: (name: string, label: string) => void;
}

const FormContext = createContext<FormState | null>(null);

/** The form that a field stands in. */
export function useFormState(): FormState {
  const form = useContext(FormContext);
  if (!form) throw new Error("A field stands outside of a Form.");
  return form;
}

/** The form that a field stands in, which learns what the field is called and that it shows its own faults. */
export function useFieldOfForm(name: string, words: FieldWords): FormState {
  const form = useFormState();
  useEffect(() => form.register(name, words));
  return form;
}

/** The value of one field, live, for showing other fields by it. */
export function useFieldValue(name: string): unknown {
  return useFormState().value(name);
}

interface FormProps {
  /** Values of the fields, by the names of the mutation's input. Blank text, null, false and numbers as stored. */
  initial: Values;
  /** The row being changed; absent for a new one. New rows are sent whole, others only where changed, with id and revision. */
  row?: { id: string; revision: number } | null;
  /** Sends the input; use useSave(): `onSave={(input) => save(SavePart, { input })}`. */
  onSave: (input: Values) => Promise<SaveOutcome>;
  /** After it was saved, with the row's id. */
  onSaved?: (id: string) => void;
  onCancel?: () => void;
  /** Words on the button: "Save the part". */
  saveLabel: string;
  /** What the form is for, to screen readers. */
  label: string;
  children: ReactNode;
  /** Fields below the buttons: what is seldom needed. */
  below?: ReactNode;
}

const same = (a: unknown, b: unknown): boolean => a === b || JSON.stringify(a) === JSON.stringify(b);

/**
 * Tracks what was changed, sends only that, shows faults at their fields, and keeps what was typed on any failure.
 * While nothing is typed it follows the row; while something is, it keeps the revision that was read. What is typed
 * outlasts the form: on another sheet, in another tab or another day it is still there, until it is saved or left.
 */
export function Form({ initial, row = null, onSave, onSaved, onCancel, saveLabel, label, children, below }: FormProps) {
  const id = useId();
  const kept = `${useLocation().pathname} ${label} ${row?.id ?? ""}`;
  const [before] = useState(() => keptTyped(kept));
  const [base, setBase] = useState({ ...initial, ...before?.read });
  const [readRow, setReadRow] = useState(before?.row ?? row);
  const [values, setValues] = useState({ ...initial, ...before?.values });
  const [foundAgain, setFoundAgain] = useState(before !== null);
  const [typed, setTyped] = useState<Record<string, string>>({});
  const [faults, setFaults] = useState<readonly FieldFault[]>([]);
  const [problem, setProblem] = useState<string | null>(null);
  const [sending, setSending] = useState(false);
  const [leaving, setLeaving] = useState(false);
  const [round, setRound] = useState(0);
  const element = useRef<HTMLFormElement>(null);
  const fields = useRef(new Set<string>());
  const words = useRef(new Map<string, FieldWords>());
  const saveForm = useSavingForm();

  const changed = Object.keys(values).filter((name) => !same(values[name], base[name]));
  const dirty = changed.length > 0 || Object.keys(typed).length > 0;

  const keep = (names: readonly string[]) =>
    keepTyped(
      kept,
      names.length === 0
        ? null
        : {
            row: readRow,
            read: Object.fromEntries(names.map((name) => [name, base[name]])),
            values: Object.fromEntries(names.map((name) => [name, values[name]])),
          },
    );
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is typed changes with the values, and what it is kept against with them
  useEffect(() => keep(changed), [values, base]);

  const adopt = () => {
    keepTyped(kept, null);
    setFoundAgain(false);
    setBase(initial);
    setReadRow(row);
    setValues(initial);
    setTyped({});
    setFaults([]);
    setProblem(null);
    setRound((n) => n + 1);
  };
  if (!dirty && !sending && (!same(base, initial) || !same(readRow, row))) adopt();

  // Leaving the page with something typed asks first.
  useEffect(() => {
    if (!dirty) return;
    const warn = (event: BeforeUnloadEvent) => event.preventDefault();
    window.addEventListener("beforeunload", warn);
    return () => window.removeEventListener("beforeunload", warn);
  }, [dirty]);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    event.stopPropagation();
    if (sending) return;
    if (Object.keys(typed).length > 0) {
      focusFirstFault();
      return;
    }
    if (readRow && changed.length === 0) {
      setProblem("Nothing was changed, so there is nothing to save.");
      return;
    }
    const sent = readRow ? Object.fromEntries(changed.map((name) => [name, values[name]])) : values;
    setSending(true);
    setFaults([]);
    setProblem(null);
    const input = readRow ? { ...sent, id: readRow.id, revision: readRow.revision } : sent;
    const outcome = await saveForm(fieldInForm, () => onSave(input));
    setSending(false);
    switch (outcome.kind) {
      case "saved":
        keepTyped(kept, null);
        setFoundAgain(false);
        setBase(values);
        if (readRow) setReadRow({ id: readRow.id, revision: outcome.revision });
        else {
          setValues(initial);
          setBase(initial);
          setRound((n) => n + 1);
        }
        onSaved?.(outcome.id);
        break;
      case "theirs":
        adopt();
        break;
      case "faults":
        setFaults(outcome.faults);
        setProblem("Not saved. What you typed is kept; the marked values need correcting.");
        requestAnimationFrame(focusFirstFault);
        break;
      case "putOff":
        setProblem("Not saved yet: it was changed elsewhere, and you have yet to choose which value to keep.");
        break;
      default:
        setProblem(outcome.message);
    }
  };

  const fieldInForm = (name: string): FieldInForm | undefined => {
    const known = words.current.get(name);
    if (known === undefined && !(name in values)) return undefined;
    return { ...known, changed: changed.includes(name), read: base[name] };
  };

  /** A fault that lies in a fold opens it. */
  const focusFirstFault = () => {
    const faulty = element.current?.querySelectorAll<HTMLElement>("[aria-invalid=true]") ?? [];
    for (const field of faulty) unfold(field);
    faulty[0]?.focus();
  };

  const state: FormState = {
    id,
    round,
    value: (name) => values[name],
    all: values,
    set: (name, value) => {
      setValues((now) => ({ ...now, [name]: value }));
      setFaults((now) => now.filter(({ field }) => field !== name && !field?.startsWith(`${name}.`)));
      setProblem(null);
    },
    faults: (name) => [
      ...(typed[name] ? [typed[name]] : []),
      ...faults
        .filter((fault) => fault.field === name)
        .map((fault) => faultWords(fault, words.current.get(name)?.label)),
    ],
    setTyped: (name, fault) =>
      setTyped((now) => {
        if ((now[name] ?? null) === fault) return now;
        const { [name]: _, ...others } = now;
        return fault === null ? others : { ...others, [name]: fault };
      }),
    register: (name, called) => {
      fields.current.add(name);
      words.current.set(name, called);
      return () => fields.current.delete(name);
    },
    call: (name, label) => words.current.set(name, { label }),
  };
  const leave = () => {
    keepTyped(kept, null);
    onCancel?.();
  };
  const asking = leaving && dirty;
  const lost = [...new Set([...changed, ...Object.keys(typed)])].flatMap((name) => {
    const label = words.current.get(name)?.label;
    return label === undefined ? [] : [`“${label}”`];
  });
  const elsewhere = faults.filter((fault) => !fault.field || !fields.current.has(fault.field));

  return (
    <FormContext value={state}>
      <form ref={element} noValidate aria-label={label} onSubmit={(event) => void submit(event)}>
        {foundAgain && dirty && (
          <p className="row soft" role="status">
            What you typed here before is still here, and not saved.
            {!readRow && (
              <button type="button" className="plain" onClick={adopt}>
                Throw it away
              </button>
            )}
          </p>
        )}
        {children}
        <div aria-live="polite">
          {problem && <p className="form-problem">{problem}</p>}
          {elsewhere.map((fault) => (
            <p className="form-problem" key={`${fault.code} ${fault.message}`}>
              {faultWords(fault, words.current.get(fault.field ?? "")?.label)}
            </p>
          ))}
        </div>
        <div className="form-foot">
          <button type="submit" className="main" disabled={sending}>
            {sending ? "Saving …" : saveLabel}
          </button>
          {dirty && readRow && (
            <button type="button" onClick={adopt}>
              Put back what was there
            </button>
          )}
          {onCancel && !asking && (
            <button type="button" onClick={() => (dirty ? setLeaving(true) : leave())}>
              Leave it
            </button>
          )}
        </div>
        {asking && (
          <p className="row soft" role="alert">
            {lost.length > 0 ? `What you typed in ${listed(lost)} is lost.` : "What you typed is lost."}
            {/* biome-ignore lint/a11y/noAutofocus: it is asked at once, and the answer that keeps all comes first */}
            <button type="button" autoFocus onClick={() => setLeaving(false)}>
              Go on typing
            </button>
            <button type="button" onClick={leave}>
              Leave and lose it
            </button>
          </p>
        )}
        {below}
      </form>
    </FormContext>
  );
}
