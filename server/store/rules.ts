/**
 * What each noun's fields may hold. One statement for both ways in: the API's inputs and the files.
 * A rule checks the merged row (kept values and new ones); every broken rule becomes a {@link Fault} naming the field.
 */
import currencyCodes from "currency-codes";
import { z } from "zod";
import type { Fault, FaultCode } from "./fault.ts";
import { isTexts, textsOf } from "./texts.ts";
import { alike } from "./trades.ts";

const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** True for an ISO 8601 calendar date that exists, years 1000 to 9999. */
export function isDate(text: string): boolean {
  const m = /^([1-9]\d{3})-(\d\d)-(\d\d)$/.exec(text);
  if (!m) return false;
  const [year, month, day] = [Number(m[1]), Number(m[2]), Number(m[3])];
  const leap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return month >= 1 && month <= 12 && day >= 1 && day <= MONTH_DAYS[month - 1]! + (leap ? 1 : 0);
}

/** Codes of ISO 4217 in which nothing is paid: metals, units of account and of funds, codes for tests and for none. */
const NOT_PAID_IN: ReadonlySet<string> = new Set(
  "BOV CHE CHW CLF COU MXV USN UYI UYW XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX".split(" "),
);

/** The currencies that money can stand in. */
export const CURRENCIES = currencyCodes.data.filter(({ code }) => !NOT_PAID_IN.has(code));

const DECIMALS: ReadonlyMap<string, number> = new Map(CURRENCIES.map(({ code, digits }) => [code, digits]));

/** ISO 4217 exponent of a currency by its code in capitals, or undefined where nothing is paid in such a one. */
export const currencyDecimals = (code: string): number | undefined => DECIMALS.get(code);

/** Fields whose codes are kept in capitals, however they are typed. */
const CAPITALS = ["currency", "base", "counter", "country"] as const;

/** A row with its codes of currencies and countries in capitals, as they are read in files too. */
export const inCapitals = <T extends Record<string, unknown>>(row: T): T => {
  const typed = CAPITALS.flatMap((field) => {
    const value = row[field];
    return typeof value === "string" ? [[field, value.trim().toUpperCase()] as const] : [];
  });
  return { ...row, ...Object.fromEntries(typed) };
};

const fail = (code: FaultCode, message: string) => ({ message, params: { code } });
const text = (most: number) =>
  z
    .string()
    .refine((s) => s.length <= most, fail("TOO_LONG", `must be at most ${most} characters long`))
    // The database would cut the text there, unseen.
    .refine((s) => !s.includes("\0"), fail("NOT_A_CHOICE", "must not hold the character NUL"))
    // Half of a character would be kept as another.
    .refine((s) => !/\p{Surrogate}/u.test(s), fail("NOT_A_CHOICE", "must not hold half of a character"));
/** Text on one line, as names are: it stands in lists, letters and files between others. */
const line = (most: number) =>
  text(most)
    .refine(
      // NUL is told already.
      (s) => !/[\p{Cc}\p{Zl}\p{Zp}]/u.test(s.replaceAll("\0", "")),
      fail("NOT_A_CHOICE", "must be on one line, without line breaks, tabs or other control characters"),
    )
    .refine(
      (s) => !/[\u202d\u202e]/.test(s),
      fail("NOT_A_CHOICE", "must not hold a hidden mark that turns the letters after it round"),
    );
const filled = (of: ReturnType<typeof text>) =>
  of.refine((s) => s.trim() !== "", fail("REQUIRED", "must not be empty"));
const named = (most: number) => filled(line(most));
/** The same on several lines. */
const told = (most: number) => filled(text(most));
/** A key that people type and files are matched by, so spaces around it would make two rows look alike. */
const code = () => named(60).refine((s) => s === s.trim(), fail("NOT_A_CHOICE", "must not begin or end with a space"));
const number = () =>
  z.number({ error: "must be a number" }).refine(Number.isFinite, fail("NOT_A_NUMBER", "must be a number"));
