/**
 * The choice of quotes where suppliers charge on whole orders, as a mixed-integer programme for each end: what one option
 * costs then depends on the others, so no sum of separate costs is exact.
 *
 * One column for each option that can still keep the end, whole; for each supplier whether anything of theirs is carried
 * or ordered, and what its goods fall short of the minimum. Where the options left can be freely combined, time is no part
 * of the programme. Else the start of each operation is, with every wait in calendar days at the fewest working hours
 * that it can take, which may let through a plan that ends too late: its longest path is then cut off, since no plan keeps
 * the end in which nothing on that path is quicker, and the programme is solved again.
 */

import { SAME_INSTANT } from "../time/units.ts";
import { type FrontPlan, planOf } from "./front.ts";
import { divisor } from "./lists.ts";
import type { ChoiceModel } from "./model.ts";
import { everyWay, type Open, openAt } from "./open.ts";
import { chargeOf, type Ordered } from "./orders.ts";
import { pathTo } from "./path.ts";
import type { Column, Programme, Row, Solver } from "./programme.ts";
import { ShortestWaits } from "./waits.ts";

/** Options of which one must be chosen for an end to be kept: no plan without any of them ends by this hour. */
interface Cut {
  ends: number;
  /** Choice, and its option as the model has it. */
  oneOf: readonly (readonly [choice: number, option: number])[];
}

export class ChoiceProgrammes {
  private readonly waits: ShortestWaits;
  private readonly cuts: Cut[] = [];
  /** All costs are whole multiples of this apart. */
  private readonly grain: number;
  /** The options that can keep the end asked last. */
  private asked: { hour: number; open: Open | null } = { hour: Number.NaN, open: null };

  /** @param latest hour past which nothing ends */
  constructor(
    private readonly model: ChoiceModel,
    private readonly orders: Ordered,
    private readonly solve: Solver,
    latest: number,
  ) {
    this.waits = new ShortestWaits(model.network.calendar, latest);
    let grain = 0;
    for (const { cost } of [...model.arriving, ...model.ways])
      for (const c of cost) grain = divisor(grain, c - cost[0]!);
    for (const { carriage, minimum } of orders.terms) grain = divisor(divisor(grain, carriage), minimum);
    if (model.pointPrice !== null) grain = divisor(grain, model.pointPrice);
    for (const options of orders.of) for (const order of options) grain = divisor(grain, order?.goods ?? 0);
    this.grain = Math.max(1, grain);
  }

  /**
   * The cheapest plan that is finished by an hour; of those as cheap any one. Null when none is.
   * @param mostPoints the most that it may lose, hundredths; Infinity: any
   */
  cheapest(hour: number, mostPoints: number): FrontPlan | null {
    if (this.asked.hour !== hour) this.asked = { hour, open: openAt(this.model, hour, everyWay(this.model)) };
    const { open } = this.asked;
    if (open === null || open.counts.includes(0) || open.ways.includes(0)) return null;
    for (;;) {
      const writing = new Writing(this.model, this.orders, open, this.grain);
      if (mostPoints < Number.POSITIVE_INFINITY) writing.losing(mostPoints);
      writing.pricingPoints();
      if (!open.loose) writing.ending(hour, this.waits);
      for (const { ends, oneOf } of this.cuts) if (ends > hour + SAME_INSTANT) writing.oneOf(oneOf);
      const values = this.solve(writing.programme());
      if (values === null) return null;
      const picks = writing.picks(values);
      const path = open.loose ? null : pathTo(this.model, picks, hour);
      if (path === null) return this.charged(picks);
      this.cuts.push(path);
    }
  }

  /** The figures of a plan, with what is charged on its orders. @param picks option of each choice as the model has it */
  charged(picks: Int32Array): FrontPlan {
    const { model, orders } = this;
    const plan = planOf(model, picks);
    const given = picks.map((pick, choice) => model.optionOf(choice, pick));
    return { ...plan, cost: plan.cost + chargeOf(orders, given) };
  }
}

/** One programme being written. */
class Writing {
  private readonly columns: Column[] = [];
  private readonly rows: Row[] = [];
  /** Column of each option of each choice as the model has them; -1: it cannot keep the end. */
  private readonly at: readonly Int32Array[];

