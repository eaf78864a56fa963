/** Walk-away prices on a restoration's rows: what each outstanding part is worth if it is offered today. */

import type { Offer, WalkAwayPrice } from "../../engine/choice/walkAway.ts";
import type { Worth } from "../../engine/choice/worth.ts";
import { ShopCalendar } from "../../engine/time/calendar.ts";
import { days } from "../../engine/time/units.ts";
import type { Provenance } from "../../generated/prisma/enums.ts";
import { MOST_MINOR, PROVENANCES } from "../../store/rules.ts";
import type { ExposureRows } from "../money/exposureLoad.ts";
import { moneyInWords } from "../money/moneyWords.ts";
import { RuledOut } from "../parts/ruledOut.ts";
import { type ChoiceProblem, choiceProblem } from "./input.ts";
import { awardInWords, hundredths, POINT, pointsInWords, pointsLost } from "./points.ts";

/** What a part of one provenance is worth. */
export interface WalkAway {
  provenance: Provenance;
  currency: string;
  /** Minor units; null: no limit from the figures. */
  priceMinor: number | null;
  words: string;
  /** Calendar days by which the machine would be finished earlier; null without a limit. */
  daysSaved: number | null;
  /** Points lost by the best plan with it less those without it; null without a limit. */
  pointsDifference: number | null;
}

export interface PartWalkAways {
  partId: string;
  walkAways: readonly WalkAway[];
}

/** What is to be priced, as the engine takes it and with what it is on the rows. */
export interface WalkAwayProblem {
  problem: ChoiceProblem;
  worth: Worth;
  offers: readonly Offer[];
  /** Outstanding parts in the order of their codes; `offer`: its place among the offers, null for an open one. */
  parts: readonly { partId: string; ordered: boolean; offer: number | null; provenances: readonly Provenance[] }[];
  said: { perDay: boolean; perPoint: boolean };
}

/** Throws PlanFault where the rows make no plan. */
export function walkAwayProblem(rows: ExposureRows): WalkAwayProblem {
  const problem = choiceProblem(rows);
  const { plan, parts: judged, sheet } = rows;
  const usable = new ShopCalendar(problem.work.calendar).usableAfterArrival(days(0));
  const open = new Set(problem.open.map(({ rowId }) => rowId));
  const ruledOut = new RuledOut(plan);
  const subjects = new Map(problem.subjects.filter(({ kind }) => kind === "PART").map((one) => [one.rowId, one]));
  const ordered = new Set(plan.orders.filter(({ state }) => state !== "SENT_BACK").map(({ partId }) => partId));
  const offers: Offer[] = [];
  const parts: WalkAwayProblem["parts"][number][] = [];
  for (const { id: partId } of plan.parts) {
    const isOpen = open.has(partId) && !subjects.has(partId);
    if (!isOpen && !subjects.has(partId)) continue;
    const provenances = PROVENANCES.filter((provenance) => !ruledOut.hasKind(partId, provenance));
    parts.push({ partId, ordered: ordered.has(partId), offer: isOpen ? null : offers.length, provenances });
    if (isOpen) continue;
    offers.push({
      part: `part:${partId}`,
      usable,
      preparation: 0,
      points: provenances.map((provenance) =>
        hundredths(pointsLost(sheet, judged.get(partId)!, { provenance, pointsByHand: 0, knockOns: [] })),
      ),
    });
  }
  return {
    problem,
    worth: problem.work.worth!,
    offers,
    parts,
    said: problem.said,
  };
}

/** Prices on the parts they belong to. */
export function walkAwaysOn(asked: WalkAwayProblem, prices: readonly WalkAwayPrice[][]): PartWalkAways[] {
  const { currency } = asked.problem;
  return asked.parts.map(({ partId, ordered, offer, provenances }) => ({
    partId,
    walkAways: provenances.map((provenance, i): WalkAway => {
      const found = offer === null ? undefined : prices[offer]![i]!;
      // What cannot be shown as an amount is no limit either.
      if (found === undefined || found.price > MOST_MINOR)
        return {
          provenance,
          currency,
          priceMinor: null,
          words:
            found === undefined
              ? "No limit from the figures: nothing else is known that brings this part, and without it there is no machine."
              : "No limit from the figures: it is worth more than can be shown.",
          daysSaved: null,
          pointsDifference: null,
        };
      const priceMinor = Math.floor(found.price);
      const pointsDifference = found.pointsMore / POINT;
      return {
        provenance,
        currency,
        priceMinor,
        words: inWords(asked, { ...found, priceMinor, pointsDifference, ordered }),
        daysSaved: found.daysSaved,
        pointsDifference,
      };
    }),
  }));
}

function inWords(
  { problem: { currency, sheet }, said }: WalkAwayProblem,
  {
    priceMinor,
    daysSaved,
    pointsDifference,
    ordered,
    left,
  }: Pick<WalkAwayPrice, "left"> & {
    priceMinor: number;
    daysSaved: number;
    pointsDifference: number;
    ordered: boolean;
  },
): string {
  const count = (n: number, one: string): string => `${n} ${one}${n === 1 ? "" : "s"}`;
  const gains: string[] = [];
  if (daysSaved > 0) gains.push(`${count(daysSaved, "day")} earlier`);
  if (daysSaved < 0) gains.push(`${count(-daysSaved, "day")} later`);
  if (pointsDifference < 0) gains.push(`${count(-pointsDifference, "point")} fewer lost`);
  if (pointsDifference > 0) gains.push(`${count(pointsDifference, "point")} more lost`);
  const first =
    priceMinor === 0
      ? "By these figures it is worth nothing: the best plan does without it."
      : `Walk away above ${moneyInWords(priceMinor, currency)}${gains.length > 0 ? `: ${gains.join(", ")}` : ""}.`;
  const rest: string[] = [];
  const award = left === null ? "" : awardInWords(sheet, left.points / POINT, left.disqualified);
  if (award !== "") rest.push(`The best plan with it loses ${pointsInWords(left!.points / POINT)}, ${award}.`);
  if (!said.perDay) rest.push("No price is set on a day, so a day counts for nothing.");
  if (!said.perPoint) rest.push("No price is set on a point, so a point counts for nothing.");
  if (ordered) rest.push("It is on order: what was ordered is still paid for.");
  return [first, ...rest].join(" ");
}