/** A standard deviation of logs. */
const spread = () => number().refine((n) => n >= 0 && n <= 1, fail("OUT_OF_RANGE", "must be between 0 and 1"));
const notNegative = (most: number) =>
  number()
    .refine((n) => n >= 0, fail("NEGATIVE", "must not be negative"))
    .refine((n) => n <= most, fail("OUT_OF_RANGE", `must be at most ${most}`));
const whole = (least: number, most: number) =>
  number()
    .refine(Number.isInteger, fail("NOT_A_WHOLE_NUMBER", "must be a whole number"))
    .refine(
      (n) => n >= least,
      fail(
        least === 0 ? "NEGATIVE" : "OUT_OF_RANGE",
        least === 0 ? "must not be negative" : `must be at least ${least}`,
      ),
    )
    .refine((n) => n <= most, fail("OUT_OF_RANGE", `must be at most ${most}`));
const date = () => z.string().refine(isDate, fail("NOT_A_DATE", "must be a date that exists, written YYYY-MM-DD"));
const choice = <const T extends readonly string[]>(values: T) =>
  z.enum(values, { error: `must be one of ${values.map((v) => v.toLowerCase().replaceAll("_", " ")).join(", ")}` });
const currency = () =>
  z
    .string()
    .refine(
      (c) => currencyDecimals(c) !== undefined,
      fail("UNKNOWN_CURRENCY", "must be the ISO 4217 code of a currency in which things are paid, such as GBP"),
    );

/** The largest amount in minor units: what a 32-bit column holds. Sums may be more. */
export const MOST_MINOR = 2_147_483_647;
const MOST_HOURS = 100_000;
const MOST_DAYS = 36_500;
const minor = () => whole(0, MOST_MINOR);
const hours = () => notNegative(MOST_HOURS);
const dayHours = () => notNegative(24);
const points = () => notNegative(100_000);
const yesOrNo = () => z.boolean({ error: "must be yes or no" });
/** The whole rule of a rate, whichever part of it is broken. */
export const RATE = "must be more than zero and less than 1,000,000, in digits with a point for up to 12 decimals";
const isRateText = (text: string): boolean => /^\d{1,12}(\.\d{1,12})?$/.test(text);
/** Kept as text, so that no digit of a rate is rounded. */
const rate = () =>
  z
    .string()
    .refine(isRateText, fail("NOT_A_NUMBER", RATE))
    // No two currencies in use are further apart; what an amount comes to stays one that can be kept.
    .refine((text) => !isRateText(text) || (Number(text) > 0 && Number(text) < 1_000_000), fail("OUT_OF_RANGE", RATE));
const leadDays = () => whole(0, MOST_DAYS);

export const PROVENANCES = [
  "ORIGINAL",
  "NEW_OLD_STOCK",
  "REPRODUCTION",
  "REMADE",
  "PERIOD_SUBSTITUTE",
  "LATER_SUBSTITUTE",
] as const;
export const INCOTERMS = ["EXW", "FCA", "FAS", "FOB", "CFR", "CIF", "CPT", "CIP", "DAP", "DPU", "DDP"] as const;
export const CHARGE_SHARES = ["VALUE", "WEIGHT"] as const;
export const SUPPLIER_KINDS = ["MAKER", "DEALER", "FOUNDRY", "BREAKER", "CLUB_MEMBER", "SHOP"] as const;
export const OPERATION_STATES = ["NOT_STARTED", "UNDER_WAY", "DONE"] as const;
export const STATES_ON_HAND = ["IN_HAND", "NEEDS_WORK", "MISSING"] as const;
export const ORDER_STATES = ["PLACED", "ARRIVED", "ACCEPTED", "SENT_BACK"] as const;
export const PAYMENT_KINDS = [
  "DEPOSIT",
  "PART_PAYMENT",
  "BALANCE",
  "REFUND",
  "CREDIT",
  "RETURN",
  "CORE_CHARGE",
  "CORE_RETURN",
] as const;
export const INVOICE_KINDS = ["INVOICE", "RECEIPT"] as const;
export const DECISION_KINDS = ["SUM", "CONTINGENCY", "PLAN"] as const;
export const LAG_UNITS = ["HOURS", "DAYS"] as const;
export const LENGTH_UNITS = ["MM", "IN"] as const;
export const DIMENSION_NATURES = ["OUTSIDE", "INSIDE", "DISTANCE"] as const;
export const CONDITIONS = ["SERVICEABLE", "REPAIRABLE", "PATTERN_ONLY"] as const;
export const HUNT_STATES = ["SEARCHING", "FOUND", "STOPPED"] as const;
export const CUSTOMS_BASES = ["CIF", "FOB"] as const;

