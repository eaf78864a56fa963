import { type ReactNode, useEffect, useState } from "react";
import { useFieldOfForm } from "./Form.tsx";
import { dateInFull, majorText } from "./format.ts";
import { amountTyped, numberTyped } from "./typedNumber.ts";

/** What every field takes. Fields stand in a Form and go by the names of the mutation's input. */
interface FieldProps {
  name: string;
  label: string;
  /** Said under the box: what to enter, an example. */
  hint?: ReactNode;
  /** Takes the whole width of the fields. */
  wide?: boolean;
}

/** @param shown how a value reads that is not as it stands */
function useField({ name, label }: FieldProps, shown?: (value: unknown) => string) {
  const form = useFieldOfForm(name, { label, shown });
  const id = `${form.id}-${name}`;
  const faults = form.faults(name);
  const described = (hint: ReactNode) =>
    [hint ? `${id}-hint` : "", faults.length ? `${id}-fault` : ""].filter(Boolean).join(" ") || undefined;
  return { form, id, faults, described, value: form.value(name) };
}

interface ShellProps extends FieldProps {
  id: string;
  faults: readonly string[];
  check?: boolean;
  children: ReactNode;
}

function Shell({ id, label, hint, wide, faults, check, children }: ShellProps) {
  return (
    <div className={`field${wide ? " wide" : ""}${check ? " check" : ""}`}>
      {check && children}
      <label htmlFor={id}>{label}</label>
      {hint && (
        <span className="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {!check && children}
      {faults.length > 0 && (
        <span className="fault" id={`${id}-fault`}>
          {faults.join(" ")}
        </span>
      )}
    </div>
  );
}

interface TextFieldProps extends FieldProps {
  type?: "text" | "email" | "tel" | "url" | "search";
  autoComplete?: string;
  /** Known answers to pick from while typing. */
  suggestions?: readonly string[];
  /** Sends null instead of blank text. */
  nullable?: boolean;
}

/** One line of text. */
export function TextField({ type = "text", autoComplete = "off", suggestions, nullable, ...props }: TextFieldProps) {
  const { form, id, faults, described, value } = useField(props);
  return (
    <Shell {...props} id={id} faults={faults}>
      <input
        id={id}
        type={type}
        autoComplete={autoComplete}
        list={suggestions ? `${id}-list` : undefined}
        value={(value as string | null | undefined) ?? ""}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => form.set(props.name, nullable && event.target.value === "" ? null : event.target.value)}
      />
      {suggestions && (
        <datalist id={`${id}-list`}>
          {suggestions.map((word) => (
            <option key={word} value={word} />
          ))}
        </datalist>
      )}
    </Shell>
  );
}

/** Several lines of text. */
export function NotesField({ rows = 4, ...props }: FieldProps & { rows?: number }) {
  const { form, id, faults, described, value } = useField(props);
  return (
    <Shell wide {...props} id={id} faults={faults}>
      <textarea
        id={id}
        rows={rows}
        value={(value as string | undefined) ?? ""}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => form.set(props.name, event.target.value)}
      />
    </Shell>
  );
}

interface TypedFieldProps extends FieldProps {
  unit?: string;
  /** Value as text in the field. */
  show: (value: unknown) => string;
  /** Text as value, or the fault to show. */
  read: (text: string) => { value: unknown } | { fault: string };
  inputMode: "decimal" | "numeric";
}

/** A field whose text and value differ: half-typed text stays as it is while the value waits. */
function TypedField({ unit, show, read, inputMode, ...props }: TypedFieldProps) {
  const { form, id, faults, described, value } = useField(props, (value) => show(Number(value)));
  const [text, setText] = useState(() => show(value));
  // biome-ignore lint/correctness/useExhaustiveDependencies: only a value from outside replaces what is being typed
  useEffect(() => setText(show(value)), [form.round]);
  return (
    <Shell {...props} id={id} faults={faults}>
      <span className="with-unit">
        <input
          id={id}
          inputMode={inputMode}
          autoComplete="off"
          value={text}
          aria-invalid={faults.length > 0 || undefined}
          aria-describedby={described(props.hint)}
          onChange={(event) => {
            setText(event.target.value);
            const result = read(event.target.value);
            form.setTyped(props.name, "fault" in result ? result.fault : null);
            if ("value" in result) form.set(props.name, result.value);
          }}
        />
        {unit && <span>{unit}</span>}
      </span>
    </Shell>
  );
}

interface NumberFieldProps extends FieldProps {
  /** Said after the field: "h", "days". */
  unit?: string;
  /** No decimals. */
  whole?: boolean;
  /** The field holds this fraction of what is shown: 100 shows 0.025 as 2.5 (per cent). */
  scale?: number;
}

/** A number, or null when blank. */
export function NumberField({ unit, whole, scale = 1, ...props }: NumberFieldProps) {
  return (
    <TypedField
      {...props}
      unit={unit}
      inputMode={whole ? "numeric" : "decimal"}
      show={(value) => (typeof value === "number" ? String(Number((value * scale).toPrecision(12))) : "")}
      read={(text) => {
        if (text.trim() === "") return { value: null };
        const read = numberTyped(text, whole);
        return "fault" in read ? read : { value: Number((read.value / scale).toPrecision(12)) };
      }}
    />
  );
}