  constructor(
    private readonly model: ChoiceModel,
    orders: Ordered,
    open: Open,
    private readonly grain: number,
  ) {
    const { arriving } = model;
    this.at = [...arriving, ...model.ways].map(({ cost }, choice) => {
      const stays = (o: number): boolean =>
        choice < arriving.length ? o < open.counts[choice]! : ((open.ways[choice - arriving.length]! >>> o) & 1) === 1;
      const columns = Int32Array.from(cost, (c, o) =>
        stays(o) ? this.column((c - cost[0]!) / grain, 0, 1, true) : -1,
      );
      this.rows.push({ low: 1, high: 1, terms: [...columns].filter((x) => x >= 0).map((x) => [x, 1]) });
      return columns;
    });
    orders.terms.forEach(({ carriage, minimum }, supplier) => {
      this.charging(orders, supplier, carriage, minimum);
    });
  }

  /** Carriage once where anything is carried, and what the goods fall short of the minimum where anything is ordered. */
  private charging(orders: Ordered, supplier: number, carriage: number, minimum: number): void {
    const { model, grain } = this;
    const of = this.at.map((columns, choice) =>
      [...columns].flatMap((x, o) => {
        const order = x < 0 ? undefined : orders.of[choice]![model.optionOf(choice, o)];
        return order?.supplier === supplier ? [{ x, order }] : [];
      }),
    );
    /** A column that is 1 as soon as one of each choice's columns is. */
    const any = (cost: number, each: readonly (readonly number[])[]): number => {
      const y = this.column(cost / grain, 0, 1, false);
      for (const xs of each)
        if (xs.length > 0)
          this.rows.push({ low: 0, high: INFINITE, terms: [[y, 1], ...xs.map((x) => [x, -1] as const)] });
      return y;
    };
    const columnsOf = (carriedOnly: boolean): number[][] =>
      of.map((all) => all.filter(({ order }) => order.carried || !carriedOnly).map(({ x }) => x));
    if (carriage > 0 && columnsOf(true).some((xs) => xs.length > 0)) any(carriage, columnsOf(true));
    if (minimum === 0 || !of.some((all) => all.length > 0)) return;
    const used = any(0, columnsOf(false));
    const short = this.column(1, 0, INFINITE, false);
    const goods = of.flat().map(({ x, order }) => [x, order.goods / grain] as const);
    this.rows.push({ low: 0, high: INFINITE, terms: [[short, 1], [used, -minimum / grain], ...goods] });
  }

  /** No more points are lost than these. */
  losing(most: number): void {
    this.rows.push({ low: -INFINITE, high: most, terms: this.lost() });
  }

  /** Where points have a price, what is lost is in the costs. */
  pricingPoints(): void {
    const { pointPrice } = this.model;
    if (pointPrice === null) return;
    const lost = this.column(pointPrice / this.grain, 0, INFINITE, false);
    this.rows.push({ low: 0, high: INFINITE, terms: [[lost, 1], ...this.lost().map(([x, by]) => [x, -by] as const)] });
  }

  /** Terms of which the sum is at least what is lost, and no more where less is better: by each line's rule, in a section up to its cap. */
  private lost(): Term[] {
    const { model } = this;
    const places = new Map<number, Map<number, Term[][]>>();
    [...model.arriving, ...model.ways].forEach(({ points }, choice) => {
      const section = model.section[choice]!;
      const line = model.line[choice]!;
      const lines = places.get(section) ?? new Map<number, Term[][]>();
      places.set(section, lines);
      const own = [...this.at[choice]!].flatMap((x, o): Term[] => (x >= 0 && points[o]! > 0 ? [[x, points[o]!]] : []));
      if (own.length > 0) lines.set(line, [...(lines.get(line) ?? []), own]);
    });
    return [...places].flatMap(([section, lines]) => {
      const terms = [...lines].flatMap(([line, choices]) => (line < 0 ? choices.flat() : this.lostOn(line, choices)));
      return section < 0 ? terms : this.upTo(terms, model.caps[section]!);
    });
  }