/** Adds a fault where the values that are there do not rise. */
const rising =
  (fields: readonly string[], words: string) =>
  (row: Record<string, unknown>, context: z.RefinementCtx): void => {
    let last: { field: string; value: number | string } | undefined;
    for (const field of fields) {
      const value = row[field] as number | string | null | undefined;
      // What is no date is a fault of its own.
      if (value === null || value === undefined || (typeof value === "string" && !isDate(value))) continue;
      if (last !== undefined && value < last.value) {
        context.addIssue({ code: "custom", path: [field], message: words, params: { code: "ORDER_OF_VALUES" } });
        return;
      }
      last = { field, value };
    }
  };

/** An amount of a ledger, in minor units: with a minus where it stands against another entry. */
const entry = () =>
  whole(-MOST_MINOR, MOST_MINOR).refine((n) => n !== 0, fail("OUT_OF_RANGE", "must be more than zero"));

/** The entry that this one takes back: by its id in the store, by its code or day in files. */
const corrects = { correctsId: z.string().nullish(), corrects: z.string().nullish() };

/** Adds a fault where an amount has a minus and takes nothing back. */
function againstAnother(
  row: { amountMinor: number; correctsId?: string | null | undefined; corrects?: string | null | undefined },
  context: z.RefinementCtx,
): void {
  if (row.amountMinor >= 0 || row.correctsId || row.corrects) return;
  context.addIssue({
    code: "custom",
    path: ["amountMinor"],
    message: "must not be negative, unless it takes another entry back",
    params: { code: "NEGATIVE" },
  });
}

const weekHours = {
  monday: dayHours(),
  tuesday: dayHours(),
  wednesday: dayHours(),
  thursday: dayHours(),
  friday: dayHours(),
  saturday: dayHours(),
  sunday: dayHours(),
};

/** Trades in one column (texts.ts), so many at least; each is a name. */
const trades = (least: number) =>
  z.string().superRefine((column, context) => {
    const listed = isTexts(column) ? textsOf(column) : [];
    const faults: (ReturnType<typeof fail> | false)[] = [
      !isTexts(column) && fail("NOT_A_CHOICE", "must be a list of trades"),
      listed.length < least && fail("REQUIRED", "must name a trade"),
      listed.length > 100 && fail("OUT_OF_RANGE", "must name at most 100 trades"),
    ];
    const first = faults.find((one) => one !== false);
    if (first) return context.addIssue({ code: "custom", ...first });
    const [fault] = listed.flatMap((one) => named(100).safeParse(one).error?.issues ?? []);
    if (fault) context.addIssue({ ...fault, path: [] });
  });

const twice = (names: readonly string[]): boolean => new Set(names.map(alike)).size < names.length;

export const ROLES = ["RESTORER", "MEMBER", "OWNER"] as const;

