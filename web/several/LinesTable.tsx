import { type ClipboardEvent, Fragment, type KeyboardEvent, useId, useRef, useState } from "react";
import { useClient } from "urql";
import { graphql } from "../client.ts";
import { counted, listed } from "../shared/format.ts";
import { wordsOf } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import {
  blankLine,
  type Column,
  isBlank,
  type Known,
  type Line,
  type Lines,
  TABLES,
  type TableName,
} from "./tables.ts";

const PastedCells = graphql(`
  query PastedCells($file: String!, $text: String!, $columns: [ScreenColumnInput!]!, $from: Int) {
    pastedCells(file: $file, text: $text, columns: $columns, from: $from) { rows { cells } unread }
  }
`);

interface LinesTableProps {
  table: TableName;
  lines: Lines;
  /** The faults of a line, by column. */
  faultsOf: (line: number) => ReadonlyMap<string, readonly string[]> | undefined;
  onChange: (change: (now: readonly Line[]) => readonly Line[]) => void;
  newKey: () => number;
}

/** A table of lines to type in: a cell a column, a new line by itself once the last one holds something, and cells pasted from a spreadsheet. */
export function LinesTable({ table, lines, faultsOf, onChange, newKey }: LinesTableProps) {
  const { title, noun, file, hint, columns } = TABLES[table];
  const id = useId();
  const client = useClient();
  const body = useRef<HTMLTableSectionElement>(null);
  const [told, setTold] = useState<{ text: string; wrong: boolean } | null>(null);
  const own = lines[table];

  const put = (key: number, column: string, text: string) =>
    onChange((now) => now.map((line) => (line.key === key ? { key, cells: { ...line.cells, [column]: text } } : line)));

  const takeOut = (key: number) => onChange((now) => now.filter((line) => line.key !== key));

  const paste = async (event: ClipboardEvent, at: number, from: number) => {
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\r\n]/.test(text.replace(/(\r\n?|\n)$/, ""))) return;
    event.preventDefault();
    setTold({ text: "Reading what was pasted …", wrong: false });
    const { data, error } = await client
      .query(
        PastedCells,
        { file, text, columns: columns.map(({ name, label }) => ({ name, label })), from },
        { requestPolicy: "network-only" },
      )
      .toPromise();
    if (!data) {
      setTold({ text: `Nothing was pasted. ${error ? wordsOf(error) : ""}`, wrong: true });
      return;
    }
    const { rows, unread } = data.pastedCells;
    onChange((now) => {
      const next = [...now];
      rows.forEach(({ cells }, i) => {
        const line = next[at + i] ?? blankLine(newKey());
        const given = columns.flatMap(({ name }, c) => (cells[c] ? [[name, cells[c]] as const] : []));
        next[at + i] = { ...line, cells: { ...line.cells, ...Object.fromEntries(given) } };
      });
      return next;
    });
    setTold({
      text: `${counted(rows.length, "line")} pasted.${unread.length > 0 ? ` Left out: ${listed(unread)}.` : ""}`,
      wrong: false,
    });
  };

  const press = (event: KeyboardEvent, key: number, at: number) => {
    const goTo = (line: number) =>
      body.current?.querySelectorAll("tr[data-line]")[line]?.querySelector<HTMLInputElement>("input")?.focus();
    if (event.key === "Enter" && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      goTo(Math.min(at + 1, own.length - 1));
    } else if (event.key === "Delete" && event.ctrlKey && own.length > 1) {
      event.preventDefault();
      takeOut(key);
      goTo(at === own.length - 1 ? at - 1 : at + 1);
    }
  };

  return (
    <div className="several">
      <p className="soft small" id={`${id}-hint`}>
        {hint}
      </p>
      <div className="table-scroll">
        <table className="typed-lines" aria-describedby={`${id}-hint`}>
          <caption className="unseen">{title} to add</caption>
          <thead>
            <tr>
              {columns.map(({ name, label, width }) => (
                <th key={name} scope="col" style={{ width: `${width}rem` }}>
                  {label}
                </th>
              ))}
              <th scope="col" className="take-out">
                <span className="unseen">Take out</span>
              </th>
            </tr>
          </thead>
          <tbody ref={body}>
            {own.map((line, at) => {
              const faults = faultsOf(line.key);
              const faultId = `${id}-${line.key}-faults`;
              return (
                <Fragment key={line.key}>
                  <tr data-line="">
                    {columns.map((column, from) => (
                      <td key={column.name} data-label={column.label}>
                        <input
                          type="text"
                          aria-label={`${column.label}, ${noun} ${at + 1}`}
                          autoComplete="off"
                          placeholder={isBlank(line) ? undefined : column.blank}
                          className={column.numeric ? "number" : undefined}
                          inputMode={column.numeric ? "decimal" : undefined}
                          list={hasList(column) ? `${id}-${column.name}` : undefined}
                          value={line.cells[column.name] ?? ""}
                          aria-invalid={faults?.has(column.name) || undefined}
                          aria-describedby={faults?.has(column.name) ? faultId : undefined}
                          onChange={(event) => put(line.key, column.name, event.target.value)}
                          onPaste={(event) => void paste(event, at, from)}
                          onKeyDown={(event) => press(event, line.key, at)}
                        />
                      </td>
                    ))}
                    <td className="take-out">
                      {!isBlank(line) && (
                        <button
                          type="button"
                          className="remove"
                          tabIndex={-1}
                          aria-keyshortcuts="Control+Delete"
                          onClick={() => takeOut(line.key)}
                        >
                          Take out
                          <span className="unseen">
                            {" "}
                            {noun} {at + 1}
                          </span>
                        </button>
                      )}
                    </td>
                  </tr>
                  {faults && faults.size > 0 && (
                    <tr className="line-faults">
                      <td colSpan={columns.length + 1} id={faultId}>
                        {[...faults.values()].flat().map((words) => (
                          <span className="fault" key={words}>
                            {words}
                          </span>
                        ))}
                      </td>
                    </tr>
                  )}
                </Fragment>
              );
            })}
          </tbody>
        </table>
      </div>
      {columns.filter(hasList).map((column) => (
        <Suggestions key={column.name} id={`${id}-${column.name}`} column={column} lines={lines} />
      ))}
      <p role="status" className={told?.wrong ? "form-problem" : "soft small"}>
        {told?.text}
      </p>
    </div>
  );
}

const hasList = ({ suggestions, names }: Column): boolean => suggestions !== undefined || names !== undefined;

/** What may be meant, to pick from while typing: known words, or what the lines of another table are called. */
function Suggestions({ id, column: { suggestions, names }, lines }: { id: string; column: Column; lines: Lines }) {
  const restoration = useRestoration();
  const known: Record<Known, readonly string[]> = {
    groups: restoration.groups,
    trades: restoration.trades,
    currencies: restoration.currencies.map(({ code }) => code),
  };
  const typed = names ? lines[names].map(({ cells }) => cells[TABLES[names].columns[0]!.name] ?? "") : [];
  const given = typeof suggestions === "string" ? known[suggestions] : (suggestions ?? []);
  return (
    <datalist id={id}>
      {[...new Set([...typed, ...given])].filter(Boolean).map((word) => (
        <option key={word} value={word} />
      ))}
    </datalist>
  );
}
