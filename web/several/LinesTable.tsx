import { type ClipboardEvent, type KeyboardEvent, memo, useId, useRef, useState } from "react";
import { useClient } from "urql";
import { graphql } from "../client.ts";
import { counted, listed, plainNumber } from "../shared/format.ts";
import { wordsOf } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useNarrow } from "../shared/useNarrow.ts";
import {
  blankLine,
  type Column,
  isBlank,
  type Known,
  type Line,
  type Lines,
  TABLES,
  type TableName,
  takenBeside,
} from "./tables.ts";

const PastedCells = graphql(`
  query PastedCells($file: String!, $text: String!, $columns: [ScreenColumnInput!]!, $from: Int) {
    pastedCells(file: $file, text: $text, columns: $columns, from: $from) { rows { cells } count unread beyond most }
  }
`);

interface LinesTableProps {
  table: TableName;
  lines: Lines;
  /** The faults of a line, by column. */
  faultsOf: (line: number) => Faults | undefined;
  onChange: (change: (now: readonly Line[]) => readonly Line[]) => void;
  newKey: () => number;
}

type Faults = ReadonlyMap<string, readonly string[]>;

/** What can be done with a line, at its place in the table. */
interface Acts {
  put: (key: number, column: string, text: string) => void;
  takeOut: (key: number) => void;
  paste: (event: ClipboardEvent, at: number, from: number) => Promise<void>;
  press: (event: KeyboardEvent, key: number, at: number) => void;
  open: (key: number, at: number) => void;
  fold: (key: number, at: number) => void;
}

/** A table of lines to type in: a cell a column, a new line by itself once the last one holds something, and cells pasted from a spreadsheet. */
export function LinesTable({ table, lines, faultsOf, onChange, newKey }: LinesTableProps) {
  const { title, file, hint, columns } = TABLES[table];
  const id = useId();
  const client = useClient();
  const narrow = useNarrow();
  const body = useRef<HTMLTableSectionElement>(null);
  const [told, setTold] = useState<{ text: string; left?: string; wrong?: boolean } | null>(null);
  /** Lines that do not fold on a narrow screen: those that are typed in, and those that were opened. */
  const [opened, setOpened] = useState<ReadonlySet<number>>(new Set());
  const own = lines[table];

  const focus = (at: number) =>
    body.current?.querySelectorAll("tr[data-line]")[at]?.querySelector<HTMLElement>("input, button")?.focus();
  const keepOpen = (key: number, open: boolean) =>
    setOpened((now) => {
      if (now.has(key) === open) return now;
      const next = new Set(now);
      if (open) next.add(key);
      else next.delete(key);
      return next;
    });
  const put = (key: number, column: string, text: string) => {
    keepOpen(key, true);
    onChange((now) => now.map((line) => (line.key === key ? { key, cells: { ...line.cells, [column]: text } } : line)));
  };

  const takeOut = (key: number) => onChange((now) => now.filter((line) => line.key !== key));

  const paste = async (event: ClipboardEvent, at: number, from: number) => {
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\r\n]/.test(text.replace(/(\r\n?|\n)$/, ""))) return;
    event.preventDefault();
    setTold({ text: "Reading what was pasted …" });
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
    const { rows, count, unread, beyond, most } = data.pastedCells;
    const there = latest.current.lines;
    const pasted = rows.map(({ cells }, i) => {
      const line = there[table][at + i] ?? blankLine(newKey());
      const given = columns.flatMap(({ name }, c) => (cells[c] ? [[name, cells[c]] as const] : []));
      return { ...line, cells: { ...line.cells, ...Object.fromEntries(given) } };
    });
    const taken = pasted.slice(0, takenBeside(there, table, pasted, most));
    onChange((now) => [...now.slice(0, at), ...taken, ...now.slice(at + taken.length)]);
    const over = count - taken.length;
    const left = [...unread, ...(beyond > 0 ? [`${counted(beyond, "cell")} in no column`] : [])];
    setTold({
      text: `${counted(taken.length, "line")} pasted.`,
      left: [
        over > 0 &&
          `The other ${plainNumber(over)} are left out: ${counted(most, "row")} are taken at once, those for numbers, order and needs among them. Add these first, or bring all in as files.`,
        left.length > 0 && `Left out: ${listed(left)}.`,
      ]
        .filter(Boolean)
        .join(" "),
    });
  };

  const press = (event: KeyboardEvent, key: number, at: number) => {
    if (event.key === "Enter" && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      focus(Math.min(at + 1, own.length - 1));
    } else if (event.key === "Delete" && event.ctrlKey && own.length > 1) {
      event.preventDefault();
      takeOut(key);
      focus(at === own.length - 1 ? at - 1 : at + 1);
    }
  };
  const turn = (open: boolean) => (key: number, at: number) => {
    keepOpen(key, open);
    requestAnimationFrame(() => focus(at));
  };
  // Lines are drawn anew only where they change, so what they call is looked up when it is called.
  const latest = useRef<{ lines: Lines; acts: Acts }>(null!);
  latest.current = { lines, acts: { put, takeOut, paste, press, open: turn(true), fold: turn(false) } };
  const [acts] = useState(
    (): Acts => ({
      put: (...of) => latest.current.acts.put(...of),
      takeOut: (...of) => latest.current.acts.takeOut(...of),
      paste: (...of) => latest.current.acts.paste(...of),
      press: (...of) => latest.current.acts.press(...of),
      open: (...of) => latest.current.acts.open(...of),
      fold: (...of) => latest.current.acts.fold(...of),
    }),
  );

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
            {own.map((line, at) => (
              <TypedLine
                key={line.key}
                id={id}
                table={table}
                line={line}
                at={at}
                faults={faultsOf(line.key)}
                folds={narrow && !isBlank(line) ? (opened.has(line.key) ? "open" : "folded") : null}
                acts={acts}
              />
            ))}
          </tbody>
        </table>
      </div>
      {columns.filter(hasList).map((column) => (
        <Suggestions key={column.name} id={`${id}-${column.name}`} column={column} lines={lines} />
      ))}
      <p role="status" className={told?.wrong ? "form-problem" : "soft small"}>
        {told?.text} {told?.left && <b>{told.left}</b>}
      </p>
    </div>
  );
}

