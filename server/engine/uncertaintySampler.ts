/**
 * Runs of an uncertain model, a block at a time: durations and arrivals are drawn, then one pass of the network takes
 * all runs of the block side by side (rows of BLOCK lanes, a row for each node that varies).
 *
 * In each run the end, the nodes on a longest path, and what the run's hold-up alone costs are exact. A hold-up can only
 * cost days by itself where no other binds (otherwise the other still holds the end), so one further pass, with the one
 * that binds in hand in each run, gives the end without it for every lane at once.
 */
import { ShopCalendar } from "./calendar.ts";
import { drawRow, type InverseTable, pertTable, skewOf } from "./inverseTable.ts";
import { Network } from "./network.ts";
import { fillRandom, type Stream, streamOf } from "./random.ts";
import { checkModel, NEVER, type UncertainModel } from "./uncertainty.ts";
import { MakerDraw } from "./uncertaintyMaker.ts";
import { ArrivalDraw } from "./uncertaintyRoute.ts";
import { BLOCK, type RunCounts, type RunRows } from "./uncertaintyRuns.ts";
import { days, hours, SAME_INSTANT } from "./units.ts";

/** Days whose first usable hour is kept in a table. */
const KEPT_DAYS = 2048;

interface DrawnHours {
  table: InverseTable;
  stream: Stream;
  low: number;
  width: number;
  /** First place of its row. */
  at: number;
}

export class UncertaintySampler {
  readonly network: Network;
  readonly calendar: ShopCalendar;
  /** 1 at each position of the network whose times differ between runs. */
  readonly varies: Uint8Array;
  /** Ids of the hold-ups that have no source; they count as in hand. */
  readonly open: readonly string[];
  readonly holdUps: number;

  /** Positions that vary, ascending; all rows are in this order. */
  private readonly nodes: Int32Array;
  /** By row: hours that do not vary, or -1 where a row of `drawnHours` stands for them. */
  private readonly fixedHours: Float64Array;
  private readonly hoursAt: Int32Array;
  /** By row: the start that what does not vary leaves it. */
  private readonly release: Float64Array;
  /** Links between rows: of row r, `linkStart[r]` to `linkStart[r + 1]`. */
  private readonly linkStart: Int32Array;
  private readonly linkFrom: Int32Array;
  private readonly linkLag: Float64Array;
  private readonly linkDays: Uint8Array;
  /** By row: the hold-up that it is, else -1; and whether it comes after one. */
  private readonly holdUpOf: Int32Array;
  private readonly afterHoldUp: Uint8Array;
  /** Latest finish of all that does not vary. */
  private readonly fixedEnd: number;

  private readonly drawnHours: DrawnHours[] = [];
  private readonly makers: MakerDraw[] = [];
  private readonly arrivals: (ArrivalDraw | null)[] = [];
  private readonly rowOfHoldUp: Int32Array;

  private readonly start: Float64Array;
  private readonly finish: Float64Array;
  private readonly hours: Float64Array;
  private readonly critical: Uint8Array;
  private readonly factors: Float64Array[];
  private readonly day: Int32Array;
  private readonly drawn = new Int32Array(BLOCK);
  private readonly end = new Float64Array(BLOCK);
  /** Latest finish of the rows that no hold-up comes before. */
  private readonly endOfOthers = new Float64Array(BLOCK);
  private readonly endAfter = new Float64Array(BLOCK);
  private readonly binding = new Int32Array(BLOCK);
  private readonly usable = new Float64Array(KEPT_DAYS + 2);

