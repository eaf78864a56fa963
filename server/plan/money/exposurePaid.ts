/** What was paid and stands on no order: work sent out, remedies of snags, and the deposits of a club's batches. */
import { into, owedOf, type PaymentEntry, paidOf } from "../../engine/money/exposure.ts";
import { allocate } from "../../engine/money/money.ts";
import type { PaymentKind } from "../../generated/prisma/enums.ts";
import type { Store } from "../../store/client.ts";
import { BY_CODE } from "../../store/codes.ts";
import { grouped } from "../choice/load.ts";
import { today } from "../days/today.ts";
import { currencyOf, type Rates, rateOf } from "./exchange.ts";

/** A payment, or the deposit of a club's batch as one. */
export interface PaymentRow {
  id: string;
  kind: PaymentKind;
  paidOn: string;
  amountMinor: number;
  currency: string;
  rate: string | null;
  notes: string;
  correctsId: string | null;
  /** It is the deposit of a club's batch, and no row of its own. */
  ofClub?: true;
}

/** Everything paid on one way, remedy or quote. */
export interface PaidAccount {
  /** Of the way, the remedy or the quote. */
  id: string;
  is: "WAY" | "REMEDY" | "QUOTE";
  /** The operation, snag or part that it is for. */
  rowId: string;
  code: string;
  title: string;
  group: string;
  partId: string | null;
  operationId: string | null;
  snagId: string | null;
  supplier: { id: string; name: string } | null;
  currency: string;
  payments: readonly PaymentRow[];
}

/** By the id of the way, remedy or quote. */
export type PaidAccounts = ReadonlyMap<string, PaidAccount>;

const NAMED = { select: { id: true, name: true } } as const;

/** Every account without an order on which something was paid. */
export async function loadPaidAccounts(store: Store, restorationId: string): Promise<PaidAccounts> {
  const payments = await store.payment.findMany({
    where: { restorationId, orderId: null },
    orderBy: [{ paidOn: "asc" }, { id: "asc" }],
  });
  const accounts = new Map<string, PaidAccount>();
  for (const [id, deposits] of await depositsOfQuotes(store, restorationId)) {
    const { part, supplier, currency } = deposits.quote;
    const { id: rowId, code, name: title, group } = part;
    const named = { rowId, code, title, group, partId: rowId, operationId: null, snagId: null };
    accounts.set(id, { id, is: "QUOTE", ...named, supplier, currency, payments: deposits.payments });
  }
  if (payments.length === 0) return accounts;
  const of = grouped(payments, ({ wayId, remedyId }) => wayId ?? remedyId ?? "");
  const where = { restorationId, payments: { some: {} } };
  const [ways, remedies] = await Promise.all([
    store.operationWay.findMany({ where, include: { operation: true, supplier: NAMED }, orderBy: BY_CODE }),
    store.remedy.findMany({
      where,
      include: { snag: { include: { operation: true } }, supplier: NAMED },
      orderBy: BY_CODE,
    }),
  ]);
  for (const { id, currency, supplier, operation } of ways) {
    const { id: rowId, code, title, group } = operation;
    const named = { rowId, code, title, group, partId: null, operationId: rowId, snagId: null };
    accounts.set(id, { id, is: "WAY", ...named, supplier, currency, payments: of.get(id) ?? [] });
  }
  for (const { id, currency, supplier, snag } of remedies) {
    const { id: rowId, code, title, operation } = snag;
    const named = { rowId, code, title, group: operation.group, partId: null, operationId: null, snagId: rowId };
    accounts.set(id, { id, is: "REMEDY", ...named, supplier, currency, payments: of.get(id) ?? [] });
  }
  return accounts;
}

const DEPOSITED = { part: { include: { orders: true } }, supplier: NAMED } as const;

/**
 * Deposits that the workshop paid for batches which quotes of the restoration stand for, and which were not given back. A
 * deposit is shared among the quotes of the workshop that are chosen or ordered, else among all of the batch, by how many
 * pieces each is for.
 */