interface TypedLineProps {
  id: string;
  table: TableName;
  line: Line;
  at: number;
  faults: Faults | undefined;
  /** On a narrow screen, where something stands in it. */
  folds: "open" | "folded" | null;
  acts: Acts;
}

const TypedLine = memo(function TypedLine({ id, table, line, at, faults, folds, acts }: TypedLineProps) {
  const { noun, columns } = TABLES[table];
  const faultId = `${id}-${line.key}-faults`;
  const which = (
    <span className="unseen">
      {" "}
      {noun} {at + 1}
    </span>
  );
  if (folds === "folded" && faults === undefined) {
    const [name, ...others] = columns.flatMap((column) => line.cells[column.name]?.trim() || []);
    return (
      <tr data-line="" className="folded-line">
        <td colSpan={columns.length + 1}>
          <button type="button" className="plain" aria-expanded={false} onClick={() => acts.open(line.key, at)}>
            <b>{name}</b> <span>{others.join(", ")}</span>
          </button>
        </td>
      </tr>
    );
  }
  return (
    <>
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
              onChange={(event) => acts.put(line.key, column.name, event.target.value)}
              onPaste={(event) => void acts.paste(event, at, from)}
              onKeyDown={(event) => acts.press(event, line.key, at)}
            />
          </td>
        ))}
        <td className="take-out">
          {folds === "open" && faults === undefined && (
            <button type="button" onClick={() => acts.fold(line.key, at)}>
              Fold up{which}
            </button>
          )}
          {!isBlank(line) && (
            <button
              type="button"
              className="remove"
              tabIndex={-1}
              aria-keyshortcuts="Control+Delete"
              onClick={() => acts.takeOut(line.key)}
            >
              Take out{which}
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
    </>
  );
});

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
