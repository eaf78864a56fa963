/** What went to a supplier. Amounts are minor units. */
import { type PaymentKind, paidOf } from "../engine/exposure.ts";

/** Paid and not come back. An entry that takes another back has its amount with a minus. */
export const paidMinor = (payments: readonly { kind: PaymentKind; amountMinor: number }[]): number => paidOf(payments);
