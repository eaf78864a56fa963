/**
 * The choice of quotes on real hands. The exact front, each hand without its other work, is a bound. Each of its plans is
 * put on the hands, then changed one choice at a time where the bound leaves room for something better. What is found can
 * be done; that nothing is better is proved only where its end is the bound.
 */

import { hours } from "../time/units.ts";
import type { ChoiceInput } from "./input.ts";
import { allowed, ChoiceModel } from "./model.ts";
import { forwardWith, type Ways, type WorkWithWays } from "./pass.ts";
import {
  ChoiceStopped,
  choiceAmong,
  countsApart,
  type EndedPlan,
  figuresOf,
  type PlanFigures,
  type QuoteChoice,
} from "./quoteChoice.ts";

export interface OnHands {
  /** The day on which all is finished on the hands, once each choice takes the option of that index among those given. */
  endOf(picks: Uint16Array): number;
  /** What is in force, if each of it may be chosen: of plans that are alike it stays. */
  inForce: Uint16Array | null;
  /** Plans that are put on the hands at most. */
  most: number;
  /** Told how far the work is, 0 to 1; true stops it. */
  stop?: (share: number) => boolean;
}

/** Of the plans that may be put on the hands, this share is kept for changes of what the front holds. */
const FOR_CHANGES = 0.25;
/** Changes of one plan that are tried, the most promising first, before those of another. */
const OF_ONE = 6;

interface Scheduled extends PlanFigures, EndedPlan {}

/**
 * Plans that can be carried out on the hands and of which none found is better.
 * @param input its network without what the hands are asked for at once, each operation in hours that no hand of it exceeds
 * @param front all plans that no other beats there
 * Throws {@link ChoiceStopped} when stopped.
 */
export function choiceOnHands(input: ChoiceInput, front: QuoteChoice, on: OnHands): QuoteChoice {
  if (front.end.length === 0) return front;
  return new HandSearch(input, front, on).found();
}

class HandSearch {
  private readonly model: ChoiceModel;
  private readonly apart: boolean;
  private readonly free: FreeHands;
  private readonly tried = new Set<string>();
  private readonly kept: Scheduled[] = [];
  private readonly bound: readonly PlanFigures[];

  constructor(
    private readonly input: ChoiceInput,
    private readonly front: QuoteChoice,
    private readonly on: OnHands,
  ) {
    this.model = new ChoiceModel(input, "date", true);
    this.apart = countsApart(input);
    this.free = new FreeHands(input);
    this.bound = Array.from(front.end, (_, plan) =>
      figuresOf(input, this.model, { end: front.end[plan]!, picks: this.picksOf(plan) }),
    );
  }

  found(): QuoteChoice {
    const { inForce, most } = this.on;
    if (inForce !== null) this.schedule(inForce);
    for (const plan of spread(this.bound.length, Math.ceil(most * (1 - FOR_CHANGES))))
      this.schedule(this.picksOf(plan));
    const until = this.tried.size + most * FOR_CHANGES;
    const done = new Set<Scheduled>();
    for (let at = 0; this.tried.size < until; at++) {
      const open = this.kept.filter((plan) => !done.has(plan) && plan.end > this.boundOf(plan));
      if (open.length === 0) break;
      const plan = open[at % open.length]!;
      const changes = this.changesOf(plan);
      if (changes.length <= OF_ONE) done.add(plan);
      for (const picks of changes.slice(0, OF_ONE)) if (this.tried.size < until) this.schedule(picks);
    }
    const sorted = this.kept.toSorted((a, b) => a.end - b.end || a.points - b.points || a.cost - b.cost);
    const best = sorted.filter((plan) => !sorted.some((other) => other !== plan && beats(other, plan, false)));
    const further = sorted.filter((plan) => !best.includes(plan));
    return choiceAmong(this.input, this.model, best, further, true, (plan) => this.boundOf(plan));
  }

  /** Nothing ends sooner that costs no more and loses no more points. */
  private boundOf(plan: PlanFigures): number {
    let end = plan.end;
    for (const one of this.bound) if (one.end < end && beats({ ...one, end }, plan, false)) end = one.end;
    return end;
  }

  private schedule(picks: Uint16Array): void {
    const key = picks.join(" ");
    if (this.tried.has(key)) return;
    const expected = Math.min(this.on.most, this.bound.length + this.on.most * FOR_CHANGES);
    if (this.on.stop?.(Math.min(1, this.tried.size / expected))) throw new ChoiceStopped();
    this.tried.add(key);
    const plan = { ...figuresOf(this.input, this.model, { end: this.on.endOf(picks), picks }), picks };
    if (this.kept.some((other) => beats(other, plan, this.apart))) return;
    for (let i = this.kept.length - 1; i >= 0; i--) if (beats(plan, this.kept[i]!, this.apart)) this.kept.splice(i, 1);
    this.kept.push(plan);
  }

