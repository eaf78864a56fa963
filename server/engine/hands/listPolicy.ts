/**
 * Work without an order that is kept: at each moment whoever is free takes the next of a list that can be started, and
 * puts down what they are at for work that stands higher in it, whether or not it is marked that it may be. What is begun
 * stands highest, and is put down by none but what it may be put down for. No work begins before what it waits for has ended.
 */
import { hours, SAME_INSTANT } from "../time/units.ts";
import type { Shop } from "./shop.ts";

/** So many hands of a line are at other work from an hour to another. */
export interface Busy {
  line: number;
  from: number;
  until: number;
  count: number;
}

export class ListPolicy {
  /** Hours of the shop at each position, as the last run had them; Infinity: it never ends. */
  readonly start: Float64Array;
  readonly finish: Float64Array;
  /** Place in the list of each position, and position of each place. */
  private readonly rank: Int32Array;
  private readonly list: Int32Array;
  /** Hours from and to which hands are at other work, ascending, and by how many hands of each line that changes. */
  private readonly changes: readonly { at: number; line: number; by: number }[];
  private readonly left: Float64Array;
  private readonly ready: Float64Array;
  /** Links that still hold each back; and by link whether it has let go. */
  private readonly waits: Int32Array;
  private readonly letGo: Uint8Array;
  /** The team at work on each, -1 for none, and the hour since which it is. */
  private readonly team: Int32Array;
  private readonly since: Float64Array;
  /** Hands of each line that nobody has taken, and those that lower work holds. */
  private readonly free: Int32Array;
  private readonly held: Int32Array;
  private readonly room: Int32Array;
  /** Places in the list: of what is worked on, ascending; and of what can be and is not, by who could do it, descending. */
  private running: number[] = [];
  private readonly waiting: number[][];
  /** By position, whose queue it waits in: work that the same teams can do waits in one. */
  private readonly queueOf: Int32Array;
  /** Queues for whom no team is there any more. */
  private readonly shut: Uint8Array;
  /** Positions whose hour is still to come. */
  private coming: number[] = [];
  /** The first hour at which a team that could go on with something begins its day. */
  private opening = Number.POSITIVE_INFINITY;

  /** @param list positions, each after all that come before it */
  constructor(
    private readonly shop: Shop,
    list: Int32Array,
    busy: readonly Busy[] = [],
  ) {
    const { size } = shop;
    this.list = shop.firstFirst(list);
    this.rank = new Int32Array(size);
    this.list.forEach((v, place) => {
      this.rank[v] = place;
    });
    this.changes = busy
      .flatMap(({ line, from, until, count }) => [
        { at: from, line, by: -count },
        { at: until, line, by: count },
      ])
      .sort((a, b) => a.at - b.at || a.line - b.line || a.by - b.by);
    this.start = new Float64Array(size);
    this.finish = new Float64Array(size);
    this.left = new Float64Array(size);
    this.ready = new Float64Array(size);
    this.waits = new Int32Array(size);
    this.letGo = new Uint8Array(shop.network.outTo.length);
    this.team = new Int32Array(size);
    this.since = new Float64Array(size);
    this.free = new Int32Array(shop.capacity.length);
    this.held = new Int32Array(shop.capacity.length);
    this.room = new Int32Array(shop.capacity.length);
    const queues = new Map<unknown, number>();
    this.queueOf = Int32Array.from(shop.teams, (teams) => {
      if (!queues.has(teams)) queues.set(teams, queues.size);
      return queues.get(teams)!;
    });
    this.waiting = Array.from({ length: queues.size }, () => []);
    this.shut = new Uint8Array(queues.size);
  }

