/** The choice compiled: allowed options without those that another beats in everything, and the passes over them. */
import { lossOnLine } from "../fit/judging.ts";
import type { Network } from "../network/network.ts";
import { days, hours, SAME_INSTANT } from "../time/units.ts";
import { type ChoiceInput, type ChoiceLine, checkChoice, type Option } from "./input.ts";
import { neverDearer, type Ordered, ordersIn } from "./orders.ts";
import type { Ways, WorkWithWays } from "./pass.ts";

/** How ends are told apart: by the date on which the machine is finished, or by the exact working hour. */
export type EndKind = "date" | "hour";

/** Options of one part or snag, by ascending hour at which it is ready to be fitted. */
export interface Arriving {
  /** Index of its choice among all: parts and snags first, then operations. */
  choice: number;
  /** Positions that need it, ascending, each once. */
  positions: Int32Array;
  ready: Float64Array;
  cost: Float64Array;
  points: Float64Array;
  /** Index of each among the options given. */
  option: Int32Array;
}

export class ChoiceModel implements WorkWithWays {
  readonly network: Network;
  /** Ids of all choices, and of the options of each as given. */
  readonly choices: readonly string[];
  readonly optionIds: readonly (readonly string[])[];
  /** Judging section of each choice; -1: none. */
  readonly section: Int32Array;
  readonly caps: readonly number[];
  /** Line of each choice; -1: none. */
  readonly line: Int32Array;
  readonly lines: readonly ChoiceLine[];
  readonly arriving: readonly Arriving[];
  readonly ways: readonly Ways[];
  /** Index into `ways` of the operation at each position, or -1. */
  readonly wayAt: Int32Array;
  /** Choices of which every option is ruled out, or that have none. */
  readonly open: readonly string[];
  /** What suppliers charge on whole orders; null where none does. */
  readonly orders: Ordered | null;

  /**
   * @param withPoints false: points are no objective, so a cheaper and quicker option beats one that loses fewer
   * @param pointPrice what a hundredth of a point counts for, in the unit of the costs; null: points are an objective of their own
   */
  constructor(
    input: ChoiceInput,
    readonly kind: EndKind,
    readonly withPoints: boolean,
    readonly pointPrice: number | null = null,
  ) {
    checkChoice(input);
    const { network, arrivals, operations, lines = [] } = input;
    this.network = network;
    this.orders = ordersIn(input);
    this.caps = input.sectionCaps;
    this.lines = lines;
    const all = [...arrivals, ...operations];
    this.choices = all.map((choice) => choice.id);
    this.optionIds = all.map((choice) => choice.options.map((option) => option.id));
    this.section = Int32Array.from(all, (choice) => choice.section ?? -1);
    this.line = Int32Array.from(all, (choice) => choice.line ?? -1);
    this.open = all.filter((choice) => allowed(choice.options).length === 0).map((choice) => choice.id);

    this.arriving = arrivals.map((choice, i): Arriving => {
      const ready = choice.options.map((o) => Math.max(0, o.usable) + o.preparation);
      // What nothing waits for is never late.
      if (choice.positions.length === 0) ready.fill(Number.NEGATIVE_INFINITY);
      const kept = this.undominated(choice.options, (a, b) => ready[a]! <= ready[b]!);
      kept.sort((a, b) => ready[a]! - ready[b]! || choice.options[a]!.cost - choice.options[b]!.cost || a - b);
      return {
        choice: i,
        positions: Int32Array.from([...new Set(choice.positions)].sort((a, b) => a - b)),
        ready: Float64Array.from(kept, (o) => ready[o]!),
        ...columns(choice.options, kept),
      };
    });
    this.wayAt = new Int32Array(network.size).fill(-1);
    this.ways = operations.map((choice, i): Ways => {
      const { options, position } = choice;
      this.wayAt[position] = i;
      const before = options.map((o) => (o.inDays ? (o.before ?? 0) : 0));
      const kept = this.undominated(
        options,
        (a, b) =>
          options[a]!.time <= options[b]!.time && options[a]!.inDays === options[b]!.inDays && before[a]! <= before[b]!,
      );
      kept.sort((a, b) => options[a]!.cost - options[b]!.cost || a - b);
      return {
        choice: arrivals.length + i,
        position,
        time: Float64Array.from(kept, (o) => options[o]!.time),
        inDays: Uint8Array.from(kept, (o) => (options[o]!.inDays ? 1 : 0)),
        before: Float64Array.from(kept, (o) => before[o]!),
        ...columns(options, kept),
      };
    });
  }