async function depositsOfQuotes(store: Store, restorationId: string) {
  const { workshopId, workshop } = await store.restoration.findUniqueOrThrow({
    where: { id: restorationId },
    select: { workshopId: true, workshop: { select: { timeZone: true } } },
  });
  const batches = await store.batch.findMany({
    where: { quotes: { some: { restorationId } } },
    select: {
      code: true,
      currency: true,
      namesDown: {
        where: { takenOff: false, depositState: { not: "RETURNED" }, member: { account: { workshopId } } },
        orderBy: { id: "asc" },
      },
      quotes: { where: { restoration: { workshopId } }, include: DEPOSITED, orderBy: { id: "asc" } },
    },
  });
  const deposits = new Map<string, { quote: (typeof batches)[number]["quotes"][number]; payments: PaymentRow[] }>();
  for (const { code, currency, namesDown, quotes } of batches) {
    const taken = quotes.filter(
      ({ id, part }) =>
        part.chosenQuoteId === id || part.orders.some(({ quoteId, state }) => quoteId === id && state !== "SENT_BACK"),
    );
    const among = taken.length > 0 ? taken : quotes;
    for (const nameDown of namesDown) {
      if (nameDown.depositMinor === 0) continue;
      const shares = allocate(
        nameDown.depositMinor,
        among.map(({ part }) => part.quantity),
      );
      among.forEach((quote, i) => {
        if (quote.restorationId !== restorationId || shares[i] === 0) return;
        const known = deposits.get(quote.id) ?? { quote, payments: [] };
        deposits.set(quote.id, known);
        known.payments.push({
          id: `${nameDown.id} ${quote.id}`,
          kind: "DEPOSIT",
          paidOn: today(workshop.timeZone, nameDown.putDownAt),
          amountMinor: shares[i]!,
          currency,
          rate: null,
          notes: `Batch ${code} of the club`,
          correctsId: null,
          ofClub: true,
        });
      });
    }
  }
  return deposits;
}

interface PaidRows {
  paid: PaidAccounts;
  /** The rates of the workshop as they stood on a day. */
  ratesOn(day: string): Rates;
}

/** Payments as entries of an account kept in a currency, each at its own rate into the restoration's. */
export const entriesOf = (
  payments: readonly PaymentRow[],
  own: string,
  home: string,
  ratesOn: PaidRows["ratesOn"],
): PaymentEntry[] =>
  payments.map(({ id, kind, paidOn: day, amountMinor, currency, rate }) => {
    const rates = ratesOn(day);
    const paidIn = currencyOf(currency);
    return {
      id,
      kind,
      day,
      amountMinor,
      currency: paidIn,
      rate: rateOf(rate, currency, home, rates),
      ...(currency === own
        ? {}
        : { inOrderMinor: into(amountMinor, paidIn, currencyOf(own), rateOf(null, currency, own, rates)) }),
    };
  });

/** What of payments stands paid, in a currency, each at the rate of its own day; what has none is left out. */
export const paidIn = (payments: readonly PaymentRow[], currency: string, ratesOn: PaidRows["ratesOn"]): number =>
  paidOf(entriesOf(payments, currency, currency, ratesOn));

const entriesOn = ({ paid, ratesOn }: PaidRows, id: string): PaymentEntry[] => {
  const account = paid.get(id);
  return account === undefined ? [] : entriesOf(account.payments, account.currency, account.currency, ratesOn);
};

/** What is still to be paid for a way or a remedy at its price, in its own currency; null where a payment has no rate to it. */
export const leftOf = (rows: PaidRows, id: string, priceMinor: number): number | null =>
  owedOf({ totalMinor: priceMinor, sentBack: false, payments: entriesOn(rows, id) });

/** The same of a way or a remedy whose payments are at hand. */
export const leftOfPrice = (
  { priceMinor, currency, payments }: { priceMinor: number; currency: string; payments: readonly PaymentRow[] },
  ratesOn: PaidRows["ratesOn"],
): number | null =>
  owedOf({ totalMinor: priceMinor, sentBack: false, payments: entriesOf(payments, currency, currency, ratesOn) });

/** What was paid on a way, a remedy or a quote without an order, in its own currency. */
export const paidOn = (rows: PaidRows, id: string): number => paidOf(entriesOn(rows, id));

/**
 * The deposits of batches moved to the orders that were placed on their quotes, where no deposit was entered there. Of a
 * quote with several orders the first has it.
 */
export function onOrders<Account extends { quoteId: string; state: string; payments: readonly PaymentRow[] }>(
  accounts: readonly Account[],
  paid: PaidAccounts,
): { accounts: Account[]; paid: PaidAccounts } {
  const left = new Map(paid);
  const moved = accounts.map((account) => {
    const deposits = account.state === "SENT_BACK" ? undefined : left.get(account.quoteId);
    if (deposits === undefined) return account;
    left.delete(account.quoteId);
    if (account.payments.some(({ kind }) => kind === "DEPOSIT")) return account;
    return { ...account, payments: [...deposits.payments, ...account.payments] };
  });
  return { accounts: moved, paid: left };
}
