/** Common work of the trade, as lines to begin with: files of their own. Hours and links are common practice, no source. */
import { readdir, readFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";

/** Hours at the bench: least, likely, most. */
type Hours = readonly [number, number, number];

interface Line {
  /** There is one for each of what is counted: "{n}" in its words is which. */
  each?: boolean;
}

interface PartLine extends Line {
  name: string;
  quantity?: number;
  safetyCritical?: boolean;
}

interface OperationLine extends Line {
  title: string;
  trade: string;
  hours: Hours;
  /** More for each of what is counted. */
  hoursEach?: Hours;
  /**
   * Titles that it comes after, "Prime + 3 days" with a wait. One with "{n}" is the same one where there is one for each,
   * and all of them else; "{last}" is the last.
   */
  after?: readonly string[];
  /** Each comes after the one before it in place of that, so long a wait after it: "2 days". */
  afterBefore?: string;
  /** Names of parts. */
  needs?: readonly string[];
  notes?: string;
}

/** What is counted, and how many of it there may be. */
export interface Counted {
  one: string;
  many: string;
  least: number;
  most: number;
  usual: number;
}

export interface CommonWork {
  name: string;
  description: string;
  /** Null: there is one. */
  counts: Counted | null;
  group: string;
  parts: readonly PartLine[];
  work: readonly OperationLine[];
}

export interface CommonPart {
  name: string;
  quantity: number;
  group: string;
  safetyCritical: boolean;
}

export interface CommonOperation {
  title: string;
  trade: string;
  group: string;
  hours: Hours;
  /** As they are typed: titles it comes after with their waits, and names of parts that it needs. */
  after: readonly string[];
  needs: readonly string[];
  notes: string;
}

const FOLDER = fileURLToPath(new URL("../../seed/work", import.meta.url));

let read: Promise<CommonWork[]> | undefined;

/** All of it, by name. It is read once. */
export function commonWork(): Promise<CommonWork[]> {
  read ??= readFolder(FOLDER);
  return read;
}

async function readFolder(folder: string): Promise<CommonWork[]> {
  const files = (await readdir(folder)).filter((file) => file.endsWith(".json"));
  const all = await Promise.all(
    files.map(async (file) => JSON.parse(await readFile(path.join(folder, file), "utf8")) as CommonWork),
  );
  return all.sort((a, b) => a.name.localeCompare(b.name));
}

/** The lines of so many of what is counted. */
export function linesOf(
  { group, parts, work }: CommonWork,
  count: number,
): { parts: CommonPart[]; work: CommonOperation[] } {
  const numbers = Array.from({ length: count }, (_, i) => i + 1);
  /** A line as often as there is one. */
  const times = <L extends Line, R>(line: L, make: (n: number | null) => R): R[] =>
    line.each ? numbers.map((n) => make(n)) : [make(null)];
  const named = (text: string, n: number): string =>
    text.replaceAll("{n}", String(n)).replaceAll("{last}", String(count));
  /** The one of the same number, or all. */
  const those = (texts: readonly string[], n: number | null): string[] =>
    texts.flatMap((text) =>
      n === null && text.includes("{n}") ? numbers.map((one) => named(text, one)) : [named(text, n ?? count)],
    );
  return {
    parts: parts.flatMap((line) =>
      times(line, (n) => ({
        name: named(line.name, n ?? count),
        quantity: line.quantity ?? 1,
        group,
        safetyCritical: line.safetyCritical ?? false,
      })),
    ),
    work: work.flatMap((line) =>
      times(line, (n) => ({
        title: named(line.title, n ?? count),
        trade: line.trade,
        group,
        hours: line.hours.map((hours, i) => hours + count * (line.hoursEach?.[i] ?? 0)) as [number, number, number],
        after:
          n !== null && n > 1 && line.afterBefore !== undefined
            ? [`${named(line.title, n - 1)} + ${line.afterBefore}`]
            : those(line.after ?? [], n),
        needs: those(line.needs ?? [], n),
        notes: line.notes ?? "",
      })),
    ),
  };
}
