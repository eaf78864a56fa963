/**
 * A schedule as a network: who does what, and in which order on each hand, is kept, and only the dates move. What was last
 * on each of its hands is a further predecessor of an operation (Artigues, Michelon & Reusser 2003). With the order kept
 * an earlier arrival never makes any end later.
 */
import { endsOf } from "./ownPass.ts";
import type { Schedule } from "./search.ts";
import type { Shop, Team } from "./shop.ts";

export class KeptOrder {
  /** Positions by start: each after all that come before it by links and on its hands. */
  readonly order: Int32Array;
  /** Of each position, what was last on each of its hands. */
  readonly onHands: readonly Int32Array[];
  private readonly teams: readonly (Team | null)[];

  constructor(
    private readonly shop: Shop,
    schedule: Schedule,
  ) {
    this.teams = Array.from(schedule.team, (team, v) => (team < 0 ? null : shop.teams[v]![team]!));
    this.order = schedule.list;
    this.onHands = this.handovers(schedule);
  }

  /**
   * Starts and finishes, instants.
   * @param release instants before which each position cannot begin
   * @param hours what each takes; the shop's own when absent
   */
  forward(release: ArrayLike<number>, hours: ArrayLike<number> = this.shop.hours): Passed {
    const { shop } = this;
    const start = new Float64Array(shop.size);
    const finish = new Float64Array(shop.size);
    for (const v of this.order) {
      let ready = Math.max(release[v]!, shop.readyAfter(v, finish));
      for (const u of this.onHands[v]!) if (finish[u]! > ready) ready = finish[u]!;
      const work = hours[v]!;
      const team = this.teams[v] ?? null;
      if (work <= 0) start[v] = finish[v] = ready;
      else if (team === null || ready === Number.POSITIVE_INFINITY) {
        start[v] = ready;
        finish[v] = Number.POSITIVE_INFINITY;
      } else {
        start[v] = team.hours.nextOpen(ready);
        finish[v] = team.hours.finishAfter(start[v]!, work);
      }
    }
    return { start, finish, ends: endsOf(shop, finish) };
  }

  /** Latest starts and finishes with which each restoration ends when it is to and the order is kept; instants. */
  backward(ends: Float64Array, hours: ArrayLike<number> = this.shop.hours): Omit<Passed, "ends"> {
    const { shop } = this;
    const start = new Float64Array(shop.size);
    const finish = new Float64Array(shop.size).fill(Number.POSITIVE_INFINITY);
    for (const v of this.order.toReversed()) {
      const due = Math.min(finish[v]!, shop.dueBefore(v, start, ends));
      const team = this.teams[v] ?? null;
      const work = hours[v]!;
      finish[v] = work <= 0 || team === null ? due : team.hours.lastOpen(due);
      start[v] = work <= 0 || team === null ? due : team.hours.startBefore(due, work);
      for (const u of this.onHands[v]!) if (start[v]! < finish[u]!) finish[u] = start[v]!;
    }
    return { start, finish };
  }

  /** For each hand, one after the other by start; of several alike, whoever was free last goes on. */
  private handovers({ start, finish, list }: Schedule): Int32Array[] {
    const { capacity } = this.shop;
    const last = Array.from(capacity, (count) => new Int32Array(count).fill(-1));
    const before: Set<number>[] = Array.from({ length: this.shop.size }, () => new Set());
    for (const v of list) {
      const team = this.teams[v];
      if (!team) continue;
      team.lines.forEach((line, i) => {
        const hands = last[line]!;
        const free = [...hands.keys()]
          .filter((h) => hands[h]! < 0 || finish[hands[h]!]! <= start[v]! + 1e-9)
          .sort((a, b) => freedAt(hands[b]!, finish) - freedAt(hands[a]!, finish) || a - b);
        for (const h of free.slice(0, team.counts[i]!)) {
          if (hands[h]! >= 0) before[v]!.add(hands[h]!);
          hands[h] = v;
        }
      });
    }
    return before.map((set) => Int32Array.from(set));
  }
}

export interface Passed {
  start: Float64Array;
  finish: Float64Array;
  /** End of each restoration. */
  ends: Float64Array;
}

const freedAt = (v: number, finish: Float64Array): number => (v < 0 ? Number.NEGATIVE_INFINITY : finish[v]!);
