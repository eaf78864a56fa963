/** The days on which hold-ups arrive, run by run: each route's steps in turn, fallbacks included. */
import { betaProbability, pertQuantile } from "../chance/beta.ts";
import { drawFrom, type InverseTable, normalTable, pertTable, skewOf } from "../chance/inverseTable.ts";
import { normalTail, quantileOfTail } from "../chance/normal.ts";
import { chanceOf, fillRandom, type Stream, streamOf } from "../chance/random.ts";
import type { RowDraw } from "./draw.ts";
import { foundDay } from "./huntDay.ts";
import { LANES, luckStream } from "./runs.ts";
import { HORIZON, type HuntRoute, NEVER, type Route, type Wait } from "./uncertainty.ts";

/** Chance below which a draw given that a wait has lasted so long is solved and not read from a table. */
const RARE = 1e-5;

/** The factor of an order that shares no maker's luck. */
const ONCE = new Float64Array(LANES).fill(1);

/** A wait ready to be drawn. */
class DrawnWait {
  readonly random: boolean;
  private readonly table: InverseTable | null;

  constructor(readonly wait: Wait) {
    if (wait.kind === "PERT") {
      const { low, high } = wait.estimate;
      this.table = high > low ? pertTable(skewOf(wait.estimate)) : null;
    } else this.table = wait.kind === "LOGNORMAL" && wait.sigma > 0 ? normalTable() : null;
    this.random = this.table !== null;
  }

  /** Days in each run, into the values of `draw`. */
  fill(draw: RowDraw, stream: Stream, seed: number, strip: number): void {
    const { wait, table } = this;
    if (table === null) draw.values.fill(this.fixed());
    else if (wait.kind === "PERT") {
      const { low, high } = wait.estimate;
      draw.fill(table, stream, low, high - low, seed, strip);
    } else if (wait.kind === "LOGNORMAL") {
      draw.fill(table, stream, wait.mu, wait.sigma, seed, strip);
      draw.exp();
    }
  }

  /** Chance that it lasts more than so many days. */
  tail(days: number): number {
    const { wait, table } = this;
    if (table === null) return this.fixed() > days ? 1 : 0;
    if (days <= 0) return 1;
    if (wait.kind === "LOGNORMAL") return normalTail((Math.log(days) - wait.mu) / wait.sigma);
    const { low, likely, high } = (wait as Extract<Wait, { kind: "PERT" }>).estimate;
    const width = high - low;
    // The other way round, so that a small chance keeps its figures.
    return betaProbability((high - days) / width, 1 + (4 * (high - likely)) / width, 1 + (4 * (likely - low)) / width);
  }

  /** Days, given that it lasts longer than what has the chance `tail`. */
  beyond(tail: number, drawn: number): number {
    const { wait, table } = this;
    if (table === null) return this.fixed();
    if (tail >= RARE) {
      const p = 1 - tail + tail * chanceOf(drawn);
      const x = drawFrom(table, Math.min(4294967295, p * 4294967296) | 0);
      if (wait.kind === "LOGNORMAL") return Math.exp(wait.mu + wait.sigma * x);
      const { low, high } = (wait as Extract<Wait, { kind: "PERT" }>).estimate;
      return low + (high - low) * x;
    }
    const left = tail * (1 - chanceOf(drawn));
    if (wait.kind === "LOGNORMAL") return Math.exp(wait.mu + wait.sigma * quantileOfTail(left));
    const { low, likely, high } = (wait as Extract<Wait, { kind: "PERT" }>).estimate;
    return high - pertQuantile({ low: 0, likely: high - likely, high: high - low }, left);
  }

  private fixed(): number {
    const { wait } = this;
    if (wait.kind === "FIXED") return wait.days;
    return wait.kind === "PERT" ? wait.estimate.likely : Math.exp(wait.mu);
  }
}

interface Step {
  route: Route;
  wait: DrawnWait;
  /** Days behind it on the day of the figures, the last of them still open: it has not come by the day before. 0: nothing to go by. */
  waited: number;
  maker: number;
  failure: number;
  events: HuntRoute["events"];
  forWait: Stream;
  forLuck: Stream;
}

/** One hold-up's way to the shop, compiled. */
export class ArrivalDraw {
  private readonly steps: Step[] = [];
  private readonly begin = new Float64Array(LANES);
  private readonly luck = new Int32Array(LANES);

