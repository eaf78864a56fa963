/**
 * Columns that are named nearly as in columns.ts: in other letters, by another common word, or misspelt. What each is taken
 * for is told, and may be said otherwise; where one may be two, or two the same, none is taken.
 */
import type { Column } from "./columns.ts";

/** What a column of a file is read as, where its name is not the column's own. */
export interface ColumnRead {
  file: string;
  heading: string;
  /** Name of the column; null: it is not read. */
  readAs: string | null;
  /** Names of the columns that it could be read as instead. */
  choices: readonly string[];
}

/** What people call columns, by their names here. */
const ALSO: Readonly<Record<string, string>> = {
  part: "part number, part code, part id, item, item number, item code",
  name: "description, part name, designation, item name",
  group: "assembly, system, area",
  quantity: "qty, quant, count, pieces, pcs, number needed, number required, quantity required, qty required",
  state: "status",
  notes: "note, remark, remarks, comment, comments",
  supplier: "supplier code, supplier number, vendor, seller",
  unit_price: "price, price each, each, unit cost, cost each, price per piece, cost",
  price: "cost, amount",
  estimate: "estimated price, estimated cost",
  currency: "curr, ccy, currency code",
  minimum_quantity: "moq, min qty, minimum qty, minimum",
  carriage: "postage, shipping, delivery cost, shipping cost",
  duty_rate: "duty, customs duty, duty percent",
  tax_rate: "tax, vat, sales tax, tax percent",
  lead_days: "lead time, delivery time, lead, lead time days, delivery days, delivery time days",
  valid_until: "valid to, expires, expiry, expires on, expiry date",
  order_from: "available from, orders from",
  quote: "quote number, quote code, quote id, quotation, quotation number",
  provenance: "origin, kind of part",
  incoterm: "incoterms, delivery terms, terms",
  deposit: "down payment",
  weight_grams: "weight, weight g",
  number: "part number, reference, ref, reference number",
  operation: "operation number, operation code, operation id, op, op number, task number, task id, job number",
  title: "description, task, job, work",
  trade: "skill, craft",
  hours_likely: "hours, hrs, estimated hours, duration, hours estimated",
  hours_least: "minimum hours, min hours, least hours, hours minimum",
  hours_most: "maximum hours, max hours, most hours, hours maximum",
  before: "predecessor",
  after: "successor",
  email: "mail, email address",
  phone: "telephone, tel, mobile, phone number",
  website: "web, url, site, web address",
  order: "order number, order code, purchase order, po, po number",
  placed_on: "ordered, ordered on, order date, date ordered, placed",
  promised_on: "promised, due, due date, promised date",
  arrived_on: "arrived, received, received on, delivered, delivered on, arrival date",
};

/** Units in which a column does not count, by the end of its name. */
const OTHER_UNITS: readonly [RegExp, RegExp][] = [
  [/^lead_|_days$|^days$/, /\b(weeks?|wks?|months?|years?)\b/],
  [/^hours|_hours$/, /\b(days?|weeks?|min|mins|minutes?)\b/],
  [/_grams$/, /\b(kg|kilos?|kilograms?|lbs?|pounds?|oz|ounces?)\b/],
];

/** Words of a name in small letters, without what stands between them, and "number" however it is shortened. */
function words(name: string): string {
  return name
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/#/g, " number ")
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim()
    .replace(/\b(no|nr|num|nos)$/, "number");
}

/** The same without what stands in brackets, which is a unit or a currency. */
const bare = (heading: string): string => words(heading.replace(/\([^)]*\)|\[[^\]]*\]/g, " "));

const joined = (said: string): string => said.replaceAll(" ", "");

/** Letters by which two words differ: put in, left out, another, or two the other way round; Infinity for more than two. */
function differ(a: string, b: string): number {
  if (Math.abs(a.length - b.length) > 2) return Number.POSITIVE_INFINITY;
  const rows: number[][] = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const same = a[i - 1] === b[j - 1];
      let least = Math.min(rows[i - 1]![j]! + 1, row[j - 1]! + 1, rows[i - 1]![j - 1]! + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, rows[i - 2]![j - 2]! + 1);
      row.push(least);
    }
    rows.push(row);
  }
  return rows[a.length]![b.length]!;
}

/** How near a heading is to a column: 0 is its name in other letters, 1 another word for it, 2 misspelt; null: not at all. */
function nearness(heading: string, { name }: Column, earlier: readonly string[]): number | null {
  const said = joined(bare(heading));
  // What is longer is a sentence and no name.
  if (said === "" || said.length > 40) return null;
  const own = joined(words(name));
  if (said === own) return 0;
  const others = [...(ALSO[name] ?? "").split(", "), ...earlier.map(words)].map(joined);
  if (others.includes(said)) return 1;
  // Short words are soon another one.
  const most = said.length >= 9 ? 2 : said.length >= 5 ? 1 : 0;
  return [own, ...others].some((one) => one.length >= 5 && differ(said, one) <= most) ? 2 : null;
}

const inAnotherUnit = (heading: string, { name }: Column): boolean =>
  OTHER_UNITS.some(([columns, units]) => columns.test(name) && units.test(words(heading)));

export interface Near {
  /** By place in the header. */
  taken: ReadonlyMap<number, Column>;
  /** Why one that reads like a column is not read, by place: the rest of a sentence that begins with it. */
  doubts: ReadonlyMap<number, string>;
}

const quoted = (names: readonly string[]): string => names.map((name) => `“${name}”`).join(" or ");

/**
 * @param headings those that are no column's own name, by place in the header
 * @param all the columns of the file
 * @param free those of them that no other heading is
 * @param earlier names that columns had before, with those of today
 */
export function nearColumns(
  headings: ReadonlyMap<number, string>,
  all: readonly Column[],
  free: ReadonlySet<Column>,
  earlier: Readonly<Record<string, string>> = {},
): Near {
  const taken = new Map<number, Column>();
  const doubts = new Map<number, string>();
  const before = new Map(
    all.map((column) => [column, Object.keys(earlier).filter((name) => earlier[name] === column.name)]),
  );
  const claims = new Map<Column, { at: number; near: number }[]>();
  for (const [at, heading] of headings) {
    const near = all.flatMap((column) => {
      const how = nearness(heading, column, before.get(column)!);
      return how === null ? [] : [{ column, how }];
    });
    const best = near.filter(({ how }) => how === Math.min(...near.map((one) => one.how))).map(({ column }) => column);
    const open = best.filter((column) => free.has(column));
    const [one] = open;
    if (best.length > 0 && open.length === 0)
      doubts.set(at, `is not read: it reads like ${quoted(best.map(({ name }) => name))}, which is there already`);
    else if (open.length > 1)
      doubts.set(at, `may be ${quoted(open.map(({ name }) => name))}, and is not read until you say which`);
    else if (one && inAnotherUnit(heading, one))
      doubts.set(at, `reads like “${one.name}”, but in another unit, and is not read`);
    else if (one) claims.set(one, [...(claims.get(one) ?? []), { at, near: Math.min(...near.map(({ how }) => how)) }]);
  }
  for (const [column, claim] of claims) {
    const nearest = claim.filter(({ near }) => near === Math.min(...claim.map((one) => one.near)));
    if (nearest.length === 1) taken.set(nearest[0]!.at, column);
    for (const { at } of claim) {
      if (taken.get(at) === column) continue;
      const others = claim.filter((other) => other.at !== at).map((other) => headings.get(other.at)!);
      doubts.set(at, `may be “${column.name}”, as may ${quoted(others)}: it is not read until you say which`);
    }
  }
  return { taken, doubts };
}