  /** The end as it is told apart: day from the day of the figures, or hour. */
  endOf(hour: number): number {
    return this.kind === "date" ? this.network.calendar.finishDay(hours(hour)) : hour;
  }

  /** The last hour that still counts as this end. */
  lastHour(end: number): number {
    return this.kind === "date" ? this.network.calendar.hoursBefore(days(end + 1)) : end;
  }

  /** The last hour of the next end before this one, and before the hour at which it was asked for. */
  lastHourBefore(end: number, asked: number): number {
    if (this.kind === "date") return this.network.calendar.hoursBefore(days(Math.min(end, this.endOf(asked))));
    // Each wait on the way may round by an instant, so the step is wider than several of them.
    return Math.min(end, asked) - 100 * SAME_INSTANT;
  }

  /** Releases with the arrivals given (index of each among its sorted options) in place. */
  releases(pick: ArrayLike<number>): Float64Array {
    const release = this.network.release.slice();
    this.arriving.forEach(({ positions, ready }, i) => {
      const r = ready[pick[i]!]!;
      for (const v of positions) if (r > release[v]!) release[v] = r;
    });
    return release;
  }

  /** What a line loses on which choices lose so many hundredths together. */
  lossOn(line: number, sum: number): number {
    const { maximum, mandatory = false, step = 1 } = this.lines[line]!;
    return lossOnLine({ maximum, mandatory }, sum, step, "OWNER");
  }

  /**
   * Hundredths of a point that the choices lose: on each line by its rule, in each section up to its cap.
   * @param pointsOf what each choice loses by itself
   */
  lossOf(pointsOf: ArrayLike<number>): number {
    const onLine = this.lines.map(() => 0);
    const inSection = this.caps.map(() => 0);
    let outside = 0;
    for (let choice = 0; choice < pointsOf.length; choice++) {
      const points = pointsOf[choice]!;
      if (this.line[choice]! >= 0) onLine[this.line[choice]!]! += points;
      else if (this.section[choice]! >= 0) inSection[this.section[choice]!]! += points;
      else outside += points;
    }
    onLine.forEach((sum, line) => {
      inSection[this.lines[line]!.section]! += this.lossOn(line, sum);
    });
    return inSection.reduce((all, sum, section) => all + Math.min(sum, this.caps[section]!), outside);
  }

  /** True where a disqualifying line loses points. @param picks option of each choice as the model has it */
  disqualifiedBy(picks: ArrayLike<number>): boolean {
    const all = [...this.arriving, ...this.ways];
    return all.some(
      ({ points }, choice) => this.lines[this.line[choice]!]?.disqualifying === true && points[picks[choice]!]! > 0,
    );
  }

  /** Index among the options given, from the index among those of a choice that are left. */
  optionOf(choice: number, left: number): number {
    const { arriving, ways } = this;
    return (choice < arriving.length ? arriving[choice]! : ways[choice - arriving.length]!).option[left]!;
  }

  private undominated(options: readonly Option[], inTime: (a: number, b: number) => boolean): number[] {
    const indexes = allowed(options);
    const beats = (a: number, b: number): boolean =>
      inTime(a, b) &&
      neverDearer(options[a]!, options[b]!, this.orders) &&
      (!this.withPoints || options[a]!.points <= options[b]!.points);
    // Of two that are alike the first given stays.
    return indexes.filter((b) => !indexes.some((a) => a !== b && beats(a, b) && (!beats(b, a) || a < b)));
  }
}

/** Indexes of the options that may be chosen: none that is ruled out, and of others only kept ones where there are such. */
export function allowed(options: readonly Option[]): number[] {
  const free = options.flatMap((option, i) => (option.ruledOut ? [] : [i]));
  const kept = free.filter((i) => options[i]!.kept);
  return kept.length > 0 ? kept : free;
}

function columns(
  options: readonly Option[],
  kept: readonly number[],
): { cost: Float64Array; points: Float64Array; option: Int32Array } {
  return {
    cost: Float64Array.from(kept, (o) => options[o]!.cost),
    points: Float64Array.from(kept, (o) => options[o]!.points),
    option: Int32Array.from(kept),
  };
}
