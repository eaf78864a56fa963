/** A restoration's own currency: what stands in it, and when it may be another. Nothing that is in one currency ever turns into as much of another. */
import type { Change } from "../generated/prisma/client.ts";
import type { Tx } from "./client.ts";
import { type Fault, Refused } from "./fault.ts";
import type { Entry } from "./journal.ts";
import { type AnyRow, delegateOf, NOUNS, nameOf, type Table } from "./tables.ts";

/** Amounts that have no currency of their own: they are in the restoration's. */
export const HOME_AMOUNTS = {
  restoration: ["capMinor", "hourlyRateMinor", "consentOverMinor", "pricePerDayMinor", "pricePerPointMinor"],
  tradeRate: ["rateMinor"],
  part: ["estimateMinor"],
} as const satisfies Partial<Record<Table, readonly string[]>>;

/** Entries that are worked out in the restoration's currency and are never changed. */
export const HOME_LEDGER = ["payment", "invoice", "hoursBooked"] as const satisfies readonly Table[];

/** What keeps a restoration in its currency. */
export interface KeepsCurrency {
  /** Entries of the ledger. */
  entries: number;
  /** Trades and parts with a rate or an estimate in it, by name. */
  priced: readonly string[];
}

/** Named in a message; the others are counted. */
const MOST_NAMED = 5;

/** Why the currency cannot be another, as faults of its field; none where nothing keeps it. */
export function currencyFaults(from: string, to: string, { entries, priced }: KeepsCurrency): Fault[] {
  const faults: Fault[] = [];
  if (entries > 0)
    faults.push({
      code: "LEDGER",
      field: "currency",
      value: to,
      message: `currency must stay ${from}: the ledger has ${entries === 1 ? "an entry" : `${entries} entries`} in it, and those stay as they were entered. To keep accounts in ${to}, export the files, leave out payments.csv, invoices.csv and hours.csv, and bring the others in as a new restoration.`,
    });
  if (priced.length > 0) {
    const more = priced.length - MOST_NAMED;
    const named = `${priced.slice(0, MOST_NAMED).join(", ")}${more > 0 ? ` and ${more} more` : ""}`;
    faults.push({
      code: "REFUSED",
      field: "currency",
      value: to,
      rows: priced,
      message: `currency must stay ${from} while these have a rate or an estimate in it: ${named}. Clear those, and give them again in ${to}.`,
    });
  }
  return faults;
}

/** An amount of the restoration that a change of its currency does not say anew. */
export const amountFault = (field: string, label: string, from: string, to: string): Fault => ({
  code: "REQUIRED",
  field,
  message: `${label} must be given in ${to} too, or cleared: it was said in ${from}.`,
});

/** What keeps a restoration in its currency now. */
export async function keepsCurrency(tx: Tx, restorationId: string): Promise<KeepsCurrency> {
  const where = { restorationId };
  const counts = await Promise.all(HOME_LEDGER.map((table) => delegateOf(tx, table).count({ where })));
  const priced: string[] = [];
  for (const table of ["tradeRate", "part"] as const) {
    const [field] = HOME_AMOUNTS[table];
    const rows = await delegateOf(tx, table).findMany({ where: { ...where, [field]: { not: null } } });
    priced.push(...rows.map((row) => `${NOUNS[table]} ${nameOf(row)}`));
  }
  return { entries: counts.reduce((sum, count) => sum + count, 0), priced };
}

/**
 * Throws {@link Refused} (NOT_ALLOWED) where taking a change back would leave something in another currency than it was
 * said in: the currency itself, or an amount that was given before the currency became another.
 */
export async function checkCurrencyTakenBack(tx: Tx, taken: Change, entries: readonly Entry[]): Promise<void> {
  const moved = entries.find(changesCurrency);
  if (moved !== undefined) {
    const faults = currencyFaults(
      String(moved.after!["currency"]),
      String(moved.before!["currency"]),
      await keepsCurrency(tx, moved.id),
    );
    if (faults.length > 0) throw new Refused("NOT_ALLOWED", `The ${faults[0]!.message}`, faults[0]!.rows ?? []);
    return;
  }
  const restored = entries.find(bringsAmountBack);
  const { restorationId } = taken;
  const now = restored && (await tx.restoration.findUnique({ where: { id: restorationId } }));
  if (!now) return;
  const later = await tx.change.findMany({
    where: { restorationId, at: { gte: taken.at }, id: { not: taken.id }, rows: { contains: '"table":"restoration"' } },
    orderBy: [{ at: "asc" }, { id: "asc" }],
  });
  for (const change of later) {
    const first = (JSON.parse(change.rows) as Entry[]).find(
      (entry) => entry.id === restorationId && changesCurrency(entry),
    );
    if (first === undefined) continue;
    const then = String(first.before!["currency"]);
    if (then !== now.currency)
      throw new Refused(
        "NOT_ALLOWED",
        `An amount that would come back was said in ${then}, and the restoration is kept in ${now.currency} now: give it anew in ${now.currency} instead.`,
        [nameOf(restored.before as AnyRow)],
      );
    return;
  }
}

const changesCurrency = ({ table, before, after }: Entry): boolean =>
  table === "restoration" && before !== null && after !== null && before["currency"] !== after["currency"];

const bringsAmountBack = ({ table, before, after }: Entry): boolean =>
  before !== null &&
  !(table === "restoration" && after === null) &&
  ((HOME_AMOUNTS as Partial<Record<Table, readonly string[]>>)[table] ?? []).some(
    (field) => before[field] != null && before[field] !== after?.[field],
  );
