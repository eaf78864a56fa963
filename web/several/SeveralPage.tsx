import { type FormEvent, type ReactNode, useEffect, useMemo, useRef, useState } from "react";
import { useNavigate } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { FoldedSection, unfold } from "../shared/Fold.tsx";
import { faultWords } from "../shared/fault.ts";
import { counted, listed } from "../shared/format.ts";
import { Page, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { keepTyped, keptTyped } from "../shared/typed.ts";
import { useNarrow } from "../shared/useNarrow.ts";
import { CommonWork, type Taken, TakenWork } from "./CommonWork.tsx";
import { LinesTable } from "./LinesTable.tsx";
import {
  AddSeveral,
  blankLine,
  isBlank,
  type Line,
  type Lines,
  NAMES,
  type Place,
  rowsOf,
  TABLES,
  type TableName,
} from "./tables.ts";
import "./several.css";

/** Lines of a table in which nothing is typed, where there is room. */
const EMPTY_LINES = 3;

interface SeveralPageProps {
  /** The table that was asked for, which comes first. */
  first: "parts" | "work";
}

/** Parts, work and quotes typed or pasted line by line, and saved as one change. */
export default function SeveralPage({ first }: SeveralPageProps) {
  const restoration = useRestoration();
  const navigate = useNavigate();
  const { save, saving } = useSave();
  const narrow = useNarrow();
  const kept = `${restoration.id} several`;
  const key = useRef(0);
  const newKey = () => {
    key.current += 1;
    return key.current;
  };
  const least = (table: TableName): number => (narrow || table !== first ? 1 : EMPTY_LINES);
  /** With a blank line to go on with at the end. */
  const open = (table: TableName, now: readonly Line[]): readonly Line[] => {
    const next = [...now];
    while (next.length < least(table) || !isBlank(next.at(-1)!)) next.push(blankLine(newKey()));
    return next;
  };
  const begun = (before?: Partial<Record<TableName, readonly Line["cells"][]>>): Lines => {
    const of = (table: TableName) =>
      open(
        table,
        (before?.[table] ?? []).map((cells) => ({ key: newKey(), cells })),
      );
    return { parts: of("parts"), work: of("work"), quotes: of("quotes") };
  };
  const [lines, setLines] = useState(() => begun(keptTyped(kept)?.values));
  const [taken, setTaken] = useState<readonly Taken[]>([]);
  const [faults, setFaults] = useState<readonly (Place & { words: string })[]>([]);
  const [problem, setProblem] = useState<string | null>(null);
  const form = useRef<HTMLFormElement>(null);
  const faulty = useRef(false);

  const counts = Object.fromEntries(
    NAMES.map((table) => [table, lines[table].filter((line) => !isBlank(line)).length]),
  ) as Record<TableName, number>;
  const total = counts.parts + counts.work + counts.quotes;

  useEffect(() => {
    const values = Object.fromEntries(
      NAMES.map((table) => [table, lines[table].filter((line) => !isBlank(line)).map(({ cells }) => cells)]),
    );
    keepTyped(kept, total === 0 ? null : { row: null, read: {}, values });
  }, [kept, lines, total]);

  // Leaving the page with something typed asks first.
  useEffect(() => {
    if (total === 0) return;
    const warn = (event: BeforeUnloadEvent) => event.preventDefault();
    window.addEventListener("beforeunload", warn);
    return () => window.removeEventListener("beforeunload", warn);
  }, [total]);

  useEffect(() => {
    if (!faulty.current || faults.length === 0) return;
    faulty.current = false;
    const cell = form.current?.querySelector<HTMLElement>("[aria-invalid=true]");
    if (!cell) return;
    unfold(cell);
    cell.focus();
  }, [faults]);

  const send = async (event: FormEvent) => {
    event.preventDefault();
    if (saving || total === 0) return;
    setProblem(null);
    setFaults([]);
    const { rows, placeOf } = rowsOf(lines);
    const outcome = await save(AddSeveral, { restoration: restoration.id, rows });
    if (outcome.kind === "saved") {
      keepTyped(kept, null);
      setLines(begun());
      setTaken([]);
      void navigate(first === "parts" ? addressOf.parts(restoration.id) : addressOf.work(restoration.id));
      return;
    }
    if (outcome.kind !== "faults") {
      if ("message" in outcome) setProblem(outcome.message);
      return;
    }
    const elsewhere: string[] = [];
    const placed = outcome.faults.flatMap((fault) => {
      const place = placeOf(fault);
      const column = place && TABLES[place.table].columns.find(({ name }) => name === place.column);
      const words = faultWords(fault, column?.label);
      if (place === null) elsewhere.push(words);
      return place === null ? [] : [{ ...place, words }];
    });
    faulty.current = true;
    setFaults(placed);
    setProblem(
      [
        `${counted(outcome.faults.length, "fault")}: nothing was added, and what you typed is still here.`,
        ...elsewhere,
      ].join(" "),
    );
  };

  const change = (table: TableName, alter: (now: readonly Line[]) => readonly Line[]) =>
    setLines((now) => ({ ...now, [table]: open(table, alter(now[table])) }));

  const faultsByLine = useMemo(() => byLine(faults), [faults]);
  const order: readonly TableName[] = first === "parts" ? ["parts", "quotes", "work"] : ["work", "parts", "quotes"];
  const words = listed(
    NAMES.flatMap((table) => (counts[table] > 0 ? [counted(counts[table], TABLES[table].noun)] : [])),
  );
  return (
    <Page
      title="Add several"
      sentence="Type line by line, or copy cells in a spreadsheet and paste them into the first one they belong in. All of it is saved as one change."
    >
      <form ref={form} aria-label="Add several" noValidate onSubmit={(event) => void send(event)}>
        <CommonWork
          onTake={(name, cells) => {
            const put: Line[] = [];
            for (const table of ["parts", "work"] as const) {
              const more = cells[table].map((one) => ({ key: newKey(), cells: one }));
              put.push(...more);
              change(table, (now) => [...now.filter((line) => !isBlank(line)), ...more]);
            }
            setTaken((now) => [...now, { name, lines: put }]);
          }}
        />
        {taken.map((one) => (
          <TakenWork
            key={one.lines[0]?.key}
            taken={one}
            lines={lines}
            onTakeOut={(keys) => {
              for (const table of NAMES) change(table, (now) => now.filter(({ key }) => !keys.has(key)));
              setTaken((now) => now.filter((other) => other !== one));
            }}
          />
        ))}
        {order.map((table) => (
          <Part key={table} table={table} isFirst={table === first} count={counts[table]}>
            <LinesTable
              table={table}
              lines={lines}
              newKey={newKey}
              faultsOf={(line) => faultsByLine.get(`${table} ${line}`)}
              onChange={(alter) => change(table, alter)}
            />
          </Part>
        ))}
        <div aria-live="polite">{problem && <p className="form-problem">{problem}</p>}</div>
        <div className="form-foot several-foot">
          <button type="submit" className="main" disabled={saving || total === 0}>
            {saving ? "Adding …" : total === 0 ? "Add them" : `Add ${words}`}
          </button>
        </div>
      </form>
    </Page>
  );
}

interface PartProps {
  table: TableName;
  /** The table that was asked for stands open on a narrow screen too. */
  isFirst: boolean;
  count: number;
  children: ReactNode;
}

function Part({ table, isFirst, count, children }: PartProps) {
  const { title, noun } = TABLES[table];
  if (isFirst) return <Section title={title}>{children}</Section>;
  return (
    <FoldedSection title={title} id={`several-${table}`} says={count === 0 ? "none typed" : counted(count, noun)}>
      {children}
    </FoldedSection>
  );
}

/** The words of faults by table and line, and there by column. */
function byLine(faults: readonly (Place & { words: string })[]): ReadonlyMap<string, ReadonlyMap<string, string[]>> {
  const lines = new Map<string, Map<string, string[]>>();
  for (const { table, line, column, words } of faults) {
    const of = lines.get(`${table} ${line}`) ?? new Map<string, string[]>();
    lines.set(`${table} ${line}`, of.set(column, [...(of.get(column) ?? []), words]));
  }
  return lines;
}
