/** One pass of the network that takes all runs side by side, and the marks of their longest paths. */
import type { DayHours } from "../hands/dayHours.ts";
import { hours, SAME_INSTANT } from "../time/units.ts";
import { RowDraw } from "./draw.ts";
import { HoursDraw } from "./hours.ts";
import { KERNELS_END, type Kernels, kernelsOver, LINK, ROW } from "./kernels.ts";
import type { UncertainRows } from "./modelRows.ts";
import { LANES } from "./runs.ts";

/** Words of 32 runs each: the runs of a row that are marked. */
export const WORDS = LANES / 32;

/** Bytes of the marks of a row. */
const MARKS = 4 * WORDS;

/** Bytes of a page of WebAssembly's memory. */
const PAGE = 65_536;

/** Starts and finishes of the rows in LANES runs, hours from the day of the figures; Infinity where they never come. */
export class UncertainPass {
  /** At `row * LANES + run`. Of a hold-up, before the pass, the hour at which it can be used. */
  readonly start: Float64Array;
  readonly finish: Float64Array;
  /** At `row * WORDS + word`, a bit for each run: 1 where the row lies on a longest path of the run; see {@link mark}. */
  readonly critical: Uint32Array;
  /** Hours of the row in hand stand in its values. */
  readonly rowDraw: RowDraw;
  /** Draws those hours; each strip is to be begun. */
  readonly hoursDraw: HoursDraw;
  /** Of rows whose hands have hours of their own, the hours of the last pass. */
  private readonly work = new Map<number, Float64Array>();
  /** What the row in hand can start from. */
  private readonly begin: Float64Array;
  private readonly end: Float64Array;
  private readonly kernels: Kernels;
  /** Places of all these in the kernels' memory, in bytes; `nothing` is a row that begins nothing, `every` marks of all runs. */
  private readonly places: Record<
    "nothing" | "begin" | "end" | "links" | "start" | "finish" | "every" | "critical",
    number
  >;

  constructor(private readonly rows: UncertainRows) {
    const { size, linkFrom, linkLag, drawnHours, rowOfHoldUp } = rows;
    const tables = new Set(drawnHours.map((own) => own?.table)).size + rowOfHoldUp.length;
    let length = KERNELS_END;
    const room = (bytes: number): number => {
      const at = length;
      length += bytes;
      return at;
    };
    const places = {
      nothing: room(ROW),
      begin: room(ROW),
      end: room(ROW),
      links: room(LINK * linkFrom.length),
      start: room(ROW * size),
      finish: room(ROW * size),
      every: room(MARKS),
      critical: room(MARKS * size),
    };
    const draw = room(RowDraw.bytes(tables));
    const memory = new WebAssembly.Memory({ initial: Math.ceil(length / PAGE) });
    const { buffer } = memory;
    this.kernels = kernelsOver(memory);
    this.places = places;
    this.rowDraw = new RowDraw(buffer, this.kernels, draw, tables);
    this.hoursDraw = new HoursDraw(rows, this.rowDraw);
    this.begin = new Float64Array(buffer, places.begin, LANES);
    this.end = new Float64Array(buffer, places.end, LANES);
    this.start = new Float64Array(buffer, places.start, LANES * size);
    this.finish = new Float64Array(buffer, places.finish, LANES * size);
    this.critical = new Uint32Array(buffer, places.critical, size * WORDS);

    rows.own.forEach((own, r) => {
      if (own !== null) this.work.set(r, new Float64Array(LANES));
    });
    new Float64Array(buffer, places.nothing, LANES).fill(Number.NEGATIVE_INFINITY);
    new Int32Array(buffer, places.every, WORDS).fill(-1);
    const view = new DataView(buffer, places.links);
    for (let k = 0; k < linkFrom.length; k++) {
      view.setUint32(LINK * k, places.finish + 8 * linkFrom[k]!, true);
      view.setFloat64(LINK * k + 8, linkLag[k]!, true);
    }
  }

  /**
   * Forward pass over some rows of a strip whose hours were begun, drawn as it comes by.
   * @param which rows, ascending; what comes before them has been passed
   * @param end raised to the latest finish of each run
   */
  draw(which: Int32Array, end: Float64Array, seed: number, strip: number): void {
    const { rowDraw, hoursDraw } = this;
    this.end.set(end);
    for (let n = 0; n < which.length; n++) {
      const r = which[n]!;
      hoursDraw.fill(r, seed, strip);
      this.work.get(r)?.set(rowDraw.values);
      this.pass(r, false);
    }
    end.set(this.end);
  }

