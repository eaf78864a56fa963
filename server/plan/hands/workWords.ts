/** How long work has really taken, in words: the same wherever an estimate is entered or judged. */
import type { TradeRecord } from "./workRecord.ts";

/** "1.3", "0.95": two figures after the point at most. */
const figure = (factor: number): string => String(Number(factor.toFixed(2)));

/** "1.3 times its estimate", "as long as its estimate". */
const takenOf = (factor: number, than: string): string =>
  figure(factor) === "1" ? `as long as ${than}` : `${figure(factor)} times ${than}`;

const operations = (count: number): string => `${count} ${count === 1 ? "operation" : "operations"}`;

/** "body work", "work without a trade". */
const ofTrade = (trade: string): string => (trade === "" ? "work without a trade" : `${trade} work`);

/** "Your body work has taken 1.3 times its estimate, from 9 operations". */
export function hasTakenWords({ trade, finished, hasTaken }: TradeRecord): string {
  if (hasTaken === null) return `None of your ${ofTrade(trade)} is finished with hours booked`;
  return `Your ${ofTrade(trade)} has taken ${takenOf(hasTaken, "its estimate")}, from ${operations(finished.length)}`;
}

/** What the odds make of an estimate of the trade, where its hours are entered. */
export function countedAtWords(record: TradeRecord, counts: boolean): string {
  return `${hasTakenWords(record)}: ${
    counts
      ? `the odds count ${figure(record.factor) === "1" ? "" : `${figure(record.factor)} times `}what is entered, ${figure(record.oneInTen)} to ${figure(record.nineInTen)} times in 8 of 10 runs`
      : "the odds take estimates as they stand"
  }.`;
}

/** All finished work of the shop in one sentence. */
export function shopHasTakenWords({ finished, hasTaken }: TradeRecord, trades: number): string {
  if (hasTaken === null)
    return "No finished work has hours booked yet, so nothing is known of how long work really takes here.";
  return `Work has taken ${takenOf(hasTaken, "its estimates")}, from ${operations(finished.length)} in ${trades} ${trades === 1 ? "trade" : "trades"}.`;
}
