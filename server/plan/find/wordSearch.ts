/** Rows found by their words as people type them: begun, misspelt, run together or taken apart, or by another name of the trade. */
import MiniSearch, { type Query, type QueryCombination, type SearchOptions } from "minisearch";
import { lettersJoined, referencesOf, SMALL_WORDS, type Wording } from "../club/match.ts";
import { otherNames } from "./tradeWords.ts";

/** A row's words by the field that they stand in. */
interface Worded extends Wording {
  supplier: string;
}

export type SearchField = keyof Worded;

/** Splits where the library does by itself: at spaces and punctuation. */
const splitWords = MiniSearch.getDefault("tokenize") as (text: string) => string[];

const plain = (word: string): string => word.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();

const wordsIn = (text: string): string[] => splitWords(lettersJoined(text)).map(plain).filter(Boolean);

/** Each two neighbours run together, as others write them: king pin, kingpin. */
const pairs = (words: readonly string[]): string[] => words.slice(1).map((word, i) => words[i]! + word);

interface Row extends Worded {
  id: string;
  /** Reference numbers as they are compared, without dashes and points. */
  numbers: string;
  joined: string;
}

/** Words of a query that are looked at; each is looked for together with its neighbour too. */
const MOST_WORDS = 8;

/** Nearest answers that are given where nothing fits all words. */
const NEAREST = 25;

/** A row that was found. */
export interface FoundRow {
  id: string;
  /** Its words that fit, as they are compared: see {@link wordsThatFit}. */
  fits: ReadonlySet<string>;
}

/** How closely words are read, one after the other: the next where too little was found so. */
export const READINGS = ["AS_TYPED", "CLOSE", "LOOSE"] as const;

export type Reading = (typeof READINGS)[number];

/** Letters that may be wrong, as a share of the word. */
const WRONG: Record<Reading, number> = { AS_TYPED: 0, CLOSE: 0.2, LOOSE: 0.34 };

export class WordSearch {
  private readonly search = new MiniSearch<Row>({
    fields: ["part", "references", "numbers", "machine", "supplier", "joined"],
    storeFields: [],
    tokenize: (text) => splitWords(lettersJoined(text)),
    processTerm: plain,
  });

  addAll = (rows: readonly (Worded & { id: string })[]): Promise<void> =>
    this.search.addAllAsync(rows.map(searched), { chunkSize: 2_000 });

  add = (row: Worded & { id: string }): void => this.search.add(searched(row));

  discard(id: string): void {
    if (this.search.has(id)) this.search.discard(id);
  }

  /**
   * Ids of the rows that fit all words, best first; a reference number also without its dashes and points.
   * Words may be misspelt by a letter in five, and by one in three where nothing is found so.
   */
  find = (text: string, fields?: readonly SearchField[]): string[] => this.found(text, fields).map(({ id }) => id);

  /** The same rows, each with the words of it that fit. */
  found(text: string, fields?: readonly SearchField[]): FoundRow[] {
    for (const reading of ["CLOSE", "LOOSE"] as const) {
      const found = this.read(text, reading, fields);
      if (found.length > 0) return found;
    }
    return [];
  }

  /** The rows that fit when the words are read so. */
  read(text: string, reading: Reading, fields?: readonly SearchField[]): FoundRow[] {
    const words = asked(text);
    if (words.length === 0) return [];
    const isThere = (pair: Query) => this.rows(pair, WRONG[reading], fields).length > 0;
    const found = this.rows(together(words, isThere), WRONG[reading], fields);
    if (found.length > 0) return found;
    const [number] = fields === undefined || fields.includes("references") ? referencesOf(text) : [];
    return number === undefined ? [] : this.rows(number, 0, ["references"]);
  }

  /** Where nothing fits all words, the rows that some of them fit, best first. */
  nearest(text: string, fields?: readonly SearchField[]): string[] {
    const words = asked(text);
    if (words.length < 2) return [];
    return this.rows({ combineWith: "OR", queries: words.map(byAnyName) }, WRONG.LOOSE, fields)
      .slice(0, NEAREST)
      .map(({ id }) => id);
  }

