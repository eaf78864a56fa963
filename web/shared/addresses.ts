/** Addresses of the sheets. Ids are opaque and may hold any character. */
const under = (restoration: string, ...rest: string[]): string =>
  ["/restorations", restoration, ...rest]
    .map((piece, place) => (place === 0 ? piece : encodeURIComponent(piece)))
    .join("/");

export const addressOf = {
  restorations: () => "/",
  /** What the sheets of one restoration stand under. */
  inside: (restoration: string) => under(restoration),
  holdUps: (restoration: string) => under(restoration, "hold-ups"),
  /** The hold-ups with the reasons of one rung open. */
  why: (restoration: string, holdUp: string) => `${under(restoration, "hold-ups")}?why=${encodeURIComponent(holdUp)}`,
  today: (restoration: string) => under(restoration, "today"),
  overTime: (restoration: string) => under(restoration, "hold-ups", "over-time"),
  choices: (restoration: string) => under(restoration, "parts", "choices"),
  money: (restoration: string) => under(restoration, "money"),
  owner: (restoration: string) => under(restoration, "money", "report"),
  fieldSheet: (restoration: string) => under(restoration, "parts", "field-sheet"),
  hours: (restoration: string) => under(restoration, "work", "hours"),
  parts: (restoration: string) => under(restoration, "parts"),
  severalParts: (restoration: string) => under(restoration, "parts", "several"),
  severalOperations: (restoration: string) => under(restoration, "work", "several"),
  part: (restoration: string, part: string) => under(restoration, "parts", part),
  /** The form of an order for a part, from the quote that is chosen. */
  orderFor: (restoration: string, part: string) => `${under(restoration, "parts", part)}?order=chosen`,
  work: (restoration: string) => under(restoration, "work"),
  byHand: (restoration: string) => under(restoration, "work", "by-hand"),
  operation: (restoration: string, operation: string) => under(restoration, "work", operation),
  howLong: (restoration: string) => under(restoration, "work", "how-long"),
  snags: (restoration: string) => under(restoration, "work", "snags"),
  snag: (restoration: string, snag: string) =>
    `${under(restoration, "work", "snags")}?snag=${encodeURIComponent(snag)}`,
  suppliers: (restoration: string) => under(restoration, "parts", "suppliers"),
  supplier: (restoration: string, supplier: string) => under(restoration, "parts", "suppliers", supplier),
  restoration: (restoration: string) => under(restoration, "restoration"),
  /** The restoration with a new exchange rate begun: the pair, and the day from which it is wanted. */
  missingRate: (restoration: string, { from, to, date }: { from: string; to: string; date: string }) =>
    `${under(restoration, "restoration")}?${new URLSearchParams({ rateFrom: from, rateTo: to, rateOn: date })}#rates`,
  threads: (restoration: string) => under(restoration, "parts", "threads"),
  files: (restoration: string) => under(restoration, "restoration", "files"),
};

/** Where a sheet stood before, below /r/ID, and where it stands; what is not named here stands where it did. */
const MOVED: Readonly<Record<string, string>> = {
  "over-time": "hold-ups/over-time",
  choices: "parts/choices",
  owner: "money/report",
  "field-sheet": "parts/field-sheet",
  hours: "work/hours",
  snags: "work/snags",
  suppliers: "parts/suppliers",
  threads: "parts/threads",
  files: "restoration/files",
};

/** The address of today for an earlier one, without its query. */
export function movedTo(restoration: string, rest: string): string {
  const [sheet = "", ...more] = rest.split("/");
  return [under(restoration), MOVED[sheet] ?? sheet, ...more].filter(Boolean).join("/");
}
