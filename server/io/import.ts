/** Bringing files into the store: first what would happen, then all of it or nothing in one recorded change. */

import { dayFor, dayOf, lastOf, SAYS_DAY } from "../plan/days/day.ts";
import { listed } from "../plan/odds/oddsWords.ts";
import type { Store, Tx } from "../store/client.ts";
import { type Fault, InvalidInput, NotFound } from "../store/fault.ts";
import { record } from "../store/journal.ts";
import { nextRank, WITH_WORK } from "../store/rank.ts";
import { NOUNS } from "../store/tables.ts";
import { alike } from "../store/trades.ts";
import { type FileTable, RESTORATION_FILE, TABLES, tableOf, titleOf, type Values } from "./columns.ts";
import type { FileSet } from "./folder.ts";
import { type Given, notice } from "./given.ts";
import { type Held, type HeldRow, heldRows, isChanged } from "./held.ts";
import { type ImportCount, type Merged, merge } from "./merge.ts";
import type { ColumnRead } from "./nearColumns.ts";
import { readFiles } from "./read.ts";
import { inSlices, UNWATCHED, type Watch } from "./slices.ts";
import { type Writing, writeRows, writingSteps } from "./write.ts";

/** Where an import goes: a workshop's restoration, or a new one. Whoever calls has asked whether the account may. */
export interface Destination {
  workshopId: string;
  accountId: string;
  /** Null: a new restoration. */
  restorationId: string | null;
  /** What a new one is called where the files do not say it. */
  machine?: string | undefined;
}

export interface ImportPreview {
  machine: string;
  /** The restoration that is changed; null for a new one until it is written. */
  restoration: string | null;
  counts: readonly ImportCount[];
  /** The first five thousand at most. */
  faults: readonly Fault[];
  notices: readonly Fault[];
  /** What columns are read as that are not under their own names. */
  columns: readonly ColumnRead[];
  /** True where it can be applied: no faults. */
  applicable: boolean;
}

/** What rows that were typed have beside those of files. */
export interface Typed {
  /** The change, for people. */
  summary(preview: ImportPreview): string;
}

/** Files read and checked, ready to be applied. */
export interface ReadyImport {
  given: Given;
  destination: Destination;
  /** Null: the rows stand in files. */
  typed: Typed | null;
  /** The day after which nothing was paid. */
  paidUntil: string;
  /** The rows that the preview was worked out for. */
  seen: Seen;
  preview: ImportPreview;
}

/** How rows stood when a preview was worked out. */
interface Seen {
  /** By the place of a row in the files, or its id: its values as they were stored; null where it was not. */
  rows: ReadonlyMap<string, Values | null>;
  /** Restorations that had the name of a new one already. */
  namesakes: ReadonlySet<string>;
}

export interface Imported {
  restorationId: string;
  changeId: string | null;
  preview: ImportPreview;
}

const rowsGiven = (given: Given): number => [...given.rows.values()].reduce((sum, rows) => sum + rows.length, 0);

/** Reads and checks files against what is stored. Nothing is written. Faults of the files are part of the preview. */
export async function prepareImport(
  store: Store,
  set: FileSet,
  destination: Destination,
  watch: Watch = UNWATCHED,
  typed: Typed | null = null,
): Promise<ReadyImport> {
  watch.progress("Reading the files", 0, 0);
  const given = await readFiles(set, destination.restorationId === null, async (done) => {
    watch.progress("Reading the files", done, 0);
    await watch.breathe();
  });
  given.typed = typed !== null;
  if (destination.restorationId === null && destination.machine !== undefined) callIt(destination.machine, given);
  const paidUntil = await lastDayPaid(store, given, destination);
  await staysForItsDay(store, given, destination);
  watch.enter("CHECKING");
  const total = rowsGiven(given);
  watch.progress("Checking the rows", 0, total);
  await watch.breathe();
  const step = async (done: number): Promise<void> => {
    watch.progress("Checking the rows", done, total);
    await watch.breathe();
  };
  const held = await heldRows(store, destination.workshopId, destination.restorationId, step);
  const merged = await merge(given, held, step, paidUntil);
  await changesShop(store, merged.held, merged.notices, destination);
  watch.progress("Checked", total, total);
  watch.enter("READY");
  const preview = previewOf(merged, destination, given);
  const seen: Seen = {
    rows: new Map([...seenRows(merged.held)].map(({ key, row }) => [key, row.before])),
    namesakes: await namesakes(store, destination, preview.machine),
  };
  // Rows that will never be written are not kept while somebody reads the faults.
  if (!preview.applicable) given.rows.clear();
  return { given, destination, typed, paidUntil, seen, preview };
}

