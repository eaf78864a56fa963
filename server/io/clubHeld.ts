/** What stands in the club, as its files hold it. */
import type { Store, Tx } from "../store/client.ts";
import { BY_CODE } from "../store/codes.ts";
import { writeCell } from "./cell.ts";
import { CLUB_FILES, type ClubFile } from "./clubColumns.ts";
import type { Values } from "./columns.ts";
import { csvTextSteps } from "./csv.ts";
import { packed } from "./export.ts";
import { inSlices } from "./slices.ts";

/** Who reads the club: orders and parts are named in the rows of that member alone. */
export interface ClubReader {
  clubId: string;
  memberId: string;
  /** Withheld rows too. */
  all: boolean;
}

export interface HeldClubRow {
  id: string;
  revision: number;
  memberId: string;
  values: Values;
}

export type HeldClub = Map<string, HeldClubRow[]>;

/** The club's rows as a member reads them: what is withheld only where it is the member's own, or a steward asks. */
export async function heldClub(store: Store | Tx, { clubId, memberId, all }: ClubReader): Promise<HeldClub> {
  const shown = all ? { clubId } : { clubId, OR: [{ withheldReason: null }, { memberId }] };
  const query = { where: shown, orderBy: BY_CODE };
  const name = { member: { select: { name: true } } };
  const [sources, wants, spares, batches] = [
    await store.clubSource.findMany({ ...query, include: { ...name, order: { select: { code: true } } } }),
    await store.want.findMany({ ...query, include: { ...name, ownPart: { select: { code: true } } } }),
    await store.spare.findMany({ ...query, include: name }),
    await store.batch.findMany({
      ...query,
      include: {
        ...name,
        prices: { orderBy: { size: "asc" } },
        stages: { orderBy: [{ position: "asc" }, { id: "asc" }] },
        namesDown: { where: { takenOff: false }, orderBy: [{ putDownAt: "asc" }, { id: "asc" }], include: name },
      },
    }),
  ];
  const theirs = (row: { memberId: string }, code: string | undefined): string | null =>
    row.memberId === memberId ? (code ?? null) : null;
  const below = <T extends { id: string; revision: number }>(
    of: (batch: (typeof batches)[number]) => readonly T[],
    values: (row: T) => object,
  ): HeldClubRow[] =>
    batches.flatMap((batch) =>
      of(batch).map((row) => {
        const { id, revision } = row;
        return { id, revision, memberId: batch.memberId, values: valuesOf({ batch: batch.code, ...values(row) }) };
      }),
    );
  return new Map([
    ["clubSource", sources.map((row) => held(row, { order: theirs(row, row.order?.code) }))],
    ["want", wants.map((row) => held(row, { ownPart: theirs(row, row.ownPart?.code), enteredOn: day(row.enteredAt) }))],
    ["spare", spares.map((row) => held(row, { enteredOn: day(row.enteredAt) }))],
    ["batch", batches.map((row) => held(row, {}))],
    [
      "batchPrice",
      below(
        ({ prices }) => prices,
        ({ size, unitMinor }) => ({ size, unitMinor }),
      ),
    ],
    [
      "batchStage",
      below(
        ({ stages }) => stages,
        ({ title, percent }) => ({ title, percent }),
      ),
    ],
    [
      "nameDown",
      below(
        ({ namesDown }) => namesDown,
        ({ member, quantity, putDownAt }) => ({ member: member.name, quantity, putDownOn: day(putDownAt) }),
      ),
    ],
  ]);
}

const day = (at: Date): string => at.toISOString().slice(0, 10);

const valuesOf = (row: object): Values =>
  Object.fromEntries(Object.entries(row).filter(([, value]) => value === null || typeof value !== "object")) as Values;

const held = (
  row: { id: string; revision: number; memberId: string; member: { name: string } },
  more: Values,
): HeldClubRow => ({
  id: row.id,
  revision: row.revision,
  memberId: row.memberId,
  values: { ...valuesOf(row), ...more, member: row.member.name },
});

/** The club's files as a member reads them, packed. */
export async function clubZip(store: Store, reader: ClubReader, currency: string): Promise<Uint8Array> {
  const held = await heldClub(store, reader);
  const currencies = new Map(held.get("batch")!.map(({ values }) => [values["code"], String(values["currency"])]));
  const currencyOf = (table: ClubFile, values: Values): string =>
    String((table.table === "batchPrice" ? currencies.get(values["batch"] ?? null) : values["currency"]) ?? currency);
  const files = new Map<string, string>();
  for (const table of CLUB_FILES) {
    const header = table.columns.map(({ name }) => name);
    const writing = csvTextSteps(header, held.get(table.table)!, ({ values }) =>
      table.columns.map((column) => writeCell(column, values[column.field] ?? null, currencyOf(table, values))),
    );
    files.set(table.file, await inSlices(writing));
  }
  return packed(files);
}

/** Ids of a workshop's orders or parts that have a code; a machine decides between several restorations. */
export async function idsByCode(
  tx: Tx,
  table: "order" | "part",
  workshopId: string,
  code: string,
  machine: string,
): Promise<string[]> {
  const where = { code, restoration: { workshopId } };
  const include = { restoration: { select: { machine: true } } };
  const found =
    table === "order" ? await tx.order.findMany({ where, include }) : await tx.part.findMany({ where, include });
  const same = found.filter(({ restoration }) => restoration.machine === machine);
  return (found.length > 1 && same.length > 0 ? same : found).map(({ id }) => id);
}
