/** Plans to choose from: what the engine found, on the restoration's rows and in words. */

import type { Answer, Limit } from "../../engine/choice/answers.ts";
import type { QuoteChoice } from "../../engine/choice/quoteChoice.ts";
import { addDays, daysBetween } from "../../engine/time/date.ts";
import { dateInWords } from "../days/summaryWords.ts";
import { totalHours } from "../hands/hours.ts";
import { moneyInWords } from "../money/moneyWords.ts";
import type { PlanRows } from "../rows/rows.ts";
import type { ChoiceProblem } from "./input.ts";
import { withChoices } from "./onHands.ts";
import { awardInWords, hundredths, lostAlone, POINT, pointsInWords } from "./points.ts";
import type { ChoiceSubject, OptionInfo } from "./subject.ts";

/** The undominated plans of a restoration at one revision. */
export interface Choices {
  problem: ChoiceProblem;
  found: QuoteChoice;
}

/** One of them, by its number, counted from 1 by ascending date. */
export interface ChoicePlan {
  choices: Choices;
  number: number;
}

export interface ChoiceFigures {
  date: string;
  /** Still to be spent through these choices, with the hours where the workshop counts its own; minor units of the restoration's currency. */
  costMinor: number;
  pointsLost: number;
  /** A disqualifying line loses points: no award is met. */
  disqualified: boolean;
}

/** A choice in which a plan differs from the plan in force. */
export interface ChoiceDifference {
  subject: ChoiceSubject;
  from: OptionInfo;
  to: OptionInfo;
  /** Null where what is in force cannot be worked out. */
  costChangeMinor: number | null;
  /** By itself, as if nothing else lost any. */
  pointsChange: number;
}

/** A limit that is not kept, in days or minor units. */
export interface LimitMiss {
  limit: "DATE" | "COST";
  alone: number;
  withOthers: number | null;
  words: string;
}

export interface ChoiceAnswer {
  plan: ChoicePlan | null;
  misses: LimitMiss[];
  words: string;
}

export interface ChoiceAnswers {
  cheapestByTarget: ChoiceAnswer;
  earliestWithinCap: ChoiceAnswer;
  mostPointsWithinBoth: ChoiceAnswer;
  /** The least of cost, days past the target and points lost together, at what the owner puts on them. */
  bestByWorth: ChoiceAnswer;
}

export const plansOf = (choices: Choices): ChoicePlan[] =>
  Array.from(choices.found.end, (_, at) => ({ choices, number: at + 1 }));

/** The plan of a number; null when there is none. */
export const planNumbered = (choices: Choices, number: number): ChoicePlan | null =>
  Number.isInteger(number) && number >= 1 && number <= choices.found.end.length ? { choices, number } : null;

/**
 * By how many days at most a plan ends later than any choice could that costs no more and loses no more points, in whatever
 * order of work; 0: none is better. Null where no hands are entered: all is exact then.
 */
export const daysToBound = ({ problem: { asked }, found: { end, bound } }: Choices): number | null =>
  asked.hands === null ? null : end.reduce((most, day, plan) => Math.max(most, day - bound[plan]!), 0);

/** What a plan's cost is made of. */
export interface CostSplit {
  /** Bought, landed, with what suppliers charge on whole orders. */
  landedMinor: number;
  /** Of that, what they charge. */
  chargedMinor: number;
  /** Hours of all that is chosen in it, and what they come to at their rates. */
  hours: number;
  labourMinor: number;
  /** What of the plan counts against the cap. */
  countedMinor: number;
}

export function splitOf({ choices: { problem, found }, number }: ChoicePlan): CostSplit {
  const width = found.choices.length;
  const options = problem.subjects.map(({ options: all }, choice) => all[found.picks[(number - 1) * width + choice]!]!);
  const shared = found.charged[number - 1]!;
  return {
    landedMinor: options.reduce((sum, { landedMinor }) => sum + landedMinor!, shared),
    chargedMinor: options.reduce((sum, { chargeMinor }) => sum + chargeMinor, shared),
    hours: totalHours(options),
    labourMinor: options.reduce((sum, { labourMinor }) => sum + labourMinor, 0),
    countedMinor: found.counted[number - 1]!,
  };
}

