/** Rows of a plan brought up to date by a committed change, without reading all of them again. */
import type { Operation, Restoration } from "../../generated/prisma/client.ts";
import { compareCodes } from "../../store/codes.ts";
import type { Entry } from "../../store/journal.ts";
import { operationRow } from "./load.ts";
import type { PlanRows } from "./rows.ts";

/** Where the rows of a table stand in a plan's rows. */
const LISTS = {
  operation: "operations",
  operationWay: "ways",
  link: "links",
  need: "needs",
  part: "parts",
  hunt: "hunts",
  quote: "quotes",
  order: "orders",
  snag: "snags",
  remedy: "remedies",
  decision: "decisions",
  hoursBooked: "hoursBooked",
} as const;

/** Tables whose rows hang on a row of the restoration, and do not name it themselves. */
const BELOW = {
  ruledOut: { list: "ruledOut", above: "parts", field: "partId" },
  knockOn: { list: "knockOns", above: "quotes", field: "quoteId" },
  huntEvent: { list: "huntEvents", above: "hunts", field: "huntId" },
} as const;

type Row = { id?: string; code?: string };
type ListName = (typeof LISTS)[keyof typeof LISTS] | (typeof BELOW)[keyof typeof BELOW]["list"];

/** The rows after the entries that concern this restoration; the rows given are left as they are. */
export function patchRows(rows: PlanRows, entries: readonly Entry[]): PlanRows {
  const next: PlanRows = { ...rows };
  const own = new Set<ListName>();
  // Each list is copied once, then changed in the copy.
  const copied = (name: ListName): Row[] => {
    if (!own.has(name)) Object.assign(next, { [name]: [...(next[name] ?? [])] });
    own.add(name);
    return next[name] as unknown as Row[];
  };
  const above = new Above(next);
  for (const { table, id, before, after } of entries) {
    const row = after ?? before;
    if (table === "restoration") {
      if (id === rows.restoration.id && after !== null) next.restoration = after as unknown as Restoration;
      continue;
    }
    if (table in BELOW) {
      const { list, above: parents, field } = BELOW[table as keyof typeof BELOW];
      const known = next[list].some((one) => one.id === id);
      if (known || (after !== null && above.has(parents, after[field]))) replace(copied(list), id, after);
      continue;
    }
    if (row?.restorationId !== rows.restoration.id) continue;
    if (table in LISTS) {
      const name = LISTS[table as keyof typeof LISTS];
      const stands = after !== null && table === "operation" ? operationRow(after as unknown as Operation) : after;
      replace(copied(name), id, stands);
      above.add(name, id);
    }
  }
  return next;
}

/** Ids of the rows on which others hang, gathered where they are first asked for. */
class Above {
  private readonly ids = new Map<string, Set<unknown>>();

  constructor(private readonly rows: PlanRows) {}

  has(list: "parts" | "quotes" | "hunts", id: unknown): boolean {
    let known = this.ids.get(list);
    if (known === undefined) {
      known = new Set(this.rows[list].map((row) => row.id));
      this.ids.set(list, known);
    }
    return known.has(id);
  }

  add(list: string, id: string): void {
    this.ids.get(list)?.add(id);
  }
}

function replace(list: Row[], id: string, after: Row | null): void {
  const at = list.findIndex((row) => row.id === id);
  if (after === null) {
    if (at >= 0) list.splice(at, 1);
  } else if (at >= 0 && list[at]!.code === after.code) list[at] = after;
  else {
    if (at >= 0) list.splice(at, 1);
    const { code } = after;
    const place = code === undefined ? -1 : list.findIndex((row) => compareCodes(row.code!, code) > 0);
    list.splice(place < 0 ? list.length : place, 0, after);
  }
}
