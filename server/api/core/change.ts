/** The record of changes, and the ways back: undo, and removal that undo can bring back. */
import { isOfWorkshop, mayWrite, own, restorationsOf } from "../../access/rules.ts";
import type { Payment } from "../../generated/prisma/client.ts";
import { belowZero } from "../../plan/money/payment.ts";
import type { Store, Tx } from "../../store/client.ts";
import { Refused } from "../../store/fault.ts";
import { checkCurrencyTakenBack } from "../../store/homeCurrency.ts";
import { type Journal, record } from "../../store/journal.ts";
import { type AnyRow, nameWithNoun, type Table } from "../../store/tables.ts";
import { undo } from "../../store/undo.ts";
import { takeBackInClub } from "../club/clubSave.ts";
import { stillInspected } from "../parts/fitting.ts";
import { builder } from "./builder.ts";
import { ChangeConnection, whyFinal } from "./changeEntry.ts";
import type { Context } from "./context.ts";
import { forwards, pageOfRows } from "./page.ts";
import { type Saved, SaveResult, saving } from "./saveResult.ts";

export const TABLES = {
  RESTORATION: "restoration",
  OPERATION: "operation",
  OPERATION_WAY: "operationWay",
  LINK: "link",
  NEED: "need",
  PART: "part",
  SUPPLIER: "supplier",
  QUOTE: "quote",
  FIND: "find",
  HUNT: "hunt",
  EXCHANGE_RATE: "exchangeRate",
  ORDER: "order",
  PAYMENT: "payment",
  INVOICE: "invoice",
  SNAG: "snag",
  REMEDY: "remedy",
  INSPECTION: "inspection",
  PHOTOGRAPH: "photograph",
  TRADE_RATE: "tradeRate",
  HAND: "hand",
  ABSENCE: "absence",
  CLOSED_DATE: "closedDate",
  JUDGING_SECTION: "judgingSection",
  AWARD_FLOOR: "awardFloor",
} as const satisfies Record<string, Table>;

export const RowKind = builder.enumType("RowKind", { values: Object.keys(TABLES) as (keyof typeof TABLES)[] });

builder.queryField("changes", (t) =>
  t.field({
    type: ChangeConnection,
    description: "The changes of one row and of those that hang on it, the newest first. Nothing takes an entry out.",
    args: { ...forwards, row: t.arg({ type: RowKind, required: true }), id: t.arg.id({ required: true }) },
    resolve: async (_root, { row, id, ...args }, context, info) => {
      const { store, viewer } = context;
      const found = await own(viewer, store, TABLES[row], id);
      return pageOfRows(context, info, args, "change", {
        where: { restoration: restorationsOf(viewer), rows: { contains: JSON.stringify(found.id) } },
        orderBy: [{ at: "desc" }, { id: "desc" }],
      });
    },
  }),
);

builder.mutationFields((t) => ({
  remove: t.field({
    type: SaveResult,
    description:
      "Removes a row and what hangs on it; undo brings all of it back. A part, quote or supplier with an order, and an order with a payment, is refused.",
    args: {
      row: t.arg({ type: RowKind, required: true }),
      id: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
    },
    resolve: (_root, { row, id, revision }, context) =>
      saving(context, () => removeRow(context, TABLES[row], id, revision)),
  }),
  undo: t.field({
    type: SaveResult,
    description:
      "Takes a change back; refused as stale where one of its rows stands otherwise than it left it. Several changes of a row are taken back the newest first. A removed row whose code was given again comes back under the next free one, which the summary says.",
    args: { change: t.arg.id({ required: true }) },
    resolve: (_root, { change }, context) =>
      saving(context, async () => (await takeBackInClub(context, change)) ?? takeBack(context, change), noCheck),
  }),
}));

async function removeRow(context: Context, table: Table, id: string, revision: number): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const row = (await own(viewer, store, table, id)) as unknown as AnyRow;
  const restorationId = await recordedOn(context, table, row);
  const summary = `Removed ${await nameWithNoun(store, table, row)}`;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, async (journal) => {
    const settle = await takeOut(journal, table, row, revision);
    await settle();
  });
  return { change, id, revision };
}

/** Takes a row out; what it returns, once all that go with it are out, refuses what may not stand without them. */
export async function takeOut(
  journal: Journal,
  table: Table,
  row: AnyRow,
  revision: number,
): Promise<() => Promise<void>> {
  await journal.remove(table, row.id, revision);
  return async () => {
    if (table === "inspection") await stillInspected(journal.tx, row.partId as string);
  };
}

/** The club and the workshop have rules of their own for taking back. */
const noCheck = () => {};

async function takeBack({ store, viewer }: Context, id: string): Promise<Omit<Saved, "is">> {
  mayWrite(viewer);
  const taken = await own(viewer, store, "change", id);
  const change = await undo(store, taken, viewer.accountId, async (tx, entries) => {
    const final = whyFinal(entries);
    if (final !== null) throw new Refused("NOT_ALLOWED", final);
    await checkCurrencyTakenBack(tx, taken, entries);
    const paid = entries.flatMap(({ table, before, after }) =>
      table === "payment" && before === null && after !== null ? [after as unknown as Payment] : [],
    );
    const complaint = await belowZero(tx, paid);
    if (complaint !== null) throw new Refused("NOT_ALLOWED", `Taking this back ${complaint}.`);
    const inspected = entries.filter((entry) => entry.table === "inspection").map((entry) => entry.after?.partId);
    for (const partId of new Set(inspected)) if (typeof partId === "string") await stillInspected(tx, partId);
  });
  return { change, id: change.id, revision: 1 };
}

/** The restoration on which a removal is recorded: the row's own; for what belongs to the workshop, or a whole restoration, another of the workshop. */
async function recordedOn({ store, viewer }: Context, table: Table, row: AnyRow): Promise<string> {
  if (table !== "restoration" && !isOfWorkshop(table)) return row.restorationId as string;
  return workshopRecord(store, viewer.workshopId, table === "restoration" ? row.id : undefined);
}

/**
 * The restoration that keeps the record of what belongs to the whole workshop: its first one.
 * Throws {@link Refused} where there is none, since the change could then not be taken back.
 */
export async function workshopRecord(store: Store | Tx, workshopId: string, except?: string): Promise<string> {
  const where = { workshopId, id: { not: except ?? "" } };
  const first = await store.restoration.findFirst({ where, orderBy: { id: "asc" }, select: { id: true } });
  if (first !== null) return first.id;
  throw new Refused(
    "NOT_ALLOWED",
    except === undefined
      ? "Add a restoration first: changes are recorded on one, so that they can be taken back."
      : "This is the workshop's only restoration. Its record of changes would go with it and nothing could be brought back: add another restoration first.",
  );
}
