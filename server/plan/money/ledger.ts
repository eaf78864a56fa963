/** Every entry of a restoration's money in one list: payments, hours, invoices and receipts, each with the rate used. */
import { into, movedMinor, wages } from "../../engine/money/exposure.ts";
import { decimalText, halfToEven } from "../../engine/money/ratio.ts";
import { codeInWords } from "../../store/codes.ts";
import { currencyOf, type Rates, rateOf } from "./exchange.ts";
import type { HoursEntry, OrderAccount } from "./exposureLoad.ts";
import type { PaidAccounts, PaymentRow } from "./exposurePaid.ts";

export const LEDGER_KINDS = [
  "DEPOSIT",
  "PART_PAYMENT",
  "BALANCE",
  "REFUND",
  "CREDIT",
  "RETURN",
  "CORE_CHARGE",
  "CORE_RETURN",
  "LABOUR",
  "INVOICE",
  "RECEIPT",
] as const;
export type LedgerKind = (typeof LEDGER_KINDS)[number];

export interface LedgerEntry {
  id: string;
  day: string;
  kind: LedgerKind;
  /** For people: what it is for. */
  what: string;
  /** Code of the order, else of the operation or snag, or of the invoice; a number with its noun. */
  code: string;
  partId: string | null;
  operationId: string | null;
  snagId: string | null;
  supplierId: string | null;
  /** Supplier; of hours, who worked. */
  who: string;
  /** As entered, with a minus where it takes another entry back; of hours at their rate, null when none is known. */
  amountMinor: number | null;
  currency: string;
  /** The same in the restoration's currency; null without a rate. */
  homeMinor: number | null;
  /** Decimal text: units of the restoration's currency for one; null where both are the same or there is none. */
  rate: string | null;
  /** 1 into the owner's account, -1 out of it, 0 for what only asks. */
  sign: 1 | 0 | -1;
  /** What it did to the owner's account: in is positive, out negative; what moved nothing is zero. */
  movedMinor: number;
  /** The owner's account after it: received less paid and worked. */
  balanceMinor: number;
  /** It takes another entry back, or was taken back itself. */
  takesBack: boolean;
  takenBack: boolean;
  /** The deposit of a club's batch: it is put right in the club. */
  ofClub: boolean;
  notes: string;
}

export interface LedgerRows {
  currency: string;
  accounts: readonly OrderAccount[];
  paid: PaidAccounts;
  hours: readonly HoursEntry[];
  invoices: readonly {
    id: string;
    code: string;
    kind: "INVOICE" | "RECEIPT";
    day: string;
    amountMinor: number;
    currency: string;
    notes: string;
    correctsId: string | null;
  }[];
  ratesOn(day: string): Rates;
}

type PaidFor = Pick<LedgerEntry, "what" | "code" | "partId" | "operationId" | "snagId" | "supplierId" | "who">;

/** Digits of a rate where it is shown; it is used exactly. */
const SHOWN_PLACES = 10;

