/**
 * The choice of quotes: one for each part, one remedy for each snag, one way for each operation that has several,
 * traded between the completion date, the cost and the points lost. Exact: every undominated plan, and only those.
 */
import { type Answers, answersWithin } from "./quoteChoiceAnswers.ts";
import { dateCostFront, dateCostPointsFront, type FrontPlan } from "./quoteChoiceFront.ts";
import type { ChoiceInput } from "./quoteChoiceInput.ts";
import { ChoiceModel, type EndKind } from "./quoteChoiceModel.ts";

export interface QuoteChoiceOptions {
  /** False: date against cost alone, which is quicker; points are still counted. Default true. */
  withPoints?: boolean;
  /** Ends are dates, as days counted from the data date, or exact working hours. Default dates. */
  end?: EndKind;
  /**
   * Called every few milliseconds with how far the work is, 0 to 1; true stops it. Ends take unequal time, so the share
   * is rough.
   */
  stop?: (share: number) => boolean;
}

/** Thrown when the caller stops the work. */
export class ChoiceStopped extends Error {
  constructor() {
    super("The choice of quotes was stopped before it was finished.");
    this.name = "ChoiceStopped";
  }
}

/** Undominated plans, by ascending end, then points. Columns of one length. Plain data that can pass between threads. */
export interface QuoteChoice {
  /** Ids of the choices: parts and snags as given, then operations. */
  choices: readonly string[];
  /** Ids of the options of each choice, as given. */
  optionIds: readonly (readonly string[])[];
  /** Day from the data date, or working hour. */
  end: Float64Array;
  /** Minor units. */
  cost: Float64Array;
  /** Hundredths of a point lost, each section up to its cap. */
  points: Float64Array;
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
  const { withPoints = true, end: kind = "date", stop } = options;
  const model = new ChoiceModel(input, kind, withPoints);
  const follow = (share: number): void => {
    if (stop?.(share)) throw new ChoiceStopped();
  };
  follow(0);
  let plans: FrontPlan[] = [];
  if (model.open.length === 0) plans = withPoints ? dateCostPointsFront(model, follow) : dateCostFront(model, follow);
  const width = model.choices.length;
  const picks = new Uint16Array(plans.length * width);
  plans.forEach((plan, p) => {
    for (let choice = 0; choice < width; choice++)
      picks[p * width + choice] = model.optionOf(choice, plan.picks[choice]!);
  });
  const figures = {
    end: Float64Array.from(plans, (plan) => plan.end),
    cost: Float64Array.from(plans, (plan) => plan.cost),
    points: Float64Array.from(plans, (plan) => plan.points),
  };
  return {
    choices: model.choices,
    optionIds: model.optionIds,
    ...figures,
    picks,
    open: model.open,
    answers: answersWithin(figures, input.limits ?? {}, withPoints),
  };
}

/** Ids of the options that a plan chooses, in the order of the choices. */
export function chosenIn({ optionIds, picks }: QuoteChoice, plan: number): string[] {
  return optionIds.map((ids, choice) => ids[picks[plan * optionIds.length + choice]!]!);
}
