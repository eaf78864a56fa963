/**
 * What stands in the files: every table, its columns, and how each is read and written.
 * Reading, writing, templates and their explanation all come from this one statement.
 */
import {
  CHARGE_SHARES,
  CONDITIONS,
  CUSTOMS_BASES,
  DIMENSION_NATURES,
  HUNT_STATES,
  INCOTERMS,
  INVOICE_KINDS,
  LAG_UNITS,
  LENGTH_UNITS,
  type Noun,
  OPERATION_STATES,
  ORDER_STATES,
  PAYMENT_KINDS,
  PROVENANCES,
  STATES_ON_HAND,
  SUPPLIER_KINDS,
} from "../store/rules.ts";
import type { Table } from "../store/tables.ts";

/** What a field holds once read: text, number, yes or no, or nothing. Money is minor units; references are codes. */
export type Cell = string | number | boolean | null;
export type Values = Record<string, Cell>;

export type ColumnKind =
  | { is: "text" }
  /** Short texts in one cell, with semicolons between them; in rows one column (store/texts.ts). */
  | { is: "texts" }
  /** Text in capitals: country and currency codes. */
  | { is: "capitals" }
  | { is: "number" }
  /** A number kept as it is written, so that no digit is rounded. */
  | { is: "decimal" }
  | { is: "whole" }
  | { is: "date" }
  | { is: "choice"; of: readonly string[]; capitals?: true }
  | { is: "yesNo" }
  /** In files percent, in rows a fraction. */
  | { is: "percent" }
  /** In files major units, in rows minor units of the row's own currency, or of the restoration's. */
  | { is: "money"; currency: "row" | "restoration"; signed?: true }
  /** Names a row of another table by its code. */
  | { is: "row"; of: Table };

export interface Column {
  /** As the header has it. */
  name: string;
  /** As the row has it; a column of kind row holds a code here. */
  field: string;
  kind: ColumnKind;
  /** Without it there is no row. */
  required: boolean;
  /** What a blank cell means. */
  blank: Cell;
  /** A blank cell means the row's code. */
  blankIsCode?: true;
  /** A row that says none is a new one, and has the next code. */
  isGiven?: true;
  says: string;
}

export interface FileTable {
  file: string;
  table: Table;
  noun: Noun;
  /** Fields that tell one row from another. */
  key: readonly string[];
  /** False: several rows may have the same key; they are matched in turn. */
  unique: boolean;
  /** The field by which other tables name the row. */
  named: string | null;
  /** The field that stands before it in that name, with a colon between: a line is one of its section. */
  within?: string;
  /** Whether the database row carries the restoration's id. */
  owner: "restoration" | "workshop" | "parent" | "self";
  says: string;
  columns: readonly Column[];
}

export const WEEK = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"] as const;

export const must = (name: string, field: string, kind: ColumnKind, says: string): Column => ({
  name,
  field,
  kind,
  required: true,
  blank: null,
  says,
});
export const may = (name: string, field: string, kind: ColumnKind, blank: Cell, says: string): Column => ({
  name,
  field,
  kind,
  required: false,
  blank,
  says,
});

/** What other tables call a row of this one. */
export const nameOfRow = ({ named, within }: FileTable, values: Values): string =>
  within === undefined ? String(values[named!]) : `${String(values[within])}: ${String(values[named!])}`;

/** A title or name: where it is blank the code serves. */
const called = (name: string, field: string, says: string): Column => ({
  ...may(name, field, { is: "text" }, null, says),
  blankIsCode: true,
});

/** The field by which people call the rows of a table that has codes; null where they have no other name. */
export const titleOf = ({ columns }: Pick<FileTable, "columns">): string | null =>
  columns.find(({ blankIsCode }) => blankIsCode)?.field ?? null;

export const text: ColumnKind = { is: "text" };
const texts: ColumnKind = { is: "texts" };
export const capitals: ColumnKind = { is: "capitals" };
const number: ColumnKind = { is: "number" };
export const whole: ColumnKind = { is: "whole" };
export const date: ColumnKind = { is: "date" };
export const yesNo: ColumnKind = { is: "yesNo" };
const percent: ColumnKind = { is: "percent" };
export const money: ColumnKind = { is: "money", currency: "row" };
const signedMoney: ColumnKind = { is: "money", currency: "row", signed: true };
export const choice = (of: readonly string[]): ColumnKind => ({ is: "choice", of });
const row = (of: Table): ColumnKind => ({ is: "row", of });

/** The code of a row that has the next one where it says none. */
const coded = (name: string): Column => ({
  ...may(name, "code", text, null, "Short code, the same in every file; blank is a new one, with the next code."),
  isGiven: true,
});

