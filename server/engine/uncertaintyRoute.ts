/** The days on which hold-ups arrive, run by run: each route's steps in turn, fallbacks included. */
import { betaProbability, pertQuantile } from "./beta.ts";
import { drawFrom, drawRow, type InverseTable, normalTable, pertTable, skewOf } from "./inverseTable.ts";
import { normalTail, quantileOfTail } from "./normal.ts";
import { chanceOf, fillRandom, type Stream, streamOf } from "./random.ts";
import { HORIZON, type HuntRoute, NEVER, type Route, type Wait } from "./uncertainty.ts";
import { foundDay } from "./uncertaintyHunt.ts";

/** Chance below which a draw given that a wait has lasted so long is solved and not read from a table. */
const RARE = 1e-5;

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

  /** Days for each of `count` numbers. */
  row(drawn: Int32Array, count: number, out: Float64Array): void {
    const { wait, table } = this;
    if (table === null) out.fill(this.fixed(), 0, count);
    else if (wait.kind === "PERT") {
      const { low, high } = wait.estimate;
      drawRow(table, drawn, count, low, high - low, out, 0);
    } else if (wait.kind === "LOGNORMAL") {
      drawRow(table, drawn, count, wait.mu, wait.sigma, out, 0);
      for (let i = 0; i < count; i++) out[i] = Math.exp(out[i]!);
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
  /** Days behind it on the data date, the last of them still open: it has not come by the day before. 0: nothing to go by. */
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
  private readonly begin: Float64Array;
  private readonly drawn: Int32Array;
  private readonly luck: Int32Array;
  private readonly days: Float64Array;

  /** @param lanes most runs that are drawn at once */
  constructor(node: string, route: Route, makers: ReadonlyMap<string, number>, lanes: number) {
    this.begin = new Float64Array(lanes);
    this.drawn = new Int32Array(lanes);
    this.luck = new Int32Array(lanes);
    this.days = new Float64Array(lanes);
    for (let at: Route | undefined = route, k = 0; at !== undefined; at = at.fallback, k++) {
      const order = at.kind === "ORDER" ? at : null;
      this.steps.push({
        route: at,
        wait: new DrawnWait(at.wait),
        waited: order !== null && k === 0 && order.orderDay < 0 ? -order.orderDay : 0,
        maker: order?.maker === undefined ? -1 : makers.get(order.maker)!,
        failure: order?.failure ?? 0,
        events: at.kind === "HUNT" ? [...at.events].sort((a, b) => a.day - b.day) : [],
        forWait: streamOf(`${node} wait ${k}`),
        forLuck: streamOf(`${node} luck ${k}`),
      });
    }
  }

  /** The maker of the order that is out already, and how long it has been out; null where none is. */
  get waiting(): { maker: number; tailGiven(factor: number): number } | null {
    const { maker, waited, wait } = this.steps[0]!;
    return waited > 0 && maker >= 0 ? { maker, tailGiven: (factor) => wait.tail((waited - 1) / factor) } : null;
  }

  /**
   * Days of arrival in `count` runs of a block, whole days from the data date; {@link NEVER} where nothing comes.
   * @param factors of each maker, in the runs of the block: `factors[maker][run]`
   */
  fill(out: Int32Array, count: number, seed: number, block: number, factors: readonly Float64Array[]): void {
    const { begin, drawn, luck, days } = this;
    out.fill(NEVER, 0, count);
    begin.fill(Number.NEGATIVE_INFINITY, 0, count);
    for (let k = 0; k < this.steps.length; k++) {
      const step = this.steps[k]!;
      const { route, wait, waited, maker, failure } = step;
      if (wait.random) fillRandom(drawn, count, seed, block, step.forWait);
      if (failure > 0 || route.kind === "HUNT") fillRandom(luck, count, seed, block, step.forLuck);
      if (waited === 0) wait.row(drawn, count, days);
      const usual = waited === 0 ? 1 : wait.tail(waited - 1);
      for (let i = 0; i < count; i++) {
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
}
