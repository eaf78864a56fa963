/** A batch from its rows: its prices and odds, its state on a day, and the quotes that stand for it in members' plans. */
import {
  atSize,
  type BatchSize,
  type BatchTerms,
  depositOf,
  type Outlook,
  outlookOf,
  priceLadder,
  pricesOfNames,
  stagePayments,
} from "../../engine/club/batch.ts";
import { batchArrival, chanceToFill } from "../../engine/club/batchOdds.ts";
import { daysBetween } from "../../engine/time/date.ts";
import type { Batch, BatchPrice, NameDown, Quote } from "../../generated/prisma/client.ts";
import type { Store, Tx } from "../../store/client.ts";
import { today } from "../days/today.ts";

export type BatchRow = Batch & { prices: Pick<BatchPrice, "size" | "unitMinor">[] };

/** Sizes of which a price is shown past the smallest. */
const SIZES_SHOWN = 12;

export const termsOf = (batch: BatchRow): BatchTerms => ({
  patternMinor: batch.patternMinor,
  setUpMinor: batch.setUpMinor,
  unitMinor: batch.unitMinor,
  sparePercent: batch.sparePercent,
  smallest: batch.smallest,
  most: batch.most,
  prices: batch.prices.toSorted((a, b) => a.size - b.size),
});

export interface BatchOutlook extends Outlook {
  /** Chance that it goes ahead, seen on the day. */
  chance: number;
  /** Day of arrival when it goes ahead on its closing date. */
  arrivesOn: string;
  sizes: BatchSize[];
}

/** The day for which the club's figures stand. */
export const clubDay = (club: { figuresFor: string | null }): string => club.figuresFor ?? today();

/** How a batch looks on a day. */
export function outlookOfBatch(batch: BatchRow, day: string): BatchOutlook {
  const terms = termsOf(batch);
  const from = Math.max(1, Math.min(batch.smallest, Math.max(1, batch.putDown)));
  const to = Math.max(batch.smallest, batch.putDown) + SIZES_SHOWN;
  return {
    ...outlookOf(terms, batch.putDown),
    chance: chanceOn(batch, day),
    arrivesOn: batchArrival(batch.closesOn, batch.leadDays),
    sizes: priceLadder(terms, from, Math.min(to, from + 4 * SIZES_SHOWN)),
  };
}

function chanceOn(batch: Batch, day: string): number {
  if (batch.state !== "TAKING_NAMES") return batch.state === "GOES_AHEAD" ? 1 : 0;
  return chanceToFill(batch, day);
}

export interface NameDownMoney {
  priceMinor: number;
  depositMinor: number;
  stagesMinor: number[];
}

/**
 * What each name down of a batch pays, by its id; the prices add up to what the batch costs. While it is short of its
 * smallest size they are those of the pieces put down for so far.
 */
export function nameDownMoney(
  batch: BatchRow & { stages: { percent: number }[] },
  namesDown: readonly Pick<NameDown, "id" | "quantity" | "depositMinor">[],
): Map<string, NameDownMoney> {
  const prices = pricesOfNames(
    termsOf(batch),
    namesDown.map(({ quantity }) => quantity),
  );
  const percents = batch.stages.map(({ percent }) => percent);
  return new Map(
    namesDown.map(({ id, depositMinor }, i) => {
      const priceMinor = prices[i]!;
      return [id, { priceMinor, depositMinor, stagesMinor: stagePayments(priceMinor, depositMinor, percents) }];
    }),
  );
}

/** The deposit for so many pieces put down for beside those of others. */
export const depositFor = (batch: BatchRow, others: number, quantity: number): number =>
  depositOf(termsOf(batch), others + quantity, quantity, batch.depositPercent);

/** What a quote holds that stands for a batch. */
export type QuoteOfBatch = Pick<
  Quote,
  | "unitPriceMinor"
  | "currency"
  | "depositMinor"
  | "leadDays"
  | "orderFrom"
  | "validUntil"
  | "failureChance"
  | "ruledOut"
>;

/**
 * A batch as a quote for so many pieces, to somebody who is down for it or is not. It is ordered on the closing date,
 * comes its lead after that, and not at all as often as it is not filled. What it costs is told at the smallest size, or at
 * the size that the names make with these pieces.
 */