export const rules = {
  account: z.object({
    name: named(100),
    email: line(200).refine((s) => z.email().safeParse(s).success, fail("NOT_A_CHOICE", "must be an e-mail address")),
  }),
  workshopName: z.object({ name: named(100) }),
  workshop: z
    .object({ name: named(100), address: text(500), replyTo: line(200), shopSpread: spread(), tradeSpread: spread() })
    .partial(),
  backups: z.object({ kept: whole(1, 100) }),
  accountRole: z.object({ role: choice(ROLES) }),
  restoration: z.object({
    machine: named(200),
    owner: line(200),
    description: text(5000),
    targetName: line(200),
    targetDate: date().nullable(),
    reportedOn: date().nullable(),
    currency: currency(),
    capMinor: minor().nullable(),
    capCoversLabour: yesOrNo(),
    hourlyRateMinor: minor().nullable(),
    countOwnHours: yesOrNo(),
    consentOverMinor: minor().nullable(),
    confidence: number()
      .refine((n) => n > 0 && n < 1, fail("OUT_OF_RANGE", "must be more than 0 and less than 1 (100 per cent)"))
      .nullable(),
    pricePerDayMinor: minor().nullable(),
    pricePerPointMinor: minor().nullable(),
    pointStep: z
      .number()
      .min(0.01, "must be at least a hundredth of a point")
      .max(100, "must be at most 100")
      .nullable(),
    customsBasis: choice(CUSTOMS_BASES),
    carriageTaxed: yesOrNo(),
    // In no file.
    rank: whole(0, 1_000_000).optional(),
  }),
  exchangeRate: z
    .object({ date: date(), base: currency(), counter: currency(), rate: rate() })
    .refine((row) => row.base !== row.counter, {
      path: ["counter"],
      ...fail("NOT_A_CHOICE", "must be another currency than the base"),
    }),
  calendar: z
    .object({ ...weekHours, figuresFor: date().nullish() })
    .refine(({ figuresFor: _, ...week }) => Object.values(week).some((h) => h > 0), {
      path: ["monday"],
      ...fail("OUT_OF_RANGE", "or another weekday must have working hours"),
    }),
  closedDate: z.object({ date: date(), reason: line(200) }),
  tradeRate: z.object({ trade: named(100), rateMinor: minor().nullable() }),
  hand: z
    .object({
      name: named(200),
      people: whole(1, 10_000),
      trades: trades(1),
      ...weekHours,
      joinsOn: date().nullable(),
      leavesOn: date().nullable(),
      askSame: yesOrNo(),
    })
    .refine(({ trades: column }) => !isTexts(column) || !twice(textsOf(column)), {
      path: ["trades"],
      ...fail("DUPLICATE", "must not name a trade twice"),
    })
    .superRefine(rising(["joinsOn", "leavesOn"], "must not be before the day of joining")),
  absence: z
    .object({ fromDate: date(), toDate: date() })
    .superRefine(rising(["fromDate", "toDate"], "must not be before the first day")),
  handsByTrade: z.object({ trade: named(100), people: whole(0, 10_000), hoursPerDay: dayHours() }),
  operation: z
    .object({
      code: code(),
      title: named(200),
      trade: line(100),
      group: line(100),
      hoursLeast: hours().nullable(),
      hoursLikely: hours(),
      hoursMost: hours().nullable(),
      state: choice(OPERATION_STATES),
      startedOn: date().nullable(),
      finishedOn: date().nullable(),
      remainingHours: hours().nullable(),
      hands: whole(1, 1_000),
      alsoTrades: trades(0),
      first: yesOrNo(),
      mayBePutDown: yesOrNo(),
      notBefore: date().nullable(),
      place: whole(1, 1_000_000).nullable(),
      notes: text(5000),
    })
    .superRefine(
      rising(
        ["hoursLeast", "hoursLikely", "hoursMost"],
        "must not be less than the estimate before it (least, likely, most)",
      ),
    )
    .superRefine(rising(["startedOn", "finishedOn"], "must not be before the start")),
  operationWay: z.object({
    code: code(),
    title: named(200),
    hours: hours(),
    days: leadDays(),
    priceMinor: minor(),
    currency: currency(),
    points: points(),
  }),
  hoursBooked: z.object({
    clientKey: code(),
    workedOn: date(),
    hours: number()
      .refine((n) => Math.abs(n) <= 24, fail("OUT_OF_RANGE", "must be at most 24, the hours of one day"))
      .refine((n) => n !== 0, fail("OUT_OF_RANGE", "must not be zero")),
    remainingHours: hours().nullable(),
    notes: text(2000),
  }),
  link: z.object({
    lag: number().refine(
      (n) => Math.abs(n) <= MOST_HOURS,
      fail("OUT_OF_RANGE", `must be between -${MOST_HOURS} and ${MOST_HOURS}`),
    ),
    lagUnit: choice(LAG_UNITS),
  }),
  need: z.object({ quantity: whole(1, 1_000_000) }),
  part: z.object({
    code: code(),
    name: named(200),
    group: line(100),
    quantity: whole(1, 1_000_000),
    stateOnHand: choice(STATES_ON_HAND),
    safetyCritical: yesOrNo(),
    estimateMinor: minor().nullable(),
    kept: yesOrNo(),
    visible: yesOrNo(),
    notes: text(5000),
  }),
  ruledOut: z.object({ provenance: choice(PROVENANCES) }),
  partReference: z.object({ book: line(200), number: named(100) }),
  specificationRow: z.object({
    dimension: named(100),
    nominal: notNegative(1_000_000),
    unit: choice(LENGTH_UNITS),
    minus: notNegative(1_000_000),
    plus: notNegative(1_000_000),
    nature: choice(DIMENSION_NATURES),
    note: line(500),
  }),
  supplier: z.object({
    code: code(),
    name: named(200),
    kind: choice(SUPPLIER_KINDS),
    country: z
      .string()
      .refine(
        (c) => c === "" || /^[A-Z]{2}$/.test(c),
        fail("NOT_A_CHOICE", "must be an ISO 3166 two-letter country code such as GB"),
      ),
    email: line(200),
    phone: line(100),
    website: line(300),
    currency: currency(),
    carriageMinor: minor(),
    minimumMinor: minor(),
    shareBy: choice(CHARGE_SHARES),
    notes: text(5000),
  }),
  quote: z
    .object({
      code: code(),
      provenance: choice(PROVENANCES),
      unitPriceMinor: minor(),
      currency: currency(),
      minimumQuantity: whole(1, 1_000_000),
      carriageMinor: minor(),
      insuranceMinor: minor(),
      dutyRate: notNegative(10),
      taxRate: notNegative(10).refine((n) => n <= 1 || n > 10, fail("OUT_OF_RANGE", "must be at most 100 per cent")),
      incoterm: choice(INCOTERMS),
      depositMinor: minor(),
      leadDays: leadDays(),
      leadLeast: leadDays().nullable(),
      leadLikely: leadDays().nullable(),
      leadMost: leadDays().nullable(),
      orderFrom: date().nullable(),
      validUntil: date().nullable(),
      preparationHours: hours(),
      pointsByHand: points(),
      ruledOut: yesOrNo(),
      condition: choice(CONDITIONS),
      coreChargeMinor: minor(),
      coreReturned: yesOrNo(),
      weightGrams: whole(1, 100_000_000).nullable(),
      notes: text(5000),
    })
    .superRefine(
      rising(
        ["leadLeast", "leadLikely", "leadMost"],
        "must not be less than the estimate before it (least, likely, most)",
      ),
    )
    .superRefine((row, context) => {
      const given = [row.leadLeast, row.leadLikely, row.leadMost].filter((v) => v !== null).length;
      if (given !== 0 && given !== 3) {
        const field = row.leadLeast === null ? "leadLeast" : row.leadLikely === null ? "leadLikely" : "leadMost";
        context.addIssue({
          code: "custom",
          path: [field],
          message: "must be given too: least, likely and most together, or none of them",
          params: { code: "REQUIRED" },
        });
      }
    }),
  priceBreak: z.object({ quantity: whole(1, 1_000_000), unitPriceMinor: minor() }),
  knockOn: z.object({
    title: named(200),
    priceMinor: minor(),
    currency: currency(),
    hours: hours(),
    points: points(),
  }),
  statedDimension: z.object({
    dimension: named(100),
    value: notNegative(1_000_000),
    unit: choice(LENGTH_UNITS),
  }),
  find: z.object({
    clientKey: code(),
    what: named(500),
    seller: line(200),
    askedMinor: minor().nullable(),
    currency: currency(),
    provenance: choice(PROVENANCES).nullable(),
    condition: choice(CONDITIONS).nullable(),
    notes: text(5000),
    foundOn: date(),
  }),
  hunt: z
    .object({
      state: choice(HUNT_STATES),
      begunOn: date(),
      chancePerWeek: number().refine(
        (n) => n > 0 && n < 1,
        fail("OUT_OF_RANGE", "must be more than 0 and less than 1 (100 per cent)"),
      ),
      beliefWeeks: number()
        .refine((n) => n > 0, fail("OUT_OF_RANGE", "must be more than zero"))
        .refine((n) => n <= 5200, fail("OUT_OF_RANGE", "must be at most 5200")),
      stopDate: date().nullable(),
      priceMinor: minor().nullable(),
      currency: currency(),
      provenance: choice(PROVENANCES),
      leadDays: leadDays(),
      preparationHours: hours(),
      notes: text(5000),
    })
    .superRefine(rising(["begunOn", "stopDate"], "must not be before the day the hunt began")),
  huntEvent: z.object({ date: date(), title: named(200), chance: notNegative(1) }),
  order: z
    .object({
      code: code(),
      quantity: whole(1, 1_000_000),
      state: choice(ORDER_STATES),
      placedOn: date(),
      promisedOn: date(),
      expectedOn: date().nullable(),
      arrivedOn: date().nullable(),
      fitRating: whole(1, 5).nullable(),
      totalMinor: minor(),
      currency: currency(),
      notes: text(5000),
    })
    .superRefine(rising(["placedOn", "promisedOn"], "must not be before the day the order was placed"))
    .superRefine(rising(["placedOn", "arrivedOn"], "must not be before the day the order was placed"))
    .superRefine((row, context) => {
      if (row.state !== "PLACED" && row.arrivedOn === null)
        context.addIssue({
          code: "custom",
          path: ["arrivedOn"],
          message: "must be given once the order has arrived",
          params: { code: "REQUIRED" },
        });
      if (row.state === "PLACED" && row.arrivedOn !== null)
        context.addIssue({
          code: "custom",
          path: ["state"],
          message: "must be arrived, accepted or sent back when an arrival date is given",
          params: { code: "ORDER_OF_VALUES" },
        });
    }),
  payment: z
    .object({
      kind: choice(PAYMENT_KINDS),
      paidOn: date(),
      amountMinor: entry(),
      currency: currency(),
      rate: rate().nullable(),
      notes: text(2000),
      ...corrects,
    })
    .superRefine(againstAnother),
  invoice: z
    .object({
      code: code(),
      kind: choice(INVOICE_KINDS),
      day: date(),
      amountMinor: entry(),
      currency: currency(),
      notes: text(2000),
      ...corrects,
    })
    .superRefine(againstAnother),
  decision: z.object({
    kind: choice(DECISION_KINDS),
    title: named(200),
    question: text(5000),
    amountMinor: minor().nullable(),
    currency: currency(),
    askedOn: date(),
  }),
  snag: z
    .object({
      code: code(),
      title: named(200),
      description: text(5000),
      foundOn: date().nullable(),
      clearedOn: date().nullable(),
    })
    .superRefine(rising(["foundOn", "clearedOn"], "must not be before the day it was found")),
  remedy: z.object({
    code: code(),
    title: named(200),
    priceMinor: minor(),
    currency: currency(),
    days: leadDays(),
    hours: hours(),
    points: points(),
    notes: text(5000),
  }),
  photograph: z.object({ caption: line(500), takenOn: date().nullable(), forOwner: yesOrNo() }),
  inspection: z.object({ inspector: named(200), inspectedOn: date(), what: told(5000) }),
  judgingSection: z.object({
    name: named(200),
    maximum: points(),
    cap: points().nullable(),
    position: whole(0, 10_000),
  }),
  judgingDeduction: z.object({ provenance: choice(PROVENANCES), points: points() }),
  judgingLine: z.object({ title: named(300), maximum: points(), mandatory: yesOrNo(), disqualifying: yesOrNo() }),
  awardFloor: z.object({ award: named(200), points: points() }),
} as const;

