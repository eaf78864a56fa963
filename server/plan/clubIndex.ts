/**
 * What is kept in memory of the club so that it can be searched and matched: the words of every shared source, and the
 * open wants and spares. Read once, then kept up with each change that this process commits.
 */
import MiniSearch, { type Options } from "minisearch";
import { sameParts, type WantedPart } from "../engine/batchWanted.ts";
import type { Store } from "../store/client.ts";
import { type ClubEntry, onClubCommit } from "../store/clubJournal.ts";
import type { ClubTables } from "../store/clubTables.ts";
import {
  type Known,
  keysOf,
  known,
  lettersJoined,
  type MatchReason,
  REASONS,
  reasonOf,
  referencesOf,
} from "./clubMatch.ts";

interface SourceWords {
  id: string;
  supplier: string;
  part: string;
  machine: string;
  references: string;
  numbers: string;
}

export interface Listed {
  id: string;
  memberId: string;
  known: Known;
  quantity: number;
  partId: string | null;
  enteredAt: number;
}

/** An open want with the keys by which those for one part are gathered. */
export type WantedListed = Listed & WantedPart;

export interface Match {
  wantId: string;
  spareId: string;
  reason: MatchReason;
}

/** Which words of a source are searched: any of them, or those of one field. */
export type SearchField = "part" | "machine" | "references" | "supplier";

/** Splits where the library does by itself: at spaces and punctuation. */
const splitWords = MiniSearch.getDefault("tokenize") as (text: string) => string[];

/** Wants or spares by what they can be matched by: each reference number, and each word of the part. */
class Matchable extends Map<string, Listed> {
  private readonly byKey = new Map<string, Set<Listed>>();

  override set(id: string, row: Listed): this {
    this.delete(id);
    for (const key of matchedBy(row)) {
      const known = this.byKey.get(key);
      if (known === undefined) this.byKey.set(key, new Set([row]));
      else known.add(row);
    }
    return super.set(id, row);
  }

  override delete(id: string): boolean {
    const row = this.get(id);
    if (row !== undefined) for (const key of matchedBy(row)) this.byKey.get(key)?.delete(row);
    return super.delete(id);
  }

  /** Those that share a number or a word with the row: no other can match it. */
  near(row: Listed): Set<Listed> {
    const near = new Set<Listed>();
    for (const key of matchedBy(row)) for (const other of this.byKey.get(key) ?? []) near.add(other);
    return near;
  }
}

function* matchedBy({ known }: Listed): Generator<string> {
  for (const reference of known.references) yield `number ${reference}`;
  for (const word of known.part) yield `word ${word}`;
}

const SEARCHED: Options<SourceWords> = {
  fields: ["part", "references", "numbers", "machine", "supplier"],
  storeFields: [],
  tokenize: (text) => splitWords(lettersJoined(text)),
  processTerm: (term) => term.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase(),
};

export class ClubIndex {
  private readonly search = new MiniSearch<SourceWords>(SEARCHED);
  /** Sources that were withheld: found by stewards and by whoever shared them. */
  private readonly withheld = new MiniSearch<SourceWords>(SEARCHED);
  readonly wants = new Matchable();
  readonly spares = new Matchable();
  private parts: WantedListed[][] | null = null;
  /** Matches by member, until a want or a spare changes. */
  private readonly matched = new Map<string, Match[]>();

  async load(store: Store, clubId: string): Promise<void> {
    const open = { clubId, withheldReason: null };
    const words = { id: true, part: true, machine: true, references: true } as const;
    const select = { ...words, supplier: true } as const;
    const sources = await store.clubSource.findMany({ where: open, select });
    await this.search.addAllAsync(sources.map(searched), { chunkSize: 2_000 });
    const withheld = await store.clubSource.findMany({ where: { clubId, withheldReason: { not: null } }, select });
    await this.withheld.addAllAsync(withheld.map(searched), { chunkSize: 2_000 });
    const listed = { ...words, memberId: true, quantity: true, enteredAt: true } as const;
    const wants = await store.want.findMany({ where: { ...open, met: false }, select: { ...listed, partId: true } });
    for (const want of wants) this.wants.set(want.id, listedOf(want));
    const spares = await store.spare.findMany({ where: { ...open, gone: false }, select: listed });
    for (const spare of spares) this.spares.set(spare.id, listedOf({ ...spare, partId: null }));
  }

  follow(entries: readonly ClubEntry[]): void {
    for (const { table, id, after } of entries) {
      if (table === "want" || table === "spare") this.matched.clear();
      if (table === "clubSource") {
        for (const words of [this.search, this.withheld]) if (words.has(id)) words.discard(id);
        const row = after as unknown as ClubTables["clubSource"] | null;
        if (row !== null) (row.withheldReason === null ? this.search : this.withheld).add(searched(row));
      } else if (table === "want") {
        this.parts = null;
        const row = after as unknown as ClubTables["want"] | null;
        if (row === null || row.met || row.withheldReason !== null) this.wants.delete(id);
        else this.wants.set(id, listedOf(row));
      } else if (table === "spare") {
        const row = after as unknown as ClubTables["spare"] | null;
        if (row === null || row.gone || row.withheldReason !== null) this.spares.delete(id);
        else this.spares.set(id, listedOf({ ...row, partId: null }));
      }
    }
  }

