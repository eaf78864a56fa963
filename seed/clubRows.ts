/** What the demo's members share: sources, wants, spares, batches, and what they write to each other. */
import type { Club } from "../server/generated/prisma/client.ts";
import type { ClubRowKind } from "../server/generated/prisma/enums.ts";
import { clubFileOf } from "../server/io/clubColumns.ts";
import { type ClubRow, inColumns } from "../server/io/clubRead.ts";
import { clubDay, depositFor, quoteOfBatch, settleBatch } from "../server/plan/club/batch.ts";
import { referencesOf } from "../server/plan/club/match.ts";
import type { Store, Tx } from "../server/store/client.ts";
import { type ClubNoun, clubFaultsOf } from "../server/store/clubRules.ts";
import type { ClubTable } from "../server/store/clubTables.ts";
import { InvalidInput } from "../server/store/fault.ts";

export interface ClubMade {
  club: Club;
  /** By the name that the others see. */
  members: ReadonlyMap<string, { id: string; accountId: string; workshopId: string }>;
  /** By table. */
  given: ReadonlyMap<string, readonly ClubRow[]>;
}

/** What stands in club.json beside the club itself: rows are named by their codes. */
export interface ClubWords {
  messages: { want: string; spare: string; member: string; on: string; text: string }[];
  complaints: { kind: ClubRowKind; row: string; member: string; on: string; reason: string }[];
}

/** Writes every row in one transaction. Throws InvalidInput where one breaks a rule or names what is not there. */
export async function writeClubRows(store: Store, made: ClubMade, words: ClubWords): Promise<void> {
  await store.$transaction(async (tx) => {
    const writer = new Writer(tx, made);
    await writer.shared();
    await writer.batches();
    await writer.words(words);
  });
}

/** Noon of a day, a second later for each row, so that the order of the files is the order of the lists. */
const noon = (day: unknown, i: number): Date => new Date(Date.parse(`${day}T12:00:00Z`) + 1_000 * i);

/** Ids follow the codes, so that every demo has the same, in the same order. */
const idOf = (code: unknown): string => `demo-${String(code).padStart(5, "0")}`;

class Writer {
  constructor(
    private readonly tx: Tx,
    private readonly made: ClubMade,
  ) {}

  private get clubId(): string {
    return this.made.club.id;
  }

  private member(name: unknown) {
    const found = this.made.members.get(String(name));
    if (found === undefined) throw new RangeError(`No member of the club is called ${name}.`);
    return found;
  }

  /** Rows of a table that meet its rules, as it holds them. */
  private rows(table: ClubTable & ClubNoun, defaults: Record<string, unknown> = {}): Record<string, unknown>[] {
    const file = clubFileOf(table);
    return (this.made.given.get(table) ?? []).map(({ at, values }) => {
      const row = { currency: this.made.club.currency, ...defaults, ...values };
      row.currency ??= this.made.club.currency;
      const faults = inColumns(file, at, clubFaultsOf(table, row));
      if (faults.length > 0) throw new InvalidInput(faults);
      return row;
    });
  }

  private owned(row: Record<string, unknown>) {
    const { member, ...columns } = row;
    const { id: memberId } = this.member(member);
    return { ...columns, id: idOf(row["code"]), clubId: this.clubId, memberId };
  }

  async shared(): Promise<void> {
    const { tx } = this;
    const workshops = { workshopId: { in: [...this.made.members.values()].map(({ workshopId }) => workshopId) } };
    const within = { where: { restoration: workshops }, include: { restoration: { select: { workshopId: true } } } };
    const [orders, parts] = [await tx.order.findMany(within), await tx.part.findMany(within)];
    const ids = (rows: readonly { id: string; code: string; restoration: { workshopId: string } }[]) =>
      new Map(rows.map(({ id, code, restoration }) => [`${restoration.workshopId} ${code}`, id]));
    const [orderIds, partIds] = [ids(orders), ids(parts)];
    const theirs = (of: ReadonlyMap<string, string>, member: unknown, code: unknown): string | null => {
      if (code === null || code === undefined) return null;
      const id = of.get(`${this.member(member).workshopId} ${code}`);
      if (id === undefined) throw new RangeError(`${member} has no ${code}.`);
      return id;
    };
    await tx.clubSource.createMany({
      data: this.rows("clubSource").map((row, i) => {
        const { order, ...columns } = row;
        const orderId = theirs(orderIds, row["member"], order);
        return { ...this.owned(columns), orderId, enteredAt: noon(row["sharedOn"], i) } as never;
      }),
    });
    await tx.want.createMany({
      data: this.rows("want").map((row, i) => {
        const { ownPart, enteredOn, currency: _, ...columns } = row;
        const partId = theirs(partIds, row["member"], ownPart);
        return { ...this.owned(columns), partId, enteredAt: noon(enteredOn, i) } as never;
      }),
    });
    await tx.spare.createMany({
      data: this.rows("spare").map((row, i) => {
        const { enteredOn, ...columns } = row;
        return { ...this.owned(columns), enteredAt: noon(enteredOn, i) } as never;
      }),
    });
  }