/** Gives a new restoration its name, where the files have none for it. */
function callIt(machine: string, { rows }: Given): void {
  const [row] = rows.get("restoration") ?? [];
  if (row === undefined)
    rows.set("restoration", [{ at: "machine", given: { machine }, raw: { machine }, faulty: new Set() }]);
  else if (row.given["machine"] === undefined && !row.faulty.has("machine")) {
    row.given["machine"] = machine;
    row.raw["machine"] = machine;
  }
}

/** Tells where the files say another day for their figures than the workshop looks at, which stays. */
async function staysForItsDay(
  store: Store,
  { figuresFor, notices }: Given,
  { workshopId }: Destination,
): Promise<void> {
  if (figuresFor === null) return;
  const calendar = await store.shopCalendar.findUnique({ where: { workshopId }, select: { figuresFor: true } });
  if (calendar?.figuresFor === figuresFor.day) return;
  notice(notices, {
    code: "UNUSED_COLUMN",
    file: RESTORATION_FILE,
    field: figuresFor.name,
    message: `The day the figures are for is ${figuresFor.day} in the files. The workshop's own stays as it is: it is set in the shop calendar on the Restoration sheet.`,
  });
}

/** Tells where the files change when the shop works: for all its machines. */
async function changesShop(
  store: Store,
  held: Held,
  notices: Fault[],
  { workshopId, restorationId }: Destination,
): Promise<void> {
  const differs = SHOP_TABLES.some((table) => held.get(table)!.some((row) => isChanged(tableOf(table), row)));
  if (!differs) return;
  const others = await store.restoration.findMany({
    where: { workshopId, id: { not: restorationId ?? "" }, ...WITH_WORK },
    orderBy: [{ rank: "asc" }, { machine: "asc" }],
    select: { machine: true },
  });
  if (others.length === 0) return;
  notice(notices, {
    code: "CHANGES_SHOP",
    file: RESTORATION_FILE,
    field: "calendar",
    message: `The calendar is the shop's, and these files change it: for ${others.length > 3 ? `${others.length} other machines` : listed(others.map(({ machine }) => machine))} too.`,
  });
}

const SHOP_TABLES = ["shopCalendar", "closedDate"] as const;

/**
 * The day that the figures of an import's destination are for. Of a new restoration the later of today and the day that the
 * files are for, so that what was exported while another day was looked at reads back in.
 */
async function lastDayPaid(store: Store, given: Given, { workshopId, restorationId }: Destination) {
  if (restorationId !== null) return dayFor(store, restorationId);
  const now = dayOf({
    workshop: await store.workshop.findUniqueOrThrow({ where: { id: workshopId }, ...SAYS_DAY.workshop }),
  });
  return lastOf(now, given.figuresFor?.day ?? now);
}

function previewOf(
  { held, faults, notices, counts }: Merged,
  { restorationId }: Destination,
  { columns }: Given,
): ImportPreview {
  const list = [...faults.list];
  if (faults.count > list.length)
    list.push({
      code: "TOO_LARGE",
      message: `There are ${faults.count} faults; the first ${list.length} are listed. Correct these and import again.`,
    });
  return {
    machine: String(held.get("restoration")![0]?.values["machine"] ?? ""),
    restoration: restorationId,
    counts,
    faults: list,
    notices,
    columns,
    applicable: faults.count === 0,
  };
}

/** Times that an import is laid over what is stored before the transaction; after that it is laid inside it, where nobody else writes. */
const TRIES = 3;

/**
 * Writes a prepared import in one transaction and records it as one change. The files are laid once more over
 * what is stored at that moment, so that nothing written since the preview is lost. That is done before the transaction,
 * which begins it again where somebody has written meanwhile: others who write wait for the writing alone.
 * @throws InvalidInput with the faults; whatever `watch.breathe` throws, and then nothing is written
 */