  /**
   * One run.
   * @param work hours at each position; @param release hour before which each cannot begin, Infinity: never
   */
  run(work: Float64Array, release: Float64Array): void {
    const { shop, changes, free } = this;
    const { inStart } = shop.network;
    this.left.set(work);
    this.ready.set(release);
    this.start.fill(Number.POSITIVE_INFINITY);
    this.finish.fill(Number.POSITIVE_INFINITY);
    this.team.fill(-1);
    this.letGo.fill(0);
    this.running = [];
    for (const queue of this.waiting) queue.length = 0;
    this.coming = [];
    free.set(shop.capacity);
    for (let v = 0; v < shop.size; v++) {
      this.waits[v] = inStart[v + 1]! - inStart[v]!;
      if (this.waits[v] === 0) this.coming.push(v);
    }
    let change = 0;
    for (let now = 0; now < Number.POSITIVE_INFINITY; now = this.next(now, changes[change]?.at)) {
      for (; change < changes.length && changes[change]!.at <= now + SAME_INSTANT; change++)
        free[changes[change]!.line]! += changes[change]!.by;
      this.settle(now);
      this.share(now);
      if (shop.leads) while (this.leads(now)) this.share(now);
    }
  }

  /** Ends what ends now, and opens what can be begun, until nothing more does. */
  private settle(now: number): void {
    for (let again = true; again; ) {
      again = false;
      for (const place of this.running) {
        const v = this.list[place]!;
        if (this.finish[v]! > now + SAME_INSTANT) continue;
        this.team[v] = -1;
        this.left[v] = 0;
        this.ended(v);
        again = true;
      }
      if (again) this.running = this.running.filter((place) => this.left[this.list[place]!]! > 0);
      const coming = this.coming;
      this.coming = [];
      for (const v of coming) {
        if (this.ready[v]! > now + SAME_INSTANT) {
          this.coming.push(v);
          continue;
        }
        again = true;
        if (this.left[v]! > 0) this.queue(v);
        else {
          this.start[v] = this.ready[v]!;
          this.finish[v] = this.ready[v]!;
          this.ended(v);
        }
      }
    }
  }

  private queue(v: number): void {
    const queue = this.waiting[this.queueOf[v]!]!;
    const place = this.rank[v]!;
    let [low, high] = [0, queue.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (queue[middle]! > place) low = middle + 1;
      else high = middle;
    }
    queue.splice(low, 0, place);
  }

