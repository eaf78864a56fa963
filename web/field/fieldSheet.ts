import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { codeInWords, compareCodes } from "../shared/Code.tsx";
import type { MoneyValue } from "../shared/format.ts";
import type { PROVENANCE } from "../shared/words.ts";
import { FindParts, type StoredFind } from "./find.ts";

/** Outstanding parts with what tells them from others on a stall. */
export const FieldPartsQuery = graphql(`
  query FieldParts($restoration: ID!, $notCome: [SupplyState!], $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      parts(first: $first, after: $after, state: $notCome) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node {
          id code name quantity notes safetyCritical caution
          references { id book number }
          specification { id dimension nominal unit minus plus note }
          outlook { state quote { id supplier { id kind } } daysGained needBy }
        } }
      }
    }
  }
`);

export const FieldFindsQuery = graphql(
  `
  query FieldFinds($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      finds(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { ...FindParts } }
      }
    }
  }
`,
  [FindParts],
);

export type FieldPart = ResultOf<typeof FieldPartsQuery>["restoration"]["parts"]["edges"][number]["node"];

/** The most that is worth paying today for the part in one provenance. */
export interface WalkAway {
  provenance: keyof typeof PROVENANCE;
  price: MoneyValue | null;
  words: string;
  daysSaved: number | null;
  pointsDifference: number | null;
}

/** The sentences of a text. */
const sentencesOf = (text: string): string[] => text.split(/(?<=\.) (?=\p{Lu})/u);

/** What two or more texts all say, sentence by sentence, so that it is said once; nothing of a single text. */
export const saidByAll = (texts: readonly string[]): string[] =>
  texts.length < 2
    ? []
    : sentencesOf(texts[0]!).filter((sentence) => texts.every((text) => sentencesOf(text).includes(sentence)));

/** A text without what is said once for all; empty where nothing is left. */
export const withoutSaid = (text: string, said: readonly string[]): string =>
  sentencesOf(text)
    .filter((sentence) => !said.includes(sentence))
    .join(" ");

/** All that the sheet shows. */
export interface FieldSheet {
  parts: readonly FieldPart[];
  finds: readonly StoredFind[];
  /** By the part's id. */
  walkAways: Readonly<Record<string, readonly WalkAway[]>>;
}

/** Those that hold up most stand first: without a source, then by days gained, then by the need-by date. */
export function mostUrgentFirst(parts: readonly FieldPart[]): FieldPart[] {
  const open = (part: FieldPart): number => (part.outlook.state === "NO_SOURCE" ? 0 : 1);
  return parts.toSorted(
    (one, other) =>
      open(one) - open(other) ||
      (other.outlook.daysGained ?? 0) - (one.outlook.daysGained ?? 0) ||
      (one.outlook.needBy ?? "9999").localeCompare(other.outlook.needBy ?? "9999") ||
      compareCodes(one.code, other.code),
  );
}

/** True where the words stand in the part's name, code, notes or reference numbers. */
export function speaksOf(part: FieldPart, words: string): boolean {
  const text = [
    codeInWords("part", part.code),
    part.name,
    part.notes,
    ...part.references.flatMap(({ book, number }) => [book, number]),
  ]
    .join(" ")
    .toLocaleLowerCase("en-GB");
  return words
    .toLocaleLowerCase("en-GB")
    .split(/\s+/)
    .every((word) => text.includes(word));
}
