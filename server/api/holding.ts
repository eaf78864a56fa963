/** Words that somebody looks for, as a condition on rows. */
import { numberAsked } from "../store/codes.ts";

/**
 * Rows that hold the words in one of the fields, the code among them, or whose number of the register they are: "part 12".
 * @param noun what a row is called
 */
export const holding = (words: string | null | undefined, noun: string, ...fields: string[]): object =>
  words ? { OR: anyOf(words, noun, fields) } : {};

const anyOf = (words: string, noun: string, fields: readonly string[]): object[] => {
  const number = numberAsked(noun, words);
  return [
    ...["code", ...fields].map((field) => ({ [field]: { contains: words } })),
    ...(number === undefined ? [] : [{ code: number }]),
  ];
};

/** Parts of a restoration as {@link holding} has them, and those of the quote or order whose code is asked for: "quote 70" and "70" alike. */
export const partsHolding = (words: string | null | undefined, restorationId: string): object => {
  if (!words) return {};
  const named = (noun: string) => ({ some: { restorationId, code: numberAsked(noun, words) ?? words.trim() } });
  return { OR: [...anyOf(words, "part", ["name", "notes"]), { quotes: named("quote") }, { orders: named("order") }] };
};