interface MoneyFieldProps extends FieldProps {
  currency: string;
  /** ISO 4217 exponent of the currency. */
  decimals: number;
}

/** An amount: typed in the major unit, held in integer minor units, or null when blank. Name it as the input does ("unitPriceMinor"). */
export function MoneyField({ currency, decimals, ...props }: MoneyFieldProps) {
  return (
    <TypedField
      {...props}
      unit={currency}
      inputMode={decimals === 0 ? "numeric" : "decimal"}
      show={(value) => (typeof value === "number" ? majorText(value, decimals) : "")}
      read={(text) => (text.trim() === "" ? { value: null } : amountTyped(text, currency, decimals))}
    />
  );
}

/** A calendar date, or null when blank. */
export function DateField(props: FieldProps) {
  const { form, id, faults, described, value } = useField(props, (value) => dateInFull(String(value)));
  return (
    <Shell {...props} id={id} faults={faults}>
      <input
        id={id}
        type="date"
        value={(value as string | null | undefined) ?? ""}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => form.set(props.name, event.target.value || null)}
      />
    </Shell>
  );
}

interface ChoiceFieldProps extends FieldProps {
  choices: readonly { value: string; label: string }[];
  /** Words for choosing nothing; the value is then null. */
  none?: string;
  /** The value is the number of the choice. */
  numeric?: boolean;
  /** Called after a choice by hand, for fields that depend on it. */
  onPick?: (value: string | number | null) => void;
}

/** One of several. */
export function ChoiceField({ choices, none, numeric, onPick, ...props }: ChoiceFieldProps) {
  const { form, id, faults, described, value } = useField(
    props,
    (picked) => choices.find((choice) => choice.value === String(picked))?.label ?? String(picked),
  );
  return (
    <Shell {...props} id={id} faults={faults}>
      <select
        id={id}
        value={value === null || value === undefined ? "" : String(value)}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => {
          const picked = event.target.value;
          const value = picked === "" ? null : numeric ? Number(picked) : picked;
          form.set(props.name, value);
          onPick?.(value);
        }}
      >
        {(none !== undefined || value === null || value === undefined || value === "") && (
          <option value="">{none ?? "choose"}</option>
        )}
        {choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.label}
          </option>
        ))}
      </select>
    </Shell>
  );
}

interface TradesFieldProps extends FieldProps {
  suggestions: readonly string[];
  /** A trade may stand there twice: two hands of it. */
  repeated?: boolean;
}

/** What is typed as trades: several are parted by commas. */
const tradesOf = (typed: string): string[] =>
  typed
    .split(",")
    .map((trade) => trade.trim())
    .filter((trade) => trade !== "");

/**
 * Trades, one after the other. What is typed counts as it stands, and moves to the list on Enter alone: were it to move
 * when the field is left, the button that is being pressed would move with it.
 */
export function TradesField({ suggestions, repeated, ...props }: TradesFieldProps) {
  const { form, id, faults, described, value } = useField(props, (list) => (list as string[]).join(", "));
  /** The text, and how many of the value's trades stand in it alone. */
  const [typing, setTyping] = useState({ text: "", trades: 0 });
  // biome-ignore lint/correctness/useExhaustiveDependencies: only a value from outside replaces what is being typed
  useEffect(() => setTyping({ text: "", trades: 0 }), [form.round]);
  const all = (value as readonly string[] | undefined) ?? [];
  const trades = all.slice(0, all.length - typing.trades);
  const type = (text: string) => {
    const more: string[] = [];
    for (const trade of tradesOf(text)) if (repeated || ![...trades, ...more].includes(trade)) more.push(trade);
    setTyping({ text, trades: more.length });
    form.set(props.name, [...trades, ...more]);
  };
  return (
    <Shell {...props} id={id} faults={faults}>
      {trades.length > 0 && (
        <ul className="row trades">
          {trades.map((trade, at) => (
            <li key={`${at} ${trade}`}>
              {trade}{" "}
              <button
                type="button"
                className="remove"
                onClick={() =>
                  form.set(
                    props.name,
                    all.filter((_, other) => other !== at),
                  )
                }
              >
                Take off<span className="unseen"> {trade}</span>
              </button>
            </li>
          ))}
        </ul>
      )}
      <input
        id={id}
        autoComplete="off"
        list={`${id}-list`}
        value={typing.text}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => type(event.target.value)}
        onKeyDown={(event) => {
          if (event.key !== "Enter" || typing.text === "") return;
          event.preventDefault();
          setTyping({ text: "", trades: 0 });
        }}
      />
      <datalist id={`${id}-list`}>
        {suggestions.map((word) => (
          <option key={word} value={word} />
        ))}
      </datalist>
    </Shell>
  );
}

/** Yes or no. */
export function CheckField(props: FieldProps) {
  const { form, id, faults, described, value } = useField(props, (value) => (String(value) === "true" ? "yes" : "no"));
  return (
    <Shell {...props} check id={id} faults={faults}>
      <input
        id={id}
        type="checkbox"
        checked={value === true}
        aria-invalid={faults.length > 0 || undefined}
        aria-describedby={described(props.hint)}
        onChange={(event) => form.set(props.name, event.target.checked)}
      />
    </Shell>
  );
}
