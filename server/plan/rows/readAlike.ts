/** Whether two states of a restoration's rows make the same plan: a price alone moves no work. */
import type { PlanRows, QuoteRow } from "./rows.ts";

/** All that a plan reads of a quote; its price only where it stands in for a part that is undecided. */
const READ: Record<Exclude<keyof QuoteRow, "unitPriceMinor">, true> = {
  id: true,
  code: true,
  currency: true,
  partId: true,
  supplierId: true,
  provenance: true,
  ruledOut: true,
  leadDays: true,
  leadLeast: true,
  leadLikely: true,
  leadMost: true,
  failureChance: true,
  orderFrom: true,
  validUntil: true,
  preparationHours: true,
};
const FIELDS = Object.keys(READ) as (keyof typeof READ)[];

/**
 * The same lists, but for prices of quotes. Rows that were read anew count as others, whatever they hold.
 * @param undecided whether a part of the rows themselves has no quote chosen, so that the cheaper of two as quick stands in
 */
export function readAlike(before: PlanRows, after: PlanRows, undecided: (partId: string) => boolean): boolean {
  const lists = Object.keys(after) as (keyof PlanRows)[];
  return lists.every((list) => {
    if (before[list] === after[list]) return true;
    if (list === "quotes") return quotesAlike(before.quotes, after.quotes, undecided);
    return list === "machines" && machinesAlike(before.machines, after.machines, after.restoration.id, undecided);
  });
}

function machinesAlike(
  before: PlanRows["machines"],
  after: PlanRows["machines"],
  own: string,
  undecided: (partId: string) => boolean,
): boolean {
  // Of another machine's parts nothing is known here: each price of theirs may count.
  const of = ({ restoration }: PlanRows) => (restoration.id === own ? undecided : () => true);
  return before.length === after.length && before.every((one, i) => readAlike(one, after[i]!, of(after[i]!)));
}

function quotesAlike(
  before: readonly QuoteRow[],
  after: readonly QuoteRow[],
  undecided: (partId: string) => boolean,
): boolean {
  return (
    before.length === after.length &&
    before.every((one, i) => {
      const other = after[i]!;
      if (one === other) return true;
      if (one.unitPriceMinor !== other.unitPriceMinor && undecided(other.partId)) return false;
      return FIELDS.every((field) => one[field] === other[field]);
    })
  );
}
