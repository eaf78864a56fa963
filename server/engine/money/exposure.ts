/**
 * What the owner's money is exposed to: paid, owed, chosen, undecided, without a source, and the work at the bench.
 * Every entry is turned into the restoration's currency at its own rate and rounded once, half to even; all sums are sums
 * of those whole minor units, so that buckets, groups, months and currencies each add up to the total exactly.
 */
import { type Currency, exactlyInto, roundedMinor } from "./money.ts";
import { halfToEven, type Ratio, ratioOf, times, whole } from "./ratio.ts";

export const BUCKETS = ["PAID", "OWED", "CHOSEN", "UNDECIDED", "UNSOURCED", "LABOUR_DONE", "LABOUR_TO_GO"] as const;
export type Bucket = (typeof BUCKETS)[number];

export type PaymentKind =
  | "DEPOSIT"
  | "PART_PAYMENT"
  | "BALANCE"
  | "REFUND"
  | "CREDIT"
  | "RETURN"
  | "CORE_CHARGE"
  | "CORE_RETURN";

/** One entry of an order's account. An entry that takes another back has its amount with a minus. */
export interface PaymentEntry {
  id: string;
  kind: PaymentKind;
  /** ISO 8601 date. */
  day: string;
  amountMinor: number;
  currency: Currency;
  /** Units of the restoration's currency for one of its own; null when none is known. */
  rate: Ratio | null;
  /** The same in the order's currency, where it was paid in another; null when no rate is known. Absent: in the order's. */
  inOrderMinor?: number | null;
}

/** An order, or a way or remedy that is paid without one. */
export interface OrderEntry {
  id: string;
  group: string;
  currency: Currency;
  totalMinor: number;
  /** Everything went back: nothing more is owed, and what was not refunded is lost. */
  sentBack: boolean;
  /** Past its promise and not here. */
  late: boolean;
  /** Date on which what is owed falls due; null when nothing says. */
  dueOn: string | null;
  /** For what is owed. */
  rate: Ratio | null;
  payments: readonly PaymentEntry[];
  /** Where what is still to be paid stands: CHOSEN for work that has not gone out yet. Default OWED. */
  rest?: "OWED" | "CHOSEN";
}

/** Money that stands on no order, in minor units of the restoration's currency, low to high. */
export interface AheadEntry {
  id: string;
  bucket: "CHOSEN" | "UNDECIDED" | "UNSOURCED";
  group: string;
  dueOn: string | null;
  /** ISO 4217 code of what will be paid; null while that is not decided. */
  currency: string | null;
  low: number;
  /** By the plan in force. */
  planned: number;
  high: number;
  /** Something of it has no figure: the sums are then at least so much. */
  unknown: boolean;
}

/** Hours at the bench at the rate that was agreed for them. An entry that takes another back has its hours with a minus. */
export interface LabourEntry {
  id: string;
  group: string;
  day: string | null;
  hours: number;
  /** Minor units an hour; null when no rate is known. */
  rateMinor: number | null;
  currency: Currency;
  rate: Ratio | null;
}

/** Hours still to do, low to high, at a rate in the restoration's currency. */
export interface LabourAhead {
  id: string;
  group: string;
  day: string | null;
  hours: { low: number; planned: number; high: number };
  rateMinor: number | null;
}

/** Asked of the owner, or received. */
export interface OwnerEntry {
  id: string;
  kind: "INVOICE" | "RECEIPT";
  amountMinor: number;
  currency: Currency;
  rate: Ratio | null;
}

export interface ExposureInput {
  /** The restoration's. */
  currency: Currency;
  capMinor: number | null;
  /** False: the cap is for parts and work outside the shop, and labour is counted beside it. */
  capCoversLabour: boolean;
  orders: readonly OrderEntry[];
  ahead: readonly AheadEntry[];
  labourDone: readonly LabourEntry[];
  labourToGo: readonly LabourAhead[];
  owner: readonly OwnerEntry[];
}

/** One amount of one bucket. */
export interface ExposureLine {
  /** Id of the entry it comes from; the order's for what is owed. */
  id: string;
  bucket: Bucket;
  group: string;
  /** YYYY-MM in which it was or is to be paid; null when nothing says. */
  month: string | null;
  currency: string | null;
  /** In its own currency, where it is one amount of one; else null. */
  ownMinor: number | null;
  low: number;
  planned: number;
  high: number;
  unknown: boolean;
}

/** Low to high in minor units of the restoration's currency; with unknowns, at least so much. */
export interface ExposureSum {
  low: number;
  planned: number;
  high: number;
  /** How many lines have no figure. */
  unknown: number;
}

/** What went to a maker who is late and has not come back as goods. */
export interface AtRisk {
  orderId: string;
  /** Paid and not refunded, in the order's currency. */
  ownMinor: number;
  /** In the restoration's currency, each payment at its own rate. */
  amountMinor: number;
  /** A payment has no rate: it is at least so much. */
  unknown: boolean;
}