  async batches(): Promise<void> {
    const { tx } = this;
    const of = (rows: readonly Record<string, unknown>[], code: unknown) =>
      rows.filter(({ batch }) => batch === code).map(({ batch: _, currency: __, ...row }) => row);
    const [prices, stages, namesDown] = [this.rows("batchPrice"), this.rows("batchStage"), this.rows("nameDown")];
    for (const [i, row] of this.rows("batch").entries()) {
      const batch = await tx.batch.create({
        data: {
          ...this.owned(row),
          enteredAt: noon(row["begunOn"], i),
          prices: { create: of(prices, row["code"]) },
          stages: { create: of(stages, row["code"]).map((stage, position) => ({ ...stage, position })) },
        } as never,
        include: { prices: true },
      });
      let others = 0;
      for (const [k, { member, quantity, putDownOn }] of of(namesDown, row["code"]).entries()) {
        const pieces = Number(quantity);
        await tx.nameDown.create({
          data: {
            batchId: batch.id,
            memberId: this.member(member).id,
            quantity: pieces,
            depositMinor: depositFor(batch, others, pieces),
            putDownAt: noon(putDownOn, k),
          },
        });
        others += pieces;
        await this.plan(batch.id, this.member(member).workshopId);
      }
      await settleBatch(tx, batch.id, clubDay(this.made.club));
    }
  }

  /** A batch is a quote in the plan of a member who is down for it and has such a part. */
  private async plan(batchId: string, workshopId: string): Promise<void> {
    const { tx } = this;
    const batch = await tx.batch.findUniqueOrThrow({ where: { id: batchId }, include: { prices: true } });
    const numbers = new Set(referencesOf(batch.references));
    const parts = await tx.part.findMany({
      where: { restoration: { workshopId } },
      include: { references: true, orders: true, quotes: true },
    });
    const part = parts.find(({ references }) => references.some(({ number }) => numbers.has(referencesOf(number)[0]!)));
    if (part === undefined) return;
    const { restorationId } = part;
    const code = batch.maker
      .replace(/[^\p{L}]/gu, "")
      .slice(0, 4)
      .toUpperCase();
    const known = await tx.supplier.findFirst({ where: { workshopId, name: batch.maker } });
    const supplier =
      known ??
      (await tx.supplier.create({ data: { workshopId, code, name: batch.maker, kind: "MAKER", country: "" } }));
    const quotes = await tx.quote.count({ where: { restorationId } });
    const quote = await tx.quote.create({
      data: {
        ...quoteOfBatch(batch, part.quantity, true, clubDay(this.made.club)),
        restorationId,
        partId: part.id,
        supplierId: supplier.id,
        batchId,
        code: String(quotes + 1),
        provenance: "REPRODUCTION",
        notes: `Batch ${batch.code} of the club`,
      },
    });
    if (!part.orders.some(({ state }) => state === "PLACED"))
      await tx.part.update({ where: { id: part.id }, data: { chosenQuoteId: quote.id } });
  }

  async words({ messages, complaints }: ClubWords): Promise<void> {
    const { tx } = this;
    for (const { want, spare, member, on, text } of messages) {
      const pair = { wantId: idOf(want), spareId: idOf(spare) };
      const correspondence = await tx.correspondence.upsert({
        where: { wantId_spareId: pair },
        create: pair,
        update: {},
      });
      await tx.matchMessage.create({
        data: { correspondenceId: correspondence.id, memberId: this.member(member).id, text, enteredAt: new Date(on) },
      });
    }
    for (const { kind, row, member, on, reason } of complaints) {
      const rowId = idOf(row);
      const { part } = await tx.spare.findUniqueOrThrow({ where: { id: rowId } });
      await tx.clubComplaint.create({
        data: {
          clubId: this.clubId,
          memberId: this.member(member).id,
          kind,
          rowId,
          row: `${row} ${part}`,
          reason,
          enteredAt: new Date(on),
        },
      });
    }
  }
}