  /**
   * Ids of the sources that fit the words, best first. Every word must be found, misspelt by a letter in five at most,
   * or as the beginning of a longer one; a reference number also without its dashes and points.
   * @param among those that are shown, those that were withheld, or the ones before the others
   */
  find(text: string, fields?: readonly SearchField[], among: "shown" | "withheld" | "all" = "shown"): string[] {
    return [
      ...(among === "withheld" ? [] : foundIn(this.search, text, fields)),
      ...(among === "shown" ? [] : foundIn(this.withheld, text, fields)),
    ];
  }

  /** Matches of one member's wants and spares with what others have and want: strongest reason first, then newest. */
  matchesOf(memberId: string): readonly Match[] {
    const kept = this.matched.get(memberId);
    if (kept !== undefined) return kept;
    const matches: (Match & { newest: number })[] = [];
    const pair = (want: Listed, spare: Listed) => {
      if (want.memberId === spare.memberId) return;
      const reason = reasonOf(want.known, spare.known);
      if (reason !== null)
        matches.push({ wantId: want.id, spareId: spare.id, reason, newest: Math.max(want.enteredAt, spare.enteredAt) });
    };
    for (const want of this.wants.values())
      if (want.memberId === memberId) for (const spare of this.spares.near(want)) pair(want, spare);
    for (const spare of this.spares.values())
      if (spare.memberId === memberId) for (const want of this.wants.near(spare)) pair(want, spare);
    matches.sort(
      (a, b) =>
        REASONS.indexOf(a.reason) - REASONS.indexOf(b.reason) ||
        b.newest - a.newest ||
        (a.wantId + a.spareId < b.wantId + b.spareId ? -1 : 1),
    );
    this.matched.set(memberId, matches);
    return matches;
  }

  /** Why a want and a spare go together; null where they do not, or one of them is no longer open. */
  reason(wantId: string, spareId: string): MatchReason | null {
    const [want, spare] = [this.wants.get(wantId), this.spares.get(spareId)];
    return want === undefined || spare === undefined || want.memberId === spare.memberId
      ? null
      : reasonOf(want.known, spare.known);
  }

  /** Open wants gathered by part, the newest want of each first. Kept until a want changes. */
  wantedParts(): readonly (readonly WantedListed[])[] {
    this.parts ??= sameParts(
      [...this.wants.values()]
        .sort((a, b) => b.enteredAt - a.enteredAt || (a.id < b.id ? -1 : 1))
        .map((want) => ({ ...want, keys: keysOf(want.known), bestMinor: null })),
    );
    return this.parts;
  }
}

function foundIn(words: MiniSearch<SourceWords>, text: string, fields?: readonly SearchField[]): string[] {
  const within = fields?.flatMap((field) => (field === "references" ? ["references", "numbers"] : [field]));
  const options = {
    ...(within === undefined ? {} : { fields: within }),
    combineWith: "AND" as const,
    prefix: (term: string) => term.length > 2,
    // A wrong digit is another number, so only words are read as misspelt.
    fuzzy: (term: string) => (/\d/.test(term) || term.length < 4 ? 0 : 0.2),
    boost: { references: 4, numbers: 4, part: 2 },
  };
  const found = words.search(text, options);
  if (found.length > 0) return found.map(({ id }) => String(id));
  const [number] = referencesOf(text);
  return number === undefined ? [] : words.search(number, { fields: ["numbers"] }).map(({ id }) => String(id));
}

const searched = (row: Omit<SourceWords, "numbers">): SourceWords => ({
  id: row.id,
  supplier: row.supplier,
  part: row.part,
  machine: row.machine,
  references: row.references,
  numbers: referencesOf(row.references).join(" "),
});

const listedOf = (row: {
  id: string;
  memberId: string;
  part: string;
  machine: string;
  references: string;
  quantity: number;
  partId: string | null;
  enteredAt: Date;
}): Listed => ({
  id: row.id,
  memberId: row.memberId,
  known: known(row),
  quantity: row.quantity,
  partId: row.partId,
  enteredAt: row.enteredAt.getTime(),
});

const kept = new WeakMap<Store, Map<string, Promise<ClubIndex>>>();

/** The index of a club of the store, read when it is first asked for. */
export function clubIndex(store: Store, clubId: string): Promise<ClubIndex> {
  let clubs = kept.get(store);
  if (clubs === undefined) {
    const fresh = new Map<string, Promise<ClubIndex>>();
    clubs = fresh;
    kept.set(store, fresh);
    onClubCommit(store, (entries) => {
      for (const index of fresh.values())
        void index.then(
          (ready) => ready.follow(entries),
          () => {},
        );
    });
  }
  const known = clubs.get(clubId);
  if (known !== undefined) return known;
  const index = new ClubIndex();
  const loading = index.load(store, clubId).then(() => index);
  clubs.set(clubId, loading);
  // A failed read is not kept.
  loading.catch(() => clubs.delete(clubId));
  return loading;
}

/** Reads in the index of every club, so that the first who searches does not wait for it. */
export async function readClubIndexes(store: Store): Promise<void> {
  for (const { id } of await store.club.findMany({ select: { id: true } })) await clubIndex(store, id);
}
