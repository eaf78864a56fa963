/** Rows chosen in a list and changed or removed together: all of them or none, as one change that one undo takes back. */
import { isOfWorkshop, rowOf } from "../../access/rules.ts";
import { counted } from "../../io/backupWords.ts";
import { listed } from "../../plan/odds/oddsWords.ts";
import { type Fault, InvalidInput, noLongerThere, Refused, StaleRow } from "../../store/fault.ts";
import { type Journal, record } from "../../store/journal.ts";
import { words } from "../../store/rules.ts";
import { type AnyRow, delegateOf, NOUNS, nameOf, nameWithNoun, type Table } from "../../store/tables.ts";
import { speller } from "../../store/trades.ts";
import { operationDraft, operationsFields } from "../network/operation.ts";
import { partDraft, partsFields } from "../parts/part.ts";
import { builder, wrongArgument } from "./builder.ts";
import { RowKind, TABLES, takeOut } from "./change.ts";
import type { Context } from "./context.ts";
import { type Draft, put } from "./save.ts";
import { type Saved, SaveResult, saving } from "./saveResult.ts";

/** Rows of one such change: so many are written in a second or two, while others wait to write. */
const MOST_ROWS = 200;

/** Rows by name in one sentence, and such sentences. */
const MOST_NAMED = 5;

const ReadRow = builder.inputType("ReadRow", {
  description: "A row, and the revision at which it was read.",
  fields: (t) => ({ id: t.id({ required: true }), revision: t.int({ required: true }) }),
});
type Read = typeof ReadRow.$inferInput;

const PartsInput = builder.inputType("PartsInput", {
  description: "What each of several parts is to hold; what is left out stays as each has it.",
  fields: partsFields,
});

const OperationsInput = builder.inputType("OperationsInput", {
  description: "What each of several operations is to hold; what is left out stays as each has it.",
  fields: operationsFields,
});

const ALL_OR_NONE = "All of them or none; a fault names its row and field.";

builder.mutationFields((t) => ({
  changeParts: t.field({
    type: SaveResult,
    description: `Changes several parts of a restoration alike, in one change. ${ALL_OR_NONE}`,
    args: {
      rows: t.arg({ type: [ReadRow], required: true }),
      input: t.arg({ type: PartsInput, required: true }),
    },
    resolve: (_root, { rows, input }, context) =>
      saving(context, () => changeRows(context, rows, input, (row) => partDraft({ ...input, ...row }))),
  }),
  changeOperations: t.field({
    type: SaveResult,
    description: `Changes several operations of a restoration alike, in one change; of those that are done together one may come before another. ${ALL_OR_NONE}`,
    args: {
      rows: t.arg({ type: [ReadRow], required: true }),
      input: t.arg({ type: OperationsInput, required: true }),
    },
    resolve: (_root, { rows, input }, context) => saving(context, () => changeOperations(context, rows, input)),
  }),
  removeSeveral: t.field({
    type: SaveResult,
    description: `Removes several rows of a restoration as remove does each, in one change. ${ALL_OR_NONE}`,
    args: {
      row: t.arg({ type: RowKind, required: true }),
      rows: t.arg({ type: [ReadRow], required: true }),
    },
    resolve: (_root, { row, rows }, context) => saving(context, () => removeRows(context, TABLES[row], rows)),
  }),
}));

function changeOperations(context: Context, rows: readonly Read[], input: typeof OperationsInput.$inferInput) {
  let spelling: ReturnType<typeof speller> | undefined;
  return changeRows(context, rows, input, (row) =>
    operationDraft(context, { ...input, ...row }, ({ tx }) => {
      // None of those that are changed binds the others; and it is read once for all.
      spelling ??= speller(tx, context.viewer.workshopId, { besides: rows.map(({ id }) => id) });
      return spelling;
    }),
  );
}

function changeRows<T extends Table>(
  context: Context,
  rows: readonly Read[],
  input: object,
  draftOf: (row: Read) => Draft<T>,
) {
  const fields = Object.entries(input).flatMap(([field, value]) => (value === undefined ? [] : [words(field)]));
  if (fields.length === 0)
    throw new InvalidInput([{ code: "REQUIRED", field: "input", message: "It was not said what is to be changed." }]);
  const { table } = draftOf({ id: "", revision: 0 });
  return together(
    context,
    table,
    rows,
    (what) => `Changed ${what}: ${listed(fields)}`,
    async (journal, _row, read) => (await put(context, journal, draftOf(read))).settle,
  );
}

async function removeRows(context: Context, table: Table, rows: readonly Read[]) {
  if (table === "restoration" || isOfWorkshop(table))
    throw wrongArgument("row", "must be of what belongs to a restoration.");
  return together(
    context,
    table,
    rows,
    (what, names) => `Removed ${what}${names.length > 1 ? `: ${someOf(names)}` : ""}`,
    (journal, row, { revision }) => takeOut(journal, table, row, revision),
  );
}

