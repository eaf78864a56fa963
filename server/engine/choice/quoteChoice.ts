/**
 * The choice of quotes: one for each part, one remedy for each snag, one way for each operation that has several,
 * traded between the completion date, the cost and the points lost. Exact: every undominated plan, and only those. Where
 * suppliers charge on whole orders, the charge counts once for each of them that a plan orders from.
 */

import { type Answer, type Answers, answersWithin, type Figures } from "./answers.ts";
import { dateCostFront, dateCostPointsFront, type FrontPlan } from "./front.ts";
import type { ChoiceInput, Judged, Option } from "./input.ts";
import { chargedFront } from "./milpFront.ts";
import { allowed, ChoiceModel, type EndKind } from "./model.ts";
import { chargeOf } from "./orders.ts";
import type { Solver } from "./programme.ts";

export interface QuoteChoiceOptions {
  /** False: date against cost alone, which is quicker; points are still counted. Default true. */
  withPoints?: boolean;
  /** What a hundredth of a point lost counts for, in the unit of the costs: date is then traded against cost and points together. */
  pointPrice?: number;
  /** Ends are dates, as days counted from the day of the figures, or exact working hours. Default dates. */
  end?: EndKind;
  /**
   * Called every few milliseconds with how far the work is, 0 to 1; true stops it. Ends take unequal time, so the share
   * is rough.
   */
  stop?: (share: number) => boolean;
  /** Needed where suppliers charge on whole orders. */
  solve?: Solver | undefined;
}

/** Thrown when the caller stops the work. */
export class ChoiceStopped extends Error {
  constructor() {
    super("The choice of quotes was stopped before it was finished.");
    this.name = "ChoiceStopped";
  }
}

/**
 * Undominated plans, by ascending end, then points: where a line of the sheet disqualifies, no plan is beaten by one that
 * is disqualified when it is not. Where the cap counts something else than the cost, the plans that answer
 * what it asks are among them, though another may cost less. Columns of one length. Plain data that can pass between threads.
 */
export interface QuoteChoice {
  /** Ids of the choices: parts and snags as given, then operations. */
  choices: readonly string[];
  /** Ids of the options of each choice, as given. */
  optionIds: readonly (readonly string[])[];
  /** Day from the day of the figures, or working hour. */
  end: Float64Array;
  /**
   * On hands: an end before which no plan ends that costs no more and loses no more points, however many hands there were;
   * else the end itself.
   */
  bound: Float64Array;
  /** Minor units, with what suppliers charge on whole orders. */
  cost: Float64Array;
  /** Of that, what they charge. */
  charged: Float64Array;
  /** Minor units that count against the cap: the cost, unless the options say otherwise. */
  counted: Float64Array;
  /** Hundredths of a point lost, each line by its rule and each section up to its cap. */
  points: Float64Array;
  /** 1: a disqualifying line loses points, and no award is left. */
  disqualified: Uint8Array;
  /** Index of the chosen option at plan * choices.length + choice. */
  picks: Uint16Array;
  /** Choices with no option that may be chosen; while there is one, there are no plans. */
  open: readonly string[];
  answers: Answers;
}

/**
 * All undominated plans with the answers they give within the limits.
 * Throws ChoiceFault for input that makes no choice, {@link ChoiceStopped} when stopped.
 */
export function quoteChoice(input: ChoiceInput, options: QuoteChoiceOptions = {}): QuoteChoice {
  const { withPoints = true, stop } = options;
  const all = [...input.arrivals, ...input.operations];
  const apart = countsApart(input);
  // Plans that are not disqualified are looked for by themselves too: one that is does not beat them.
  const clean =
    withPoints &&
    options.pointPrice === undefined &&
    all.some((one) => one.options.some((option) => disqualifies(input, one, option)));
  const rounds = (apart ? 2 : 1) * (clean ? 2 : 1);
  let round = 0;
  const fronts = (of: ChoiceInput): { model: ChoiceModel; plans: Plan[] } => {
    const follow = (share: number): void => {
      if (stop?.((round + share) / rounds)) throw new ChoiceStopped();
    };
    const { model, plans } = front(of, options, follow);
    round += 1;
    if (!clean) return { model, plans };
    const without = front(withoutDisqualifying(of), options, follow).plans;
    round += 1;
    return { model, plans: merged(without, plans) };
  };
  const { model, plans } = fronts(input);
  // What the cap asks for is looked for among the plans that no other beats in what counts against it.
  const byCap = apart
    ? fronts({ ...input, ...withOptions(input, (option) => ({ cost: countedOf(option) })) }).plans
    : [];
  return choiceAmong(input, model, plans, byCap, withPoints);
}

