/** Rows found by their words as people type them: begun, misspelt, run together or taken apart, or by another name of the trade. */
import MiniSearch, { type Query, type QueryCombination, type SearchOptions } from "minisearch";
import { lettersJoined, referencesOf, SMALL_WORDS, type Wording } from "./clubMatch.ts";
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

/** Letters that may be wrong, as a share of the word: at first, and where nothing was found so. */
const CLOSE = 0.2;
const LOOSE = 0.34;

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
  find(text: string, fields?: readonly SearchField[]): string[] {
    const words = asked(text);
    if (words.length === 0) return [];
    for (const wrong of [CLOSE, LOOSE]) {
      const found = this.ids(together(words), wrong, fields);
      if (found.length > 0) return found;
    }
    const [number] = referencesOf(text);
    return number === undefined ? [] : this.ids(number, 0, ["references"]);
  }

  /** Where nothing fits all words, the rows that some of them fit, best first. */
  nearest(text: string, fields?: readonly SearchField[]): string[] {
    const words = asked(text);
    if (words.length < 2) return [];
    return this.ids({ combineWith: "OR", queries: words.map(byAnyName) }, LOOSE, fields).slice(0, NEAREST);
  }

  private ids(query: Query, wrong: number, fields: readonly SearchField[] | undefined): string[] {
    const options: SearchOptions = {
      ...(fields === undefined ? {} : { fields: fields.flatMap((field) => BESIDE[field] ?? [field]) }),
      prefix: (term) => term.length > 2,
      // A wrong digit is another number, so only words are read as misspelt.
      fuzzy: (term) => (/\d/.test(term) || term.length < 4 ? 0 : wrong),
      boost: { references: 4, numbers: 4, part: 2 },
    };
    return this.search.search(query, options).map(({ id }) => String(id));
  }
}

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

/** All of the words, or all of them with two neighbours run together. */
function together(words: readonly string[]): Query {
  const names = words.map(byAnyName);
  const joined = pairs(words).map((pair, i) => every([...names.slice(0, i), byAnyName(pair), ...names.slice(i + 2)]));
  return { combineWith: "OR", queries: [every(names), ...joined] };
}

const searched = ({ id, part, machine, references, supplier }: Worded & { id: string }): Row => ({
  id,
  part,
  machine,
  references,
  supplier,
  numbers: referencesOf(references).join(" "),
  joined: pairs(wordsIn(part)).join(" "),
});
