/** How a batch looks, in words. */
import { counted, daysBetween, inDays, plainNumber, today } from "../shared/format.ts";
import type { BatchRow } from "./batch.ts";

const WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/** "two more pieces", "1 more piece" over twelve in figures. */
export const morePieces = (count: number): string =>
  `${WORDS[count] ?? plainNumber(count)} more ${count === 1 ? "piece" : "pieces"}`;

export const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

export const pieces = (count: number): string => counted(count, "piece");

/** "5 of 6 pieces", "7 pieces, 6 were needed" */
export function filledWords({ smallest, outlook: { putDown } }: Pick<BatchRow, "smallest" | "outlook">): string {
  return putDown < smallest ? `${putDown} of ${pieces(smallest)}` : `${pieces(putDown)}, ${smallest} needed`;
}

/** How far off the closing date is from the day of the club's figures. */
export const closesIn = (day: string, closesOn: string): string => inDays(daysBetween(day, closesOn), day === today());
