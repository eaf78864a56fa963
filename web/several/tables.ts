/** The tables in which several rows are typed, and how their lines become rows of the files that the server reads. */
import type { VariablesOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";
import { numberTyped } from "../shared/typedNumber.ts";
import { PROVENANCE, STATE_ON_HAND } from "../shared/words.ts";

export const AddSeveral = graphql(
  `
  mutation AddSeveral($restoration: ID!, $rows: [TypedRowsInput!]!) {
    addSeveral(restoration: $restoration, rows: $rows) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type TableName = "parts" | "work" | "quotes";

/** What is typed in one line, by column. */
export interface Line {
  key: number;
  cells: Readonly<Record<string, string>>;
}

export type Lines = Readonly<Record<TableName, readonly Line[]>>;

/** Lists that are at hand while typing. */
export type Known = "groups" | "trades" | "currencies";

export interface Column {
  /** As the file has it, or a word of this table's own for what goes to another file. */
  name: string;
  label: string;
  /** Width in rem, where there is room. */
  width: number;
  numeric?: boolean;
  /** What stands for a blank cell. */
  blank?: string;
  suggestions?: readonly string[] | Known;
  /** The column of another table of this sheet whose lines are named here. */
  names?: TableName;
}

export interface TypedTable {
  title: string;
  noun: string;
  file: string;
  hint: string;
  columns: readonly Column[];
}

const YES_NO = ["yes", "no"] as const;
const notes: Column = { name: "notes", label: "Notes", width: 6.5 };

export const TABLES: Readonly<Record<TableName, TypedTable>> = {
  parts: {
    title: "Parts",
    noun: "part",
    file: "parts.csv",
    hint: "One part a line. A code left blank is given.",
    columns: [
      { name: "name", label: "Part", width: 14 },
      { name: "part", label: "Code", width: 5, blank: "next" },
      { name: "number", label: "Number", width: 8 },
      { name: "quantity", label: "How many", width: 5, numeric: true, blank: "1" },
      { name: "state", label: "State", width: 7, blank: "missing", suggestions: Object.values(STATE_ON_HAND) },
      { name: "group", label: "Group", width: 7, suggestions: "groups" },
      { name: "safety_critical", label: "Safety-critical", width: 5, blank: "no", suggestions: YES_NO },
      { name: "needed", label: "Needed for", width: 11, names: "work" },
      notes,
    ],
  },
  work: {
    title: "Work",
    noun: "operation",
    file: "operations.csv",
    hint: "One operation a line. “Comes after” and the parts it needs by name or code, with semicolons between several: “above” is the line above, “Prime + 3 days” waits three days more, “4 × Ring” is four of it.",
    columns: [
      { name: "title", label: "Operation", width: 12 },
      { name: "operation", label: "Code", width: 4.5, blank: "next" },
      { name: "trade", label: "Trade", width: 7, suggestions: "trades" },
      { name: "group", label: "Group", width: 6, suggestions: "groups" },
      { name: "hours_least", label: "Hours, least", width: 4, numeric: true },
      { name: "hours_likely", label: "Hours, likely", width: 4, numeric: true },
      { name: "hours_most", label: "Hours, most", width: 4, numeric: true },
      { name: "after", label: "Comes after", width: 11, names: "work" },
      { name: "needs", label: "Parts it needs", width: 10, names: "parts" },
      notes,
    ],
  },
  quotes: {
    title: "Quotes",
    noun: "quote",
    file: "quotes.csv",
    hint: "One quote a line. Parts and suppliers by name or code; a supplier that is not known yet is added.",
    columns: [
      { name: "part", label: "Part", width: 13, names: "parts" },
      { name: "supplier", label: "Supplier", width: 11 },
      { name: "provenance", label: "Provenance", width: 9, suggestions: Object.values(PROVENANCE) },
      { name: "unit_price", label: "Unit price", width: 6, numeric: true },
      { name: "currency", label: "Currency", width: 5, suggestions: "currencies" },
      { name: "lead_days", label: "Lead days", width: 5, numeric: true },
      { name: "carriage", label: "Carriage", width: 5, numeric: true, blank: "0" },
      { name: "valid_until", label: "Valid until", width: 7 },
      { name: "chosen", label: "Chosen", width: 5, blank: "no", suggestions: YES_NO },
      notes,
    ],
  },
};

export const NAMES: readonly TableName[] = ["parts", "work", "quotes"];

export const isBlank = ({ cells }: Line): boolean => Object.values(cells).every((cell) => cell.trim() === "");

export const blankLine = (key: number): Line => ({ key, cells: {} });

/** Where in a line a fault stands. */
export interface Place {
  table: TableName;
  line: number;
  column: string;
}

type Rows = VariablesOf<typeof AddSeveral>["rows"];

const several = (cell: string): string[] =>
  cell
    .split(";")
    .map((one) => one.trim())
    .filter((one) => one !== "");

/** "4 × Ring", "4 x Ring", "Ring × 4"; a name in which a size stands ("Tube 2 x 4") is one. */
function piecesOf(text: string): { name: string; quantity: string } {
  const [, before, named] = /^(\d+)\s*(?:×\s*|[x*]\s+)(.+)$/i.exec(text) ?? [];
  if (before !== undefined) return { name: named!, quantity: before };
  const [, name, after] = /^(.+?)(?:\s*×|(?<!\d)\s+[x*])\s*(\d+)$/i.exec(text) ?? [];
  return name === undefined ? { name: text, quantity: "" } : { name, quantity: after! };
}

/** "Prime + 3 days", "Prime + 1,5 h" */
function waitOf(text: string): { name: string; lag: string; unit: string } {
  const [, name, lag, unit] = /^(.*?)\s*\+\s*([\d.,][\d.,'’\s]*?)\s*(h|hours?|d|days?)$/i.exec(text) ?? [];
  if (name === undefined) return { name: text, lag: "", unit: "" };
  const read = numberTyped(lag!);
  return {
    name,
    lag: "value" in read ? String(read.value) : lag!,
    unit: unit!.toLowerCase().startsWith("d") ? "days" : "hours",
  };
}

/** How many rows of files a line becomes. */
const rowCountOf = ({ cells }: Line, table: TableName): number =>
  APART[table].reduce((sum, column) => sum + several(cells[column] ?? "").length, 1);

/** How many of the lines to come are taken beside those that stand there, where no more than `most` rows are taken at once. */
export function takenBeside(there: Lines, table: TableName, toCome: readonly Line[], most: number): number {
  const replaced = new Set(toCome.map(({ key }) => key));
  let room = most;
  for (const one of NAMES)
    for (const line of there[one]) if (!isBlank(line) && !replaced.has(line.key)) room -= rowCountOf(line, one);
  const at = toCome.findIndex((line) => {
    room -= rowCountOf(line, table);
    return room < 0;
  });
  return at < 0 ? toCome.length : at;
}

/** What is typed as rows of files, and the place of a fault in them. Lines in which nothing stands are left out. */
export function rowsOf(lines: Lines): {
  rows: Rows;
  placeOf: (fault: { file?: string | null; row?: string | null; field?: string | null }) => Place | null;
} {
  const files = new Map<string, { columns: string[]; rows: { cells: string[] }[]; places: Place[] }>();
  const put = (file: string, columns: string[], cells: string[], place: Place) => {
    const known = files.get(file) ?? { columns, rows: [], places: [] };
    files.set(file, known);
    known.rows.push({ cells });
    known.places.push(place);
  };
  for (const table of NAMES) {
    const { file, columns } = TABLES[table];
    const own = columns.map(({ name }) => name).filter((name) => !APART[table].includes(name));
    lines[table]
      .filter((line) => !isBlank(line))
      .forEach(({ key, cells }, i) => {
        const at = (column: string): Place => ({ table, line: key, column });
        const self = `+${i + 1}`;
        put(
          file,
          own,
          own.map((name) => cells[name] ?? ""),
          at(""),
        );
        for (const number of several(cells["number"] ?? ""))
          put("references.csv", ["part", "number"], [self, number], at("number"));
        for (const operation of several(cells["needed"] ?? ""))
          put("needs.csv", NEEDS, [operation, self, ""], at("needed"));
        for (const text of several(cells["after"] ?? "")) {
          const { name, lag, unit } = waitOf(text);
          const before = name.toLowerCase() === "above" && i > 0 ? `+${i}` : name;
          put("links.csv", ["before", "after", "lag", "lag_unit"], [before, self, lag, unit], at("after"));
        }
        for (const text of several(cells["needs"] ?? "")) {
          const { name, quantity } = piecesOf(text);
          put("needs.csv", NEEDS, [self, name, quantity], at("needs"));
        }
      });
  }
  return {
    rows: [...files].map(([file, { columns, rows }]) => ({ file, columns, rows })),
    placeOf: ({ file, row, field }) => {
      const place = files.get(file ?? "")?.places[Number(row) - 1];
      if (place === undefined) return null;
      if (place.column !== "") return place;
      const columns = TABLES[place.table].columns.map(({ name }) => name);
      const column = field?.split(" and ").find((name) => columns.includes(name)) ?? columns[0]!;
      return { ...place, column };
    },
  };
}

/** Columns that go to files of their own. */
const APART: Readonly<Record<TableName, readonly string[]>> = {
  parts: ["number", "needed"],
  work: ["after", "needs"],
  quotes: [],
};

const NEEDS = ["operation", "part", "quantity"];
