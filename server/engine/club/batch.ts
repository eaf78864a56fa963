/**
 * What a reproduction batch costs each of those whose names are down for it.
 * Either the maker states a price from each size on, or the whole cost (pattern, set-up, castings) is shared over the
 * pieces put down for. Amounts are whole minor units of one currency; the prices of the names add up to the batch's exactly.
 */
import { allocate, MoneyFault, roundedMinor, share } from "../money/money.ts";

/** From this size on, a piece costs so much. */
export interface StatedPrice {
  size: number;
  unitMinor: number;
}

export interface BatchTerms {
  /** Pattern or tooling, paid once. */
  patternMinor: number;
  /** Setting up for the run, paid once. */
  setUpMinor: number;
  /** Each piece that is cast, spare castings included. */
  unitMinor: number;
  /** Spare castings for every hundred pieces, rounded up to whole castings. */
  sparePercent: number;
  /** Fewest pieces with which it goes ahead. */
  smallest: number;
  /** Most pieces that the maker takes on; null: no limit. */
  most: number | null;
  /** The maker's own prices, by rising size; empty: the cost is shared. */
  prices: readonly StatedPrice[];
}

/** A batch of one size. */
export interface BatchSize {
  size: number;
  /** Pieces cast, spares included. */
  cast: number;
  totalMinor: number;
  /** What one piece costs at most: the shares differ by one minor unit where the total does not divide. */
  pieceMinor: number;
}

const counted = (n: number, field: string, least = 0): number => {
  if (!Number.isSafeInteger(n) || n < least)
    throw new MoneyFault(
      "OUT_OF_RANGE",
      `The ${field} must be a whole number of at least ${least} (it is ${n}).`,
      field,
    );
  return n;
};

/** Pieces to cast so that `pieces` good ones come of it: one more for every begun hundredth part of spares. */
export function castings(pieces: number, sparePercent: number): number {
  counted(pieces, "size");
  counted(sparePercent, "spare castings");
  return pieces + Number((BigInt(pieces) * BigInt(sparePercent) + 99n) / 100n);
}

/** The maker's price for a piece at a size: that of the largest stated size reached, below all of them the smallest's. */
function statedAt(prices: readonly StatedPrice[], size: number): number {
  let stated = prices[0]!;
  for (const price of prices) if (price.size <= size && price.size >= stated.size) stated = price;
  return stated.unitMinor;
}

/** What a batch of so many pieces costs. @throws MoneyFault for a size under one, or amounts that are no whole numbers */
export function atSize(terms: BatchTerms, size: number): BatchSize {
  counted(size, "size", 1);
  for (const field of ["patternMinor", "setUpMinor", "unitMinor"] as const) counted(terms[field], field);
  const cast = castings(size, terms.sparePercent);
  const exact =
    terms.prices.length > 0
      ? BigInt(statedAt(terms.prices, size)) * BigInt(size)
      : BigInt(terms.patternMinor) + BigInt(terms.setUpMinor) + BigInt(terms.unitMinor) * BigInt(cast);
  const totalMinor = roundedMinor({ top: exact, bottom: 1n }, "batch");
  return { size, cast, totalMinor, pieceMinor: Math.ceil(totalMinor / size) };
}

/**
 * Prices of the names down of a batch, by their quantities: they add up to the batch's total to the minor unit (largest
 * remainders first, equal ones in the order given). Below the smallest size the pieces put down for stand for the whole batch.
 */
export function pricesOfNames(terms: BatchTerms, quantities: readonly number[]): number[] {
  const size = quantities.reduce((a, b) => a + counted(b, "quantity", 1), 0);
  return size === 0 ? [] : allocate(atSize(terms, size).totalMinor, quantities);
}

/** What each size costs, from the smallest that goes ahead (or the pieces put down for, if fewer) to `to`. */
export function priceLadder(terms: BatchTerms, from: number, to: number): BatchSize[] {
  const first = Math.max(1, from);
  const last = Math.min(to, terms.most ?? to);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => atSize(terms, first + i));
}

export interface Outlook {
  putDown: number;
  /** Pieces wanting for the smallest size; 0: it is filled. */
  needed: number;
  /** Pieces that can still be put down for; null: no limit. */
  room: number | null;
  /** The batch at the pieces put down for now; null with no name down. */
  now: BatchSize | null;
  /** With one piece more; null when it is full. */
  withOneMore: BatchSize | null;
  /** What one piece more saves on each piece; null where there is no name down or no room. Negative where it would cost more. */
  oneMoreSaves: number | null;
  /** At the smallest size, or at the pieces put down for where those are more: what is agreed to when it goes ahead as it stands. */
  goingAhead: BatchSize;
}

/** How a batch looks with so many pieces put down for. */
export function outlookOf(terms: BatchTerms, putDown: number): Outlook {
  counted(putDown, "pieces put down for");
  const room = terms.most === null ? null : Math.max(0, terms.most - putDown);
  const now = putDown === 0 ? null : atSize(terms, putDown);
  const withOneMore = room === 0 ? null : atSize(terms, putDown + 1);
  return {
    putDown,
    needed: Math.max(0, terms.smallest - putDown),
    room,
    now,
    withOneMore,
    oneMoreSaves: now === null || withOneMore === null ? null : now.pieceMinor - withOneMore.pieceMinor,
    goingAhead: atSize(terms, Math.max(1, terms.smallest, putDown)),
  };
}

/** The deposit on a name down: so many per cent of its price at the smallest size, or at the size it makes, rounded half to even. */
export function depositOf(terms: BatchTerms, putDownWithIt: number, quantity: number, percent: number): number {
  counted(percent, "deposit");
  const { totalMinor, size } = atSize(terms, Math.max(terms.smallest, putDownWithIt, quantity));
  const price = quantity === size ? totalMinor : allocate(totalMinor, [quantity, size - quantity])[0]!;
  return share(price, `${percent}e-2`);
}

/** What is due at each stage after the deposit; deposit and stages add up to the price. Percentages are weights. */
export function stagePayments(priceMinor: number, depositMinor: number, percents: readonly number[]): number[] {
  return percents.length === 0 ? [] : allocate(priceMinor - depositMinor, percents);
}
