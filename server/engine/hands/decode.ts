/**
 * One schedule from a list: each operation in turn as early as its hands allow, gaps filled (serial generation, Kelley 1963;
 * Kolisch 1996), from the front or from the back; or whatever can be begun as time goes on (parallel generation).
 */
import { SAME_INSTANT } from "../time/units.ts";
import { HandUse } from "./handUse.ts";
import type { Shop, Team } from "./shop.ts";

export class Decoder {
  /** Hours of the shop at each position; Infinity: it can never be done. */
  readonly start: Float64Array;
  readonly finish: Float64Array;
  /** Index of the team of each; -1: it took none. */
  readonly team: Int32Array;
  private readonly use: HandUse;
  /** Schedules made so far. */
  made = 0;

  constructor(readonly shop: Shop) {
    this.start = new Float64Array(shop.size);
    this.finish = new Float64Array(shop.size);
    this.team = new Int32Array(shop.size);
    this.use = new HandUse(shop.capacity, shop.size);
  }

  /** @param list positions, each after all that come before it */
  forward(list: Int32Array): void {
    this.use.clear();
    this.made++;
    const order = this.shop.firstFirst(list);
    for (let i = 0; i < order.length; i++) {
      const v = order[i]!;
      this.early(v, this.readyAt(v));
    }
  }

  /**
   * As late as can be, so that every restoration ends when it is to.
   * @param list positions, each after all that come after it
   */
  backward(list: Int32Array, ends: Float64Array): void {
    this.use.clear();
    this.made++;
    for (let i = 0; i < list.length; i++) {
      const v = list[i]!;
      this.late(v, this.shop.dueBefore(v, this.start, ends));
    }
  }

