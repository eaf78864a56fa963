/** A batch from its rows: its prices and odds, its state on a day, and the quotes that stand for it in members' plans. */
import {
  atSize,
  type BatchSize,
  type BatchTerms,
  depositOf,
  type Outlook,
  outlookOf,
  pledgePrices,
  priceLadder,
  stagePayments,
} from "../engine/batch.ts";
import { batchArrival, chanceToFill } from "../engine/batchOdds.ts";
import { daysBetween } from "../engine/date.ts";
import type { Batch, BatchPrice, Pledge, Quote } from "../generated/prisma/client.ts";
import type { Store, Tx } from "../store/client.ts";
import { today } from "./today.ts";

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

export interface BatchStanding extends Outlook {
  /** Chance that it goes ahead, seen on the day. */
  chance: number;
  /** Day of arrival when it goes ahead on its closing date. */
  arrivesOn: string;
  sizes: BatchSize[];
}

/** The day for which the club's figures stand. */
export const clubDay = (club: { figuresFor: string | null }): string => club.figuresFor ?? today();

/** How a batch stands on a day. */
export function standingOf(batch: BatchRow, day: string): BatchStanding {
  const terms = termsOf(batch);
  const from = Math.max(1, Math.min(batch.smallest, Math.max(1, batch.pledged)));
  const to = Math.max(batch.smallest, batch.pledged) + SIZES_SHOWN;
  return {
    ...outlookOf(terms, batch.pledged),
    chance: chanceOn(batch, day),
    arrivesOn: batchArrival(batch.closesOn, batch.leadDays),
    sizes: priceLadder(terms, from, Math.min(to, from + 4 * SIZES_SHOWN)),
  };
}

function chanceOn(batch: Batch, day: string): number {
  if (batch.state !== "OPEN") return batch.state === "CLOSED" ? 1 : 0;
  return chanceToFill(batch, day);
}

export interface PledgeMoney {
  priceMinor: number;
  depositMinor: number;
  stagesMinor: number[];
}

/**
 * What each pledge of a batch pays, by its id; the prices add up to what the batch costs. While it is short of its
 * smallest size they are those of the pieces pledged so far.
 */
export function pledgeMoney(
  batch: BatchRow & { stages: { percent: number }[] },
  pledges: readonly Pick<Pledge, "id" | "quantity" | "depositMinor">[],
): Map<string, PledgeMoney> {
  const prices = pledgePrices(
    termsOf(batch),
    pledges.map(({ quantity }) => quantity),
  );
  const percents = batch.stages.map(({ percent }) => percent);
  return new Map(
    pledges.map(({ id, depositMinor }, i) => {
      const priceMinor = prices[i]!;
      return [id, { priceMinor, depositMinor, stagesMinor: stagePayments(priceMinor, depositMinor, percents) }];
    }),
  );
}

/** The deposit for so many pieces pledged beside those of others. */
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
 * A batch as a quote for so many pieces, to somebody who has pledged or has not. It is ordered on the closing date,
 * comes its lead after that, and fails as often as it is not filled. What it costs is told at the smallest size, or at
 * the size that the pledges make with these pieces.
 */
export function quoteOfBatch(batch: BatchRow, quantity: number, pledger: boolean, day: string): QuoteOfBatch {
  const terms = termsOf(batch);
  const withIt = pledger ? batch.pledged : batch.pledged + quantity;
  const size = Math.max(terms.smallest, withIt, quantity);
  const gone = Math.max(0, daysBetween(batch.closesOn, day));
  const shut = batch.state === "FAILED" || (batch.state === "CLOSED" && !pledger);
  return {
    unitPriceMinor: atSize(terms, size).pieceMinor,
    currency: batch.currency,
    depositMinor: depositOf(terms, withIt, quantity, batch.depositPercent),
    leadDays: Math.max(0, batch.leadDays - gone),
    orderFrom: batch.closesOn,
    validUntil: batch.state === "CLOSED" && pledger ? null : batch.closesOn,
    failureChance: 1 - chanceOn(batch, day),
    ruledOut: shut,
  };
}

/**
 * Brings a batch up to date on a day, inside the transaction that changed it: counts its pledges, closes or fails it
 * when its closing date has passed, turns the deposits with it, and keeps the quotes that stand for it in step.
 */
export async function settleBatch(tx: Tx, batchId: string, day: string): Promise<BatchRow> {
  const read = await tx.batch.findUniqueOrThrow({
    where: { id: batchId },
    include: {
      prices: true,
      pledges: { where: { withdrawn: false }, include: { member: { include: { account: true } } } },
    },
  });
  const pledged = read.pledges.reduce((sum, { quantity }) => sum + quantity, 0);
  const over = read.state === "OPEN" && read.closesOn < day;
  const state = over ? (pledged >= read.smallest ? "CLOSED" : "FAILED") : read.state;
  const { pledges, ...row } = read;
  const batch: BatchRow = { ...row, pledged, state, settledOn: day };
  if (pledged !== row.pledged || state !== row.state || row.settledOn !== day)
    await tx.batch.update({ where: { id: batchId }, data: { pledged, state, settledOn: day } });
  const deposits = state === "OPEN" ? "HELD" : state === "CLOSED" ? "SPENT" : "RETURNED";
  const { count: turned } = await tx.pledge.updateMany({
    where: { batchId, withdrawn: false, depositState: { not: deposits } },
    data: { depositState: deposits },
  });
  const pledgers = new Set(pledges.map(({ member }) => member.account.workshopId));
  // A deposit counts as paid with the quotes of the batch.
  const paid = turned > 0 || pledged !== row.pledged;
  await followQuotes(tx, batch, pledgers, day, paid);
  return batch;
}

async function followQuotes(
  tx: Tx,
  batch: BatchRow,
  pledgers: ReadonlySet<string>,
  day: string,
  paid: boolean,
): Promise<void> {
  const quotes = await tx.quote.findMany({
    where: { batchId: batch.id },
    include: { part: { select: { quantity: true } }, restoration: { select: { id: true, workshopId: true } } },
  });
  const changed = new Set<string>();
  for (const { part, restoration, ...quote } of quotes) {
    const now = quoteOfBatch(batch, part.quantity, pledgers.has(restoration.workshopId), day);
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

/** Settles every batch of the club whose figures are of an earlier day and that is open or still on its way. */
export async function settleDue(store: Store, clubId: string, day: string): Promise<void> {
  const due = await store.batch.findMany({
    where: {
      clubId,
      state: { not: "FAILED" },
      OR: [{ settledOn: null }, { settledOn: { lt: day } }],
    },
    select: { id: true, state: true, closesOn: true, leadDays: true },
  });
  const moving = due.filter((b) => b.state === "OPEN" || batchArrival(b.closesOn, b.leadDays) >= day);
  for (const { id } of moving) await store.$transaction((tx) => settleBatch(tx, id, day));
}