/** Does something to each of the rows; what it returns is done once all of them stand. Of the faults and refusals all are told. */
async function together(
  { store, viewer }: Context,
  table: Table,
  rows: readonly Read[],
  summary: (what: string, names: readonly string[]) => string,
  act: (journal: Journal, row: AnyRow, read: Read) => Promise<() => Promise<void>>,
): Promise<Omit<Saved, "is">> {
  checkRows(rows);
  let restorationId = "";
  let what = "";
  let names: string[] = [];
  const change = await record(
    store,
    {
      accountId: viewer.accountId,
      summary: () => summary(what, names),
      get restorationId() {
        return restorationId;
      },
    },
    async (journal) => {
      const found = await rowsOf(journal, viewer, table, rows);
      const [first] = found;
      restorationId = first!.row.restorationId as string;
      what =
        found.length === 1 ? await nameWithNoun(journal.tx, table, first!.row) : counted(found.length, NOUNS[table]);
      names = found.map(({ row }) => String(row.title || row.name || nameOf(row)));
      const told = new Told(journal, table);
      const settle: { row: AnyRow; work: () => Promise<void> }[] = [];
      for (const { row, read } of found) {
        // Others are answered between two rows.
        await new Promise(setImmediate);
        await told.of(row, async () => settle.push({ row, work: await act(journal, row, read) }));
      }
      told.check();
      for (const { row, work } of settle) await told.of(row, work);
      told.check();
    },
  );
  const { revision } = await store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
  return { change, id: restorationId, revision };
}

/** What is wrong with each row, told of all together. */
class Told {
  private readonly faults: Fault[] = [];
  private readonly refusals: { name: string; refused: Refused }[] = [];

  constructor(
    private readonly journal: Journal,
    private readonly table: Table,
  ) {}

  /** Does the work for the row, or keeps what is wrong with it. Throws at once where somebody else changed it. */
  async of(row: AnyRow, work: () => Promise<unknown>): Promise<void> {
    try {
      await work();
    } catch (error) {
      const name = () => nameWithNoun(this.journal.tx, this.table, row);
      if (error instanceof InvalidInput)
        this.faults.push(...error.faults.map((fault) => ({ ...fault, row: fault.row ?? nameOf(row) })));
      else if (error instanceof Refused) this.refusals.push({ name: await name(), refused: error });
      else if (error instanceof StaleRow) throw new StaleRow(error.id, error.revision, error.differences, await name());
      else throw error;
    }
  }

  check(): void {
    if (this.faults.length > 0) throw new InvalidInput(this.faults);
    const [first] = this.refusals;
    if (first === undefined) return;
    const names = new Map<string, string[]>();
    for (const { name, refused } of this.refusals)
      names.set(refused.message, [...(names.get(refused.message) ?? []), name]);
    const told = [...names].map(([message, of]) => `${ofMany(of)}: ${message}`);
    const more = told.splice(MOST_NAMED).length;
    if (more > 0) told.push(`Others are refused too: ${counted(more, "further reason")}.`);
    throw new Refused(first.refused.code, told.join(" "), [
      ...new Set(this.refusals.flatMap(({ refused }) => refused.rows)),
    ]);
  }
}

/** The first three by name, and how many more. */
const someOf = (names: readonly string[]): string =>
  listed(names.length > 4 ? [...names.slice(0, 3), `${names.length - 3} more`] : names);

/** "Part 11, Front axle; part 12, Rear axle; and 3 more" */
function ofMany(names: readonly string[]): string {
  const more = names.length - MOST_NAMED;
  const said = [...names.slice(0, MOST_NAMED), ...(more > 0 ? [`and ${more} more`] : [])].join("; ");
  return said.charAt(0).toUpperCase() + said.slice(1);
}

function checkRows(rows: readonly Read[]): void {
  const fault = (code: Fault["code"], message: string, value?: string) =>
    new InvalidInput([{ code, field: "rows", message, value }]);
  if (rows.length === 0) throw fault("REQUIRED", "rows must be given.");
  if (rows.length > MOST_ROWS)
    throw fault("TOO_LARGE", `At most ${MOST_ROWS} rows are changed together (they are ${rows.length}).`);
  const twice = rows.find(({ id }, i) => rows.findIndex((other) => other.id === id) !== i);
  if (twice !== undefined) throw fault("DUPLICATE", "A row is there twice.", twice.id);
}

/** The rows as they stand, all of one restoration of the viewer's. */
async function rowsOf(journal: Journal, viewer: Context["viewer"], table: Table, rows: readonly Read[]) {
  const faults: Fault[] = [];
  const found: { row: AnyRow; read: Read }[] = [];
  for (const read of rows) {
    const [row] = await delegateOf(journal.tx, table).findMany({ where: rowOf(viewer, table, read.id) });
    const strange = { code: "UNKNOWN_ROW", field: "rows", value: read.id } as const;
    if (row === undefined) faults.push({ ...strange, message: noLongerThere(NOUNS[table]) });
    else {
      found.push({ row, read });
      if (row.restorationId !== found[0]?.row.restorationId)
        faults.push({ ...strange, row: nameOf(row), message: `That ${NOUNS[table]} belongs to another restoration.` });
    }
  }
  if (faults.length > 0) throw new InvalidInput(faults);
  return found;
}
