/** Addresses of the sheets. Ids are opaque and may hold any character. */
const under = (restoration: string, ...rest: string[]): string =>
  ["/r", restoration, ...rest].map((piece, place) => (place === 0 ? piece : encodeURIComponent(piece))).join("/");

export const addressOf = {
  restorations: () => "/",
  holdUps: (restoration: string) => under(restoration, "hold-ups"),
  /** The hold-ups with the reasons of one rung open. */
  why: (restoration: string, holdUp: string) => `${under(restoration, "hold-ups")}?why=${encodeURIComponent(holdUp)}`,
  today: (restoration: string) => under(restoration, "today"),
  overTime: (restoration: string) => under(restoration, "over-time"),
  choices: (restoration: string) => under(restoration, "choices"),
  money: (restoration: string) => under(restoration, "money"),
  owner: (restoration: string) => under(restoration, "owner"),
  fieldSheet: (restoration: string) => under(restoration, "field-sheet"),
  hours: (restoration: string) => under(restoration, "hours"),
  parts: (restoration: string) => under(restoration, "parts"),
  part: (restoration: string, part: string) => under(restoration, "parts", part),
  work: (restoration: string) => under(restoration, "work"),
  operation: (restoration: string, operation: string) => under(restoration, "work", operation),
  snags: (restoration: string) => under(restoration, "snags"),
  snag: (restoration: string, snag: string) => `${under(restoration, "snags")}?snag=${encodeURIComponent(snag)}`,
  suppliers: (restoration: string) => under(restoration, "suppliers"),
  supplier: (restoration: string, supplier: string) => under(restoration, "suppliers", supplier),
  restoration: (restoration: string) => under(restoration, "restoration"),
  /** The restoration with a new exchange rate begun: the pair, and the day from which it is wanted. */
  missingRate: (restoration: string, { from, to, date }: { from: string; to: string; date: string }) =>
    `${under(restoration, "restoration")}?${new URLSearchParams({ rateFrom: from, rateTo: to, rateOn: date })}#rates`,
  threads: (restoration: string) => under(restoration, "threads"),
  files: (restoration: string) => under(restoration, "files"),
};