/** True where what counts against the cap is not the cost of every option. */
export const countsApart = ({ arrivals, operations, limits }: ChoiceInput): boolean =>
  limits?.cost !== undefined &&
  [...arrivals, ...operations].some((one) => one.options.some((option) => countedOf(option) !== option.cost));

/** Which option each choice takes, as an index among those given, and when all is finished then. */
export interface EndedPlan {
  end: number;
  picks: Uint16Array;
}

/** What a plan comes to, in minor units and hundredths of a point. */
export interface PlanFigures {
  end: number;
  cost: number;
  charged: number;
  counted: number;
  points: number;
  disqualified: number;
}

/** The figures of a plan. */
export function figuresOf(input: ChoiceInput, model: ChoiceModel, { end, picks }: EndedPlan): PlanFigures {
  const all = [...input.arrivals, ...input.operations];
  const charged = model.orders === null ? 0 : chargeOf(model.orders, picks);
  return {
    end,
    charged,
    cost: sumOf(all, picks, ({ cost }) => cost) + charged,
    counted: sumOf(all, picks, countedOf) + charged,
    points: model.lossOf(Array.from(picks, (pick, i) => all[i]!.options[pick]!.points)),
    disqualified: Number(all.some((one, i) => disqualifies(input, one, one.options[picks[i]!]!))),
  };
}

/**
 * Plans with what they answer.
 * @param further plans of which those are kept besides that answer what the cap asks
 * @param bound an end before which no plan ends that costs no more than each and loses no more points; absent: their own
 */
export function choiceAmong(
  input: ChoiceInput,
  model: ChoiceModel,
  plans: readonly EndedPlan[],
  further: readonly EndedPlan[],
  withPoints: boolean,
  bound?: (plan: PlanFigures) => number,
): QuoteChoice {
  const limits = input.limits ?? {};
  const both = [...plans, ...further].map((plan) => ({ plan, figures: figuresOf(input, model, plan) }));
  const answersOf = (of: typeof both): Answers => {
    const column = (by: keyof PlanFigures): number[] => of.map(({ figures }) => figures[by]);
    const sums: Figures = {
      end: column("end"),
      cost: column("cost"),
      counted: column("counted"),
      points: column("points"),
      disqualified: column("disqualified"),
    };
    return answersWithin(sums, limits, withPoints, input.worth);
  };
  const asked = answersOf(both);
  const added = new Set(answered(asked).filter((plan) => plan >= plans.length));
  const kept = both.filter((_, plan) => plan < plans.length || added.has(plan));
  if (added.size > 0) kept.sort((a, b) => a.figures.end - b.figures.end || a.figures.points - b.figures.points);
  const found = answersOf(kept);
  // Where no plan keeps the limits, by how much they are missed is told of all that there are.
  const told = (answer: Answer, of: Answer): Answer => (answer.plan === null ? of : answer);
  const width = model.choices.length;
  const picks = new Uint16Array(kept.length * width);
  kept.forEach(({ plan }, p) => {
    picks.set(plan.picks, p * width);
  });
  const column = (by: keyof PlanFigures): Float64Array => Float64Array.from(kept, ({ figures }) => figures[by]);
  return {
    choices: model.choices,
    optionIds: model.optionIds,
    end: column("end"),
    bound: Float64Array.from(kept, ({ figures }) => bound?.(figures) ?? figures.end),
    cost: column("cost"),
    charged: column("charged"),
    counted: column("counted"),
    points: column("points"),
    disqualified: Uint8Array.from(column("disqualified")),
    picks,
    open: model.open,
    answers: {
      cheapestByTarget: told(found.cheapestByTarget, asked.cheapestByTarget),
      earliestWithinCap: told(found.earliestWithinCap, asked.earliestWithinCap),
      mostPointsWithinBoth: found.mostPointsWithinBoth && told(found.mostPointsWithinBoth, asked.mostPointsWithinBoth!),
      bestByWorth: found.bestByWorth,
    },
  };
}

