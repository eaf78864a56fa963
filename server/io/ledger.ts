/** The ledger as a table for spreadsheets: RFC 4180, no cell that a spreadsheet would take for a formula. */

import { loadHours, loadPaid, ratesByDay } from "../plan/money/exposureLoad.ts";
import { type LedgerEntry, ledgerOf } from "../plan/money/ledger.ts";
import type { Store } from "../store/client.ts";
import { BY_CODE } from "../store/codes.ts";
import { decimalsOf } from "./cell.ts";
import { csvTextSteps } from "./csv.ts";
import { majorUnits } from "./decimal.ts";
import { inSlices } from "./slices.ts";

const HEADER = [
  "day",
  "kind",
  "what",
  "code",
  "who",
  "amount",
  "currency",
  "rate",
  "amount_home",
  "home_currency",
  "moved",
  "balance",
  "takes_back",
  "notes",
];

/**
 * Every entry of a restoration's ledger, the oldest first. Amounts have the sign with which they move the balance: what goes
 * out has a minus, and an entry that takes another back the opposite of it. An invoice asks and a credit forgives: they move
 * nothing, and `moved` adds up to the balance.
 */
export async function ledgerCsv(
  store: Store,
  { id, workshopId, currency }: { id: string; workshopId: string; currency: string },
): Promise<string> {
  const [paid, hours, invoices, ratesOn] = await Promise.all([
    loadPaid(store, id),
    loadHours(store, id),
    store.invoice.findMany({ where: { restorationId: id }, orderBy: [{ day: "asc" }, ...BY_CODE] }),
    ratesByDay(store, workshopId),
  ]);
  const amount = (minor: number | null, code: string): string =>
    minor === null ? "" : majorUnits(minor, decimalsOf(code) ?? 2);
  const signed = ({ sign }: LedgerEntry, minor: number | null): number | null =>
    minor === null ? null : (sign || 1) * minor + 0;
  const entries = ledgerOf({ currency, ...paid, hours, invoices, ratesOn });
  return inSlices(
    csvTextSteps(HEADER, entries, (entry) => [
      entry.day,
      entry.kind.toLowerCase().replaceAll("_", " "),
      entry.what,
      entry.code,
      entry.who,
      amount(signed(entry, entry.amountMinor), entry.currency),
      entry.currency,
      entry.rate ?? "",
      amount(signed(entry, entry.homeMinor), currency),
      currency,
      amount(entry.movedMinor, currency),
      amount(entry.balanceMinor, currency),
      entry.takesBack ? "yes" : "no",
      entry.notes,
    ]),
  );
}