  constructor(
    name: string,
    route: Route,
    makers: ReadonlyMap<string, number>,
    private readonly draw: RowDraw,
  ) {
    for (let at: Route | undefined = route, k = 0; at !== undefined; at = at.fallback, k++) {
      const order = at.kind === "ORDER" ? at : null;
      this.steps.push({
        route: at,
        wait: new DrawnWait(at.wait),
        waited: order !== null && k === 0 && order.orderDay < 0 ? -order.orderDay : 0,
        maker: order?.maker === undefined ? -1 : makers.get(order.maker)!,
        failure: order?.failure ?? 0,
        events: at.kind === "HUNT" ? [...at.events].sort((a, b) => a.day - b.day) : [],
        forWait: streamOf(`${name} wait ${k}`),
        forLuck: luckStream(name, k),
      });
    }
  }

  /** The maker of the order that is out already, and how long it has been out; null where none is. */
  get waiting(): { maker: number; tailGiven(factor: number): number } | null {
    const { maker, waited, wait } = this.steps[0]!;
    return waited > 0 && maker >= 0 ? { maker, tailGiven: (factor) => wait.tail((waited - 1) / factor) } : null;
  }

  /**
   * Days of arrival in the runs of a strip, whole days from the day of the figures; {@link NEVER} where nothing comes.
   * @param factors of each maker, in the runs of the strip: `factors[maker][run]`
   */
  fill(out: Int32Array, seed: number, strip: number, factors: readonly Float64Array[]): void {
    if (this.plain) {
      this.fillPlain(out, seed, strip, factors);
      return;
    }
    const { begin, luck, draw } = this;
    const { drawn, values: days } = draw;
    out.fill(NEVER);
    begin.fill(Number.NEGATIVE_INFINITY);
    for (let k = 0; k < this.steps.length; k++) {
      const step = this.steps[k]!;
      const { route, wait, waited, maker, failure } = step;
      if (waited === 0) wait.fill(draw, step.forWait, seed, strip);
      else if (wait.random) draw.numbers(step.forWait, seed, strip);
      if (failure > 0 || route.kind === "HUNT") fillRandom(luck, LANES, seed, strip, step.forLuck);
      const usual = waited === 0 ? 1 : wait.tail(waited - 1);
      for (let i = 0; i < LANES; i++) {
        if (out[i] !== NEVER || begin[i] === Number.POSITIVE_INFINITY) continue;
        let day: number;
        if (route.kind === "ORDER") {
          const factor = maker < 0 ? 1 : factors[maker]![i]!;
          if (waited > 0) {
            const tail = maker < 0 ? usual : wait.tail((waited - 1) / factor);
            // Longer out than the estimate allows: it may come any day.
            day = tail > 0 ? Math.max(0, Math.ceil(wait.beyond(tail, drawn[i]!) * factor - 1e-9) - waited) : 0;
          } else day = Math.max(route.orderDay, begin[i]!) + Math.ceil(days[i]! * factor - 1e-9);
          if (failure > 0 && chanceOf(luck[i]!) < failure) {
            begin[i] = Math.max(0, day);
            continue;
          }
        } else {
          const found = foundDay(route, step.events, Math.max(0, begin[i]!), 1 - chanceOf(luck[i]!));
          if (found === NEVER) {
            begin[i] = route.stopDay === undefined ? Number.POSITIVE_INFINITY : Math.max(route.stopDay, 0, begin[i]!);
            continue;
          }
          day = found + Math.ceil(days[i]! - 1e-9);
        }
        if (day <= HORIZON) out[i] = day;
        else begin[i] = Number.POSITIVE_INFINITY;
      }
    }
  }

  /** An order yet to be placed that does not fail is all there is to its route. */
  private get plain(): boolean {
    const { route, waited, failure } = this.steps[0]!;
    return route.kind === "ORDER" && waited === 0 && failure === 0;
  }

  /** The same for such an order. */
  private fillPlain(out: Int32Array, seed: number, strip: number, factors: readonly Float64Array[]): void {
    const { route, wait, maker, forWait } = this.steps[0]!;
    const { orderDay } = route as Extract<Route, { kind: "ORDER" }>;
    const { values } = this.draw;
    wait.fill(this.draw, forWait, seed, strip);
    const factor = maker < 0 ? ONCE : factors[maker]!;
    for (let i = 0; i < LANES; i++) {
      const day = orderDay + Math.ceil(values[i]! * factor[i]! - 1e-9);
      out[i] = day <= HORIZON ? day : NEVER;
    }
  }
}