  /** Throws UncertainFault, and NetworkFault for what makes no network. */
  constructor(model: UncertainModel) {
    checkModel(model);
    this.calendar = new ShopCalendar(model.calendar);
    this.network = new Network(
      model.nodes.map(({ hours: work, ...node }) => ({
        ...node,
        hours: typeof work === "number" ? work : work.likely,
      })),
      model.links,
      this.calendar,
    );
    const { network, calendar } = this;
    const { size, inStart, inFrom, inLag, inDays } = network;
    for (let day = -1; day <= KEPT_DAYS; day++) this.usable[day + 1] = calendar.usableAfterArrival(days(day));

    const estimates = new Map(model.nodes.map((node) => [node.id, node.hours]));
    const holdUpAt = new Int32Array(size).fill(-1);
    this.holdUps = model.holdUps.length;
    this.open = model.holdUps.filter(({ route }) => route === null).map(({ node }) => node);
    model.holdUps.forEach(({ node, route }, h) => {
      const v = network.position(node);
      if (v >= 0 && route !== null) holdUpAt[v] = h;
    });

    // What nothing uncertain comes before is worked out once.
    this.varies = new Uint8Array(size);
    const rowOf = new Int32Array(size).fill(-1);
    const finish = new Float64Array(size);
    const release: number[] = [];
    const nodes: number[] = [];
    let fixedEnd = 0;
    for (let v = 0; v < size; v++) {
      const work = estimates.get(network.ids[v]!)!;
      let vary = holdUpAt[v]! >= 0 || (typeof work !== "number" && work.high > work.low);
      let from = network.release[v]!;
      for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
        const a = inFrom[k]!;
        if (this.varies[a]) {
          vary = true;
          continue;
        }
        const t = inDays[k] ? calendar.afterDays(hours(finish[a]!), inLag[k]!) : finish[a]! + inLag[k]!;
        if (t > from) from = t;
      }
      if (vary) {
        this.varies[v] = 1;
        rowOf[v] = nodes.length;
        nodes.push(v);
        release.push(from);
        continue;
      }
      finish[v] = from + network.hours[v]!;
      if (finish[v]! > fixedEnd) fixedEnd = finish[v]!;
    }
    this.fixedEnd = fixedEnd;
    this.nodes = Int32Array.from(nodes);
    this.release = Float64Array.from(release);