export async function applyImport(store: Store, ready: ReadyImport, watch: Watch = UNWATCHED): Promise<Imported> {
  const { given, destination, typed } = ready;
  if (!ready.preview.applicable) throw new InvalidInput(ready.preview.faults);
  const { accountId, restorationId } = destination;
  const words = (preview: ImportPreview) => typed?.summary(preview) ?? `Imported ${summaryOf(preview)}`;
  watch.progress("Writing the rows", 0, rowsGiven(given));
  for (let tries = 1; ; tries += 1) {
    const before = tries > TRIES ? null : await layOver(store, ready, watch);
    let laid = before;
    try {
      // Where nothing differs there is no change to record.
      if (before?.writing.total === 0) throw new Unchanged();
      const occasion = { restorationId, accountId, summary: () => words(laid!.preview) };
      const change = await record(store, occasion, async (journal) => {
        if (before !== null && (await stateOf(journal.tx, destination)) !== before.state) throw new Moved();
        laid ??= await layOver(journal.tx, ready, watch);
        await stillNew(journal.tx, ready, laid.preview.machine);
        if (laid.writing.total === 0) throw new Unchanged();
        await writeRows(journal, laid.writing, watch);
      });
      const written = laid!.writing.restorationId;
      return { restorationId: written, changeId: change.id, preview: { ...laid!.preview, restoration: written } };
    } catch (error) {
      if (error instanceof Unchanged)
        return { restorationId: laid!.writing.restorationId, changeId: null, preview: laid!.preview };
      if (!(error instanceof Moved)) throw error;
    }
  }
}

/** What an import does to what is stored, and the state of that it was worked out for. */
interface Laid {
  state: string;
  preview: ImportPreview;
  writing: Writing;
}

async function layOver(
  store: Store | Tx,
  { given, destination, paidUntil, seen }: ReadyImport,
  watch: Watch,
): Promise<Laid> {
  const { workshopId, accountId, restorationId } = destination;
  const breathe = () => watch.breathe();
  const state = await stateOf(store, destination);
  const held = await heldRows(store, workshopId, restorationId, breathe);
  if (restorationId !== null && held.get("restoration")!.length === 0) throw new NotFound("restoration");
  const merged = await merge(given, held, breathe, paidUntil);
  notStale(merged.held, seen);
  const preview = previewOf(merged, destination, given);
  if (!preview.applicable) throw new InvalidInput(preview.faults);
  const people = await store.account.findMany({ where: { workshopId }, orderBy: { id: "desc" } });
  const accounts = new Map(people.map(({ id, name }) => [name, id]));
  const rank = restorationId === null ? await nextRank(store, workshopId) : 0;
  const writing = await inSlices(writingSteps(held, { workshopId, accountId, accounts, rank }), breathe);
  return { state, preview, writing };
}

/** Rows that the files give, and others that change with them, each with what is stored of it. */
function* seenRows(held: Held): Generator<{ key: string; row: HeldRow; statement: FileTable }> {
  for (const statement of TABLES)
    for (const row of held.get(statement.table)!)
      if (row.at !== null || isChanged(statement, row))
        yield { key: `${statement.table} ${row.at === null ? row.id : `@${row.at}`}`, row, statement };
}

/** Rows that a refusal names. */
const MOST_STALE = 5;

/**
 * An import writes what its preview said: over no value that others have changed since, and no row that they added or removed.
 * @throws InvalidInput STALE, naming the rows
 */
function notStale(held: Held, { rows }: Seen): void {
  const stale = [...seenRows(held)].filter(({ key, row, statement }) => {
    const was = rows.get(key);
    const { before, values } = row;
    if (before === null) return was !== null;
    // What others added just as the files have it is not written over.
    if (!was) return isChanged(statement, row);
    return statement.columns.some(({ field }) => values[field] !== before[field] && was[field] !== before[field]);
  });
  if (stale.length === 0) return;
  const names = stale.map(({ row, statement }) => inWords(statement, row));
  const told =
    names.length > MOST_STALE
      ? [...names.slice(0, MOST_STALE - 1), `${names.length - MOST_STALE + 1} others`]
      : [...names];
  const [{ row, statement }] = stale as [(typeof stale)[number]];
  throw new InvalidInput([
    {
      code: "STALE",
      file: statement.file,
      row: row.at ?? undefined,
      rows: names,
      message: `Others have changed since these files were checked what they would write: ${listed(told)}. Check the files again to see what they do now.`,
    },
  ]);
}

