import { Fragment, type ReactNode } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, plainNumber } from "../shared/format.ts";
import type { SUPPLY_STATE } from "../shared/words.ts";

export type Counts = Record<keyof typeof SUPPLY_STATE, number>;

/** In the order of a shop's morning: what is here, what is coming, what wants doing. */
const WORDS: readonly [keyof typeof SUPPLY_STATE, string][] = [
  ["IN_HAND", "in hand"],
  ["ARRIVED", "arrived and to be tried"],
  ["ORDERED", "on order"],
  ["LATE", "on order and late"],
  ["TO_ORDER", "chosen and to be ordered"],
  ["UNDECIDED", "quoted and undecided"],
  ["NO_SOURCE", "without any source"],
  ["HUNTED", "hunted until a stop date"],
];

/** What keeps the list from being complete, in large: the parts without a source, then what is to be ordered and what is here. */
export function leadOf(restoration: string, all: number, counts: Counts): ReactNode[] {
  const at = (state: keyof Counts, words: string) => (
    <Link to={`${addressOf.parts(restoration)}?state=${state}`}>{words}</Link>
  );
  const { NO_SOURCE: none, TO_ORDER: toOrder, IN_HAND: here } = counts;
  return [
    none > 0 && (
      <span className="late" key="none">
        {at("NO_SOURCE", `${none} of ${counted(all, "part")}`)} {none === 1 ? "has" : "have"} no source.
      </span>
    ),
    <span key="rest">
      {at("TO_ORDER", String(toOrder))} chosen to order, {at("IN_HAND", String(here))} of {plainNumber(all)} in hand.
    </span>,
  ].filter(Boolean);
}

/** How many parts are needed and where they stand; each number narrows the list to those. */
export function PartsSentence({ restoration, all, counts }: { restoration: string; all: number; counts: Counts }) {
  const said = WORDS.filter(([state]) => counts[state] > 0);
  return (
    <>
      {counted(all, "part")} {all === 1 ? "is" : "are"} needed:{" "}
      {said.map(([state, words], place) => (
        <Fragment key={state}>
          {place > 0 && (place === said.length - 1 ? " and " : ", ")}
          <Link to={`${addressOf.parts(restoration)}?state=${state}`}>
            {counts[state]} {words}
          </Link>
        </Fragment>
      ))}
      .{counts.NO_SOURCE > 0 && " While a needed part has no source there is no completion date."}
    </>
  );
}
