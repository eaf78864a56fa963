/** Bringing files into the store: first what would happen, then all of it or nothing in one recorded change. */
import { randomUUID } from "node:crypto";
import type { Store } from "../store/client.ts";
import { type Fault, InvalidInput, NotFound } from "../store/fault.ts";
import { type Journal, record } from "../store/journal.ts";
import { LEDGERS, type Table } from "../store/tables.ts";
import { type FileTable, TABLES, type Values } from "./columns.ts";
import type { FileSet } from "./folder.ts";
import { correctedPayments, type Held, type HeldRow, HIDDEN, heldRows, idField, isChanged } from "./held.ts";
import { missingInspections } from "./inspected.ts";
import { type ImportCount, type Merged, merge } from "./merge.ts";
import { type Given, readFiles } from "./read.ts";

/** Where an import goes: a workshop's restoration, or a new one. Whoever calls has asked whether the account may. */
export interface Destination {
  workshopId: string;
  accountId: string;
  /** Null: a new restoration. */
  restorationId: string | null;
}

/** Who follows an import, and may stop it by throwing. */
export interface Watch {
  enter(state: "CHECKING" | "READY"): void;
  progress(stage: string, done: number, total: number): void;
  /** Lets others work; throws when the import is to stop. */
  breathe(): Promise<void>;
}

export interface ImportPreview {
  machine: string;
  /** The restoration that is changed; null for a new one until it is written. */
  restoration: string | null;
  counts: readonly ImportCount[];
  /** The first five thousand at most. */
  faults: readonly Fault[];
  notices: readonly Fault[];
  /** True where it can be applied: no faults. */
  applicable: boolean;
}

/** Files read and checked, ready to be applied. */
export interface ReadyImport {
  given: Given;
  destination: Destination;
  preview: ImportPreview;
}

export interface Imported {
  restorationId: string;
  changeId: string | null;
  preview: ImportPreview;
}

/** Nobody follows. */
export const UNWATCHED: Watch = { enter() {}, progress() {}, async breathe() {} };

const rowsGiven = (given: Given): number => [...given.rows.values()].reduce((sum, rows) => sum + rows.length, 0);

/** Reads and checks files against what is stored. Nothing is written. Faults of the files are part of the preview. */
export async function prepareImport(
  store: Store,
  set: FileSet,
  destination: Destination,
  watch: Watch = UNWATCHED,
): Promise<ReadyImport> {
  watch.progress("Reading the files", 0, 0);
  const given = await readFiles(set, destination.restorationId === null, async (done) => {
    watch.progress("Reading the files", done, 0);
    await watch.breathe();
  });
  watch.enter("CHECKING");
  const total = rowsGiven(given);
  watch.progress("Checking the rows", 0, total);
  await watch.breathe();
  const held = await heldRows(store, destination.workshopId, destination.restorationId);
  const merged = await merge(given, held, async (done) => {
    watch.progress("Checking the rows", done, total);
    await watch.breathe();
  });
  missingInspections(merged);
  watch.progress("Checked", total, total);
  watch.enter("READY");
  const preview = previewOf(merged, destination);
  // Rows that will never be written are not kept while somebody reads the faults.
  if (!preview.applicable) given.rows.clear();
  return { given, destination, preview };
}

function previewOf({ held, faults, notices, counts }: Merged, { restorationId }: Destination): ImportPreview {
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
    applicable: faults.count === 0,
  };
}

/**
 * Writes a prepared import in one transaction and records it as one change. The files are laid once more over
 * what is stored at that moment, so that nothing written since the preview is lost.
 * @throws InvalidInput with the faults; whatever `watch.breathe` throws, and then nothing is written
 */
