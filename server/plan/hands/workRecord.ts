/** How long work has really taken against its estimates, by trade, and what that says of the work that is left. */
import { type Crowd, crowdOfLogs, type GroupRecord, groupRecord, recordSplit } from "../../engine/makers/logRecord.ts";
import type { TradeFactor } from "../../engine/odds/uncertainty.ts";
import { groupBy } from "../parts/acquisition.ts";
import type { FinishedRow, PlanRows, SpreadsRow } from "../rows/rows.ts";
import { exactHours, totalHours } from "./hours.ts";

/**
 * Before anything is known: work takes as long as is estimated, give or take a shop's spread and a trade's (the
 * workshop's own figures), and one operation in three is more than a quarter off what is usual with its trade; worth
 * four operations. The program's own judgement.
 */
const usualWork = ({ shopSpread, tradeSpread }: SpreadsRow) => ({
  mean: 0,
  meanDeviation: Math.max(LEAST, shopSpread),
  within: 0.25,
  between: Math.max(LEAST, tradeSpread),
  worth: 4,
  // Trades of one shop are about as uneven as each other: their spread is the one that is stated.
  degrees: 60,
});

/** Stands for a spread of zero. */
const LEAST = 1e-6;

/** The spreads of a workshop that has not said otherwise. */
export const USUAL_SPREADS: SpreadsRow = { shopSpread: 0.2, tradeSpread: 0.15 };

/** A finished operation, in hours of all its hands. */
export interface FinishedWork {
  operationId: string;
  trade: string;
  /** Null: not on record. */
  finishedOn: string | null;
  estimateHours: number;
  bookedHours: number;
  /** Booked over estimated. */
  ratio: number;
  /** Log of what it took over what its estimate lets expect. */
  log: number;
}

/** What is believed of a trade, or of any trade of the shop of which nothing is known. */
export interface TradeRecord {
  trade: string;
  /** The operations that it rests on, the last finished first. */
  finished: readonly FinishedWork[];
  /** What they took over their estimates, as the middle of their ratios (geometric mean); null without any. */
  hasTaken: number | null;
  /** By how much estimates are multiplied: at even odds, and what it stays under with chance 1 in 10 and 9 in 10. */
  factor: number;
  oneInTen: number;
  nineInTen: number;
  /** How much of it is the trade's own record, 0 to 1; the rest is the shop. */
  ownShare: number;
}

/**
 * What a row's estimate came to, in hours of all its hands: of three figures their mean as PERT has it; and the mean log of
 * what it may take over that, to second order: less than zero, as the log of a spread is, so that work which takes what its
 * three figures say counts as taking what was estimated.
 */
function estimated({ hoursLeast: low, hoursLikely: likely, hoursMost: high, wayHours, hands }: FinishedRow) {
  if (wayHours !== null || low === null || high === null) return { hours: hands * (wayHours ?? likely), meanLog: 0 };
  const mean = (low + 4 * likely + high) / 6;
  // Variance of PERT-beta with weight 4: (mean - low)(high - mean) / 7.
  return { hours: hands * mean, meanLog: mean > 0 ? -((mean - low) * (high - mean)) / (14 * mean ** 2) : 0 };
}

/** What is known on a day of finished work of the whole workshop: done by then, with hours booked by then. */
export function finishedWork(
  rows: Pick<PlanRows, "operations" | "ways" | "hoursBooked" | "finishedElsewhere">,
  day: string,
): FinishedWork[] {
  const booked = groupBy(rows.hoursBooked, ({ operationId }) => operationId);
  const ways = new Map(rows.ways.map(({ id, hours }) => [id, hours]));
  const own = rows.operations.flatMap((operation): FinishedRow[] => {
    const entries = booked.get(operation.id);
    if (operation.state !== "DONE" || entries === undefined) return [];
    const hands = operation.handsNeeded.reduce((sum, needed) => sum + needed.hands, 0);
    return [{ ...operation, wayHours: ways.get(operation.chosenWayId ?? "") ?? null, hands, booked: entries }];
  });
  return [...own, ...rows.finishedElsewhere].flatMap((row): FinishedWork[] => {
    const { id: operationId, trade, finishedOn } = row;
    if (finishedOn !== null && finishedOn > day) return [];
    const { hours: estimateHours, meanLog } = estimated(row);
    const bookedHours = totalHours(row.booked.filter(({ workedOn }) => workedOn <= day));
    if (!(estimateHours > 0 && bookedHours > 0)) return [];
    return [
      {
        operationId,
        trade,
        finishedOn,
        estimateHours,
        bookedHours,
        ratio: bookedHours / estimateHours,
        log: Math.log(bookedHours / estimateHours) - meanLog,
      },
    ];
  });
}

