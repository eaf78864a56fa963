/**
 * The choice on the hands of the workshop: each plan's day is the one that the restoration's own plan says once it is
 * taken up. Pure, so that it can be worked out beside the main thread.
 */

import { choiceOnHands } from "../../engine/choice/onHands.ts";
import type { Solver } from "../../engine/choice/programme.ts";
import { type QuoteChoice, quoteChoice } from "../../engine/choice/quoteChoice.ts";
import { type ChoiceWork, choiceInputOf } from "../../engine/choice/work.ts";
import type { HandHours } from "../../engine/hands/handHours.ts";
import { hoursInCommon } from "../../engine/hands/handHours.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { endOnHands } from "../hands/endOnHands.ts";
import { needsOf } from "../hands/orderOfWork.ts";
import { preparationNode } from "../network/work.ts";
import type { Acquisition } from "../parts/acquisition.ts";
import type { PlanRows } from "../rows/rows.ts";
import type { ChoiceSubject, OptionInfo } from "./subject.ts";

/** What a choice writes where it is taken up. */
export type Taking = Pick<OptionInfo, "id" | "quoteId" | "remedyId" | "wayId">;
export interface TakingSubject extends Pick<ChoiceSubject, "kind" | "rowId"> {
  options: readonly Taking[];
  inForce: Taking;
}

/** The choice of a workshop whose hands are entered. */
export interface HandsOfChoice {
  rows: PlanRows;
  figuresFor: string;
  /** In the order of the choices. */
  subjects: readonly TakingSubject[];
}

export interface ChoiceAsked {
  work: ChoiceWork;
  /** Null: hands without end, and the plans are exact. */
  hands: HandsOfChoice | null;
}

/** Operations times plans that are put on the hands at most; of small work no more than so many plans, of large no fewer. */
const MOST_WORK = 40_000;
const MOST_PLANS = 400;
const LEAST_PLANS = 40;

/** Of the work, the share that the bound takes at most: it is the rougher part of how far it is. */
const BOUND_SHARE = 0.2;

/** All plans to choose from. @param stop told how far the work is, 0 to 1; true stops it. Throws ChoiceFault, NetworkFault, ChoiceStopped. */
export function choicesOn({ work, hands }: ChoiceAsked, stop: (share: number) => boolean, solve?: Solver): QuoteChoice {
  const input = choiceInputOf(work);
  if (hands === null) return quoteChoice(input, { stop, solve });
  const { rows, figuresFor, subjects } = hands;
  const front = quoteChoice(input, { stop: (share) => stop(BOUND_SHARE * share), solve });
  const inForce = subjects.map(({ options, inForce: { id } }) => options.findIndex((option) => option.id === id));
  return choiceOnHands(input, front, {
    endOf: (picks) => endOnHands(withChoices(rows, subjects, picks), figuresFor),
    inForce: inForce.includes(-1) ? null : Uint16Array.from(inForce),
    most: Math.min(MOST_PLANS, Math.max(LEAST_PLANS, Math.floor(MOST_WORK / Math.max(1, rows.operations.length)))),
    stop: (share) => stop(BOUND_SHARE + (1 - BOUND_SHARE) * share),
  });
}

/** Rows with options chosen, one of each subject; what is in force stays as it stands, chosen or standing in. */
export function withChoices(
  rows: PlanRows,
  subjects: readonly TakingSubject[],
  picks: { readonly [choice: number]: number },
): PlanRows {
  const to = new Map(
    subjects.flatMap(({ kind, rowId, options, inForce }, choice): [string, Taking][] => {
      const option = options[picks[choice]!]!;
      return option.id === inForce.id ? [] : [[`${kind} ${rowId}`, option]];
    }),
  );
  if (to.size === 0) return rows;
  const chosen = <Row extends { id: string }>(
    kind: string,
    all: readonly Row[],
    by: (option: Taking) => Partial<Row>,
  ): Row[] =>
    all.map((row) => {
      const option = to.get(`${kind} ${row.id}`);
      return option === undefined ? row : { ...row, ...by(option) };
    });
  return {
    ...rows,
    parts: chosen("PART", rows.parts, ({ quoteId }) => ({ chosenQuoteId: quoteId })),
    snags: chosen("SNAG", rows.snags, ({ remedyId }) => ({ chosenRemedyId: remedyId })),
    operations: chosen("OPERATION", rows.operations, ({ wayId }) => ({ chosenWayId: wayId })),
  };
}

/** The work as if no hand had two things to do at once, each in the longest hours that any of those who can do it has: nobody does it sooner. */
export function onFreeHands(
  work: Pick<ChoiceWork, "nodes" | "links" | "arrivals">,
  rows: PlanRows,
  outstanding: readonly Acquisition[],
  calendar: ShopCalendar,
): Pick<ChoiceWork, "nodes" | "links" | "arrivals"> {
  const needs = needsOf(rows, outstanding);
  const able = (trade: string) =>
    rows.hands.filter(({ trades, weekdayHours }) => trades.includes(trade) && weekdayHours.some((open) => open > 0));
  const longest = new Map<string, HandHours>();
  for (const trade of new Set([...needs.values()].flat().map((need) => need.trade)))
    if (able(trade).length > 0) longest.set(trade, longestOf(able(trade)));
  const handsOf = (node: string): HandHours[] | null => {
    const asked = needs.get(node) ?? [];
    // What too few can do counts as done by hands without end.
    const enough = ({ trade, hands }: { trade: string; hands: number }): boolean =>
      able(trade).reduce((sum, { people }) => sum + people, 0) >= hands;
    if (asked.length === 0 || !asked.every(enough)) return null;
    const hands = asked.map(({ trade }) => longest.get(trade)!);
    // Nor is anybody waited for who is never there with the others.
    return Number.isFinite(hoursInCommon(hands, calendar).finishAfter(0, 1)) ? hands : null;
  };
  const preparations = new Map(outstanding.map(({ id, rowId }) => [id, handsOf(preparationNode(rowId))]));
  return {
    links: work.links,
    nodes: work.nodes.map((node) => {
      const hands = handsOf(node.id);
      return hands === null ? node : { ...node, hands };
    }),
    arrivals: work.arrivals.map((arrival) => {
      const hands = preparations.get(arrival.id) ?? null;
      if (hands === null) return arrival;
      const own = hoursInCommon(hands, calendar);
      return {
        ...arrival,
        options: arrival.options.map((option) => {
          const from = Math.max(0, option.usable);
          const took = own.finishAfter(from, option.preparation) - from;
          // What lies beyond all that is looked ahead takes the hours of the shop at the least.
          return Number.isFinite(took) ? { ...option, preparation: Math.max(option.preparation, took) } : option;
        }),
      };
    }),
  };
}

/** Hours of each weekday that none of them exceeds, but for the days on which all are away. */
const longestOf = (able: readonly HandHours[]): HandHours => ({
  weekdayHours: [0, 1, 2, 3, 4, 5, 6].map((day) => Math.max(...able.map(({ weekdayHours }) => weekdayHours[day]!))),
  absences: able
    .map(({ absences }) => absences)
    .reduce((all, own) =>
      all.flatMap((one) =>
        own.flatMap((other) => {
          const [from] = [one.from, other.from].toSorted().toReversed();
          const [to] = [one.to, other.to].toSorted();
          return from! <= to! ? [{ from: from!, to: to! }] : [];
        }),
      ),
    ),
  joinsOn: able.length === 1 ? able[0]!.joinsOn : null,
  leavesOn: null,
});
