/** Bringing files into the club: every row is checked as one that is saved alone, and all are written or none. */
import type { Member } from "../../access/club.ts";
import { CLUB_FILES, type ClubFile, clubFileOf } from "../../io/clubColumns.ts";
import { type HeldClubRow, heldClub, idsByCode } from "../../io/clubHeld.ts";
import { type ClubGiven, type ClubRow, clubFileSteps, inColumns } from "../../io/clubRead.ts";
import type { Values } from "../../io/columns.ts";
import { importedInWords } from "../../io/import.ts";
import { inSlices, Slices } from "../../io/slices.ts";
import type { Store } from "../../store/client.ts";
import { recordClub, TogetherJournal } from "../../store/clubJournal.ts";
import { nounBeforeCode } from "../../store/clubTables.ts";
import { codeInWords } from "../../store/codes.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { batchDraft } from "./batch.ts";
import { type ClubDraft, type OwnedTable, writeInClub } from "./clubSave.ts";
import { sourceDraft } from "./clubSource.ts";
import { spareDraft } from "./spare.ts";
import { wantDraft } from "./want.ts";

export interface ClubImported {
  /** The recorded change; null where nothing differed. */
  change: string | null;
  counts: { file: string; rows: number; added: number; changed: number; same: number }[];
  notices: readonly Fault[];
}

/** Rows of one import: a record of more would be too large to take back. */
export const MOST_CLUB_ROWS = 5_000;
const MOST_FAULTS = 1_000;

/**
 * Lays files over the club for a member, in one recorded change. Rows of others that stand as they are in the file are
 * left alone; a steward's import brings in those of every member, with their days. Names down are not read.
 * @param stopped asked before each row, and before anything is kept: true gives it up
 * @throws InvalidInput with every fault by file, row and column, and Refused where that is more than one may enter
 */
export async function importClub(
  store: Store,
  member: Member,
  files: ReadonlyMap<string, Uint8Array>,
  stopped: () => boolean = () => false,
): Promise<ClubImported> {
  const stored = await store.batch.findMany({
    where: { clubId: member.club.id },
    select: { code: true, currency: true },
  });
  const currencies = new Map(stored.map(({ code, currency }) => [code, currency]));
  const given = await inSlices(clubFileSteps(files, member.club.currency, (code) => currencies.get(code)));
  const count = [...given.rows.values()].reduce((sum, rows) => sum + rows.length, 0);
  if (count > MOST_CLUB_ROWS)
    throw new InvalidInput([
      {
        code: "TOO_LARGE",
        message: `The files hold ${count} rows; one import takes ${MOST_CLUB_ROWS} at most. Nothing was read.`,
      },
    ]);
  const counts: ClubImported["counts"] = [];
  const notices = [...given.notices];
  const names = given.written.get("nameDown");
  if (names !== undefined)
    notices.push({
      code: "UNUSED_COLUMN",
      file: names.file,
      message: "Each member puts down their own name, so the file was left alone.",
    });
  const summary = () => `Imported ${importedInWords(counts)}`;
  try {
    const change = await recordClub(
      store,
      { clubId: member.club.id, accountId: member.accountId, summary },
      async (journal) => {
        // The limit of a member's entries counts the rows that are written, so theirs are written one by one.
        const together = member.steward ? (["clubSource", "want", "spare"] as const) : [];
        const importing = new Importing(new TogetherJournal(journal, together), member, given, stopped);
        counts.push(...(await importing.run()));
        if (journal.entries.length === 0) throw new Unchanged();
      },
    );
    return { change: change.id, counts, notices };
  } catch (error) {
    if (error instanceof Unchanged) return { change: null, counts, notices };
    throw error;
  }
}

class Unchanged extends Error {}

const OWNED: readonly ClubFile[] = CLUB_FILES.filter(({ table }) =>
  ["clubSource", "want", "spare", "batch"].includes(table),
);

class Importing {
  private readonly rows: ReadonlyMap<string, readonly ClubRow[]>;
  /** The files by the names that they and their columns were given under. */
  private readonly owned: readonly ClubFile[];
  private readonly faults: Fault[];
  private members = new Map<string, Member>();
  private held = new Map<string, HeldClubRow[]>();
  private readonly slices = new Slices();

  constructor(
    private readonly journal: TogetherJournal,
    private readonly importer: Member,
    { rows, written, faults }: ClubGiven,
    private readonly stopped: () => boolean,
  ) {
    this.rows = rows;
    this.owned = OWNED.map((one) => written.get(one.table) ?? one);
    this.faults = [...faults];
  }

