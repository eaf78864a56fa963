import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const HowLongQuery = graphql(`
  query HowLong($restoration: ID!, $first: Int, $after: String, $last: Int, $before: String) {
    restoration(id: $restoration) {
      id
      workRecord {
        counts words
        shop { factor oneInTen nineInTen operations }
        trades(first: 100) {
          edges {
            node {
              trade operations hasTaken factor oneInTen nineInTen ownShare
              finished(first: 100) { edges { node { estimateHours bookedHours operation { id code title } } } }
            }
          }
        }
        finished(first: $first, after: $after, last: $last, before: $before) {
          totalCount
          pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
          edges {
            node {
              trade finishedOn estimateHours bookedHours ratio
              operation { id code title restoration { id machine } }
            }
          }
        }
      }
    }
  }
`);

export type WorkRecord = ResultOf<typeof HowLongQuery>["restoration"]["workRecord"];
export type TradeRecord = WorkRecord["trades"]["edges"][number]["node"];
export type FinishedWork = WorkRecord["finished"]["edges"][number]["node"];

/** "1.3 times"; once is "as estimated". */
export const timesWords = (factor: number): string =>
  Number(factor.toFixed(2)) === 1 ? "as estimated" : `${Number(factor.toFixed(2))} times`;

/** The most that a spread may be, in per cent of an estimate. */
export const MOST_PERCENT = 170;

/** A spread, the standard deviation of a logarithm, as it is asked and told: two in three lie within so many per cent. */
export const percentOf = (spread: number): number => Number(((Math.exp(spread) - 1) * 100).toFixed(1));

export const spreadOf = (percent: number): number => Math.log(1 + percent / 100);

/** Powers of ten and their halves and doubles that hold all the hours: the ends of both scales of the drawings. */
export function scaleOf(hours: readonly number[]): { from: number; to: number; marks: number[] } {
  const least = Math.min(...hours);
  const most = Math.max(...hours);
  const marks: number[] = [];
  for (let power = -2; power <= 5; power++) for (const step of [1, 2, 5]) marks.push(step * 10 ** power);
  const first = Math.max(
    0,
    marks.findLastIndex((mark) => mark <= least / 1.1),
  );
  const last = Math.max(
    first + 1,
    marks.findIndex((mark) => mark >= most * 1.1),
  );
  return { from: marks[first]!, to: marks[last]!, marks: marks.slice(first, last + 1) };
}
