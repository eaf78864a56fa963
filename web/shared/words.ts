/** The words of the trade for every choice in the schema. */

export const SUPPLY_STATE = {
  IN_HAND: "in hand",
  NO_SOURCE: "no source",
  HUNTED: "hunted",
  UNDECIDED: "undecided",
  TO_ORDER: "to order",
  ORDERED: "ordered",
  LATE: "late",
  ARRIVED: "arrived, to be tried",
} as const;

type Supply = keyof typeof SUPPLY_STATE;

/** A part that is still to be ordered. */
export const NOT_ORDERED: Supply[] = ["NO_SOURCE", "HUNTED", "UNDECIDED", "TO_ORDER"];

/** A part that has not come: what is looked for, at a stall or in the club. */
export const NOT_COME: Supply[] = [...NOT_ORDERED, "ORDERED", "LATE"];

/** With it, what has come and is to be tried. */
export const NOT_IN_HAND: Supply[] = [...NOT_COME, "ARRIVED"];

/** The same of what the shop makes itself: it is begun, not ordered. */
const OWN_SUPPLY_STATE: Partial<Record<keyof typeof SUPPLY_STATE, string>> = {
  TO_ORDER: "to begin",
  ORDERED: "being made",
  ARRIVED: "ready, to be tried",
};

/** The state of a part, or of an order for it, in words. */
export const supplyWords = (state: keyof typeof SUPPLY_STATE, own: boolean): string =>
  (own && OWN_SUPPLY_STATE[state]) || SUPPLY_STATE[state];

export const STATE_ON_HAND = { IN_HAND: "in hand", NEEDS_WORK: "needs work", MISSING: "missing" } as const;

/** How the order of work goes by rank. */
export const HIGHER_RANK =
  "Of two machines the target and the end of the one of higher rank are kept first; its work that has float may wait for the other's.";

/** A find is weighed without work of its own, which nobody knows before it is seen. */
export const FITS_AS_IT_IS = "The price is for one that fits as it is: take off what its own work would cost.";

export const PROVENANCE = {
  ORIGINAL: "original",
  NEW_OLD_STOCK: "new old stock",
  REPRODUCTION: "reproduction",
  REMADE: "remade",
  PERIOD_SUBSTITUTE: "period substitute",
  LATER_SUBSTITUTE: "later substitute",
} as const;

export const SUPPLIER_KIND = {
  MAKER: "maker",
  DEALER: "dealer",
  FOUNDRY: "foundry",
  BREAKER: "breaker",
  CLUB_MEMBER: "club member",
  SHOP: "the shop itself",
} as const;

export const OPERATION_STATE = { NOT_STARTED: "not started", UNDER_WAY: "under way", DONE: "done" } as const;

/** How far an order is, or what the shop makes itself. */
export const orderStates = (own: boolean) => ({
  PLACED: own ? supplyWords("ORDERED", own) : "placed",
  ARRIVED: supplyWords("ARRIVED", own),
  ACCEPTED: "accepted",
  SENT_BACK: "sent back",
});

export const PAYMENT_KIND = {
  DEPOSIT: "deposit",
  PART_PAYMENT: "part payment",
  BALANCE: "balance",
  REFUND: "refund",
  CREDIT: "credit",
  RETURN: "goods sent back",
  CORE_CHARGE: "core charge",
  CORE_RETURN: "core charge returned",
} as const;

export const LAG_UNIT = { HOURS: "shop hours", DAYS: "calendar days" } as const;

export const LENGTH_UNIT = { MM: "mm", IN: "in" } as const;

/** What is to be done to bring a dimension in: metal comes off an outside, an inside is opened up. */
export const DIMENSION_NATURE = { OUTSIDE: "outside", INSIDE: "inside", DISTANCE: "distance" } as const;

export const FIT_VERDICT = {
  FITS: "fits",
  NEEDS_WORK: "fits after work",
  DOES_NOT_FIT: "does not fit",
  NOT_STATED: "not known",
} as const;

/** The state in which a part is offered. */
export const CONDITION = {
  SERVICEABLE: "serviceable",
  REPAIRABLE: "repairable",
  PATTERN_ONLY: "good for a pattern only",
} as const;

/** By what the parts of an order share what its supplier charges on it. */
export const CHARGE_SHARE = {
  VALUE: "by value",
  WEIGHT: "by weight",
} as const;

/** Incoterms 2020: who pays for the journey. */
export const INCOTERM = {
  EXW: "EXW, ex works",
  FCA: "FCA, free carrier",
  FAS: "FAS, free alongside ship",
  FOB: "FOB, free on board",
  CFR: "CFR, cost and freight",
  CIF: "CIF, cost, insurance and freight",
  CPT: "CPT, carriage paid to",
  CIP: "CIP, carriage and insurance paid to",
  DAP: "DAP, delivered at place",
  DPU: "DPU, delivered at place unloaded",
  DDP: "DDP, delivered duty paid",
} as const;

/** How well the part fitted: 1 to 5. */
export const FIT_RATING = {
  1: "1, did not fit",
  2: "2, much work to fit",
  3: "3, some work to fit",
  4: "4, a little easing",
  5: "5, fitted as it came",
} as const;

/** Choices for a ChoiceField, in the order of the record. */
export function choicesOf<Key extends string>(words: Readonly<Record<Key, string>>): { value: Key; label: string }[] {
  return (Object.keys(words) as Key[]).map((value) => ({ value, label: words[value] }));
}

/** What a row of a list is called: by its own words, else by its place, "dimension 2 of 3". */
export const rowCalled = (noun: string, words: string, place: number, count: number): string =>
  words.trim() === "" ? `${noun} ${place + 1} of ${count}` : `${noun} ${words.trim()}`;

/** A trade by its name; of work whose trade is not said, that it is not. */
export const noTrade = (trade: string): string => trade || "no trade said";

/** What the shop makes itself is begun, not ordered. */
export const isOwnWork = ({ supplier }: { supplier: { kind: string } }): boolean => supplier.kind === "SHOP";

/** What the days of a quote are called: promised by a supplier, or taken by the shop itself; of quotes of both kinds, both. */
export const leadLabel = (own: boolean, bought: boolean): string =>
  own ? (bought ? "Lead time, or time to make it" : "Time to make it") : "Lead time";