  /** The same of one line. @param choices terms of each choice on it: of its columns one at most is 1 */
  private lostOn(line: number, choices: readonly Term[][]): Term[] {
    const { model } = this;
    const [only] = choices;
    if (choices.length === 1) return only!.map(([x, points]) => [x, model.lossOn(line, points)]);
    const { maximum, mandatory, step = 1 } = model.lines[line]!;
    if (mandatory) {
      const any = this.column(0, 0, 1, false);
      for (const terms of choices)
        this.rows.push({ low: 0, high: INFINITE, terms: [[any, 1], ...terms.map(([x]) => [x, -1] as const)] });
      return [[any, maximum]];
    }
    if (step === 1) return this.upTo(choices.flat(), maximum);
    // Whole steps: one more as soon as what is lost reaches it.
    const most = Math.floor(Math.min(maximum, this.most(choices.flat())) / step);
    const steps = this.column(0, 0, most, true);
    const less = choices.flat().map(([x, points]) => [x, -points] as const);
    const past = this.column(0, 0, 1, true);
    const all = this.most(choices.flat());
    this.rows.push({ low: 1 - step, high: INFINITE, terms: [[steps, step], [past, all], ...less] });
    this.rows.push({
      low: 0,
      high: INFINITE,
      terms: [
        [steps, 1],
        [past, -most],
      ],
    });
    return [[steps, step]];
  }

  /** The most that terms can come to. */
  private most(terms: readonly Term[]): number {
    return terms.reduce((sum, [x, factor]) => sum + factor * this.columns[x]!.high, 0);
  }

  /** Up to a cap all that is lost counts; past it the cap does. */
  private upTo(terms: readonly Term[], cap: number): Term[] {
    const all = this.most(terms);
    if (all <= cap) return [...terms];
    const past = this.column(0, 0, 1, true);
    const counts = this.column(0, 0, cap, false);
    const less = terms.map(([x, points]) => [x, -points] as const);
    this.rows.push({ low: 0, high: INFINITE, terms: [[counts, 1], [past, all - cap], ...less] });
    this.rows.push({
      low: 0,
      high: INFINITE,
      terms: [
        [counts, 1],
        [past, -cap],
      ],
    });
    return [[counts, 1]];
  }

  /** Everything is finished by an hour, waits in calendar days taken at their shortest. */
  ending(hour: number, waits: ShortestWaits): void {
    const { network, arriving, ways, wayAt } = this.model;
    const start = Array.from(network.release, (release) => this.column(0, release, INFINITE, false));
    arriving.forEach(({ positions, ready }, choice) => {
      const terms = this.terms(choice, (o) => -Math.max(0, ready[o]!));
      for (const v of positions) this.rows.push({ low: 0, high: INFINITE, terms: [[start[v]!, 1], ...terms] });
    });
    for (let v = 0; v < network.size; v++) {
      const i = wayAt[v]!;
      const way = ways[i];
      const takes = (m: number): number => (way!.inDays[m] ? way!.before[m]! + waits.of(way!.time[m]!) : way!.time[m]!);
      const terms = way === undefined ? [] : this.terms(arriving.length + i, (m) => -takes(m));
      const fixed = way === undefined ? network.hours[v]! : 0;
      const after = (slack: number, to: readonly (readonly [number, number])[]): void => {
        this.rows.push({ low: fixed + slack, high: INFINITE, terms: [...to, [start[v]!, -1], ...terms] });
      };
      // A little more room than there is: what takes it is found on the calendar itself.
      after(-hour - 10 * SAME_INSTANT, []);
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
        after(network.outDays[k] ? waits.of(network.outLag[k]!) : network.outLag[k]!, [[start[network.outTo[k]!]!, 1]]);
    }
  }

  oneOf(options: Cut["oneOf"]): void {
    const open = options.flatMap(([choice, o]) => (this.at[choice]![o]! >= 0 ? [this.at[choice]![o]!] : []));
    this.rows.push({ low: 1, high: INFINITE, terms: open.map((x) => [x, 1]) });
  }

  programme(): Programme {
    return { columns: this.columns, rows: this.rows };
  }

  /** The option of each choice, as the model has them, from the values of the columns. */
  picks(values: ArrayLike<number>): Int32Array {
    return Int32Array.from(this.at, (columns) => columns.findIndex((x) => x >= 0 && values[x]! > 0.5));
  }

  private terms(choice: number, factor: (option: number) => number): [number, number][] {
    return [...this.at[choice]!].flatMap((x, o): [number, number][] => {
      const by = x < 0 ? 0 : factor(o);
      return by === 0 ? [] : [[x, by]];
    });
  }

  private column(cost: number, low: number, high: number, whole: boolean): number {
    return this.columns.push({ cost, low, high, whole }) - 1;
  }
}

type Term = readonly [column: number, factor: number];

const INFINITE = Number.POSITIVE_INFINITY;