    const rows = nodes.length;
    const from: number[] = [];
    const lag: number[] = [];
    const inDaysOf: number[] = [];
    this.linkStart = new Int32Array(rows + 1);
    this.fixedHours = new Float64Array(rows);
    this.hoursAt = new Int32Array(rows).fill(-1);
    this.holdUpOf = new Int32Array(rows);
    this.afterHoldUp = new Uint8Array(rows);
    this.rowOfHoldUp = new Int32Array(this.holdUps).fill(-1);
    for (let r = 0; r < rows; r++) {
      const v = nodes[r]!;
      const h = holdUpAt[v]!;
      this.holdUpOf[r] = h;
      if (h >= 0) {
        this.rowOfHoldUp[h] = r;
        this.afterHoldUp[r] = 1;
      }
      const work = estimates.get(network.ids[v]!)!;
      this.fixedHours[r] = network.hours[v]!;
      if (typeof work !== "number" && work.high > work.low) {
        const at = this.drawnHours.length * BLOCK;
        this.hoursAt[r] = at;
        this.drawnHours.push({
          table: pertTable(skewOf(work)),
          stream: streamOf(`${network.ids[v]!} hours`),
          low: work.low,
          width: work.high - work.low,
          at,
        });
      }
      for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
        const a = rowOf[inFrom[k]!]!;
        if (a < 0) continue;
        if (this.afterHoldUp[a]) this.afterHoldUp[r] = 1;
        from.push(a * BLOCK);
        lag.push(inLag[k]!);
        inDaysOf.push(inDays[k]!);
      }
      this.linkStart[r + 1] = from.length;
    }
    this.linkFrom = Int32Array.from(from);
    this.linkLag = Float64Array.from(lag);
    this.linkDays = Uint8Array.from(inDaysOf);

    const makerAt = new Map(model.makers.map(({ id }, i) => [id, i]));
    for (const { node, route } of model.holdUps)
      this.arrivals.push(route === null ? null : new ArrivalDraw(node, route, makerAt, BLOCK));
    model.makers.forEach(({ id, lateness }, i) => {
      const out = this.arrivals.flatMap((a) => (a?.waiting?.maker === i ? [a.waiting.tailGiven] : []));
      this.makers.push(new MakerDraw(id, lateness, out, BLOCK));
    });

    this.start = new Float64Array(rows * BLOCK);
    this.finish = new Float64Array(rows * BLOCK);
    this.hours = new Float64Array(this.drawnHours.length * BLOCK);
    this.critical = new Uint8Array(rows * BLOCK);
    this.factors = model.makers.map(() => new Float64Array(BLOCK));
    this.day = new Int32Array(BLOCK);
  }

  /** Draws the runs of a block into their places, as far as there is room, and adds to the counts. */
  run(seed: number, block: number, into: RunRows, counts: RunCounts): void {
    const first = block * BLOCK;
    const count = Math.min(BLOCK, into.capacity - first);
    this.draw(seed, block, into);
    const { end, endOfOthers } = this;
    endOfOthers.fill(this.fixedEnd);
    this.pass(false, endOfOthers);
    end.set(endOfOthers);
    this.pass(true, end);
    this.mark(count, counts);
    for (let i = 0; i < count; i++) {
      into.endHours[first + i] = end[i]!;
      into.endDay[first + i] = this.finishDay(end[i]!);
    }
    this.withoutBinding(count, into.endDay, first, counts);
  }

  private draw(seed: number, block: number, into: RunRows): void {
    const { drawn, day, start, usable, calendar } = this;
    const first = block * BLOCK;
    const count = Math.min(BLOCK, into.capacity - first);
    for (const { table, stream, low, width, at } of this.drawnHours) {
      fillRandom(drawn, BLOCK, seed, block, stream);
      drawRow(table, drawn, BLOCK, low, width, this.hours, at);
    }
    this.makers.forEach((maker, i) => {
      maker.fill(this.factors[i]!, BLOCK, seed, block);
    });
    for (let h = 0; h < this.holdUps; h++) {
      const arrival = this.arrivals[h];
      if (arrival == null) continue;
      arrival.fill(day, BLOCK, seed, block, this.factors);
      const at = h * into.capacity + first;
      for (let i = 0; i < count; i++) into.arrivalDay[at + i] = day[i]!;
      const r = this.rowOfHoldUp[h]!;
      if (r < 0) continue;
      for (let i = 0, to = r * BLOCK; i < BLOCK; i++, to++) {
        const d = day[i]!;
        const t =
          d <= KEPT_DAYS
            ? usable[d + 1]!
            : d === NEVER
              ? Number.POSITIVE_INFINITY
              : calendar.usableAfterArrival(days(d));
        // Kept until the pass comes by, which adds what it waits for.
        start[to] = t;
      }
    }
  }

  /**
   * Forward pass over the rows that come after a hold-up, or over the others.
   * @param end raised to the latest finish of each run
   */
  private pass(afterHoldUp: boolean, end: Float64Array): void {
    const { start, finish, hours: drawn, release, linkStart, linkFrom, linkLag, linkDays } = this;
    const rows = this.nodes.length;
    const wanted = afterHoldUp ? 1 : 0;
    for (let r = 0; r < rows; r++) {
      if (this.afterHoldUp[r] !== wanted) continue;
      const at = r * BLOCK;
      const from = release[r]!;
      const own = this.holdUpOf[r]! >= 0;
      let k = linkStart[r]!;
      const stop = linkStart[r + 1]!;
      if (own || k === stop || linkDays[k]) {
        if (!own) start.fill(from, at, at + BLOCK);
        else if (from !== 0) for (let i = at; i < at + BLOCK; i++) if (start[i]! < from) start[i] = from;
      } else if (k + 1 < stop && !linkDays[k + 1]) {
        latestOfTwo(start, at, finish, linkFrom[k]!, linkLag[k]!, linkFrom[k + 1]!, linkLag[k + 1]!, from);
        k += 2;
      } else {
        later(start, at, finish, linkFrom[k]!, linkLag[k]!, from);
        k++;
      }
      for (; k < stop; k++)
        if (linkDays[k]) this.raiseByDays(at, linkFrom[k]!, linkLag[k]!);
        else raise(start, at, finish, linkFrom[k]!, linkLag[k]!);
      const h = this.hoursAt[r]!;
      if (h < 0) addHours(finish, at, start, this.fixedHours[r]!, end);
      else addDrawn(finish, at, start, drawn, h, end);
    }
  }

  /** A wait in calendar days; neighbouring runs seldom agree, so each asks the calendar. */
  private raiseByDays(at: number, from: number, lag: number): void {
    const { start, finish, calendar } = this;
    for (let i = 0; i < BLOCK; i++) {
      const f = finish[from + i]!;
      const t = f === Number.POSITIVE_INFINITY ? f : calendar.afterDays(hours(f), lag);
      if (t > start[at + i]!) start[at + i] = t;
    }
  }

  /** Marks the longest paths from their ends, counts them, and notes the only hold-up that binds in each run. */
  private mark(count: number, counts: RunCounts): void {
    const { start, finish, critical, end, binding, linkStart, linkFrom, linkLag, linkDays, calendar } = this;
    binding.fill(-1);
    critical.fill(0);
    for (let r = this.nodes.length - 1; r >= 0; r--) {
      const at = r * BLOCK;
      const any = markEnds(critical, at, finish, end);
      if (!any) continue;
      for (let k = linkStart[r]!; k < linkStart[r + 1]!; k++) {
        const from = linkFrom[k]!;
        const lag = linkLag[k]!;
        if (!linkDays[k]) {
          markBefore(critical, at, from, start, finish, lag);
          continue;
        }
        for (let i = 0; i < BLOCK; i++) {
          if (!critical[at + i]) continue;
          const f = finish[from + i]!;
          const t = f === Number.POSITIVE_INFINITY ? f : calendar.afterDays(hours(f), lag);
          if (t >= start[at + i]! - SAME_INSTANT) critical[from + i] = 1;
        }
      }
      let sum = 0;
      for (let i = 0; i < count; i++) sum += critical[at + i]!;
      counts.critical[this.nodes[r]!]! += sum;
      const h = this.holdUpOf[r]!;
      if (h < 0) continue;
      // What is in hand as the data date opens holds nothing up.
      const held = Math.max(this.release[r]!, 0) + SAME_INSTANT;
      let binds = 0;
      for (let i = 0; i < count; i++) {
        if (!critical[at + i] || start[at + i]! <= held) continue;
        binds++;
        binding[i] = binding[i] === -1 ? r : -2;
      }
      counts.binds[h]! += binds;
    }
  }

  /** The end of each run with its only binding hold-up in hand, and what that hold-up costs. */
  private withoutBinding(count: number, endDay: Int32Array, first: number, counts: RunCounts): void {
    const { binding, start, endAfter, endOfOthers } = this;
    let any = false;
    for (let i = 0; i < count; i++) {
      const r = binding[i]!;
      if (r < 0) continue;
      start[r * BLOCK + i] = 0;
      any = true;
    }
    if (!any) return;
    endAfter.set(endOfOthers);
    this.pass(true, endAfter);
    for (let i = 0; i < count; i++) {
      const r = binding[i]!;
      const with_ = endDay[first + i]!;
      if (r < 0 || with_ === NEVER) continue;
      counts.daysCost[this.holdUpOf[r]!]! += with_ - this.finishDay(endAfter[i]!);
    }
  }

  private finishDay(w: number): number {
    if (w === Number.POSITIVE_INFINITY) return NEVER;
    return w <= 0 ? Math.min(0, this.calendar.startDay(hours(w))) : this.calendar.finishDay(hours(w));
  }
}