export interface Exposure {
  lines: readonly ExposureLine[];
  buckets: Record<Bucket, ExposureSum>;
  total: ExposureSum;
  /** What counts against the cap. */
  counted: ExposureSum;
  /** The cap less what is counted, as planned; null without a cap. Less than zero: over it. */
  capLeftMinor: number | null;
  atRisk: readonly AtRisk[];
  invoicedMinor: number;
  receivedMinor: number;
  /** Ids of entries that no rate is known for; they are in no sum. */
  withoutRate: readonly string[];
}

/** What an entry does to the money paid and to what the order comes to. Money out is positive. */
const EFFECT: Record<PaymentKind, { paid: 1 | 0 | -1; worth: 1 | 0 | -1 }> = {
  DEPOSIT: { paid: 1, worth: 0 },
  PART_PAYMENT: { paid: 1, worth: 0 },
  BALANCE: { paid: 1, worth: 0 },
  REFUND: { paid: -1, worth: 0 },
  CREDIT: { paid: 0, worth: -1 },
  RETURN: { paid: 0, worth: -1 },
  CORE_CHARGE: { paid: 1, worth: 1 },
  CORE_RETURN: { paid: -1, worth: -1 },
};

/** Money that an entry moved to the supplier, in its own minor units: less than 0 came back, 0 moved none. */
export const movedMinor = ({ kind, amountMinor }: Pick<PaymentEntry, "kind" | "amountMinor">): number =>
  EFFECT[kind].paid * amountMinor + 0;

type Account = Pick<PaymentEntry, "kind" | "amountMinor" | "inOrderMinor">;

const inOrder = ({ amountMinor, inOrderMinor }: Account): number | null =>
  inOrderMinor === undefined ? amountMinor : inOrderMinor;

/** Paid and not come back, in the order's currency; what has no rate to it is left out. */
export const paidOf = (payments: readonly Account[]): number =>
  payments.reduce((sum, payment) => sum + EFFECT[payment.kind].paid * (inOrder(payment) ?? 0), 0);

/**
 * What the order still asks for, in its currency; less than 0 is with the supplier to its credit. Nothing once all of it
 * went back; null where a payment in another currency has no rate.
 */
export function owedOf({
  totalMinor,
  sentBack,
  payments,
}: {
  totalMinor: number;
  sentBack: boolean;
  payments: readonly Account[];
}): number | null {
  if (sentBack) return 0;
  let owed = totalMinor;
  for (const payment of payments) {
    const amount = inOrder(payment);
    if (amount === null) return null;
    const { worth, paid } = EFFECT[payment.kind];
    owed += (worth - paid) * amount;
  }
  return owed;
}

/**
 * An amount in the restoration's currency, rounded once, half to even; null without a rate, or with one at which it comes
 * to more than can be counted: no rate makes sense of that.
 */
export function into(minor: number | Ratio, from: Currency, to: Currency, rate: Ratio | null): number | null {
  const exact = typeof minor === "number" ? whole(minor) : minor;
  if (from.code === to.code) return roundedMinor(exact) + 0;
  if (rate === null) return exact.top === 0n ? 0 : null;
  const there = Number(halfToEven(exactlyInto(exact, rate, from.decimals, to.decimals)));
  return Number.isSafeInteger(there) ? there + 0 : null;
}

/** Hours at a rate, exact. Hours are read as the decimal that was typed. */
export const wages = (hours: number, rateMinor: number): Ratio => times(ratioOf(hours)!, whole(rateMinor));

