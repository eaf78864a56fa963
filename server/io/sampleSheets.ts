/** The sample judging sheets: files of their own, read as the judging sheet of restoration.json is. */
import { readdir, readFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { InvalidInput } from "../store/fault.ts";
import { faultsOf, type Noun, type PROVENANCES } from "../store/rules.ts";
import type { Table } from "../store/tables.ts";
import { tableOf, type Values } from "./columns.ts";
import { Faults, type Given } from "./given.ts";
import { readRestorationFile } from "./restorationFile.ts";

export interface SampleSheet {
  name: string;
  description: string;
  /** Points it gives. */
  maximum: number;
  sections: readonly {
    name: string;
    maximum: number;
    cap: number | null;
    position: number;
    lines: readonly { title: string; maximum: number; mandatory: boolean; disqualifying: boolean; position: number }[];
    deductions: readonly { provenance: (typeof PROVENANCES)[number]; points: number }[];
  }[];
  floors: readonly { award: string; points: number }[];
}

const FOLDER = fileURLToPath(new URL("../../seed/judging", import.meta.url));

let read: Promise<SampleSheet[]> | undefined;

/** Every sample, by name. They are read once. */
export function sampleSheets(): Promise<SampleSheet[]> {
  read ??= readFolder(FOLDER);
  return read;
}

/** The sample of a name, if there is one. */
export async function sampleSheet(name: string): Promise<SampleSheet | undefined> {
  return (await sampleSheets()).find((sheet) => sheet.name === name);
}

async function readFolder(folder: string): Promise<SampleSheet[]> {
  const files = (await readdir(folder)).filter((file) => file.endsWith(".json"));
  const sheets = await Promise.all(
    files.map(async (file) => sampleOf(await readFile(path.join(folder, file), "utf8"))),
  );
  return sheets.sort((a, b) => a.name.localeCompare(b.name));
}

/** A sheet from the text of its file. @throws InvalidInput */
export function sampleOf(text: string): SampleSheet {
  const { name, description, judgingSheet } = JSON.parse(text) as Record<string, unknown>;
  const given: Given = {
    rows: new Map(),
    faults: new Faults(),
    notices: [],
    columns: [],
    unread: new Set(),
    written: new Map(),
    figuresFor: null,
    typed: false,
    byTrade: [],
  };
  readRestorationFile(new TextEncoder().encode(JSON.stringify({ judgingSheet })), given);
  const rows = (table: Table, noun: Noun): Values[] =>
    (given.rows.get(table) ?? []).map(({ at, given: cells, faulty }) => {
      const blank = Object.fromEntries(tableOf(table).columns.map((column) => [column.field, column.blank]));
      const values = { ...blank, ...cells };
      for (const fault of faultsOf(noun, values, { row: at }))
        if (!faulty.has(fault.field ?? "")) given.faults.add(fault);
      return values;
    });
  const lines = rows("judgingLine", "judgingLine");
  const deductions = rows("judgingDeduction", "judgingDeduction");
  const sections = rows("judgingSection", "judgingSection").map((section) => ({
    ...section,
    lines: inside(lines, section),
    deductions: inside(deductions, section),
  })) as unknown as SampleSheet["sections"];
  const floors = rows("awardFloor", "awardFloor") as unknown as SampleSheet["floors"];
  if (given.faults.count > 0) throw new InvalidInput(given.faults.list);
  return {
    name: String(name),
    description: String(description),
    maximum: sections.reduce((sum, { maximum }) => sum + maximum, 0),
    sections,
    floors,
  };
}

const inside = (rows: readonly Values[], section: Values): Values[] =>
  rows.filter((row) => row["section"] === section["name"]).map(({ section: _section, ...row }) => row);