/** Standard normal quantile of 9 in 10. */
const NINE_IN_TEN = 1.2815515655446004;

/** The trades of a workshop, each with its record against the shop's. */
export class WorkRecords {
  private readonly crowd: Crowd;
  private readonly finished: ReadonlyMap<string, readonly FinishedWork[]>;
  private readonly known = new Map<string, GroupRecord>();
  /** False: estimates are taken as they stand, whatever was booked. */
  readonly counts: boolean;

  /** @param day by which work is to be finished, whichever restoration it is of */
  constructor(
    rows: Pick<PlanRows, "operations" | "ways" | "hoursBooked" | "finishedElsewhere" | "spreads">,
    day: string,
  ) {
    const all = finishedWork(rows, day).sort((a, b) =>
      (a.finishedOn ?? "") < (b.finishedOn ?? "")
        ? 1
        : (a.finishedOn ?? "") > (b.finishedOn ?? "")
          ? -1
          : a.operationId < b.operationId
            ? -1
            : 1,
    );
    this.finished = groupBy(all, ({ trade }) => trade);
    this.counts = rows.spreads.shopSpread > 0 || rows.spreads.tradeSpread > 0;
    this.crowd = crowdOfLogs([...this.finished.values()].map(logs), usualWork(rows.spreads));
  }

  /** Trades with finished work, in order of name. */
  get trades(): string[] {
    return [...this.finished.keys()].sort();
  }

  /** What is believed of a trade of which nothing is known. */
  get shop(): TradeRecord {
    const all = [...this.finished.values()].flat();
    return { ...this.told("", groupRecord([], this.crowd)), finished: all, hasTaken: middle(all) };
  }

  of(trade: string): TradeRecord {
    const finished = this.finished.get(trade) ?? [];
    return { ...this.told(trade, this.record(trade)), finished, hasTaken: middle(finished) };
  }

  /** How the runs draw it; null where both spreads are zero: estimates are then taken as they stand. */
  factor(trade: string): TradeFactor | null {
    if (!this.counts) return null;
    const { mean, crowd: shop, common: own } = recordSplit(this.record(trade), this.crowd);
    return { id: trade, mean, shop, own };
  }

  /** Hours as they are to be expected of an estimate: at even odds. */
  expected(trade: string, hours: number): number {
    return this.counts ? exactHours(hours * Math.exp(this.record(trade).mean)) : hours;
  }

  private record(trade: string): GroupRecord {
    const known = this.known.get(trade) ?? groupRecord(logs(this.finished.get(trade) ?? []), this.crowd);
    this.known.set(trade, known);
    return known;
  }

  private told(trade: string, record: GroupRecord) {
    const { mean, crowd, common } = recordSplit(record, this.crowd);
    const spread = NINE_IN_TEN * Math.hypot(crowd, common);
    const { ownShare } = record;
    return {
      trade,
      factor: Math.exp(mean),
      oneInTen: Math.exp(mean - spread),
      nineInTen: Math.exp(mean + spread),
      ownShare,
    };
  }
}

const logs = (finished: readonly FinishedWork[]): number[] => finished.map(({ log }) => log);

const middle = (finished: readonly FinishedWork[]): number | null =>
  finished.length === 0
    ? null
    : Math.exp(finished.reduce((sum, { ratio }) => sum + Math.log(ratio), 0) / finished.length);