  async run(): Promise<ClubImported["counts"]> {
    const { tx } = this.journal;
    const { club, id: memberId, steward } = this.importer;
    this.held = await heldClub(tx, { clubId: club.id, memberId, all: steward });
    this.members = await this.everybody();
    for (const table of ["batchPrice", "batchStage"] as const) this.knownBatches(table);
    const counts: ClubImported["counts"] = [];
    for (const file of this.owned) {
      const rows = this.rows.get(file.table);
      if (rows === undefined) continue;
      const seen = new Set<string>();
      const count = { file: file.file, rows: rows.length, added: 0, changed: 0, same: 0 };
      const held = new Map(this.held.get(file.table)!.map((row) => [String(row.values["code"]), row]));
      for (const row of rows) {
        await this.goOn();
        if (row.faulty || this.faults.length >= MOST_FAULTS) continue;
        const code = typeof row.values["code"] === "string" ? row.values["code"] : null;
        if (code !== null && seen.has(code)) {
          this.fault(file, row, {
            code: "DUPLICATE",
            field: "code",
            value: code,
            message: `The file has ${codeInWords(nounBeforeCode(file.table), code)} twice.`,
          });
          continue;
        }
        if (code !== null) seen.add(code);
        // A code that is made up is the next after those that are written.
        else await this.journal.flush();
        count[await this.bring(file, row, code === null ? undefined : held.get(code))]++;
      }
      counts.push(count);
    }
    await this.journal.flush();
    await this.goOn();
    if (this.faults.length > 0) throw new InvalidInput(this.faults);
    return counts;
  }

  private async goOn(): Promise<void> {
    await this.slices.next();
    if (this.stopped()) throw new Refused("NOT_ALLOWED", "The import was stopped. Nothing was changed.");
  }

  private fault(file: ClubFile, row: ClubRow, fault: Fault): void {
    this.faults.push(...inColumns(file, row.at, [fault]));
  }

  /** Prices and stages are read with the batch that they name, so it must be in the files. */
  private knownBatches(table: "batchPrice" | "batchStage"): void {
    const file = clubFileOf(table);
    const codes = new Set((this.rows.get("batch") ?? []).map(({ values }) => values["code"]));
    for (const row of this.rows.get(table) ?? [])
      if (!row.faulty && !codes.has(row.values["batch"] ?? null))
        this.fault(file, row, {
          code: "UNKNOWN_ROW",
          field: "batch",
          value: String(row.values["batch"]),
          message: `There is no batch ${row.values["batch"]} in batches.csv.`,
        });
  }

  /** Each member by name; to a steward's import no limit of entries applies. */
  private async everybody(): Promise<Map<string, Member>> {
    const { importer } = this;
    if (!importer.steward) return new Map([[importer.name, importer]]);
    const club = { ...importer.club, entriesPerDay: Number.POSITIVE_INFINITY };
    const rows = await this.journal.tx.clubMember.findMany({
      where: { clubId: club.id },
      include: { account: { select: { workshopId: true, role: true } } },
    });
    return new Map(
      rows.map(({ id, name, accountId, account }) => [
        name,
        {
          id,
          name,
          accountId,
          workshopId: account.workshopId,
          restorer: account.role === "RESTORER",
          steward: importer.steward,
          club,
        },
      ]),
    );
  }

  private async bring(
    file: ClubFile,
    row: ClubRow,
    held: HeldClubRow | undefined,
  ): Promise<"added" | "changed" | "same"> {
    const lists = file.table === "batch" ? this.listsOf(row, held) : {};
    const moved = held === undefined ? file.columns : file.columns.filter(({ field }) => differs(row, held, field));
    if (held !== undefined && moved.length === 0 && Object.keys(lists).length === 0) return "same";
    const name = row.values["member"] ?? (held === undefined ? this.importer.name : held.values["member"]);
    const member = this.members.get(String(name));
    if (member === undefined || (held !== undefined && held.memberId !== member.id)) {
      const called = held && codeInWords(nounBeforeCode(file.table), String(held.values["code"]));
      const message = this.importer.steward
        ? held === undefined
          ? `No member of the club is called ${name}.`
          : `In the club ${called} is ${held.values["member"]}'s, and stays theirs.`
        : `${called === undefined ? "What is another member's is theirs to bring in." : `In the club ${called} is another member's, and theirs to change.`}`;
      this.fault(file, row, { code: "NOT_A_CHOICE", field: "member", value: String(name), message });
      return "same";
    }
    const values: Values = Object.fromEntries(
      moved.flatMap(({ field }) => (field in row.values ? [[field, row.values[field]!] as const] : [])),
    );
    const input = { ...values, ...lists, id: held?.id ?? null, revision: held?.revision ?? null };
    try {
      const draft = await this.draftOf(file, row, member, input);
      if (draft === null) return "same";
      await writeInClub(this.journal, member, draft);
    } catch (error) {
      if (error instanceof InvalidInput) for (const fault of error.faults) this.fault(file, row, fault);
      else if (error instanceof Refused && error.code !== "TOO_MANY_ENTRIES")
        this.fault(file, row, { code: "REFUSED", message: error.message });
      else throw error;
    }
    return held === undefined ? "added" : "changed";
  }

