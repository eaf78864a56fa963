/** An uncertain model compiled: a row for each node whose times differ between runs, and what all runs share. */

import { type InverseTable, pertTable, skewOf } from "../chance/inverseTable.ts";
import type { Stream } from "../chance/random.ts";
import type { DayHours } from "../hands/dayHours.ts";
import { Network } from "../network/network.ts";
import { ShopCalendar } from "../time/calendar.ts";
import { hours } from "../time/units.ts";
import { hoursStream, LANES } from "./runs.ts";
import { checkModel, streamNames, type TradeFactor, type UncertainModel, type UncertainNode } from "./uncertainty.ts";

/** Hours of a row that are drawn in each run: `low` plus `width` times what the table gives. */
export interface DrawnHours {
  table: InverseTable;
  stream: Stream;
  low: number;
  width: number;
}

/**
 * Rows by number, in the network's order. A row's runs stand at `row * LANES + run`. Links between rows: of row r,
 * `linkStart[r]` to `linkStart[r + 1]`, those with a lag in days first.
 */
export class UncertainRows {
  readonly network: Network;
  readonly calendar: ShopCalendar;
  /** 1 at each position of the network whose times differ between runs. */
  readonly varies: Uint8Array;
  /** By row: its position in the network, ascending. */
  readonly nodes: Int32Array;
  /** By row: hours that do not vary; null in `drawnHours` says that these hold. */
  readonly fixedHours: Float64Array;
  readonly drawnHours: readonly (DrawnHours | null)[];
  readonly trades: readonly TradeFactor[];
  /** By row: the trade whose factor its hours are taken by, or -1. */
  readonly tradeOf: Int32Array;
  /** By row: the hours that its hands have in common; null where they are the shop's own. */
  readonly own: readonly (DayHours | null)[];
  /** By row: the start that what does not vary leaves it. */
  readonly release: Float64Array;
  readonly linkStart: Int32Array;
  /** First place of the row that it comes from. */
  readonly linkFrom: Int32Array;
  readonly linkLag: Float64Array;
  /** 1: the lag is in calendar days. */
  readonly linkDays: Uint8Array;
  /** 1 where a row can finish after everything that waits for it: none waits, or only with a lag in days or below zero. */
  readonly last: Uint8Array;
  /** By row: the hold-up that it is, else -1. By hold-up: its row, or -1. */
  readonly holdUpOf: Int32Array;
  readonly rowOfHoldUp: Int32Array;
  /** Rows that are no hold-up and come after none; and the others. Ascending. */
  readonly before: Int32Array;
  readonly after: Int32Array;
  /** Latest finish of all that does not vary. */
  readonly fixedEnd: number;