  /** The same pass again over the hours of the last one: what starts earlier now finishes earlier. */
  again(which: Int32Array, end: Float64Array): void {
    const { fixedHours, holdUpOf } = this.rows;
    this.end.set(end);
    for (let n = 0; n < which.length; n++) {
      const r = which[n]!;
      const work = this.work.get(r);
      // The start of a hold-up may have been changed since, and in hours of its own work takes more of the shop's or less.
      if (holdUpOf[r]! >= 0) this.rowDraw.values.fill(fixedHours[r]!);
      else if (work !== undefined) this.rowDraw.values.set(work);
      this.pass(r, holdUpOf[r]! < 0 && work === undefined);
    }
    end.set(this.end);
  }

  /**
   * Start and finish of a row: from its release, its arrival, and what it waits for.
   * @param again it takes the hours between the start and the finish that it has; else those in hand
   */
  private pass(r: number, again: boolean): void {
    const { places, kernels } = this;
    const { release, holdUpOf, linkStart, linkDays, last, own } = this.rows;
    const start = places.start + ROW * r;
    const finish = places.finish + ROW * r;
    const stop = linkStart[r + 1]!;
    let k = linkStart[r]!;
    const arrives = holdUpOf[r]! >= 0;
    let begin = arrives ? start : places.nothing;
    if (k < stop && linkDays[k]) {
      if (arrives) this.begin.set(this.start.subarray(r * LANES, (r + 1) * LANES));
      else this.begin.fill(Number.NEGATIVE_INFINITY);
      begin = places.begin;
      for (; k < stop && linkDays[k]; k++) this.raiseByDays(k);
    }
    const from = places.links + LINK * k;
    const to = places.links + LINK * stop;
    if (again) kernels.again(from, to, release[r]!, begin, start, finish);
    else kernels.pass(from, to, release[r]!, begin, start, finish, this.rowDraw.valuesAt);
    if (own[r] !== null) this.workInOwnHours(r, own[r]!);
    if (last[r]) kernels.raise(places.end, finish);
  }

  /** Finishes of a row whose hands have other hours than the shop: run by run from its starts and the hours in hand. */
  private workInOwnHours(r: number, own: DayHours): void {
    const { values } = this.rowDraw;
    for (let i = 0, at = r * LANES; i < LANES; i++, at++)
      this.finish[at] = own.finishAfter(this.start[at]!, values[i]!);
  }

  /** A wait in calendar days; neighbouring runs seldom agree, so each asks the calendar. */
  private raiseByDays(k: number): void {
    const { begin } = this;
    for (let i = 0; i < LANES; i++) {
      const t = this.afterDays(k, i);
      if (t > begin[i]!) begin[i] = t;
    }
  }

  /** The hour from which link k, a wait in calendar days, lets go in a run. */
  private afterDays(k: number, run: number): number {
    const { linkFrom, linkLag, calendar } = this.rows;
    const f = this.finish[linkFrom[k]! + run]!;
    return f === Number.POSITIVE_INFINITY ? f : calendar.afterDays(hours(f), linkLag[k]!);
  }

  /**
   * Marks the longest paths of the runs from their ends.
   * @param marked is told each row that lies on one in some run, the last first; `critical` holds its runs
   */
  mark(end: Float64Array, marked: (row: number) => void): void {
    const { kernels, places, critical } = this;
    const { size, last, linkStart, linkFrom, linkLag, linkDays } = this.rows;
    this.end.set(end);
    critical.fill(0);
    for (let r = size - 1; r >= 0; r--) {
      const own = places.critical + MARKS * r;
      // What something waits for without a gap ends with the machine only where that does, and is reached from there.
      if (last[r]) kernels.mark(places.finish + ROW * r, 0, places.end, places.every, own);
      let any = 0;
      for (let word = 0; word < WORDS; word++) any |= critical[r * WORDS + word]!;
      if (any === 0) continue;
      const start = places.start + ROW * r;
      for (let k = linkStart[r]!; k < linkStart[r + 1]!; k++) {
        if (linkDays[k]) this.markByDays(r, k);
        else {
          const from = linkFrom[k]!;
          kernels.mark(places.finish + 8 * from, linkLag[k]!, start, own, places.critical + (MARKS * from) / LANES);
        }
      }
      marked(r);
    }
  }

  /** Marks what row r waits for by link k, a wait in calendar days, in the runs in which that sets its start. */
  private markByDays(r: number, k: number): void {
    const { start, critical } = this;
    const from = this.rows.linkFrom[k]! / LANES;
    for (let word = 0; word < WORDS; word++) {
      let set = 0;
      for (let left = critical[r * WORDS + word]!; left !== 0; left &= left - 1) {
        const bit = 31 - Math.clz32(left & -left);
        const run = word * 32 + bit;
        if (this.afterDays(k, run) >= start[r * LANES + run]! - SAME_INSTANT) set |= 1 << bit;
      }
      critical[from * WORDS + word]! |= set;
    }
  }
}