/** How a row is called in a sentence: "part 4, Cutless bearing"; one without a code by its line. */
function inWords(statement: FileTable, { values, before, at }: HeldRow): string {
  const noun = NOUNS[statement.table];
  const { code } = before ?? values;
  if (typeof code !== "string") return at && statement.file !== RESTORATION_FILE ? `${noun} of line ${at}` : noun;
  const title = (before ?? values)[titleOf(statement) ?? ""];
  return typeof title === "string" && title !== code ? `${noun} ${code}, ${title}` : `${noun} ${code}`;
}

/** Restorations that are called as the new one is to be. */
async function namesakes(
  store: Store | Tx,
  { workshopId, restorationId }: Destination,
  machine: string,
): Promise<ReadonlySet<string>> {
  if (restorationId !== null) return new Set();
  const all = await store.restoration.findMany({ where: { workshopId }, select: { id: true, machine: true } });
  return new Set(all.filter((one) => alike(one.machine) === alike(machine)).map(({ id }) => id));
}

/** @throws InvalidInput DUPLICATE where a restoration of a new one's name was added since the preview */
async function stillNew(tx: Tx, { destination, seen }: ReadyImport, machine: string): Promise<void> {
  const now = await namesakes(tx, destination, machine);
  if ([...now].every((id) => seen.namesakes.has(id))) return;
  throw new InvalidInput([
    {
      code: "DUPLICATE",
      field: "machine",
      value: machine,
      message: `A restoration called ${machine.slice(0, 80)} was added since these files were checked. Call the new one otherwise, or check the files again to bring them into that one.`,
    },
  ]);
}

/** What an import rests on, in one text that differs once any of it was written: the restoration, and what belongs to the workshop. */
async function stateOf(store: Store | Tx, { workshopId, restorationId }: Destination): Promise<string> {
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId ?? "" },
    select: { planRevision: true },
  });
  const shared = ["Supplier", "ExchangeRate", "ShopCalendar", "ClosedDate", "Hand", "Absence"].map(
    (table) =>
      `(SELECT group_concat(id || ' ' || revision) FROM (SELECT id, revision FROM "${table}" WHERE "workshopId" = $1 ORDER BY id))`,
  );
  const [row] = await store.$queryRawUnsafe<object[]>(`SELECT ${shared.join(", ")}`, workshopId);
  return JSON.stringify([restoration?.planRevision, row]);
}

class Moved extends Error {}

class Unchanged extends Error {}

function summaryOf({ counts, machine, restoration }: ImportPreview): string {
  const rows = importedInWords(counts);
  return restoration === null ? `${machine} (${rows})` : rows;
}

/** "operations: 2 new; parts: 1 changed"; of more than two files how much in all: "412 new rows and changed 3, in 9 files". */
export function importedInWords(counts: readonly { file: string; added: number; changed: number }[]): string {
  const some = counts.filter(({ added, changed }) => added + changed > 0);
  if (some.length <= 2)
    return some
      .map(
        ({ file, added, changed }) =>
          `${file.replace(/\..*$/, "").replaceAll("_", " ")}: ${[added > 0 ? `${added} new` : "", changed > 0 ? `${changed} changed` : ""].filter(Boolean).join(", ")}`,
      )
      .join("; ");
  const sum = (of: "added" | "changed"): number => some.reduce((all, count) => all + count[of], 0);
  const [added, changed] = [sum("added"), sum("changed")];
  const rows = (count: number, which: string): string => `${count} ${which} row${count === 1 ? "" : "s"}`;
  const both =
    added > 0 ? `${rows(added, "new")}${changed > 0 ? ` and changed ${changed}` : ""}` : rows(changed, "changed");
  return `${both}, in ${some.length} files`;
}