  /** Plans that differ in one choice, and that nothing found is sure to beat: what saves most and what comes soonest, in turn. */
  private changesOf(plan: Scheduled): Uint16Array[] {
    const savings: { picks: Uint16Array; by: number }[] = [];
    const sooner: { picks: Uint16Array; by: number }[] = [];
    [...this.input.arrivals, ...this.input.operations].forEach(({ options }, choice) => {
      for (const option of allowed(options)) {
        if (option === plan.picks[choice]) continue;
        const picks = plan.picks.slice();
        picks[choice] = option;
        if (this.tried.has(picks.join(" "))) continue;
        const end = this.free.endOf(picks);
        const one = figuresOf(this.input, this.model, { end, picks });
        if (this.kept.some((other) => beats(other, one, this.apart))) continue;
        const saves = one.cost < plan.cost || one.points < plan.points;
        if (saves) savings.push({ picks, by: one.cost - plan.cost });
        else if (this.free.quicker(choice, option, plan.picks[choice]!))
          sooner.push({ picks, by: one.cost - plan.cost });
      }
    });
    const by = (a: { by: number }, b: { by: number }): number => a.by - b.by;
    savings.sort(by);
    sooner.sort(by);
    return Array.from({ length: Math.max(savings.length, sooner.length) }, (_, i) => [sooner[i], savings[i]])
      .flat()
      .flatMap((one) => (one === undefined ? [] : [one.picks]));
  }

  private picksOf(plan: number): Uint16Array {
    const width = this.front.choices.length;
    return this.front.picks.slice(plan * width, (plan + 1) * width);
  }
}

/** Ends as if no hand had two things to do at once. */
class FreeHands {
  private readonly work: WorkWithWays;
  private readonly arrivals: number;

  constructor(private readonly input: ChoiceInput) {
    const { network, operations, arrivals } = input;
    const wayAt = new Int32Array(network.size).fill(-1);
    this.arrivals = arrivals.length;
    this.work = {
      network,
      wayAt,
      ways: operations.map(({ position, options }, i): Ways => {
        wayAt[position] = i;
        return {
          choice: arrivals.length + i,
          position,
          time: Float64Array.from(options, ({ time }) => time),
          inDays: Uint8Array.from(options, ({ inDays }) => Number(inDays)),
          before: Float64Array.from(options, ({ before }) => before ?? 0),
          cost: Float64Array.from(options, ({ cost }) => cost),
          points: Float64Array.from(options, ({ points }) => points),
          option: Int32Array.from(options, (_, option) => option),
        };
      }),
    };
  }

  endOf(picks: Uint16Array): number {
    const { network, arrivals } = this.input;
    const release = network.release.slice();
    arrivals.forEach(({ positions }, choice) => {
      const ready = this.readyAt(choice, picks[choice]!);
      for (const v of positions) if (ready > release[v]!) release[v] = ready;
    });
    return network.calendar.finishDay(hours(forwardWith(this.work, picks.subarray(this.arrivals), release).end));
  }

  /** True where an option can be used, or is done, sooner than another. */
  quicker(choice: number, option: number, than: number): boolean {
    if (choice < this.arrivals) return this.readyAt(choice, option) < this.readyAt(choice, than);
    const { options } = this.input.operations[choice - this.arrivals]!;
    return options[option]!.inDays !== options[than]!.inDays || options[option]!.time < options[than]!.time;
  }

  private readyAt(choice: number, option: number): number {
    const { usable, preparation } = this.input.arrivals[choice]!.options[option]!;
    return Math.max(0, usable) + preparation;
  }
}

/** True where a plan is as good as another in everything; of two that are alike, the one found first. @param capToo in what counts against the cap too */
const beats = (one: PlanFigures, other: PlanFigures, capToo: boolean): boolean =>
  one.end <= other.end &&
  one.cost <= other.cost &&
  one.points <= other.points &&
  one.disqualified <= other.disqualified &&
  (!capToo || one.counted <= other.counted);

/** So many of them, over all their range. */
function* spread(count: number, most: number): Generator<number> {
  if (count <= most) for (let i = 0; i < count; i++) yield i;
  else for (let i = 0; i < most; i++) yield Math.round((i * (count - 1)) / Math.max(1, most - 1));
}