  /** Throws UncertainFault, and NetworkFault for what makes no network. */
  constructor(model: UncertainModel) {
    checkModel(model);
    this.calendar = new ShopCalendar(model.calendar);
    this.network = new Network(
      model.nodes.map(({ hours: work, name: _, trade: __, ...node }) => ({
        ...node,
        hours: typeof work === "number" ? work : work.likely,
      })),
      model.links,
      this.calendar,
    );
    const { network } = this;
    const { size, inStart, inFrom, inLag, inDays } = network;
    const names = streamNames(model);
    const nodes = new Map(model.nodes.map((node) => [node.id, node]));
    this.trades = model.trades ?? [];
    const tradeAt = new Map(this.trades.map(({ id }, t) => [id, t]));
    const holdUpAt = new Int32Array(size).fill(-1);
    model.holdUps.forEach(({ node, route }, h) => {
      const v = network.position(node);
      if (v >= 0 && route !== null) holdUpAt[v] = h;
    });

    const { varies, release, fixedEnd } = this.settle(nodes, holdUpAt);
    this.varies = varies;
    this.fixedEnd = fixedEnd;
    this.nodes = Int32Array.from(varies.keys()).filter((v) => varies[v] === 1);
    this.release = Float64Array.from(this.nodes, (v) => release[v]!);
    this.own = Array.from(this.nodes, (v) => network.own[v]!);

    const rows = this.nodes.length;
    const rowOf = new Int32Array(size).fill(-1);
    const from: number[] = [];
    const lag: number[] = [];
    const inDaysOf: number[] = [];
    const drawnHours: (DrawnHours | null)[] = [];
    const afterHoldUp = new Uint8Array(rows);
    this.linkStart = new Int32Array(rows + 1);
    this.fixedHours = new Float64Array(rows);
    this.last = new Uint8Array(rows).fill(1);
    this.holdUpOf = new Int32Array(rows);
    this.tradeOf = new Int32Array(rows);
    this.rowOfHoldUp = new Int32Array(model.holdUps.length).fill(-1);
    for (let r = 0; r < rows; r++) {
      const v = this.nodes[r]!;
      rowOf[v] = r;
      const h = holdUpAt[v]!;
      this.holdUpOf[r] = h;
      if (h >= 0) {
        this.rowOfHoldUp[h] = r;
        afterHoldUp[r] = 1;
      }
      this.fixedHours[r] = network.hours[v]!;
      const { hours: work, trade } = nodes.get(network.ids[v]!)!;
      this.tradeOf[r] = trade === undefined ? -1 : tradeAt.get(trade)!;
      drawnHours.push(
        typeof work !== "number" && work.high > work.low
          ? {
              table: pertTable(skewOf(work)),
              stream: hoursStream(names.get(network.ids[v]!)!),
              low: work.low,
              width: work.high - work.low,
            }
          : null,
      );
      for (const inDay of [1, 0])
        for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
          const a = rowOf[inFrom[k]!]!;
          if (a < 0 || inDays[k] !== inDay) continue;
          if (afterHoldUp[a]) afterHoldUp[r] = 1;
          from.push(a * LANES);
          lag.push(inLag[k]!);
          inDaysOf.push(inDay);
          if (!inDay && inLag[k]! >= 0) this.last[a] = 0;
        }
      this.linkStart[r + 1] = from.length;
    }
    this.drawnHours = drawnHours;
    this.linkFrom = Int32Array.from(from);
    this.linkLag = Float64Array.from(lag);
    this.linkDays = Uint8Array.from(inDaysOf);
    this.before = Int32Array.from(afterHoldUp.keys()).filter((r) => !afterHoldUp[r]);
    this.after = Int32Array.from(afterHoldUp.keys()).filter((r) => afterHoldUp[r] === 1);
  }

  get size(): number {
    return this.nodes.length;
  }

  /** What nothing uncertain comes before is worked out once; the rest is what varies, with the start that this leaves it. */
  private settle(nodes: ReadonlyMap<string, UncertainNode>, holdUpAt: Int32Array) {
    const { network, calendar } = this;
    const { size, inStart, inFrom, inLag, inDays } = network;
    const varies = new Uint8Array(size);
    const finish = new Float64Array(size);
    const release = new Float64Array(size);
    let fixedEnd = 0;
    for (let v = 0; v < size; v++) {
      const { hours: work, trade, doneOn } = nodes.get(network.ids[v]!)!;
      const most = typeof work === "number" ? work : work.high;
      let vary =
        holdUpAt[v]! >= 0 ||
        (typeof work !== "number" && work.high > work.low) ||
        (trade !== undefined && most > 0 && doneOn === undefined);
      let from = network.release[v]!;
      for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
        const a = inFrom[k]!;
        if (varies[a]) {
          vary = true;
          continue;
        }
        const t = inDays[k] ? calendar.afterDays(hours(finish[a]!), inLag[k]!) : finish[a]! + inLag[k]!;
        if (t > from) from = t;
      }
      release[v] = from;
      if (vary) {
        varies[v] = 1;
        continue;
      }
      finish[v] = network.finishOf(v, from, network.hours[v]!);
      if (finish[v]! > fixedEnd) fixedEnd = finish[v]!;
    }
    return { varies, release, fixedEnd };
  }
}
