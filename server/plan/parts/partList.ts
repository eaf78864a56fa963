/** The parts of a restoration filtered and ordered by where they stand in the plan. */

import { compareCodes } from "../../store/codes.ts";
import type { PartOutlook, Plan } from "../plan.ts";
import type { SupplyState } from "./acquisition.ts";

export interface ListedPart {
  id: string;
  code: string;
  name: string;
  group: string;
}

export type PartOrder = "CODE" | "NAME" | "GROUP" | "STATE" | "ARRIVAL" | "NEED_BY" | "ORDER_BY" | "FLOAT";

/** What wants attention first comes first. */
const URGENCY: readonly SupplyState[] = [
  "NO_SOURCE",
  "LATE",
  "HUNTED",
  "UNDECIDED",
  "TO_ORDER",
  "ORDERED",
  "ARRIVED",
  "IN_HAND",
];

const KEYS: Record<
  Exclude<PartOrder, "CODE">,
  (part: ListedPart, outlook: PartOutlook | undefined) => string | number | null
> = {
  NAME: (part) => part.name,
  GROUP: (part) => part.group,
  STATE: (_, outlook) => (outlook === undefined ? null : URGENCY.indexOf(outlook.state)),
  ARRIVAL: (_, outlook) => outlook?.arrivalDate ?? null,
  NEED_BY: (_, outlook) => outlook?.needBy ?? null,
  ORDER_BY: (_, outlook) => outlook?.orderBy ?? null,
  FLOAT: (_, outlook) => outlook?.floatDays ?? null,
};

const words = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

/** Ids in order; parts without the figure asked for stand last either way, equals by code. */
export function partIds(
  parts: readonly ListedPart[],
  plan: Plan,
  ask: { sort: PartOrder; descending: boolean; state: readonly SupplyState[] | null },
): string[] {
  const { sort } = ask;
  const key = sort === "CODE" ? null : KEYS[sort];
  const sign = ask.descending ? -1 : 1;
  return parts
    .map((part) => ({ part, outlook: plan.parts.get(part.id) }))
    .filter(({ outlook }) => ask.state === null || (outlook !== undefined && ask.state.includes(outlook.state)))
    .map(({ part, outlook }) => ({ part, key: key?.(part, outlook) ?? null }))
    .sort((a, b) =>
      key === null
        ? sign * compareCodes(a.part.code, b.part.code)
        : compare(a.key, b.key, sign) || compareCodes(a.part.code, b.part.code),
    )
    .map(({ part }) => part.id);
}

function compare(a: string | number | null, b: string | number | null, sign: number): number {
  if (a === null || b === null) return Number(a === null) - Number(b === null);
  return sign * (typeof a === "number" && typeof b === "number" ? a - b : words.compare(String(a), String(b)));
}