export async function applyImport(store: Store, ready: ReadyImport, watch: Watch = UNWATCHED): Promise<Imported> {
  const { given, destination } = ready;
  if (!ready.preview.applicable) throw new InvalidInput(ready.preview.faults);
  const { workshopId, accountId, restorationId } = destination;
  watch.progress("Writing the rows", 0, rowsGiven(given));
  let preview = ready.preview;
  let written: string | null = restorationId;
  const occasion = { restorationId, accountId, summary: () => `Imported ${summaryOf(preview)}` };
  try {
    const change = await record(store, occasion, async (journal) => {
      const held = await heldRows(journal.tx as unknown as Store, workshopId, restorationId);
      if (restorationId !== null && held.get("restoration")!.length === 0)
        throw new NotFound("restoration", restorationId);
      const merged = await merge(given, held, () => watch.breathe());
      missingInspections(merged);
      preview = previewOf(merged, destination);
      if (!preview.applicable) throw new InvalidInput(preview.faults);
      const people = await journal.tx.account.findMany({ where: { workshopId }, orderBy: { id: "desc" } });
      const accounts = new Map(people.map(({ id, name }) => [name, id]));
      const writer = new Writer(journal, held, workshopId, accountId, accounts, watch);
      if (writer.total === 0) throw new Unchanged();
      written = await writer.write();
    });
    return { restorationId: written!, changeId: change.id, preview: { ...preview, restoration: written } };
  } catch (error) {
    // Nothing differs, so there is no change to record.
    if (error instanceof Unchanged) return { restorationId: restorationId!, changeId: null, preview };
    throw error;
  }
}

class Unchanged extends Error {}

function summaryOf({ counts, machine, restoration }: ImportPreview): string {
  const parts = counts
    .filter(({ added, changed }) => added + changed > 0)
    .map(
      ({ file, added, changed }) =>
        `${file.replace(/\..*$/, "").replaceAll("_", " ")}: ${[added > 0 ? `${added} new` : "", changed > 0 ? `${changed} changed` : ""].filter(Boolean).join(", ")}`,
    );
  return restoration === null ? `${machine} (${parts.join("; ")})` : parts.join("; ");
}

type ChoiceField = "chosenQuoteId" | "fallbackQuoteId" | "chosenRemedyId" | "chosenWayId";

/** Columns that say of a row that the row above has it in force, or falls back on it. */
const isChoice = (field: string): boolean => field === "chosen" || field === "fallback";

/** Rows in one statement, and between two reports. */
const BATCH = 250;

class Writer {
  readonly total: number;
  private done = 0;
  private readonly ids = new Map<string, string>();
  private readonly restorationId: string;
  private readonly taken: ReadonlyMap<HeldRow, HeldRow>;
  private readonly choices: {
    table: "part" | "snag" | "operation";
    field: ChoiceField;
    row: HeldRow;
    to: string | null;
  }[];

  constructor(
    private readonly journal: Journal,
    private readonly held: Held,
    private readonly workshopId: string,
    private readonly accountId: string,
    /** Id of each account of the workshop by its name. */
    private readonly accounts: ReadonlyMap<string, string>,
    private readonly watch: Watch,
  ) {
    for (const { table, named } of TABLES)
      for (const row of held.get(table)!) {
        row.id ??= randomUUID();
        if (named !== null) this.ids.set(`${table} ${row.values[named]}`, row.id);
      }
    this.restorationId = held.get("restoration")![0]!.id!;
    this.taken = correctedPayments(held.get("payment")!);
    this.choices = [
      ...this.newChoices("part", "quote", "chosenQuoteId"),
      ...this.newChoices("part", "quote", "fallbackQuoteId", "fallback"),
      ...this.newChoices("snag", "remedy", "chosenRemedyId"),
      ...this.newChoices("operation", "operationWay", "chosenWayId"),
    ];
    this.total =
      TABLES.reduce(
        (sum, statement) => sum + held.get(statement.table)!.filter((row) => this.differs(statement, row)).length,
        0,
      ) + this.choices.length;
  }

  /** Writes everything that differs, parents first, and returns the restoration's id. */
  async write(): Promise<string> {
    for (const statement of TABLES) {
      const rows = this.held.get(statement.table)!.filter((row) => this.differs(statement, row));
      const added = this.inOrder(
        statement,
        rows.filter((row) => row.before === null),
      );
      for (let i = 0; i < added.length; i += BATCH) {
        const some = added.slice(i, i + BATCH);
        await this.journal.createMany(statement.table, some.map((row) => this.stored(statement, row, null)) as never);
        await this.report(statement, some.length);
      }
      for (const [i, row] of rows.filter((one) => one.before !== null).entries()) {
        await this.journal.update(
          statement.table,
          row.id!,
          row.revision,
          this.stored(statement, row, row.before) as never,
        );
        row.revision += 1;
        if (i % 50 === 49) await this.report(statement, 0);
        this.done += 1;
      }
    }
    // A choice given up comes before one taken: a quote that moves to another part is chosen for one part only.
    for (const choice of [...this.choices].sort((a, b) => Number(a.to !== null) - Number(b.to !== null))) {
      const { table, field, row, to } = choice;
      await this.journal.update(table, row.id!, row.revision, { [field]: to } as never);
      row.revision += 1;
      this.done += 1;
      if (this.done % 50 === 0) {
        this.watch.progress("Writing what is chosen", this.done, this.total);
        await this.watch.breathe();
      }
    }
    this.watch.progress("Written", this.total, this.total);
    await this.watch.breathe();
    return this.restorationId;
  }