interface Plan extends EndedPlan {
  cost: number;
  points: number;
}

function front(
  input: ChoiceInput,
  { withPoints = true, pointPrice, end: kind = "date", solve }: QuoteChoiceOptions,
  follow: (share: number) => void,
): { model: ChoiceModel; plans: Plan[] } {
  const model = new ChoiceModel(input, kind, withPoints, withPoints ? (pointPrice ?? null) : null);
  follow(0);
  let found: FrontPlan[] = [];
  if (model.open.length === 0) found = frontOf(model, solve, follow);
  const plans = found.map(({ picks, ...plan }) => ({
    ...plan,
    picks: Uint16Array.from(picks, (pick, choice) => model.optionOf(choice, pick)),
  }));
  return { model, plans };
}

function frontOf(model: ChoiceModel, solve: Solver | undefined, follow: (share: number) => void): FrontPlan[] {
  if (model.orders === null)
    return model.withPoints ? dateCostPointsFront(model, follow) : dateCostFront(model, follow);
  if (solve === undefined) throw new Error("Suppliers charge on whole orders: a solver is needed.");
  return chargedFront(model, model.orders, solve, follow);
}

/** True where an option loses points on a disqualifying line. */
const disqualifies = ({ lines = [] }: ChoiceInput, { line = null }: Judged, { points }: Option): boolean =>
  line !== null && points > 0 && lines[line]!.disqualifying === true;

/** The input with no option that disqualifies. What may be chosen anyway stays as it is. */
function withoutDisqualifying(input: ChoiceInput): ChoiceInput {
  const left = <Choice extends Judged & { options: readonly Option[] }>(choice: Choice): Choice => {
    const may = new Set(allowed(choice.options));
    return {
      ...choice,
      options: choice.options.map((option, i) => ({
        ...option,
        ruledOut: !may.has(i) || disqualifies(input, choice, option),
      })),
    };
  };
  return {
    ...input,
    arrivals: input.arrivals.map((one) => left(one)),
    operations: input.operations.map((one) => left(one)),
  };
}

/** Plans of which none is disqualified, with those of all that are not the same in every figure. */
function merged(clean: readonly Plan[], plans: readonly Plan[]): Plan[] {
  const figuresOf = ({ end, cost, points }: Plan): string => `${end} ${cost} ${points}`;
  const have = new Set(clean.map(figuresOf));
  return [...clean, ...plans.filter((plan) => !have.has(figuresOf(plan)))].sort(
    (a, b) => a.end - b.end || a.points - b.points || a.cost - b.cost,
  );
}

/** What of an option counts against the cap. */
const countedOf = ({ cost, counted = cost }: Option): number => counted;

/** The choices with something else of each option. */
export function withOptions(
  { arrivals, operations }: ChoiceInput,
  changed: (option: Option) => Partial<Option>,
): Pick<ChoiceInput, "arrivals" | "operations"> {
  const priced = <One extends Option, Choice extends { options: readonly One[] }>(choice: Choice): Choice => ({
    ...choice,
    options: choice.options.map((option) => ({ ...option, ...changed(option) })),
  });
  return { arrivals: arrivals.map((one) => priced(one)), operations: operations.map((one) => priced(one)) };
}

const sumOf = (
  choices: readonly { options: readonly Option[] }[],
  picks: Uint16Array,
  of: (option: Option) => number,
): number => choices.reduce((sum, { options }, choice) => sum + of(options[picks[choice]!]!), 0);

const answered = ({ cheapestByTarget, earliestWithinCap, mostPointsWithinBoth }: Answers): number[] =>
  // The best by worth is among the plans that no other beats in cost.
  [cheapestByTarget.plan, earliestWithinCap.plan, mostPointsWithinBoth?.plan ?? null].filter((plan) => plan !== null);

/** Ids of the options that a plan chooses, in the order of the choices. */
export function chosenIn({ optionIds, picks }: QuoteChoice, plan: number): string[] {
  return optionIds.map((ids, choice) => ids[picks[plan * optionIds.length + choice]!]!);
}