/** The owner's exposure. @throws MoneyFault OUT_OF_RANGE */
export function exposure(input: ExposureInput): Exposure {
  const { currency: home, capMinor } = input;
  const lines: ExposureLine[] = [];
  const withoutRate: string[] = [];
  const one = (
    of: { id: string; bucket: Bucket; group: string; day: string | null; currency: Currency },
    minor: number | Ratio,
    rate: Ratio | null,
  ): number | null => {
    const amount = into(minor, of.currency, home, rate);
    if (amount === null) withoutRate.push(of.id);
    lines.push({
      id: of.id,
      bucket: of.bucket,
      group: of.group,
      month: monthOf(of.day),
      currency: of.currency.code,
      ownMinor: typeof minor === "number" ? minor : null,
      ...same(amount ?? 0),
      unknown: amount === null,
    });
    return amount;
  };

  const atRisk: AtRisk[] = [];
  for (const order of input.orders) {
    const { id, group, currency, rate } = order;
    const risk = { orderId: id, ownMinor: paidOf(order.payments), amountMinor: 0, unknown: false };
    for (const payment of order.payments) {
      const moved = movedMinor(payment);
      if (moved === 0) continue;
      const paid = { id: payment.id, bucket: "PAID", group, day: payment.day, currency: payment.currency } as const;
      const amount = one(paid, moved, payment.rate);
      risk.amountMinor += amount ?? 0;
      risk.unknown ||= amount === null;
    }
    const owed = owedOf(order);
    const due = { id, bucket: order.rest ?? "OWED", group, day: order.dueOn, currency } as const;
    if (owed === null) lines.push({ ...unpriced(due), currency: currency.code });
    else if (owed !== 0) one(due, owed, rate);
    if (order.late && risk.ownMinor !== 0) atRisk.push(risk);
  }
  for (const { id, bucket, group, dueOn, currency, low, planned, high, unknown } of input.ahead)
    lines.push({ id, bucket, group, month: monthOf(dueOn), currency, ownMinor: null, low, planned, high, unknown });
  for (const { id, group, day, hours, rateMinor, currency, rate } of input.labourDone) {
    if (hours === 0) continue;
    const of = { id, bucket: "LABOUR_DONE", group, day, currency } as const;
    if (rateMinor !== null) one(of, wages(hours, rateMinor), rate);
    else lines.push({ ...unpriced(of), currency: currency.code });
  }
  for (const { id, group, day, hours, rateMinor } of input.labourToGo) {
    if (hours.high === 0 && hours.planned === 0) continue;
    const of = { id, bucket: "LABOUR_TO_GO", group, day } as const;
    if (rateMinor === null) lines.push({ ...unpriced(of), currency: home.code });
    else {
      const [low, planned, high] = [hours.low, hours.planned, hours.high].map((h) =>
        roundedMinor(wages(h, rateMinor)),
      ) as [number, number, number];
      lines.push({ ...unpriced(of), currency: home.code, low, planned, high, unknown: false });
    }
  }
  const owner = { INVOICE: 0, RECEIPT: 0 };
  for (const { id, kind, amountMinor, currency, rate } of input.owner) {
    const amount = into(amountMinor, currency, home, rate);
    if (amount === null) withoutRate.push(id);
    else owner[kind] += amount;
  }
  const cap = { minor: capMinor, coversLabour: input.capCoversLabour };
  return {
    lines,
    buckets: sumsByBucket(lines),
    total: sumOf(lines),
    counted: sumOf(countedOf(lines, cap)),
    capLeftMinor: capLeaves(lines, cap),
    atRisk,
    invoicedMinor: owner.INVOICE,
    receivedMinor: owner.RECEIPT,
    withoutRate,
  };
}

/** True for work at the bench. */
export const isLabour = (bucket: Bucket): boolean => bucket === "LABOUR_DONE" || bucket === "LABOUR_TO_GO";

/** What the owner will spend at most. */
export interface Cap {
  minor: number | null;
  /** False: it is for parts and work outside the shop, and labour is counted beside it. */
  coversLabour: boolean;
}

/** The lines that count against a cap. */
export const countedOf = <Line extends Pick<ExposureLine, "bucket">>(lines: readonly Line[], cap: Cap): Line[] =>
  lines.filter(({ bucket }) => cap.coversLabour || !isLabour(bucket));

/**
 * What the cap leaves once all that counts against it is spent as planned; null without a cap, less than zero over it.
 * With ids of rows that are being chosen anew, it is what the cap leaves for choosing them: what lies ahead for these is
 * not held back, their hours included. Paid and owed always are, and so is everything else: estimates of parts without a
 * source, and other hours.
 */
export function capLeaves(
  lines: readonly ExposureLine[],
  cap: Cap,
  choosing: ReadonlySet<string> = NOBODY,
): number | null {
  if (cap.minor === null) return null;
  const held = countedOf(lines, cap).filter(({ bucket, id }) => !(CHOSEN_ANEW.has(bucket) && choosing.has(id)));
  return cap.minor - sumOf(held).planned;
}

const NOBODY: ReadonlySet<string> = new Set();
const CHOSEN_ANEW: ReadonlySet<Bucket> = new Set(["CHOSEN", "UNDECIDED", "LABOUR_TO_GO"]);

type Summed = Pick<ExposureLine, "low" | "planned" | "high" | "unknown">;

const nothing = (): ExposureSum => ({ low: 0, planned: 0, high: 0, unknown: 0 });

function add(sum: ExposureSum, { low, planned, high, unknown }: Summed): void {
  sum.low += low;
  sum.planned += planned;
  sum.high += high;
  if (unknown) sum.unknown++;
}

/** The sum of lines. */
export function sumOf(lines: readonly Summed[]): ExposureSum {
  const sum = nothing();
  for (const line of lines) add(sum, line);
  return sum;
}

/** The sums of lines by what they are. */
export function sumsByBucket(lines: readonly (Summed & Pick<ExposureLine, "bucket">)[]): Record<Bucket, ExposureSum> {
  const sums = Object.fromEntries(BUCKETS.map((bucket) => [bucket, nothing()])) as Record<Bucket, ExposureSum>;
  for (const line of lines) add(sums[line.bucket], line);
  return sums;
}

const same = (amount: number) => ({ low: amount, planned: amount, high: amount });

const unpriced = ({ id, bucket, group, day }: { id: string; bucket: Bucket; group: string; day: string | null }) => ({
  id,
  bucket,
  group,
  month: monthOf(day),
  ownMinor: null,
  ...same(0),
  unknown: true,
});

const monthOf = (day: string | null): string | null => day?.slice(0, 7) ?? null;