  /** At each moment at which something ends, what can be begun is begun in the order of the list. */
  parallel(list: Int32Array): void {
    const { shop } = this;
    const { network } = shop;
    this.use.clear();
    this.made++;
    const waits = new Int32Array(shop.size);
    for (let v = 0; v < shop.size; v++) waits[v] = network.inStart[v + 1]! - network.inStart[v]!;
    let left = Array.from(shop.firstFirst(list));
    let now = Number.NEGATIVE_INFINITY;
    while (left.length > 0) {
      let next = Number.POSITIVE_INFINITY;
      const stay: number[] = [];
      let begun = false;
      for (const v of left) {
        if (waits[v]! > 0) {
          stay.push(v);
          continue;
        }
        const ready = this.readyAt(v);
        const at = this.firstStart(v, Math.max(ready, now));
        if (now > Number.NEGATIVE_INFINITY && at <= now + SAME_INSTANT) {
          this.early(v, Math.max(ready, now));
          begun = true;
          for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) waits[network.outTo[k]!]!--;
        } else {
          stay.push(v);
          if (at < next) next = at;
        }
      }
      left = stay;
      if (begun) continue;
      if (!(next < Number.POSITIVE_INFINITY)) {
        // Nothing that is left can ever begin.
        for (const v of left) this.early(v, Number.POSITIVE_INFINITY);
        return;
      }
      now = next;
    }
  }

  /**
   * Hour from which links and its own release let it begin. Whatever a negative lag allows, it does not begin before what
   * comes before it has begun: by start each stands after all that come before it.
   */
  private readyAt(v: number): number {
    const { shop, start } = this;
    const { inStart, inFrom, inLag } = shop.network;
    let ready = Math.max(shop.release[v]!, shop.readyAfter(v, this.finish));
    if (shop.leads)
      for (let k = inStart[v]!; k < inStart[v + 1]!; k++)
        if (inLag[k]! < 0 && start[inFrom[k]!]! > ready) ready = start[inFrom[k]!]!;
    return ready;
  }

  private early(v: number, ready: number): void {
    const hours = this.shop.hours[v]!;
    const teams = this.shop.teams[v]!;
    if (hours <= 0 || teams.length === 0 || ready === Number.POSITIVE_INFINITY) {
      // Without a hand it has no end, and neither has what comes after it.
      const at = hours > 0 ? Number.POSITIVE_INFINITY : ready;
      this.set(v, ready, at, -1);
      return;
    }
    let best = 0;
    let bestStart = 0;
    let bestFinish = Number.POSITIVE_INFINITY;
    let bestGap = -1;
    for (let k = 0; k < teams.length; k++) {
      const team = teams[k]!;
      const s = this.earliest(team, ready, hours);
      const f = team.hours.finishAfter(s, hours);
      if (f > bestFinish + SAME_INSTANT || f === Number.POSITIVE_INFINITY) continue;
      if (teams.length > 1 && f > bestFinish - SAME_INSTANT) {
        if (bestGap < 0) bestGap = this.gap(teams[best]!, bestStart);
        const gap = this.gap(team, s);
        if (gap > bestGap + SAME_INSTANT) continue;
        if (gap > bestGap - SAME_INSTANT && team.claims >= teams[best]!.claims) continue;
        bestGap = gap;
      } else bestGap = -1;
      best = k;
      bestStart = s;
      bestFinish = f;
    }
    if (bestFinish === Number.POSITIVE_INFINITY) this.set(v, ready, bestFinish, -1);
    else this.man(v, best, bestStart, bestFinish);
  }

  private late(v: number, due: number): void {
    const hours = this.shop.hours[v]!;
    const teams = this.shop.teams[v]!;
    let best = -1;
    let bestStart = Number.NEGATIVE_INFINITY;
    let bestFinish = 0;
    for (let k = 0; k < teams.length && hours > 0 && Number.isFinite(due); k++) {
      const team = teams[k]!;
      const f = this.latest(team, due, hours);
      const s = team.hours.startBefore(f, hours);
      if (s < bestStart + SAME_INSTANT && !(s > bestStart - SAME_INSTANT && team.claims < teams[best]!.claims))
        continue;
      best = k;
      bestStart = s;
      bestFinish = f;
    }
    if (best < 0) this.set(v, due, due, -1);
    else this.man(v, best, bestStart, bestFinish);
  }

  private man(v: number, team: number, start: number, finish: number): void {
    this.set(v, start, finish, team);
    const { lines, counts } = this.shop.teams[v]![team]!;
    for (let i = 0; i < lines.length; i++) this.use.take(lines[i]!, start, finish, counts[i]!);
  }

  private set(v: number, start: number, finish: number, team: number): void {
    this.start[v] = start;
    this.finish[v] = finish;
    this.team[v] = team;
  }

  /** The earliest hour from `ready` on at which a team can begin so many hours and is left to end them. */
  private earliest(team: Team, ready: number, hours: number): number {
    const { lines, counts, hours: own } = team;
    let s = own.nextOpen(ready);
    for (let i = 0; i < lines.length && s < Number.POSITIVE_INFINITY; ) {
      const until = this.use.blockedUntil(lines[i]!, s, own.finishAfter(s, hours), counts[i]!);
      if (until > s) {
        s = own.nextOpen(until);
        i = 0;
        // A line that was free before may be taken at the later hour.
        continue;
      }
      i++;
    }
    return s;
  }

  /** The latest hour up to `due` at which a team can have done so many hours without a break by others. */
  private latest(team: Team, due: number, hours: number): number {
    const { lines, counts, hours: own } = team;
    let f = own.lastOpen(due);
    for (let i = 0; i < lines.length; ) {
      const from = this.use.blockedFrom(lines[i]!, own.startBefore(f, hours), f, counts[i]!);
      if (from < f) {
        f = own.lastOpen(from);
        i = 0;
        continue;
      }
      i++;
    }
    return f;
  }

  private firstStart(v: number, ready: number): number {
    const teams = this.shop.teams[v]!;
    if (this.shop.hours[v]! <= 0) return ready;
    let first = Number.POSITIVE_INFINITY;
    for (const team of teams) first = Math.min(first, this.earliest(team, ready, this.shop.hours[v]!));
    return first;
  }

  private gap({ lines }: Team, s: number): number {
    let sum = 0;
    for (let i = 0; i < lines.length; i++) sum += Math.min(s, this.use.idleBefore(lines[i]!, s));
    return sum;
  }
}