export function figuresOf({ choices: { problem, found }, number }: ChoicePlan): ChoiceFigures {
  const at = number - 1;
  return {
    date: dateOf(problem, found.end[at]!),
    costMinor: found.cost[at]!,
    pointsLost: found.points[at]! / POINT,
    disqualified: found.disqualified[at] === 1,
  };
}

/** In the order of the parts, then the snags, then the operations. */
export function differencesOf({ choices: { problem, found }, number }: ChoicePlan): ChoiceDifference[] {
  const width = found.choices.length;
  return problem.subjects.flatMap((subject, choice): ChoiceDifference[] => {
    const taken = subject.options[found.picks[(number - 1) * width + choice]!]!;
    if (subject.inForce.id === taken.id) return [];
    // What each loses is told as by itself, by the rules of its line.
    const [from, to] = [subject.inForce, taken].map((option) => ({
      ...option,
      points: lostAlone(problem.sheet, { ...subject.place, points: option.points, expected: option.expected }),
    })) as [OptionInfo, OptionInfo];
    return [
      {
        subject,
        from,
        to,
        costChangeMinor: from.costMinor === null || to.costMinor === null ? null : to.costMinor - from.costMinor,
        pointsChange: (hundredths(to.points) - hundredths(from.points)) / POINT,
      },
    ];
  });
}

/** What is in force in a plan and only stands in as yet: taking the plan up decides it. */
export function decidedBy({
  choices: { problem, found },
  number,
}: ChoicePlan): { subject: ChoiceSubject; to: OptionInfo }[] {
  const width = found.choices.length;
  return problem.subjects.flatMap((subject, choice) => {
    const to = subject.options[found.picks[(number - 1) * width + choice]!]!;
    return subject.decided || to.id !== subject.inForce.id ? [] : [{ subject, to }];
  });
}

/**
 * What taking a plan up chooses: all that it changes and what only stands in as yet, or of what it changes these rows alone.
 * An id of none of these is left out.
 */
export function takenBy(
  plan: ChoicePlan,
  only: readonly string[] | null,
): { subject: ChoiceSubject; to: OptionInfo }[] {
  const changed = differencesOf(plan);
  return only === null
    ? [...changed, ...decidedBy(plan)]
    : changed.filter(({ subject }) => only.includes(subject.rowId));
}

/** The rows with a plan taken up: the same as they are where it is in force. */
export function takenUp({ choices: { problem, found }, number }: ChoicePlan, rows: PlanRows): PlanRows {
  const width = found.choices.length;
  return withChoices(rows, problem.subjects, found.picks.subarray((number - 1) * width, number * width));
}

/** The answers, each a plan or the limits that fail. */
export function answersOf(choices: Choices): ChoiceAnswers {
  const { cheapestByTarget, earliestWithinCap, mostPointsWithinBoth, bestByWorth } = choices.found.answers;
  const { targetDate, targetName, capLeftMinor } = choices.problem;
  const target =
    targetDate === null
      ? null
      : `the target of ${dateInWords(targetDate)}${targetName === "" ? "" : ` (${targetName})`}`;
  const cap = capLeftMinor === null ? null : `the ${money(choices, capLeftMinor)} that the cap leaves`;
  const both = [target, cap].filter((one) => one !== null).join(" and ");
  return {
    cheapestByTarget: answer(
      choices,
      cheapestByTarget,
      target === null ? "No target date is set: the cheapest of all plans" : `The cheapest by ${target}`,
    ),
    earliestWithinCap: answer(
      choices,
      earliestWithinCap,
      cap === null ? "No cap is set: the earliest of all plans" : `The earliest within ${cap}`,
    ),
    mostPointsWithinBoth: answer(
      choices,
      // Where nothing loses points, every plan keeps them all and the cheapest within both limits answers.
      mostPointsWithinBoth!,
      both === "" ? "Neither target nor cap is set: the most points of all plans" : `The most points within ${both}`,
    ),
    bestByWorth: answer(choices, bestByWorth!, worthInWords(choices)),
  };
}

