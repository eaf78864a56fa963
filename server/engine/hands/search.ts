/**
 * The order of work: a small population of lists, each made better by shifting its schedule to the right and back to the
 * left (double justification, Valls, Ballestin & Quintanilla 2005), bred by two-point crossover (Hartmann 1998) with
 * restarts. Limited by the number of schedules and seeded: the same data give the same order on any machine.
 */
import { fillRandom, streamOf } from "../chance/random.ts";
import { SAME_INSTANT } from "../time/units.ts";
import { Decoder } from "./decode.ts";
import { endsOf } from "./ownPass.ts";
import { listBy, priorities } from "./priorityRules.ts";
import type { Shop } from "./shop.ts";

const POPULATION = 60;
/** Children without gain after which the population is blurred anew. */
const PATIENCE = 300;
/** Chance of each neighbouring pair of a child to be swapped. */
const SWAP = 0.05;
/** By how many times the range of a rule's values these are blurred: from a little to almost any order at all. */
const LEAST_BLUR = 0.05;
const MOST_BLUR = 2;
/** Two orders of one cost of which fewer places than this share differ are one and the same: the population stays wide. */
const ALIKE = 0.3;
const DRAWS = 4096;
/** Operations past which only the two best rules are tried, one after the other. */
const LARGE = 500;

interface Order {
  list: Int32Array;
  /** Of each restoration by rank the days past its target, then the days of their ends, then the hours of these. */
  cost: Float64Array;
}

export interface Schedule {
  /** From which it is made. */
  list: Int32Array;
  /** Positions by start. */
  order: Int32Array;
  /** Hours of the shop at each position. */
  start: Float64Array;
  finish: Float64Array;
  team: Int32Array;
  ends: Float64Array;
}

export class Search {
  private readonly decoder: Decoder;
  private readonly population: Order[] = [];
  private best!: Order;
  /** As it was stored: left only for what ends a day sooner, so that dates do not move for hours. */
  private readonly stored: Order | null = null;
  private readonly bound: Float64Array | null;
  private readonly values: Float64Array[];
  private sinceGain = 0;
  private readonly drawn = new Int32Array(DRAWS);
  private block = 0;
  private at = DRAWS;
  private readonly stream = streamOf("order of work");

  /**
   * @param stored a list to begin from; left only for one by which an end, or its lateness, is a day less
   * @param least ends that nothing can beat, by restoration: reaching them ends the search
   * @param daysAlone reaching the days of these ends it: they are the same as of the search that goes on
   */
  constructor(
    private readonly shop: Shop,
    private readonly seed = 1,
    stored: Int32Array | null = null,
    least: Float64Array | null = null,
    private readonly daysAlone = false,
  ) {
    this.decoder = new Decoder(shop);
    this.bound = least && this.costOf(least);
    const rules = Object.values(priorities(shop));
    // Of large work a request has no time for more: as time goes on each schedule is in the square of its operations.
    const large = Math.max(shop.size, shop.choices / 5) > LARGE;
    this.values = large ? rules.slice(0, 2) : rules;
    let rule: Order | null = null;
    for (const value of this.values) {
      for (const list of this.listsBy(value))
        for (const make of large ? (["forward"] as const) : (["forward", "parallel"] as const)) {
          this.decoder[make](list);
          const one = { list: this.listOfStarts(), cost: this.cost() };
          if (rule === null || better(one.cost, rule.cost)) rule = one;
          this.best = rule;
          if (daysAlone && this.atBound) return;
        }
    }
    if (stored !== null) {
      this.decoder.forward(stored);
      this.stored = { list: stored, cost: this.cost() };
      this.offer(this.improved(stored));
    }
    this.offer(this.improved(rule!.list));
    if (large) return;
    for (const value of this.values) for (const list of this.listsBy(value)) this.offer(this.improved(list));
  }

  get made(): number {
    return this.decoder.made;
  }

  get ends(): Float64Array {
    return this.best.cost.slice(2 * this.shop.restorations);
  }

  get atBound(): boolean {
    if (this.bound === null) return false;
    return !(this.daysAlone ? this.soonerByDays(this.bound, this.best.cost) : better(this.bound, this.best.cost));
  }

  /** Goes on until so many schedules have been made in all, or nothing can be better. */
  run(most: number): void {
    while (this.made < most && !this.atBound) {
      if (this.population.length < POPULATION) this.offer(this.improved(this.blurred()));
      else if (this.sinceGain >= PATIENCE) {
        this.population.length = 0;
        this.population.push(this.best);
        this.sinceGain = 0;
      } else this.offer(this.improved(this.child()));
    }
  }

  /** Whether a schedule that was made of the same shop is better than the best found. */
  isWorseThan({ finish }: { finish: Float64Array }): boolean {
    return better(this.costOf(endsOf(this.shop, finish)), this.best.cost);
  }

  /** The stored schedule, or the best found where that is better by a day. */
  schedule(): Schedule {
    const { stored, best } = this;
    const { list } = stored !== null && !this.soonerByDays(best.cost, stored.cost) ? stored : best;
    this.decoder.forward(list);
    const { start, finish, team } = this.decoder;
    return {
      list: list.slice(),
      order: this.listOfStarts(),
      start: start.slice(),
      finish: finish.slice(),
      team: team.slice(),
      ends: endsOf(this.shop, finish),
    };
  }

  private soonerByDays(one: Float64Array, other: Float64Array): boolean {
    const ofDays = 2 * this.shop.restorations;
    return better(one.subarray(0, ofDays), other.subarray(0, ofDays));
  }

