/** Every sheet of the app that stands under an address of its own, as `npm run screenshots` takes them. */

/** Of a restoration, under restorations/ID/. */
export const SHEETS = [
  "hold-ups",
  "hold-ups/over-time",
  "today",
  "parts",
  "parts/choices",
  "parts/field-sheet",
  "parts/several",
  "parts/suppliers",
  "parts/threads",
  "work",
  "work/by-hand",
  "work/hours",
  "work/how-long",
  "work/several",
  "work/snags",
  "money",
  "money/report",
  "restoration",
  "restoration/files",
];

/** Of the club, under club/. */
export const CLUB_SHEETS = [
  "sources",
  "sources/share",
  "wants",
  "spares",
  "matches",
  "batches",
  "complaints",
  "files",
  "member",
];

/** Beside both. */
export const OTHER_SHEETS = ["", "people", "account", "graphql"];
