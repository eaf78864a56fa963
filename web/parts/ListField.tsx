import { useEffect } from "react";
import { useFormState } from "../shared/Form.tsx";
import { rowCalled } from "../shared/words.ts";

type Row = Record<string, string>;

interface ListColumn {
  name: string;
  label: string;
  numeric?: boolean;
  /** Its text is an ISO 8601 date. */
  date?: boolean;
  choices?: readonly { value: string; label: string }[];
}

interface ListFieldProps {
  /** Field of the mutation's input that takes the whole list. */
  name: string;
  /** What one row is: "dimension". */
  noun: string;
  columns: readonly ListColumn[];
  /** A new row. */
  blank: Row;
}

/**
 * Rows that are sent together. Their cells hold what was typed, as text; the form that sends them turns it into values
 * and answers with faults named `name.row.column`.
 */
export function ListField({ name, noun, columns, blank }: ListFieldProps) {
  const form = useFormState();
  const rows = (form.value(name) as readonly Row[] | undefined) ?? [];
  useEffect(() => {
    form.call(name, `${noun.charAt(0).toUpperCase()}${noun.slice(1)}s`);
    const leave = rows.flatMap((_, place) =>
      columns.map((column) => form.register(`${name}.${place}.${column.name}`, { label: column.label })),
    );
    return () => {
      for (const one of leave) one();
    };
  });
  const put = (row: number, column: string, text: string) =>
    form.set(
      name,
      rows.map((now, place) => (place === row ? { ...now, [column]: text } : now)),
    );
  return (
    <div className="list-field">
      {rows.map((row, place) => (
        <fieldset key={place} className="list-row">
          <legend className="unseen">{rowCalled(noun, "", place, rows.length)}</legend>
          {columns.map((column) => {
            const path = `${name}.${place}.${column.name}`;
            const id = `${form.id}-${path}`;
            const faults = form.faults(path);
            const attributes = {
              id,
              value: row[column.name] ?? "",
              "aria-invalid": faults.length > 0 || undefined,
              "aria-describedby": faults.length > 0 ? `${id}-fault` : undefined,
            };
            return (
              <div className="field" key={column.name}>
                <label htmlFor={id}>{column.label}</label>
                {column.choices ? (
                  <select {...attributes} onChange={(event) => put(place, column.name, event.target.value)}>
                    {column.choices.map((choice) => (
                      <option key={choice.value} value={choice.value}>
                        {choice.label}
                      </option>
                    ))}
                  </select>
                ) : (
                  <input
                    {...attributes}
                    type={column.date ? "date" : "text"}
                    autoComplete="off"
                    inputMode={column.numeric ? "decimal" : undefined}
                    className={column.numeric ? "number" : undefined}
                    onChange={(event) => put(place, column.name, event.target.value)}
                  />
                )}
                {faults.length > 0 && (
                  <span className="fault" id={`${id}-fault`}>
                    {faults.join(" ")}
                  </span>
                )}
              </div>
            );
          })}
          <button
            type="button"
            className="remove"
            onClick={() =>
              form.set(
                name,
                rows.filter((_, other) => other !== place),
              )
            }
          >
            Take out
            <span className="unseen"> {rowCalled(noun, row[columns[0]?.name ?? ""] ?? "", place, rows.length)}</span>
          </button>
        </fieldset>
      ))}
      <button type="button" onClick={() => form.set(name, [...rows, blank])}>
        Add a {noun}
      </button>
    </div>
  );
}