  /** Lets go what waits for it. */
  private ended(v: number): void {
    const { outStart } = this.shop.network;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) this.letGoOf(k, this.after(v, k));
  }

  /** The hour at which a link lets go, by the end that its earlier work has now. */
  private after(v: number, k: number): number {
    const { network, calendar } = this.shop;
    const end = this.finish[v]!;
    const lag = network.outLag[k]!;
    if (lag === 0 || !Number.isFinite(end)) return end;
    // What has an end before it has begun lets nothing go sooner.
    return Math.max(this.start[v]!, network.outDays[k] ? calendar.afterDays(hours(end), lag) : end + lag);
  }

  private letGoOf(k: number, at: number): void {
    if (this.letGo[k] === 1) return;
    this.letGo[k] = 1;
    const to = this.shop.network.outTo[k]!;
    if (at > this.ready[to]!) this.ready[to] = at;
    if (--this.waits[to]! === 0) this.coming.push(to);
  }

  /** What may begin before the end of work that is under way; true where something can begin now. */
  private leads(now: number): boolean {
    const { outStart, outLag } = this.shop.network;
    let any = false;
    for (const place of this.running) {
      const v = this.list[place]!;
      for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
        if (outLag[k]! >= 0 || this.letGo[k] === 1 || this.after(v, k) > now + SAME_INSTANT) continue;
        this.letGoOf(k, now);
        any = true;
      }
    }
    if (any) this.settle(now);
    return any;
  }

  /** Shares the hands out: down the list, each keeps its team or takes the one that ends it first, if need be from lower work. */
  private share(now: number): void {
    const { list, room, held, running, waiting, shut } = this;
    room.set(this.free);
    held.fill(0);
    shut.fill(0);
    for (const place of running) this.hold(list[place]!, 1);
    this.opening = Number.POSITIVE_INFINITY;
    const left: number[] = [];
    this.running = [];
    for (let r = 0; ; ) {
      let queue: number[] | null = null;
      for (let q = 0; q < waiting.length; q++)
        if (shut[q] === 0 && waiting[q]!.length > 0 && (queue === null || waiting[q]!.at(-1)! < queue.at(-1)!))
          queue = waiting[q]!;
      const next = running[r] ?? Number.POSITIVE_INFINITY;
      if (queue === null && next === Number.POSITIVE_INFINITY) break;
      const place = queue === null || next < queue.at(-1)! ? running[r++]! : queue.pop()!;
      const v = list[place]!;
      this.hold(v, -1);
      if (this.team[v]! >= 0 && !this.fits(v, this.team[v]!)) this.putDown(v, now);
      if (this.team[v]! < 0) this.takeUp(v, now);
      if (this.team[v]! < 0) {
        left.push(v);
        continue;
      }
      this.running.push(place);
      const { lines, counts } = this.shop.teams[v]![this.team[v]!]!;
      for (let i = 0; i < lines.length; i++) room[lines[i]!]! -= counts[i]!;
    }
    for (const v of left) this.queue(v);
  }

  private hold(v: number, sign: 1 | -1): void {
    if (this.team[v]! < 0) return;
    const { lines, counts } = this.shop.teams[v]![this.team[v]!]!;
    for (let i = 0; i < lines.length; i++) this.held[lines[i]!]! += sign * counts[i]!;
  }

  /** @param idle whether no lower work is to be put down for it */
  private fits(v: number, k: number, idle = false): boolean {
    const { lines, counts } = this.shop.teams[v]![k]!;
    for (let i = 0; i < lines.length; i++)
      if (this.room[lines[i]!]! - (idle ? this.held[lines[i]!]! : 0) < counts[i]!) return false;
    return true;
  }

  private putDown(v: number, now: number): void {
    const { hours: own } = this.shop.teams[v]![this.team[v]!]!;
    this.left[v] = Math.max(SAME_INSTANT, this.left[v]! - (own.before(now) - own.before(this.since[v]!)));
    this.team[v] = -1;
    this.finish[v] = Number.POSITIVE_INFINITY;
  }

  private takeUp(v: number, now: number): void {
    const teams = this.shop.teams[v]!;
    let best = -1;
    let end = Number.POSITIVE_INFINITY;
    let bestIdle = false;
    let shut = true;
    for (let k = 0; k < teams.length; k++) {
      if (!this.fits(v, k)) continue;
      const { hours: own, claims } = teams[k]!;
      const opens = own.nextOpen(now);
      if (opens > now + SAME_INSTANT) {
        // Until its day begins its hands are there for lower work.
        if (opens < this.opening) this.opening = opens;
        continue;
      }
      shut = false;
      const f = own.finishAfter(now, this.left[v]!);
      if (f === Number.POSITIVE_INFINITY || f > end + SAME_INSTANT) continue;
      const idle = this.fits(v, k, true);
      if (f > end - SAME_INSTANT && (idle === bestIdle ? claims >= teams[best]!.claims : !idle)) continue;
      best = k;
      end = f;
      bestIdle = idle;
    }
    // Nor is one there for what stands lower: hands are taken, and none is given back before the next moment.
    if (shut) this.shut[this.queueOf[v]!] = 1;
    if (best < 0) return;
    this.team[v] = best;
    this.since[v] = now;
    this.finish[v] = end;
    if (this.start[v] === Number.POSITIVE_INFINITY) this.start[v] = now;
  }

  /** The next hour at which something changes; Infinity: nothing will. */
  private next(now: number, change = Number.POSITIVE_INFINITY): number {
    const { network } = this.shop;
    let next = Math.min(change, this.opening);
    for (const place of this.running) {
      const v = this.list[place]!;
      if (this.finish[v]! < next) next = this.finish[v]!;
      if (!this.shop.leads) continue;
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
        if (network.outLag[k]! < 0 && this.letGo[k] === 0) next = Math.min(next, this.after(v, k));
    }
    for (const v of this.coming) if (this.ready[v]! < next) next = this.ready[v]!;
    return Math.max(next, now);
  }
}