  private rows(query: Query, wrong: number, fields: readonly SearchField[] | undefined): FoundRow[] {
    const options: SearchOptions = {
      ...(fields === undefined ? {} : { fields: fields.flatMap((field) => BESIDE[field] ?? [field]) }),
      prefix: (term) => term.length > 2,
      // A wrong digit is another number, so only words are read as misspelt.
      fuzzy: (term) => (/\d/.test(term) || term.length < 4 ? 0 : wrong),
      boost: { references: 4, numbers: 4, part: 2 },
    };
    return this.search
      .search(query, options)
      .map(({ id, terms, queryTerms }) => ({
        id: String(id),
        fits: new Set(wrong === 0 ? terms : terms.filter((word) => isMeant(word, queryTerms, wrong))),
      }))
      .filter(({ fits }) => fits.size > 0);
  }
}

/** Not a small word, and none so short that what was left out of it is more than may be wrong: ball for barell. */
const isMeant = (word: string, typed: readonly string[], wrong: number): boolean =>
  typed.includes(word) ||
  (!SMALL_WORDS.has(word) && typed.some((one) => one.length - word.length <= Math.round(wrong * word.length)));

/** What a field is searched by beside its own words. */
const BESIDE: Partial<Record<SearchField, string[]>> = {
  part: ["part", "joined"],
  references: ["references", "numbers"],
};

/** The words that say something, if any does. */
function asked(text: string): string[] {
  const words = wordsIn(text).slice(0, MOST_WORDS);
  const telling = words.filter((word) => !SMALL_WORDS.has(word));
  return telling.length > 0 ? telling : words;
}

const every = (queries: Query[]): QueryCombination => ({ combineWith: "AND", queries });

/** A word, or what else the trade calls it: that as it stands, a misspelt other name is any word. */
const byAnyName = (word: string): Query => ({
  combineWith: "OR",
  queries: [word, ...otherNames(word).map((name) => ({ ...every([...name]), fuzzy: false }))],
});

/** All of the words, or all of them with two neighbours run together, of those pairs that there are. */
function together(words: readonly string[], isThere: (pair: Query) => boolean): Query {
  const names = words.map(byAnyName);
  const joined = pairs(words).flatMap((word, i) => {
    const pair = byAnyName(word);
    return isThere(pair) ? [every([...names.slice(0, i), pair, ...names.slice(i + 2)])] : [];
  });
  return { combineWith: "OR", queries: [every(names), ...joined] };
}

/** A number as it is compared, with its runs of letters and of digits where it has both: of QL101A people type 101. */
const withRuns = (number: string): string[] => {
  const runs = number.match(/\p{L}+|\p{N}+/gu) ?? [];
  return runs.length > 1 ? [number, ...runs] : [number];
};

const searched = ({ id, part, machine, references, supplier }: Worded & { id: string }): Row => ({
  id,
  part,
  machine,
  references,
  supplier,
  numbers: referencesOf(references).flatMap(withRuns).join(" "),
  joined: pairs(wordsIn(part)).join(" "),
});

/** The words of a text that are among those that fit, as they stand in it; two that fit only run together, both. */
export function wordsThatFit(text: string, fits: ReadonlySet<string>): string[] {
  const words = splitWords(text).filter(Boolean);
  const compared = words.map(plain);
  const alone = compared.map((word) => fits.has(word));
  const together = (i: number): boolean =>
    i >= 0 && i + 1 < words.length && !alone[i] && !alone[i + 1] && fits.has(compared[i]! + compared[i + 1]!);
  return [...new Set(words.filter((_, i) => alone[i] || together(i - 1) || together(i)))];
}

/** Whether a reference number fits, or a word of it. */
export const numberFits = (number: string, fits: ReadonlySet<string>): boolean =>
  referencesOf(number)
    .flatMap(withRuns)
    .some((one) => fits.has(plain(one))) || wordsThatFit(number, fits).length > 0;