const notes = may("notes", "notes", text, "", "Anything else worth keeping.");

/** Hours of each weekday. */
const week = (says: string): Column[] =>
  WEEK.map((day, i) => may(day, day, number, i < 5 ? 8 : 0, `${says} ${day[0]!.toUpperCase()}${day.slice(1)}.`));

/** In the order in which they are read and written: a table comes after those that it names. */
export const TABLES: readonly FileTable[] = [
  {
    file: "restoration.json",
    table: "restoration",
    noun: "restoration",
    key: [],
    unique: true,
    named: null,
    owner: "self",
    says: "The machine, its owner and the target.",
    columns: [
      may("machine", "machine", text, "Unnamed machine", "What is being rebuilt."),
      may("owner", "owner", text, "", "Whose it is."),
      may("description", "description", text, "", "What is known about it."),
      may("targetName", "targetName", text, "", "What the target date is for: a show, a rally, a promise."),
      may("targetDate", "targetDate", date, null, "The day by which it should be finished."),
      may("reportedOn", "reportedOn", date, null, "The day on which the owner was last given a report."),
      may("currency", "currency", capitals, "GBP", "ISO 4217 code of the owner's money."),
      may(
        "cap",
        "capMinor",
        { is: "money", currency: "row" },
        null,
        "The most the owner will spend, in that currency, such as 20000 or 19999.50.",
      ),
      may(
        "capCoversLabour",
        "capCoversLabour",
        yesNo,
        false,
        "True where the cap is for labour too, and not only for parts and work outside the shop.",
      ),
      may("hourlyRate", "hourlyRateMinor", money, null, "What an hour at the bench is charged at."),
      may(
        "countOwnHours",
        "countOwnHours",
        yesNo,
        true,
        "False where only what is bought counts when options are compared, and the workshop's own hours do not.",
      ),
      may("consentOver", "consentOverMinor", money, null, "A single sum over this waits for the owner's consent."),
      may(
        "confidence",
        "confidence",
        number,
        null,
        "Chance with which order-by dates are to hold, between 0 and 1; without it, as promised.",
      ),
      may(
        "pricePerDay",
        "pricePerDayMinor",
        money,
        null,
        "What a day past the target costs the owner, such as 25.00; without a target, each day to the end.",
      ),
      may("pricePerPoint", "pricePerPointMinor", money, null, "What a judge's point is worth to the owner."),
      may(
        "pointStep",
        "pointStep",
        number,
        null,
        "A line of the judging sheet loses whole steps of so many points, such as 0.5, and what is over is in the owner's favour; without it, to a hundredth.",
      ),
      may(
        "customsBasis",
        "customsBasis",
        { is: "choice", of: CUSTOMS_BASES, capitals: true },
        "CIF",
        "What duty is on: CIF, with carriage and insurance, or FOB, as loaded abroad.",
      ),
      may(
        "carriageTaxed",
        "carriageTaxed",
        yesNo,
        true,
        "False where tax is worked out on the goods and the duty alone, and not on carriage and insurance.",
      ),
    ],
  },
  {
    file: "restoration.json",
    table: "shopCalendar",
    noun: "calendar",
    key: [],
    unique: true,
    named: null,
    owner: "workshop",
    says: "Working hours of each weekday, of the shop for all its machines; 0 is a day off.",
    columns: week("Working hours of a"),
  },
  {
    file: "restoration.json",
    table: "closedDate",
    noun: "closedDate",
    key: ["date"],
    unique: true,
    named: null,
    owner: "workshop",
    says: "Dates on which the shop does no work, for all its machines.",
    columns: [must("date", "date", date, "The day."), may("reason", "reason", text, "", "Why.")],
  },
  {
    file: "restoration.json",
    table: "tradeRate",
    noun: "tradeRate",
    key: ["trade"],
    unique: true,
    named: null,
    owner: "restoration",
    says: "What an hour of each trade is charged at.",
    columns: [
      must("trade", "trade", text, "The trade."),
      may(
        "rate",
        "rateMinor",
        { is: "money", currency: "restoration" },
        null,
        "What an hour of this trade is charged at; without it, the restoration's hourly rate.",
      ),
    ],
  },
  {
    file: "restoration.json",
    table: "judgingSection",
    noun: "judgingSection",
    key: ["name"],
    unique: true,
    named: "name",
    owner: "restoration",
    says: "Sections of the judging sheet.",
    columns: [
      must("name", "name", text, "The section."),
      must("maximum", "maximum", number, "The most it can give."),
      may("cap", "cap", number, null, "The most it can lose; without it, all it gives."),
      may("position", "position", whole, 0, "Its place on the sheet."),
    ],
  },
  {
    file: "restoration.json",
    table: "judgingLine",
    noun: "judgingLine",
    key: ["section", "title"],
    unique: false,
    named: "title",
    within: "section",
    owner: "parent",
    says: "Lines of a section.",
    columns: [
      must("section", "section", row("judgingSection"), "The section."),
      must("title", "title", text, "What is judged."),
      must("maximum", "maximum", number, "The most it can lose."),
      may("mandatory", "mandatory", yesNo, false, "True where the loss is taken whole."),
      may(
        "disqualifying",
        "disqualifying",
        yesNo,
        false,
        "True where any loss on it leaves no award, also where the line is worth no point.",
      ),
      may("position", "position", whole, 0, "Its place in the section."),
    ],
  },
  {
    file: "restoration.json",
    table: "judgingDeduction",
    noun: "judgingDeduction",
    key: ["section", "provenance"],
    unique: true,
    named: null,
    owner: "parent",
    says: "What a visible part of a provenance loses in a section.",
    columns: [
      must("section", "section", row("judgingSection"), "The section."),
      must("provenance", "provenance", choice(PROVENANCES), "What kind of part it is."),
      must("points", "points", number, "Points it loses."),
    ],
  },
  {
    file: "restoration.json",
    table: "awardFloor",
    noun: "awardFloor",
    key: ["award"],
    unique: true,
    named: null,
    owner: "restoration",
    says: "Points from which an award is given.",
    columns: [
      must("award", "award", text, "The award."),
      must("points", "points", number, "Points from which it is given."),
    ],
  },
  {
    file: "suppliers.csv",
    table: "supplier",
    noun: "supplier",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "workshop",
    says: "Who parts can come from. Suppliers belong to the whole workshop.",
    columns: [
      coded("supplier"),
      called("name", "name", "Name; blank is the code."),
      may("kind", "kind", choice(SUPPLIER_KINDS), "DEALER", "What they are."),
      may("country", "country", capitals, "", "Two letters, ISO 3166, such as GB."),
      may("email", "email", text, "", "Where to write."),
      may("phone", "phone", text, "", "Where to ring."),
      may("website", "website", text, "", "Where to look."),
      may("currency", "currency", capitals, null, "ISO 4217 code of the two that follow; blank is the restoration's."),
      may(
        "carriage",
        "carriageMinor",
        money,
        0,
        "Carriage of one order, of however many parts, with its duty and tax, which are not worked out on it. A quote with a carriage of its own has that instead.",
      ),
      may(
        "minimum_order",
        "minimumMinor",
        money,
        0,
        "The least that an order is charged at before its carriage, with its tax.",
      ),
      may(
        "shared_by",
        "shareBy",
        choice(CHARGE_SHARES),
        "VALUE",
        "How the parts of one order share both: by value, or by weight where the quotes of all of them say it.",
      ),
      notes,
    ],
  },
  {
    file: "rates.csv",
    table: "exchangeRate",
    noun: "exchangeRate",
    key: ["date", "base", "counter"],
    unique: true,
    named: null,
    owner: "workshop",
    says: "What one currency cost in another on a day. Rates belong to the whole workshop.",
    columns: [
      must("date", "date", date, "The day from which the rate holds."),
      must("base", "base", capitals, "ISO 4217 code of the currency of which one unit is bought."),
      must("counter", "counter", capitals, "ISO 4217 code of the currency in which it is paid."),
      must("rate", "rate", { is: "decimal" }, "How many of these one unit of the base costs, such as 1.1934."),
    ],
  },
  {
    file: "hands.csv",
    table: "hand",
    noun: "hand",
    key: ["name"],
    unique: true,
    named: "name",
    owner: "workshop",
    says: "Who works in the shop, a person or a line of several. Hands belong to the whole workshop.",
    columns: [
      must("hand", "name", text, "Name of the person, or of the line, such as engine hands."),
      may("people", "people", whole, 1, "How many work by these hours; more than one have no names here."),
      must("trades", "trades", texts, "The trades that each of them can do, with semicolons between them."),
      ...week("Hours of each, over all trades, on a"),
      may("joins_on", "joinsOn", date, null, "The first day at work; blank is before now."),
      may("leaves_on", "leavesOn", date, null, "The last day at work; blank is without end."),
      may(
        "ask_same",
        "askSame",
        yesNo,
        false,
        "Yes where it is still to be said whether this is another line's person.",
      ),
    ],
  },
  {
    file: "absences.csv",
    table: "absence",
    noun: "absence",
    key: ["hand", "fromDate", "toDate"],
    unique: true,
    named: null,
    owner: "workshop",
    says: "Days on which a hand does not work.",
    columns: [
      must("hand", "hand", row("hand"), "The hand, as in hands.csv."),
      must("from", "fromDate", date, "The first day."),
      must("to", "toDate", date, "The last day; of one day the same."),
    ],
  },
  {
    file: "operations.csv",
    table: "operation",
    noun: "operation",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "The shop's work, one piece a line.",
    columns: [
      coded("operation"),
      called("title", "title", "What is done; blank is the code."),
      may("trade", "trade", text, "", "Whose work it is: engine, body, trim."),
      may("hours_least", "hoursLeast", number, null, "Shop hours if all goes well."),
      must("hours_likely", "hoursLikely", number, "Shop hours most likely."),
      may("hours_most", "hoursMost", number, null, "Shop hours if much goes wrong."),
      may("state", "state", choice(OPERATION_STATES), "NOT_STARTED", "How far it is."),
      may("group", "group", text, "", "Part of the machine."),
      may("started_on", "startedOn", date, null, "The day it was begun."),
      may("finished_on", "finishedOn", date, null, "The day it was done."),
      may(
        "remaining_hours",
        "remainingHours",
        number,
        null,
        "Under way: shop hours still to do; blank is all of them.",
      ),
      may("hands", "hands", whole, 1, "How many hands of its trade it takes, all for the whole of its hours."),
      may(
        "also_trades",
        "alsoTrades",
        texts,
        "[]",
        "Trade of each further hand that it takes, with semicolons between them; blank is none.",
      ),
      may("first", "first", yesNo, false, "Yes where it comes before all that could be done in its place."),
      may(
        "may_be_put_down",
        "mayBePutDown",
        yesNo,
        false,
        "Yes where other work may take its hands while it is under way and that ends all sooner.",
      ),
      may(
        "not_before",
        "notBefore",
        date,
        null,
        "The day before which it is not begun; blank is as soon as it can be.",
      ),
      may(
        "place",
        "place",
        whole,
        null,
        "Its place in the order in which the shop does its work, over all machines; blank where none is kept for it.",
      ),
      may(
        "judging_line",
        "judgingLine",
        row("judgingLine"),
        null,
        "Line of the judging sheet on which its ways and remedies lose points, as its section, a colon and its title; blank is none.",
      ),
      notes,
    ],
  },
  {
    file: "ways.csv",
    table: "operationWay",
    noun: "operationWay",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "Ways to do an operation: at the bench, or sent out.",
    columns: [
      must("way", "code", text, "Short code, the same in every file."),
      must("operation", "operation", row("operation"), "The operation."),
      called("title", "title", "How it is done; blank is the code."),
      may("hours", "hours", number, 0, "Shop hours that are left to do this way."),
      may("days", "days", whole, 0, "Calendar days away, once those hours are done."),
      may("price", "priceMinor", money, 0, "What it costs."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("points", "points", number, 0, "Points a judge may take off."),
      may("supplier", "supplier", row("supplier"), null, "Who does it; blank is the shop itself."),
      may("chosen", "chosen", yesNo, false, "Yes for the one way of an operation that is in force."),
    ],
  },
  {
    file: "links.csv",
    table: "link",
    noun: "link",
    key: ["before", "after"],
    unique: true,
    named: null,
    owner: "restoration",
    says: "What must be finished before what.",
    columns: [
      must("before", "before", row("operation"), "The operation that is finished first."),
      must("after", "after", row("operation"), "The operation that waits for it."),
      may("lag", "lag", number, 0, "How long after the finish it may start: paint dries, glue sets."),
      may("lag_unit", "lagUnit", choice(LAG_UNITS), "HOURS", "Shop hours or calendar days."),
    ],
  },
  {
    file: "parts.csv",
    table: "part",
    noun: "part",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "What the machine needs and the shop may not have.",
    columns: [
      coded("part"),
      called("name", "name", "What it is; blank is the code."),
      may("group", "group", text, "", "Part of the machine."),
      may("quantity", "quantity", whole, 1, "How many the machine needs."),
      may("state", "stateOnHand", choice(STATES_ON_HAND), "MISSING", "What the shop has."),
      may("safety_critical", "safetyCritical", yesNo, false, "Brake, steering, wheel, fuel, pressure."),
      may(
        "estimate",
        "estimateMinor",
        { is: "money", currency: "restoration" },
        null,
        "What it may cost while nobody quotes it, in the restoration's currency; blank is unknown.",
      ),
      may("kept", "kept", yesNo, false, "Yes where the chosen quote is decided, and choosing leaves it alone."),
      may("visible", "visible", yesNo, true, "No for what no judge sees."),
      may(
        "judging_section",
        "judgingSection",
        row("judgingSection"),
        null,
        "Section of the judging sheet in restoration.json; blank is the one named like its group.",
      ),
      may(
        "judging_line",
        "judgingLine",
        row("judgingLine"),
        null,
        "Line of that sheet on which it is judged, as its section, a colon and its title; blank is none.",
      ),
      notes,
    ],
  },
  {
    file: "ruled_out.csv",
    table: "ruledOut",
    noun: "ruledOut",
    key: ["part", "provenance"],
    unique: true,
    named: null,
    owner: "parent",
    says: "Provenances that are ruled out for a part.",
    columns: [
      must("part", "part", row("part"), "The part."),
      must("provenance", "provenance", choice(PROVENANCES), "What is ruled out here."),
    ],
  },
  {
    file: "needs.csv",
    table: "need",
    noun: "need",
    key: ["operation", "part"],
    unique: true,
    named: null,
    owner: "restoration",
    says: "Which operation cannot start before which part is in hand.",
    columns: [
      must("operation", "operation", row("operation"), "The operation that waits."),
      must("part", "part", row("part"), "The part it waits for."),
      may("quantity", "quantity", whole, 1, "How many of them."),
    ],
  },
  {
    file: "references.csv",
    table: "partReference",
    noun: "partReference",
    key: ["part", "book", "number"],
    unique: false,
    named: null,
    owner: "parent",
    says: "Numbers by which a part is known.",
    columns: [
      must("part", "part", row("part"), "The part."),
      may("book", "book", text, "", "The parts book, drawing or casting that gives it."),
      must("number", "number", text, "The number."),
    ],
  },
  {
    file: "specifications.csv",
    table: "specificationRow",
    noun: "specificationRow",
    key: ["part", "dimension"],
    unique: false,
    named: null,
    owner: "parent",
    says: "Measured dimensions of a part with their tolerances.",
    columns: [
      must("part", "part", row("part"), "The part."),
      must("dimension", "dimension", text, "What was measured: bore, length, pitch."),
      must("nominal", "nominal", number, "The dimension."),
      may("unit", "unit", choice(LENGTH_UNITS), "MM", "Millimetres or inches."),
      may("minus", "minus", number, 0, "How much smaller still fits."),
      may("plus", "plus", number, 0, "How much larger still fits."),
      may(
        "nature",
        "nature",
        choice(DIMENSION_NATURES),
        "OUTSIDE",
        "Metal comes off an outside, an inside is opened up, a distance stays as it is.",
      ),
      may("note", "note", text, "", "How and where it was measured."),
    ],
  },
  {
    file: "quotes.csv",
    table: "quote",
    noun: "quote",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "One supplier's price and terms for one part.",
    columns: [
      coded("quote"),
      must("part", "part", row("part"), "The part it is for."),
      must("supplier", "supplier", row("supplier"), "Who quotes."),
      must("provenance", "provenance", choice(PROVENANCES), "What kind of part it is."),
      must("unit_price", "unitPriceMinor", money, "Price of one, with a point for decimals."),
      may("currency", "currency", capitals, null, "ISO 4217 code such as GBP; blank is the restoration's."),
      may("minimum_quantity", "minimumQuantity", whole, 1, "The fewest that are sold."),
      may("carriage", "carriageMinor", money, 0, "Carriage."),
      may("insurance", "insuranceMinor", money, 0, "Insurance on the way."),
      may("duty_rate", "dutyRate", percent, 0, "Duty in per cent: 2.5 is 2.5 %."),
      may("tax_rate", "taxRate", percent, 0, "Tax in per cent: 20 is 20 %."),
      may("incoterm", "incoterm", { is: "choice", of: INCOTERMS, capitals: true }, "EXW", "Incoterms 2020 rule."),
      may("deposit", "depositMinor", money, 0, "Money due with the order."),
      must("lead_days", "leadDays", whole, "Promised lead time in calendar days."),
      may("lead_least", "leadLeast", whole, null, "Lead time if all goes well; the three go together."),
      may("lead_likely", "leadLikely", whole, null, "Lead time most likely."),
      may("lead_most", "leadMost", whole, null, "Lead time if much goes wrong."),
      may("order_from", "orderFrom", date, null, "First day on which the order is taken: a swap meet, a batch."),
      may("valid_until", "validUntil", date, null, "Last day on which the quote holds."),
      may("preparation_hours", "preparationHours", number, 0, "Shop hours on the part before it fits."),
      may("points_by_hand", "pointsByHand", number, 0, "Points a judge may take off; 0 is by the judging sheet."),
      may("ruled_out", "ruledOut", yesNo, false, "Yes for one that is not to be taken, whatever it costs."),
      may("condition", "condition", choice(CONDITIONS), "SERVICEABLE", "In what state it is."),
      may("core_charge", "coreChargeMinor", money, 0, "Charged on each piece until the old part goes back."),
      may("core_returned", "coreReturned", yesNo, false, "Yes where the old parts do go back."),
      may("weight_grams", "weightGrams", whole, null, "What one piece weighs, in grams; blank is not known."),
      may("chosen", "chosen", yesNo, false, "Yes for the one quote of a part that is in force."),
      may("fallback", "fallback", yesNo, false, "Yes for the one that is ordered where the hunt for the part stops."),
      notes,
    ],
  },
  {
    file: "price_breaks.csv",
    table: "priceBreak",
    noun: "priceBreak",
    key: ["quote", "quantity"],
    unique: true,
    named: null,
    owner: "parent",
    says: "From this quantity on, this price.",
    columns: [
      must("quote", "quote", row("quote"), "The quote."),
      must("quantity", "quantity", whole, "From how many on."),
      must("unit_price", "unitPriceMinor", money, "Price of one, in the quote's currency."),
    ],
  },
  {
    file: "knock_ons.csv",
    table: "knockOn",
    noun: "knockOn",
    key: ["quote", "title"],
    unique: false,
    named: null,
    owner: "parent",
    says: "What a quote brings with it; all of it counts with the quote.",
    columns: [
      must("quote", "quote", row("quote"), "The quote."),
      must("title", "title", text, "What it brings: a further part, a bracket, more work."),
      may("price", "priceMinor", money, 0, "What that costs."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the quote's."),
      may("hours", "hours", number, 0, "Shop hours it takes."),
      may("points", "points", number, 0, "Points a judge may take off for it."),
    ],
  },
  {
    file: "stated_dimensions.csv",
    table: "statedDimension",
    noun: "statedDimension",
    key: ["quote", "dimension"],
    unique: true,
    named: null,
    owner: "parent",
    says: "Dimensions as the supplier states them; they are held against specifications.csv by name.",
    columns: [
      must("quote", "quote", row("quote"), "The quote."),
      must("dimension", "dimension", text, "What is stated: bore, length, pitch."),
      must("value", "value", number, "The figure."),
      may("unit", "unit", choice(LENGTH_UNITS), "MM", "Millimetres or inches."),
    ],
  },
  {
    file: "finds.csv",
    table: "find",
    noun: "find",
    key: ["clientKey"],
    unique: true,
    named: "clientKey",
    owner: "restoration",
    says: "What was seen at a swap meet.",
    columns: [
      must("find", "clientKey", text, "Any text that tells it from the others."),
      may("part", "part", row("part"), null, "The part it would serve as; blank is not yet known."),
      must("what", "what", text, "What was seen."),
      may("seller", "seller", text, "", "Whose stall it was."),
      may("asked", "askedMinor", money, null, "What was asked for it; blank is not said."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("provenance", "provenance", choice(PROVENANCES), null, "What kind of part it is."),
      may("condition", "condition", choice(CONDITIONS), null, "In what state it is."),
      must("found_on", "foundOn", date, "The day."),
      may("quote", "quote", row("quote"), null, "The quote that it became; blank is none."),
      notes,
    ],
  },
  {
    file: "hunts.csv",
    table: "hunt",
    noun: "hunt",
    key: ["part"],
    unique: true,
    named: "part",
    owner: "restoration",
    says: "Parts that are looked for, until they are found or the stop date passes.",
    columns: [
      must("part", "part", row("part"), "The part looked for."),
      may("state", "state", choice(HUNT_STATES), "SEARCHING", "How far it is."),
      must("begun_on", "begunOn", date, "The day the hunt began."),
      must("chance_per_week", "chancePerWeek", percent, "Chance of a find in one week, in per cent, as believed then."),
      may("belief_weeks", "beliefWeeks", number, 26, "As sure of that chance as after so many weeks of looking."),
      may("stop_date", "stopDate", date, null, "The day on which the fallback is ordered; blank goes on."),
      may("price", "priceMinor", money, null, "What a find may cost, landed; blank is not said."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("provenance", "provenance", choice(PROVENANCES), "ORIGINAL", "What kind of part a find would be."),
      may("lead_days", "leadDays", whole, 7, "Calendar days from the find to the shop."),
      may("preparation_hours", "preparationHours", number, 0, "Shop hours on a find before it fits."),
      notes,
    ],
  },
  {
    file: "hunt_events.csv",
    table: "huntEvent",
    noun: "huntEvent",
    key: ["hunt", "date", "title"],
    unique: false,
    named: null,
    owner: "parent",
    says: "Dated chances to find a part: swap meets, sales.",
    columns: [
      must("part", "hunt", row("hunt"), "The part looked for, as in hunts.csv."),
      must("date", "date", date, "The day."),
      must("title", "title", text, "What it is."),
      must("chance", "chance", percent, "Chance of a find there, in per cent."),
    ],
  },
  {
    file: "orders.csv",
    table: "order",
    noun: "order",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "What was ordered, each from its quote.",
    columns: [
      must("order", "code", text, "Short code, the same in every file."),
      must("quote", "quote", row("quote"), "The quote it was ordered from."),
      may("quantity", "quantity", whole, 1, "How many were ordered."),
      may("state", "state", choice(ORDER_STATES), "PLACED", "How far it is."),
      must("placed_on", "placedOn", date, "The day it went out."),
      must("promised_on", "promisedOn", date, "The day the supplier promised."),
      may("expected_on", "expectedOn", date, null, "The supplier's newest word."),
      may("arrived_on", "arrivedOn", date, null, "The day it came."),
      may("fit_rating", "fitRating", whole, null, "1 (did not fit) to 5 (fitted as it came)."),
      may(
        "total",
        "totalMinor",
        money,
        null,
        "What the order comes to; blank is the landed cost, with carriage, duty and tax.",
      ),
      notes,
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the quote's."),
    ],
  },
  {
    file: "invoices.csv",
    table: "invoice",
    noun: "invoice",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "What was asked of the owner, and what came in.",
    columns: [
      must("invoice", "code", text, "Its number; no two are the same."),
      may("kind", "kind", choice(INVOICE_KINDS), "INVOICE", "Invoice: asked of the owner; receipt: received."),
      must("day", "day", date, "The day."),
      must("amount", "amountMinor", signedMoney, "How much; only one that takes another back has a minus."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("corrects", "corrects", row("invoice"), null, "The one that it takes back; blank is none."),
      notes,
    ],
  },
  {
    file: "hours.csv",
    table: "hoursBooked",
    noun: "hoursBooked",
    key: ["clientKey"],
    unique: true,
    named: "clientKey",
    owner: "restoration",
    says: "Hours at the bench.",
    columns: [
      must("entry", "clientKey", text, "Any text that tells it from the others."),
      must("operation", "operation", row("operation"), "What was worked on."),
      may("who", "who", text, "", "Name of the account that worked; another name, or blank, is whoever imports."),
      must("worked_on", "workedOn", date, "The day."),
      must("hours", "hours", number, "How long; with a minus where it corrects another entry."),
      may("remaining_hours", "remainingHours", number, null, "Hours still to do, as judged then; blank is not said."),
      may("rate", "rateMinor", money, null, "What an hour is charged at; blank is not known."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("corrects", "corrects", row("hoursBooked"), null, "The entry that it corrects; blank is none."),
      notes,
    ],
  },
  {
    file: "snags.csv",
    table: "snag",
    noun: "snag",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "Faults found at fitting or on test that stop an operation.",
    columns: [
      must("snag", "code", text, "Short code, the same in every file."),
      must("operation", "operation", row("operation"), "The operation it stops."),
      called("title", "title", "What is wrong; blank is the code."),
      may("found_on", "foundOn", date, null, "The day it was found."),
      may("cleared_on", "clearedOn", date, null, "The day it was cleared."),
      may("description", "description", text, "", "More about it."),
    ],
  },
  {
    file: "remedies.csv",
    table: "remedy",
    noun: "remedy",
    key: ["code"],
    unique: true,
    named: "code",
    owner: "restoration",
    says: "One remedy for a snag.",
    columns: [
      must("remedy", "code", text, "Short code, the same in every file."),
      must("snag", "snag", row("snag"), "The snag it is for."),
      called("title", "title", "What is done; blank is the code."),
      may("supplier", "supplier", row("supplier"), null, "Who supplies it; blank is nobody."),
      may("price", "priceMinor", money, 0, "What it costs."),
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is the restoration's."),
      may("days", "days", whole, 0, "Calendar days before it is to hand."),
      may("hours", "hours", number, 0, "Shop hours to carry it out."),
      may("points", "points", number, 0, "Points a judge may take off."),
      may("chosen", "chosen", yesNo, false, "Yes for the one remedy of a snag that is in force."),
      notes,
    ],
  },
  {
    file: "payments.csv",
    table: "payment",
    noun: "payment",
    key: ["order", "way", "remedy", "kind", "paidOn", "amountMinor", "currency"],
    unique: false,
    named: null,
    owner: "restoration",
    says: "Money that went to a supplier, or came back.",
    columns: [
      may("order", "order", row("order"), null, "The order it was for; blank is for a way or a remedy."),
      must("kind", "kind", choice(PAYMENT_KINDS), "What it was."),
      must("paid_on", "paidOn", date, "The day."),
      must(
        "amount",
        "amountMinor",
        signedMoney,
        "How much; a refund too is written without a minus. Only an entry that takes another back has one.",
      ),
      notes,
      may("currency", "currency", capitals, null, "ISO 4217 code; blank is that of what was paid."),
      may(
        "rate",
        "rate",
        { is: "decimal" },
        null,
        "Exchange rate to the restoration's currency agreed on the day; blank is by rates.csv.",
      ),
      may(
        "corrects",
        "corrects",
        date,
        null,
        "The day of the payment that this one takes back: for the same thing, of the same kind, with the opposite amount; blank is none.",
      ),
      may("way", "way", row("operationWay"), null, "The way to have an operation done that it was for."),
      may("remedy", "remedy", row("remedy"), null, "The remedy of a snag that it was for."),
    ],
  },
  {
    file: "inspections.csv",
    table: "inspection",
    noun: "inspection",
    key: ["part", "operation", "inspector", "inspectedOn"],
    unique: false,
    named: null,
    owner: "restoration",
    says: "Who looked at a safety-critical part, when, and what was done.",
    columns: [
      must("part", "part", row("part"), "The part."),
      may("operation", "operation", row("operation"), null, "The operation at which it was looked at."),
      must("inspector", "inspector", text, "Who looked."),
      must("inspected_on", "inspectedOn", date, "The day."),
      must("what", "what", text, "What was done and found."),
    ],
  },
];

/** The tables that stand in CSV files, in the order of dependence. */
export const CSV_TABLES: readonly FileTable[] = TABLES.filter((table) => table.file.endsWith(".csv"));

export const RESTORATION_FILE = "restoration.json";

/** Names that files and their columns had before; they are read as those of today, and no longer written. */
export const EARLIER_FILES: Readonly<Record<string, string>> = { "ruled_out.csv": "bans.csv" };
export const EARLIER_CLUB_FILES: Readonly<Record<string, string>> = { "names_down.csv": "pledges.csv" };
export const EARLIER_COLUMNS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  [RESTORATION_FILE]: { dataDate: "figuresFor" },
  "operations.csv": { hours_low: "hours_least", hours_high: "hours_most", section: "group" },
  "parts.csv": { locked: "kept", section: "group" },
  "quotes.csv": {
    freight: "carriage",
    banned: "ruled_out",
    points_at_risk: "points_by_hand",
    lead_low: "lead_least",
    lead_high: "lead_most",
  },
  "references.csv": { source: "book" },
  "wants.csv": { posted_on: "entered_on" },
  "spares.csv": { posted_on: "entered_on" },
  "batches.csv": { opened_on: "begun_on" },
  "names_down.csv": { pledged_on: "put_down_on" },
};

/** Every file name that is read, beside the earlier ones; all others are left alone. */
export const FILE_NAMES: readonly string[] = [...CSV_TABLES.map((table) => table.file), RESTORATION_FILE];

/** Files without which there is no plan. */
export const REQUIRED_FILES: readonly string[] = ["operations.csv", "links.csv"];

/** What restoration.json says beside the restoration's own: an import leaves the day that the workshop looks at as it is. */
export const FIGURES_FOR = may(
  "figuresFor",
  "figuresFor",
  date,
  null,
  "The day the figures are for; without it, today.",
);

/** A line of the list `hands` that restoration.json had: a trade, so many people, each so many hours a day. */
export const HANDS_BY_TRADE: readonly Column[] = [
  must("trade", "trade", text, "The trade."),
  may("people", "people", whole, 1, "How many."),
  may("hoursPerDay", "hoursPerDay", number, 8, "Hours a day of each."),
];

const byTable = new Map(TABLES.map((table) => [table.table, table]));

/** The statement of one table. */
export function tableOf(table: Table): FileTable {
  const found = byTable.get(table);
  if (!found) throw new RangeError(`${table} stands in no file`);
  return found;
}