  /** An entry comes after the one that it takes back. */
  private inOrder(statement: FileTable, rows: HeldRow[]): HeldRow[] {
    if (!(statement.table in LEDGERS)) return rows;
    const byCode = new Map(rows.map((row) => [row.values[statement.named ?? ""], row]));
    const before = (row: HeldRow): HeldRow | undefined =>
      statement.table === "payment" ? this.taken.get(row) : byCode.get(row.values["corrects"] ?? null);
    const depth = (row: HeldRow): number => {
      let steps = 0;
      for (let at = before(row); at !== undefined && steps <= rows.length; at = before(at)) steps++;
      return steps;
    };
    return rows
      .map((row) => ({ row, steps: depth(row) }))
      .sort((a, b) => a.steps - b.steps)
      .map(({ row }) => row);
  }

  private async report(statement: FileTable, more: number): Promise<void> {
    this.done += more;
    this.watch.progress(`Writing ${statement.file}`, this.done, this.total);
    await this.watch.breathe();
  }

  /** True where a row of the table itself is to be written; a choice is written on the part, the snag or the operation. */
  private differs(statement: FileTable, row: HeldRow): boolean {
    return isChanged({ ...statement, columns: statement.columns.filter(({ field }) => !isChoice(field)) }, row);
  }

  /** The row as the table holds it; of a stored row only the fields that differ. */
  private stored(statement: FileTable, row: HeldRow, before: Values | null): Record<string, unknown> {
    const data: Record<string, unknown> = {};
    if (before === null) {
      data["id"] = row.id;
      if (statement.owner === "restoration") data["restorationId"] = this.restorationId;
      if (statement.owner === "workshop" || statement.owner === "self") data["workshopId"] = this.workshopId;
    }
    for (const { field, kind } of statement.columns) {
      if (field === "who") {
        if (before === null) data["accountId"] = this.accounts.get(String(row.values["who"])) ?? this.accountId;
        continue;
      }
      if (field === "corrects" && statement.table === "payment") {
        if (before === null) data["correctsId"] = this.taken.get(row)?.id ?? null;
        continue;
      }
      if (isChoice(field) || (before !== null && before[field] === row.values[field])) continue;
      if (kind.is === "row") data[idField(field)] = this.idOf(kind.of, row.values[field]);
      else data[field] = row.values[field];
    }
    for (const field of HIDDEN[statement.table] ?? []) {
      if (before !== null && before[field] === row.values[field]) continue;
      if (field === "part") data["partId"] = this.idOf("part", row.values[field]);
      else data[field] = row.values[field];
    }
    return data;
  }

  private idOf(table: Table, code: Values[string] | undefined): string | null {
    return code === null || code === undefined ? null : this.ids.get(`${table} ${code}`)!;
  }

  private newChoices<F extends ChoiceField>(
    table: "part" | "snag" | "operation",
    of: "quote" | "remedy" | "operationWay",
    field: F,
    column: "chosen" | "fallback" = "chosen",
  ) {
    const chosenBy = (state: "before" | "values"): Map<unknown, string> =>
      new Map(
        this.held
          .get(of)!
          .flatMap((row) => (row[state]?.[column] === true ? [[row[state]![table], row.id!] as const] : [])),
      );
    const [was, is] = [chosenBy("before"), chosenBy("values")];
    return this.held.get(table)!.flatMap((row) => {
      const to = is.get(row.values["code"]) ?? null;
      return to === (was.get(row.values["code"]) ?? null) ? [] : [{ table, field, row, to }];
    });
  }
}