/** "The best by worth, at £18.00 a day past the target and £65.00 a point lost" */
function worthInWords({ problem: { said, currency, targetDate, work } }: Choices): string {
  const { perDay, perPoint } = work.worth!;
  const prices = [
    ...(said.perDay ? [`${moneyInWords(perDay, currency)} a day${targetDate === null ? "" : " past the target"}`] : []),
    ...(said.perPoint ? [`${moneyInWords(perPoint, currency)} a point lost`] : []),
  ];
  return prices.length === 0
    ? "No price is set on a day or a point: the cheapest of all plans"
    : `The best by worth, at ${prices.join(" and ")}`;
}

function answer(choices: Choices, { plan, misses }: Answer, question: string): ChoiceAnswer {
  if (plan !== null) {
    const found = { choices, number: plan + 1 };
    const { date, costMinor, pointsLost, disqualified } = figuresOf(found);
    const { countedMinor } = splitOf(found);
    const against =
      choices.problem.capLeftMinor === null || countedMinor === costMinor
        ? ""
        : ` (${money(choices, countedMinor)} against the cap)`;
    const awards = awardInWords(choices.problem.sheet, pointsLost, disqualified);
    const award = awards === "" ? "" : `, ${awards}`;
    const points = `${pointsInWords(pointsLost)} lost`;
    return {
      plan: found,
      misses: [],
      words: `${question}: finished on ${dateInWords(date)} for ${money(choices, costMinor)}${against}, ${points}${award}.`,
    };
  }
  const told = misses
    .filter(({ limit }) => limit !== "points")
    .map(({ limit, alone, withOthers }): LimitMiss => {
      const rest = misses.length > 1;
      return {
        limit: limit === "end" ? "DATE" : "COST",
        alone,
        withOthers,
        words: missInWords(choices, limit, alone, rest ? withOthers : null),
      };
    });
  const none = choices.found.open.length > 0 ? "There is no plan: something has nothing that may be chosen." : "";
  return { plan: null, misses: told, words: told.map(({ words }) => words).join(" ") || none };
}

function missInWords(choices: Choices, limit: Limit, alone: number, withOthers: number | null): string {
  const { targetDate, capLeftMinor } = choices.problem;
  if (limit === "end") {
    const late = (n: number): string => `${n} ${n === 1 ? "day" : "days"} late`;
    if (alone > 0)
      return `The target of ${dateInWords(targetDate!)} cannot be kept: the earliest plan is ${late(alone)}.`;
    return withOthers === null
      ? `The target of ${dateInWords(targetDate!)} can be kept by itself.`
      : `Within the cap the earliest plan is ${late(withOthers)}.`;
  }
  const over = (minor: number): string => `${money(choices, minor)} over`;
  const left = `the ${money(choices, capLeftMinor!)} that the cap leaves`;
  if (alone > 0) return `The cap cannot be kept: the cheapest plan is ${over(alone)} ${left}.`;
  return withOthers === null
    ? "The cap can be kept by itself."
    : `By the target date the cheapest plan is ${over(withOthers)} ${left}.`;
}

const money = ({ problem }: Choices, minor: number): string => moneyInWords(minor, problem.currency);

const dateOf = ({ figuresFor }: ChoiceProblem, end: number): string => addDays(figuresFor, Math.max(0, end));

/** Days of a date past the target date; negative is early; null without a target. */
export const daysLateOf = ({ problem: { targetDate } }: Choices, date: string): number | null =>
  targetDate === null ? null : daysBetween(targetDate, date);