/** All entries, the oldest first, with the balance after each. Entries without a rate leave the balance as it is. */
export function ledgerOf({ currency, accounts, paid, hours, invoices, ratesOn }: LedgerRows): LedgerEntry[] {
  const home = currencyOf(currency);
  type Plain = Omit<LedgerEntry, "homeMinor" | "rate" | "movedMinor" | "balanceMinor" | "takenBack"> & {
    agreed: string | null;
    correctsId: string | null;
  };
  const entries: Plain[] = [];
  const pay = (payments: readonly PaymentRow[], of: PaidFor): void => {
    for (const { id, kind, paidOn, amountMinor, currency, rate, correctsId, ofClub, notes } of payments)
      entries.push({
        ...of,
        id,
        day: paidOn,
        kind,
        amountMinor,
        currency,
        agreed: rate,
        sign: -Math.sign(movedMinor({ kind, amountMinor: 1 })) as 1 | 0 | -1,
        takesBack: correctsId !== null,
        correctsId,
        ofClub: ofClub === true,
        notes,
      });
  };
  for (const { code, part, partId, quote, payments } of accounts)
    pay(payments, {
      what: part.name,
      code: codeInWords("order", code),
      partId,
      operationId: null,
      snagId: null,
      supplierId: quote.supplier.id,
      who: quote.supplier.name,
    });
  for (const { title, code, partId, operationId, snagId, supplier, payments } of paid.values())
    pay(payments, {
      what: title,
      code: codeInWords(snagId !== null ? "snag" : operationId !== null ? "operation" : "part", code),
      partId,
      operationId,
      snagId,
      supplierId: supplier?.id ?? null,
      who: supplier?.name ?? "",
    });
  for (const one of hours)
    entries.push({
      id: one.id,
      day: one.workedOn,
      kind: "LABOUR",
      what: `${one.operation.title}, ${one.hours} hours`,
      code: codeInWords("operation", one.operation.code),
      partId: null,
      operationId: one.operationId,
      snagId: null,
      supplierId: null,
      who: one.account.name,
      amountMinor: one.rateMinor === null ? null : Number(halfToEven(wages(one.hours, one.rateMinor))) + 0,
      currency: one.currency,
      agreed: null,
      sign: -1,
      takesBack: one.correctsId !== null,
      correctsId: one.correctsId,
      ofClub: false,
      notes: one.notes,
    });
  for (const one of invoices)
    entries.push({
      id: one.id,
      day: one.day,
      kind: one.kind,
      what: one.kind === "INVOICE" ? "Asked of the owner" : "Received from the owner",
      code: codeInWords(one.kind.toLowerCase(), one.code),
      partId: null,
      operationId: null,
      snagId: null,
      supplierId: null,
      who: "",
      amountMinor: one.amountMinor,
      currency: one.currency,
      agreed: null,
      sign: one.kind === "RECEIPT" ? 1 : 0,
      takesBack: one.correctsId !== null,
      correctsId: one.correctsId,
      ofClub: false,
      notes: one.notes,
    });
  const takenBack = new Set(entries.map(({ correctsId }) => correctsId));
  // The sort keeps the order of equals, so that an entry stands before the one against it.
  entries.sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : 0));
  let balance = 0;
  return entries.map(({ agreed, correctsId: _, ...entry }) => {
    const rate = rateOf(agreed, entry.currency, currency, ratesOn(entry.day));
    const homeMinor =
      entry.amountMinor === null ? null : into(entry.amountMinor, currencyOf(entry.currency), home, rate);
    const moved = entry.sign * (homeMinor ?? 0) + 0;
    balance += moved;
    return {
      ...entry,
      homeMinor,
      rate: entry.currency === currency || rate === null ? null : (agreed ?? decimalText(rate, SHOWN_PLACES)),
      movedMinor: moved,
      balanceMinor: balance,
      takenBack: takenBack.has(entry.id),
    };
  });
}

export interface LedgerFilter {
  kinds?: readonly LedgerKind[] | null | undefined;
  search?: string | null | undefined;
  from?: string | undefined;
  to?: string | undefined;
}

/** The entries that a filter lets through, in the order given. Text is found in what, who, code and notes. */
export function filtered(entries: readonly LedgerEntry[], { kinds, search, from, to }: LedgerFilter): LedgerEntry[] {
  const asked = search?.trim().toLowerCase() ?? "";
  return entries.filter(
    (entry) =>
      (kinds == null || kinds.length === 0 || kinds.includes(entry.kind)) &&
      (from === undefined || entry.day >= from) &&
      (to === undefined || entry.day <= to) &&
      (asked === "" ||
        [entry.what, entry.who, entry.code, entry.notes].some((words) => words.toLowerCase().includes(asked))),
  );
}

export const LEDGER_SORTS = ["DAY", "KIND", "WHAT", "WHO", "AMOUNT"] as const;
export type LedgerSort = (typeof LEDGER_SORTS)[number];

const KEYS: Record<Exclude<LedgerSort, "DAY">, (entry: LedgerEntry) => string | number> = {
  KIND: ({ kind }) => LEDGER_KINDS.indexOf(kind),
  WHAT: ({ what }) => what.toLowerCase(),
  WHO: ({ who }) => who.toLowerCase(),
  // What has no rate is less than any amount.
  AMOUNT: ({ homeMinor }) => homeMinor ?? Number.NEGATIVE_INFINITY,
};

/** Entries of {@link ledgerOf} in another order; equals stay by day, in the same direction. */
export function sorted(entries: readonly LedgerEntry[], by: LedgerSort, descending: boolean): LedgerEntry[] {
  const ascending =
    by === "DAY"
      ? [...entries]
      : entries.toSorted((one, other) => {
          const [a, b] = [KEYS[by](one), KEYS[by](other)];
          return a < b ? -1 : a > b ? 1 : 0;
        });
  return descending ? ascending.reverse() : ascending;
}
