/** The rows that the owner's money rests on: those of a choice of quotes, with every entry of the ledger and the rates of labour. */
import type { HoursBooked, Invoice, Order } from "../../generated/prisma/client.ts";
import type { Store, Tx } from "../../store/client.ts";
import { BY_CODE } from "../../store/codes.ts";
import { type ChoiceRows, grouped, loadChoiceRows, READ_ANEW, suppliersOf } from "../choice/load.ts";
import { tradeRatesOf } from "../choice/optionCost.ts";
import { type Rates, ratesOnDays } from "./exchange.ts";
import { loadPaidAccounts, onOrders, type PaidAccounts, type PaymentRow } from "./exposurePaid.ts";

export type OrderAccount = Order & {
  payments: readonly PaymentRow[];
  part: { code: string; name: string; group: string };
  quote: { supplier: { id: string; name: string } };
};
export type HoursEntry = HoursBooked & {
  operation: { code: string; title: string; group: string };
  account: { name: string };
};

export interface ExposureRows extends ChoiceRows {
  money: {
    capCoversLabour: boolean;
    /** What an hour is charged at, minor units of the restoration's currency; null when not said. */
    hourlyRateMinor: number | null;
    /** The workshop's own hours count wherever options are compared. */
    countOwnHours: boolean;
    consentOverMinor: number | null;
    /** Chance asked for, 0 to 1 exclusive; null when none is. */
    confidence: number | null;
  };
  /** By trade: what an hour is charged at, where it differs from the restoration's. */
  tradeRates: ReadonlyMap<string, number>;
  accounts: readonly OrderAccount[];
  /** What was paid and stands on no order. */
  paid: PaidAccounts;
  hours: readonly HoursEntry[];
  invoices: readonly Invoice[];
  /** The rates of the workshop as they stood on a day. */
  ratesOn(day: string): Rates;
}

/** Throws NotFound. Without a date, the restoration's own day of the figures, else today. */
export async function loadExposureRows(
  store: Store,
  restorationId: string,
  figuresFor: string | undefined,
  many = READ_ANEW,
): Promise<ExposureRows> {
  const choice = await loadChoiceRows(store, restorationId, figuresFor, many);
  const where = { restorationId };
  const [money, tradeRates, paid, hours, invoices] = await Promise.all([
    store.restoration.findUniqueOrThrow({
      where: { id: restorationId },
      select: {
        workshopId: true,
        capCoversLabour: true,
        hourlyRateMinor: true,
        countOwnHours: true,
        consentOverMinor: true,
        confidence: true,
      },
    }),
    store.tradeRate.findMany({ where, select: { trade: true, rateMinor: true } }),
    loadPaid(store, restorationId),
    loadHours(store, restorationId),
    store.invoice.findMany({ where, orderBy: [{ day: "asc" }, ...BY_CODE] }),
  ]);
  return {
    ...choice,
    money,
    tradeRates: tradeRatesOf(tradeRates),
    ...paid,
    hours,
    invoices,
    ratesOn: await ratesByDay(store, money.workshopId),
  };
}

/** Every order with its payments, and what was paid without one. */
export async function loadPaid(
  store: Store,
  restorationId: string,
): Promise<{ accounts: OrderAccount[]; paid: PaidAccounts }> {
  const [accounts, paid] = await Promise.all([
    loadAccounts(store, restorationId),
    loadPaidAccounts(store, restorationId),
  ]);
  return onOrders(accounts, paid);
}

/** Every order with its payments, the oldest first. What it names is asked for by the restoration, not id by id. */
async function loadAccounts(store: Store, restorationId: string): Promise<OrderAccount[]> {
  const where = { restorationId };
  const [orders, payments, parts, quotes, suppliers] = await Promise.all([
    store.order.findMany({ where, orderBy: BY_CODE }),
    store.payment.findMany({
      where: { ...where, orderId: { not: null } },
      orderBy: [{ paidOn: "asc" }, { id: "asc" }],
    }),
    store.part.findMany({
      where: { ...where, orders: { some: {} } },
      select: { id: true, code: true, name: true, group: true },
    }),
    store.quote.findMany({ where: { ...where, orders: { some: {} } }, select: { id: true, supplierId: true } }),
    // All of the workshop: far quicker than those that are behind some order.
    store.supplier.findMany({ where: suppliersOf(restorationId), select: { id: true, name: true } }),
  ]);
  const paymentsOf = grouped(payments, ({ orderId }) => orderId!);
  const partOf = new Map(parts.map(({ id, ...part }) => [id, part]));
  const supplierOf = new Map(suppliers.map((supplier) => [supplier.id, supplier]));
  const quoteOf = new Map(quotes.map(({ id, supplierId }) => [id, { supplier: supplierOf.get(supplierId)! }]));
  return orders.map((order) => ({
    ...order,
    payments: paymentsOf.get(order.id) ?? [],
    part: partOf.get(order.partId)!,
    quote: quoteOf.get(order.quoteId)!,
  }));
}

/** Every entry of hours, the oldest first. */
export async function loadHours(store: Store, restorationId: string): Promise<HoursEntry[]> {
  const where = { restorationId };
  const [hours, operations, accounts] = await Promise.all([
    store.hoursBooked.findMany({ where, orderBy: [{ workedOn: "asc" }, { bookedAt: "asc" }, { id: "asc" }] }),
    store.operation.findMany({
      where: { ...where, hoursBooked: { some: {} } },
      select: { id: true, code: true, title: true, group: true },
    }),
    store.account.findMany({ where: { hoursBooked: { some: where } }, select: { id: true, name: true } }),
  ]);
  const operationOf = new Map(operations.map(({ id, ...operation }) => [id, operation]));
  const accountOf = new Map(accounts.map(({ id, name }) => [id, { name }]));
  return hours.map((entry) => ({
    ...entry,
    operation: operationOf.get(entry.operationId)!,
    account: accountOf.get(entry.accountId)!,
  }));
}

/** All rates of a workshop, as they stood on any day. */
export async function ratesByDay(store: Store | Tx, workshopId: string): Promise<(day: string) => Rates> {
  return ratesOnDays(await store.exchangeRate.findMany({ where: { workshopId } }));
}
