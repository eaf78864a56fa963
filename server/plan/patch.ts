/** Rows of a plan brought up to date by a committed change, without reading all of them again. */
import type { ClosedDate, Restoration, ShopCalendar } from "../generated/prisma/client.ts";
import type { Entry } from "../store/journal.ts";
import { USUAL_WEEK, weekdayHours } from "./load.ts";
import type { PlanRows } from "./rows.ts";

/** Where the rows of a table stand in a plan's rows. */
const LISTS = {
  operation: "operations",
  link: "links",
  need: "needs",
  part: "parts",
  quote: "quotes",
  order: "orders",
  snag: "snags",
  remedy: "remedies",
} as const;

type Row = { id?: string; code?: string };

/** The rows after the entries that concern this restoration; the rows given are left as they are. */
export function patchRows(rows: PlanRows, entries: readonly Entry[]): PlanRows {
  const next: PlanRows = { ...rows };
  const own = new Set<keyof PlanRows>();
  for (const { table, id, before, after } of entries) {
    const row = after ?? before;
    if (table === "restoration") {
      if (id === rows.restoration.id && after !== null) next.restoration = after as unknown as Restoration;
      continue;
    }
    if (row?.restorationId !== rows.restoration.id) continue;
    if (table === "shopCalendar")
      next.weekdayHours = after === null ? USUAL_WEEK : weekdayHours(after as unknown as ShopCalendar);
    else if (table === "closedDate") {
      const dates = next.closedDates.filter((date) => date !== (before as unknown as ClosedDate | null)?.date);
      next.closedDates = after === null ? dates : [...dates, (after as unknown as ClosedDate).date];
    } else if (table in LISTS) {
      const name = LISTS[table as keyof typeof LISTS];
      // Each list is copied once, then changed in the copy.
      if (!own.has(name)) Object.assign(next, { [name]: [...next[name]] });
      own.add(name);
      replace(next[name] as unknown as Row[], id, after);
    }
  }
  return next;
}

function replace(list: Row[], id: string, after: Row | null): void {
  const at = list.findIndex((row) => row.id === id);
  if (after === null) {
    if (at >= 0) list.splice(at, 1);
  } else if (at >= 0 && list[at]!.code === after.code) list[at] = after;
  else {
    if (at >= 0) list.splice(at, 1);
    const { code } = after;
    const place = code === undefined ? -1 : list.findIndex((row) => row.code! > code);
    list.splice(place < 0 ? list.length : place, 0, after);
  }
}