  private offer(order: Order): void {
    if (better(order.cost, this.best.cost)) {
      this.best = order;
      this.sinceGain = 0;
    } else this.sinceGain++;
    const { population } = this;
    if (population.some((one) => alike(one, order))) return;
    if (population.length < POPULATION) {
      population.push(order);
      return;
    }
    let worst = 0;
    for (let i = 1; i < population.length; i++) if (better(population[worst]!.cost, population[i]!.cost)) worst = i;
    if (!better(population[worst]!.cost, order.cost)) population[worst] = order;
  }

  /** To the left, to the right and to the left again: the better of both schedules to the left. */
  private improved(list: Int32Array): Order {
    const { decoder, shop } = this;
    decoder.forward(list);
    const first = { list: this.listOfStarts(), cost: this.cost() };
    const ends = first.cost.subarray(2 * shop.restorations);
    if (ends.some((end) => end === Number.POSITIVE_INFINITY)) return first;
    decoder.backward(this.listOfFinishes(), ends);
    const again = this.listOfStarts();
    decoder.forward(again);
    const cost = this.cost();
    if (better(first.cost, cost)) return first;
    return { list: this.listOfStarts(), cost };
  }

  /** By start: each after all that come before it. */
  private listOfStarts(): Int32Array {
    const { start } = this.decoder;
    if (start.includes(Number.POSITIVE_INFINITY)) return listBy(this.shop, start);
    return Int32Array.from(start.keys()).sort((a, b) => start[a]! - start[b]! || a - b);
  }

  private listOfFinishes(): Int32Array {
    const { finish } = this.decoder;
    if (this.shop.leads) return listBy(this.shop, finish).reverse();
    return Int32Array.from(finish.keys()).sort((a, b) => finish[b]! - finish[a]! || b - a);
  }

  private cost(): Float64Array {
    return this.costOf(endsOf(this.shop, this.decoder.finish));
  }

  /** Hours come last: none of one machine costs another a day. */
  private costOf(ends: Float64Array): Float64Array {
    const { shop } = this;
    const count = shop.restorations;
    const cost = new Float64Array(3 * count);
    for (let r = 0; r < count; r++) {
      const day = shop.endDay(ends[r]!);
      const target = shop.targets[r]!;
      cost[r] = target < Number.POSITIVE_INFINITY ? Math.max(0, day - target) : 0;
      cost[count + r] = day;
      cost[2 * count + r] = ends[r]!;
    }
    return cost;
  }

  private child(): Int32Array {
    const mother = this.parent();
    const father = this.parent();
    const n = this.shop.size;
    const [a, b] = [this.below(n + 1), this.below(n + 1)];
    const from = Math.min(a, b);
    const to = Math.max(a, b);
    const list = new Int32Array(n);
    const placed = new Uint8Array(n);
    let at = 0;
    const take = (of: Int32Array, until: number): void => {
      for (let i = 0; at < until; i++) {
        const v = of[i]!;
        if (placed[v]) continue;
        placed[v] = 1;
        list[at++] = v;
      }
    };
    take(mother.list, from);
    take(father.list, to);
    take(mother.list, n);
    const { network } = this.shop;
    for (let i = 0; i + 1 < n; i++) {
      if (this.chance() >= SWAP) continue;
      const [u, v] = [list[i]!, list[i + 1]!];
      let linked = false;
      for (let k = network.inStart[v]!; k < network.inStart[v + 1]!; k++) if (network.inFrom[k] === u) linked = true;
      if (linked) continue;
      list[i] = v;
      list[i + 1] = u;
    }
    return list;
  }

  /** By a rule; where work may be put down, first with none put down: what gains nothing is not. */
  private listsBy(value: Float64Array): Int32Array[] {
    const list = listBy(this.shop, value);
    const goingOn = this.shop.goingOn(list);
    return goingOn === list ? [list] : [goingOn, list];
  }

  private parent(): Order {
    const { population } = this;
    const one = population[this.below(population.length)]!;
    const other = population[this.below(population.length)]!;
    return better(other.cost, one.cost) ? other : one;
  }

  /** A list by one of the rules, its values blurred. */
  private blurred(): Int32Array {
    const value = this.values[this.below(this.values.length)]!;
    let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const one of value) {
      if (!Number.isFinite(one)) continue;
      if (one < least) least = one;
      if (one > most) most = one;
    }
    const range = Math.max(1, most - least) * (LEAST_BLUR + (MOST_BLUR - LEAST_BLUR) * this.chance());
    return listBy(
      this.shop,
      value.map((one) => one + range * this.chance()),
    );
  }

  private chance(): number {
    if (this.at === DRAWS) {
      fillRandom(this.drawn, DRAWS, this.seed, this.block++, this.stream);
      this.at = 0;
    }
    return (this.drawn[this.at++]! >>> 0) / 4294967296;
  }

  private below(count: number): number {
    return Math.floor(this.chance() * count);
  }
}

/** True when the first is better: by the first value in which they differ. */
export function better(one: Float64Array, other: Float64Array): boolean {
  for (let i = 0; i < one.length; i++) {
    if (one[i]! < other[i]! - SAME_INSTANT) return true;
    if (one[i]! > other[i]! + SAME_INSTANT) return false;
  }
  return false;
}

function alike(one: Order, other: Order): boolean {
  if (better(one.cost, other.cost) || better(other.cost, one.cost)) return false;
  const differ = one.list.reduce((sum, v, i) => (v === other.list[i] ? sum : sum + 1), 0);
  return differ < one.list.length * ALIKE;
}