export function quoteOfBatch(batch: BatchRow, quantity: number, isDown: boolean, day: string): QuoteOfBatch {
  const terms = termsOf(batch);
  const withIt = isDown ? batch.putDown : batch.putDown + quantity;
  const size = Math.max(terms.smallest, withIt, quantity);
  const gone = Math.max(0, daysBetween(batch.closesOn, day));
  const shut = batch.state === "NOT_FILLED" || (batch.state === "GOES_AHEAD" && !isDown);
  return {
    unitPriceMinor: atSize(terms, size).pieceMinor,
    currency: batch.currency,
    depositMinor: depositOf(terms, withIt, quantity, batch.depositPercent),
    leadDays: Math.max(0, batch.leadDays - gone),
    orderFrom: batch.closesOn,
    validUntil: batch.state === "GOES_AHEAD" && isDown ? null : batch.closesOn,
    failureChance: 1 - chanceOn(batch, day),
    ruledOut: shut,
  };
}

/**
 * Brings a batch up to date on a day, inside the transaction that changed it: counts its names, decides it
 * when its closing date has passed, turns the deposits with it, and keeps the quotes that stand for it in step.
 */
export async function settleBatch(tx: Tx, batchId: string, day: string): Promise<BatchRow> {
  const read = await tx.batch.findUniqueOrThrow({
    where: { id: batchId },
    include: {
      prices: true,
      namesDown: { where: { takenOff: false }, include: { member: { include: { account: true } } } },
    },
  });
  const putDown = read.namesDown.reduce((sum, { quantity }) => sum + quantity, 0);
  const over = read.state === "TAKING_NAMES" && read.closesOn < day;
  const state = over ? (putDown >= read.smallest ? "GOES_AHEAD" : "NOT_FILLED") : read.state;
  const { namesDown, ...row } = read;
  const batch: BatchRow = { ...row, putDown, state, settledOn: day };
  if (putDown !== row.putDown || state !== row.state || row.settledOn !== day)
    await tx.batch.update({ where: { id: batchId }, data: { putDown, state, settledOn: day } });
  const deposits = state === "TAKING_NAMES" ? "HELD" : state === "GOES_AHEAD" ? "SPENT" : "RETURNED";
  const { count: turned } = await tx.nameDown.updateMany({
    where: { batchId, takenOff: false, depositState: { not: deposits } },
    data: { depositState: deposits },
  });
  const down = new Set(namesDown.map(({ member }) => member.account.workshopId));
  // A deposit counts as paid with the quotes of the batch.
  const paid = turned > 0 || putDown !== row.putDown;
  await followQuotes(tx, batch, down, day, paid);
  return batch;
}

async function followQuotes(
  tx: Tx,
  batch: BatchRow,
  down: ReadonlySet<string>,
  day: string,
  paid: boolean,
): Promise<void> {
  const quotes = await tx.quote.findMany({
    where: { batchId: batch.id },
    include: { part: { select: { quantity: true } }, restoration: { select: { id: true, workshopId: true } } },
  });
  const changed = new Set<string>();
  for (const { part, restoration, ...quote } of quotes) {
    const now = quoteOfBatch(batch, part.quantity, down.has(restoration.workshopId), day);
    const same = (Object.keys(now) as (keyof QuoteOfBatch)[]).every((field) => quote[field] === now[field]);
    if (paid) changed.add(restoration.id);
    if (same) continue;
    await tx.quote.update({ where: { id: quote.id }, data: { ...now, revision: { increment: 1 } } });
    changed.add(restoration.id);
  }
  if (changed.size > 0)
    await tx.restoration.updateMany({
      where: { id: { in: [...changed] } },
      data: { planRevision: { increment: 1 } },
    });
}

/** Settles every batch of the club whose figures are of an earlier day and that takes names or is still on its way. */
export async function settleDue(store: Store, clubId: string, day: string): Promise<void> {
  const due = await store.batch.findMany({
    where: {
      clubId,
      state: { not: "NOT_FILLED" },
      OR: [{ settledOn: null }, { settledOn: { lt: day } }],
    },
    select: { id: true, state: true, closesOn: true, leadDays: true },
  });
  const moving = due.filter((b) => b.state === "TAKING_NAMES" || batchArrival(b.closesOn, b.leadDays) >= day);
  for (const { id } of moving) await store.$transaction((tx) => settleBatch(tx, id, day));
}