/** What is wrong with a payment's rate where it was paid in the restoration's own currency: such a rate would say nothing. */
export const homeRateComplaint = (rate: string | null, currency: string, home: string): string | null =>
  rate === null || currency !== home || Number(rate) === 1
    ? null
    : `must be left out, or be 1: it was paid in ${home}, the restoration's own currency`;

/** The kinds of value that rules are made of, for those that stand in files of their own. */
export const kinds = {
  text,
  line,
  named,
  told,
  code,
  whole,
  date,
  choice,
  currency,
  minor,
  leadDays,
  yesOrNo,
  fail,
  rising,
};

export type Noun = keyof typeof rules;

/** What a fault calls a field. */
export const words = (field: string): string =>
  field.replace(/([A-Z])/g, (c) => ` ${c.toLowerCase()}`).replace(/ minor$/, "");

const valueWords = (value: string): string => ` (it is ${value.trim() === "" ? "empty" : value.slice(0, 80)})`;

/**
 * What a fault says after the name of its field, without the value and the full stop: "must be at most 100". Whoever shows
 * it beside a label of its own puts that in the name's place. Null for a fault that is a sentence of its own.
 */
export function complaintOf({ field = "", value, message }: Fault): string | null {
  // Of a list the field is list.place.field.
  const name = field.slice(field.lastIndexOf(".") + 1);
  const begins = [words(name), name].find((one) => one !== "" && message.startsWith(`${one} `));
  if (begins === undefined) return null;
  const rest = message.slice(begins.length + 1).replace(/\.$/, "");
  const end = value === undefined ? "" : valueWords(value);
  return end !== "" && rest.endsWith(end) ? rest.slice(0, -end.length) : rest;
}

