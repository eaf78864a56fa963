/** Words of the ledger, and which of its entries the owner's money came from. */
import { PAYMENT_KIND } from "../shared/words.ts";

export const OWNER_KIND = { INVOICE: "invoice", RECEIPT: "receipt" } as const;

export const LEDGER_KIND = { ...PAYMENT_KIND, LABOUR: "labour", ...OWNER_KIND } as const;
export type LedgerKind = keyof typeof LEDGER_KIND;

export const isOwners = (kind: LedgerKind): kind is keyof typeof OWNER_KIND => kind in OWNER_KIND;

/** Heads that sort, by the column that they stand over. */
export const SORTS = { day: "DAY", kind: "KIND", what: "WHAT", who: "WHO", home: "AMOUNT" } as const;

/** What was asked for in the address; undefined where it says something else. */
export const kindIn = (value: string | null): LedgerKind | undefined =>
  value !== null && value in LEDGER_KIND ? (value as LedgerKind) : undefined;

export const dayIn = (value: string | null): string | undefined =>
  value !== null && /^\d{4}-\d\d-\d\d$/.test(value) ? value : undefined;