/** start = the later of `least` and one finish with its lag. */
function later(start: Float64Array, at: number, finish: Float64Array, from: number, lag: number, least: number): void {
  for (let i = 0; i < BLOCK; i++) {
    const t = finish[from + i]! + lag;
    start[at + i] = Math.max(t, least);
  }
}

/** start = the latest of `least` and two finishes with their lags. */
function latestOfTwo(
  start: Float64Array,
  at: number,
  finish: Float64Array,
  fromA: number,
  lagA: number,
  fromB: number,
  lagB: number,
  least: number,
): void {
  for (let i = 0; i < BLOCK; i++) {
    const a = finish[fromA + i]! + lagA;
    const b = finish[fromB + i]! + lagB;
    const t = Math.max(a, b);
    start[at + i] = Math.max(t, least);
  }
}

/** start raised to one finish with its lag. */
function raise(start: Float64Array, at: number, finish: Float64Array, from: number, lag: number): void {
  for (let i = 0; i < BLOCK; i++) {
    const t = finish[from + i]! + lag;
    if (t > start[at + i]!) start[at + i] = t;
  }
}

/** finish = start and hours that do not vary; the end raised to it. */
function addHours(finish: Float64Array, at: number, start: Float64Array, work: number, end: Float64Array): void {
  for (let i = 0; i < BLOCK; i++) {
    const f = start[at + i]! + work;
    finish[at + i] = f;
    if (f > end[i]!) end[i] = f;
  }
}

/** finish = start and hours of the run; the end raised to it. */
function addDrawn(
  finish: Float64Array,
  at: number,
  start: Float64Array,
  drawn: Float64Array,
  from: number,
  end: Float64Array,
): void {
  for (let i = 0; i < BLOCK; i++) {
    const f = start[at + i]! + drawn[from + i]!;
    finish[at + i] = f;
    if (f > end[i]!) end[i] = f;
  }
}

/** Marks the runs whose end is this row's finish; whether any run of the row is marked. */
function markEnds(critical: Uint8Array, at: number, finish: Float64Array, end: Float64Array): boolean {
  let any = 0;
  for (let i = 0; i < BLOCK; i++) {
    const c = critical[at + i]! | (finish[at + i]! >= end[i]! - SAME_INSTANT ? 1 : 0);
    critical[at + i] = c;
    any |= c;
  }
  return any !== 0;
}

/** Marks the runs in which the earlier row sets the start of a marked one. */
function markBefore(
  critical: Uint8Array,
  at: number,
  from: number,
  start: Float64Array,
  finish: Float64Array,
  lag: number,
): void {
  for (let i = 0; i < BLOCK; i++)
    critical[from + i]! |= critical[at + i]! & (finish[from + i]! + lag >= start[at + i]! - SAME_INSTANT ? 1 : 0);
}
