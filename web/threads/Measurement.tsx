import { useId } from "react";
import { useAddress } from "../shared/useAddress.ts";
import { MEASURED, type Measured, type MeasuredName } from "./measured.ts";

const LABELS: Readonly<Record<MeasuredName, { label: string; hint?: string; length?: boolean }>> = {
  diameter: { label: "Outside diameter", hint: "Such as 6.3, or 1/4", length: true },
  pitch: { label: "Pitch", hint: "From crest to crest", length: true },
  perInch: { label: "or threads to the inch", hint: "Counted" },
  tolerance: { label: "The diameter may be off by", hint: "Blank: 0.1 mm", length: true },
  wear: { label: "Crests worn by", hint: "Blank: not worn", length: true },
  angle: { label: "Thread angle", hint: "By a gauge: 47.5, 55 or 60" },
};

interface MeasurementProps {
  measured: Measured;
  /** What the server finds wrong with it. */
  faults?: readonly { field: string; message: string }[];
}

/** What was measured. It goes to the address as it is typed. */
export function Measurement({ measured, faults = [] }: MeasurementProps) {
  const id = useId();
  const [, change] = useAddress();
  const put = (name: string, text: string) =>
    change(
      (next) => {
        if (text === "") next.delete(name);
        else next.set(name, text);
      },
      { replace: true },
    );
  return (
    <form
      className="fields measurement no-print"
      aria-label="What was measured"
      onSubmit={(event) => event.preventDefault()}
    >
      {MEASURED.slice(0, 1).map(field)}
      <div className="field">
        <label htmlFor={`${id}-unit`}>Unit</label>
        <select
          id={`${id}-unit`}
          value={measured.unit}
          onChange={(event) => put("unit", event.target.value === "IN" ? "in" : "")}
        >
          <option value="MM">millimetres</option>
          <option value="IN">inches</option>
        </select>
      </div>
      {MEASURED.slice(1).map(field)}
    </form>
  );

  function field(name: MeasuredName) {
    const { label, hint, length } = LABELS[name];
    const own = [...measured.faults, ...faults].filter((fault) => fault.field === name);
    return (
      <div className="field" key={name}>
        <label htmlFor={`${id}-${name}`}>{label}</label>
        {hint && (
          <span className="hint" id={`${id}-${name}-hint`}>
            {hint}
          </span>
        )}
        <span className="with-unit">
          <input
            id={`${id}-${name}`}
            autoComplete="off"
            value={measured.text[name]}
            aria-invalid={own.length > 0 || undefined}
            aria-describedby={
              [hint && `${id}-${name}-hint`, own.length > 0 && `${id}-${name}-fault`].filter(Boolean).join(" ") ||
              undefined
            }
            onChange={(event) => put(name, event.target.value)}
          />
          {length ? <span>{measured.unit === "IN" ? "in" : "mm"}</span> : name === "angle" && <span>°</span>}
        </span>
        {own.length > 0 && (
          <span className="fault" id={`${id}-${name}-fault`}>
            {own.map(({ message }) => message).join(" ")}
          </span>
        )}
      </div>
    );
  }
}