/** Every fault of one row; empty when it may be stored. `at` says where the row stands (file, line, id). */
export function faultsOf(noun: Noun, row: Record<string, unknown>, at: { file?: string; row?: string } = {}): Fault[] {
  return faultsBy(rules[noun], row, at);
}

/** The same by a rule that is handed in. */
export function faultsBy(
  rule: z.ZodType,
  row: Record<string, unknown>,
  at: { file?: string; row?: string } = {},
): Fault[] {
  const result = rule.safeParse(row);
  if (result.success) return [];
  return result.error.issues.map((issue) => {
    const field = String(issue.path[0] ?? "");
    const value = row[field];
    const missing = value === undefined || value === null;
    const code =
      (issue.code === "custom" ? (issue.params as { code: FaultCode } | undefined)?.code : undefined) ??
      (missing ? "REQUIRED" : issue.code === "invalid_value" ? "NOT_A_CHOICE" : "NOT_A_NUMBER");
    const complaint = code === "REQUIRED" && issue.code !== "custom" ? "must be given" : issue.message;
    return {
      ...at,
      code,
      field,
      value: missing ? undefined : String(value),
      message: `${words(field)} ${complaint}${missing || (value === "" && code === "REQUIRED") ? "" : valueWords(String(value))}.`,
    };
  });
}