  /** The draft of a row as if its member saved it; null where it names an order or a part that cannot be told. */
  private async draftOf(
    file: ClubFile,
    row: ClubRow,
    member: Member,
    { member: _, enteredOn, order, ownPart, sharedOn, begunOn, currency, ...rest }: Values & { id: string | null },
  ): Promise<ClubDraft<OwnedTable> | null> {
    const { steward } = this.importer;
    const input = { ...rest, ...(currency == null ? {} : { currency: String(currency) }) };
    const on = (field: string, day: Values[string] | undefined) => (steward && day != null ? { [field]: day } : {});
    const entered =
      steward && enteredOn != null && rest.id === null ? { enteredAt: new Date(`${enteredOn}T12:00:00Z`) } : {};
    switch (file.table) {
      case "clubSource": {
        const found = await this.named(file, row, member, "order", order);
        return found === null ? null : dated(sourceDraft(member, { ...input, ...found }), on("sharedOn", sharedOn));
      }
      case "want": {
        const found = await this.named(file, row, member, "ownPart", ownPart);
        return found === null ? null : dated(wantDraft(member, { ...input, ...found }), entered);
      }
      case "spare":
        return dated(spareDraft(member, input), entered);
      default:
        return dated(batchDraft(member, input, steward), on("begunOn", begunOn));
    }
  }

  /** The order or part that a cell names by its code; null where a fault was noted. */
  private async named(
    file: ClubFile,
    row: ClubRow,
    { workshopId, restorer }: Member,
    field: "order" | "ownPart",
    code: Values[string] | undefined,
  ): Promise<Record<string, string | null> | null> {
    if (code === undefined) return {};
    if (code === null) return { [field]: null };
    const table = field === "order" ? "order" : "part";
    const machine = String(row.values["machine"] ?? "");
    const ids = restorer ? await idsByCode(this.journal.tx, table, workshopId, String(code), machine) : [];
    if (ids.length === 1) return { [field]: ids[0]! };
    const message =
      ids.length === 0
        ? `There is no ${table} ${code} of the member's workshop.`
        : `Several restorations have the ${table} ${code}: give the machine as that restoration has it.`;
    this.fault(file, row, { code: "UNKNOWN_ROW", field, value: String(code), message });
    return null;
  }

  /** The prices and stages of a batch where their files are there and differ from what is stored. */
  private listsOf(row: ClubRow, held: HeldClubRow | undefined): Record<string, never> {
    const lists: Record<string, unknown> = {};
    for (const [table, field] of [
      ["batchPrice", "prices"],
      ["batchStage", "stages"],
    ] as const) {
      const rows = this.rows.get(table);
      if (rows === undefined) continue;
      const { code = null } = row.values;
      const now = this.byBatch(`${table} given`, rows).get(code) ?? [];
      const before = this.byBatch(`${table} held`, this.held.get(table)!).get(code) ?? [];
      if (held === undefined ? now.length > 0 : JSON.stringify(now) !== JSON.stringify(before)) lists[field] = now;
    }
    return lists as Record<string, never>;
  }

  /** Rows of prices or stages by the batch they name, without its name; grouped once. */
  private byBatch(name: string, rows: readonly { values: Values }[]): Map<Values[string], Values[]> {
    const known = this.grouped.get(name);
    if (known !== undefined) return known;
    const groups = new Map<Values[string], Values[]>();
    for (const { values } of rows) {
      const { batch = null, ...rest } = values;
      const group = groups.get(batch);
      if (group) group.push(rest);
      else groups.set(batch, [rest]);
    }
    this.grouped.set(name, groups);
    return groups;
  }
  private readonly grouped = new Map<string, Map<Values[string], Values[]>>();
}

/** True where the file gives the field another value than the stored row has; a day is no one's to change later. */
function differs({ values }: ClubRow, held: HeldClubRow, field: string): boolean {
  if (!(field in values) || ["enteredOn", "sharedOn", "begunOn"].includes(field)) return false;
  if (values[field] === null && ["member", "currency"].includes(field)) return false;
  return values[field] !== (held.values[field] ?? null);
}

const dated = <T extends OwnedTable>(draft: ClubDraft<T>, dates: Record<string, unknown>): ClubDraft<OwnedTable> =>
  ({ ...draft, defaults: { ...draft.defaults, ...dates } }) as unknown as ClubDraft<OwnedTable>;
