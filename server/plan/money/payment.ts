/** What the ledger does not take of a payment, whichever way it comes in: by the API, in a file, or as a change taken back. */
import type { PaymentKind } from "../../generated/prisma/enums.ts";
import type { Tx } from "../../store/client.ts";
import { homeRateComplaint } from "../../store/rules.ts";
import { notAfter } from "../days/summaryWords.ts";
import { ratesByDay } from "./exposureLoad.ts";
import { type PaymentRow, paidIn } from "./exposurePaid.ts";
import { moneyInWords } from "./moneyWords.ts";

export interface PaymentWhere {
  /** The day that figures are for: nothing was paid after it. */
  day: string;
  /** The restoration's own currency. */
  home: string;
  /** What stands paid for the same and has not come back, in the payment's currency; null where that is not known. */
  leftMinor: number | null;
}

export interface PaymentComplaint {
  field: "paidOn" | "rate" | "amountMinor";
  /** What stands after the name of the field. */
  complaint: string;
}

/** Everything that is wrong with a payment beside what is wrong with the row alone; each is OUT_OF_RANGE. */
export function paymentComplaints(
  payment: Pick<PaymentRow, "kind" | "paidOn" | "amountMinor" | "currency" | "rate">,
  { day, home, leftMinor }: PaymentWhere,
): PaymentComplaint[] {
  const complaints: PaymentComplaint[] = [];
  if (payment.paidOn > day) {
    const complaint = `${notAfter(day)}, the day that the figures are for`;
    complaints.push({ field: "paidOn", complaint });
  }
  const rate = homeRateComplaint(payment.rate, payment.currency, home);
  if (rate !== null) complaints.push({ field: "rate", complaint: rate });
  if (leftMinor !== null && comesBack(payment.kind) && payment.amountMinor > leftMinor) {
    const left = moneyInWords(Math.max(0, leftMinor), payment.currency);
    complaints.push({
      field: "amountMinor",
      complaint: `must not be more than the ${left} that was paid and has not come back`,
    });
  }
  return complaints;
}

/**
 * What the ledger does not take of a correction: less would stand paid than has come back. Null where it is taken.
 * @param leftMinor what stands paid for the same once it is corrected, less what has come back, in its currency
 */
export const correctionComplaint = (leftMinor: number, currency: string): string | null =>
  leftMinor >= 0
    ? null
    : `would leave ${moneyInWords(-leftMinor, currency)} less paid than has come back: correct what came back first`;

/** What a payment is for, and in which currency. */
export interface PaidFor {
  restorationId: string;
  orderId: string | null;
  wayId: string | null;
  remedyId: string | null;
  currency: string;
}

/** What stands paid on what a payment is for and has not come back, in its currency; null where a club's batch may have been paid for it. */
export async function standsPaid(tx: Tx, { restorationId, orderId, wayId, remedyId, currency }: PaidFor) {
  if (orderId !== null) {
    const { quote } = await tx.order.findUniqueOrThrow({ where: { id: orderId }, select: { quote: true } });
    if (quote.batchId !== null) return null;
  }
  const { workshopId } = await tx.restoration.findUniqueOrThrow({
    where: { id: restorationId },
    select: { workshopId: true },
  });
  const payments = await tx.payment.findMany({ where: { orderId, wayId, remedyId } });
  return paidIn(payments, currency, await ratesByDay(tx, workshopId));
}

/** Whether an entry leaves less paid than stood before: money that comes back, or one against money that went out. */
export const lowers = ({ kind, amountMinor }: Pick<PaymentRow, "kind" | "amountMinor">): boolean =>
  comesBack(kind) === amountMinor > 0;

/** The complaint where entries that were corrected, or taken back, leave less paid than has come back; else null. */
export async function belowZero(
  tx: Tx,
  entries: readonly (PaidFor & Pick<PaymentRow, "kind" | "amountMinor">)[],
): Promise<string | null> {
  for (const entry of entries) {
    const left = lowers({ ...entry, amountMinor: -entry.amountMinor }) ? await standsPaid(tx, entry) : null;
    const complaint = left === null ? null : correctionComplaint(left, entry.currency);
    if (complaint !== null) return complaint;
  }
  return null;
}

/** Whether a payment of this kind comes back from whoever was paid. */
export const comesBack = (kind: PaymentKind): boolean => kind === "REFUND" || kind === "CORE_RETURN";
