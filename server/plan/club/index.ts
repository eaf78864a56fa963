/**
 * What is kept in memory of the club so that it can be searched and matched: the words of every shared source, and the
 * open wants and spares. Read once, then kept up with each change that this process commits.
 */
import { sameParts, type WantedPart } from "../../engine/club/batchWanted.ts";
import type { Store } from "../../store/client.ts";
import { type ClubEntry, onClubCommit } from "../../store/clubJournal.ts";
import type { ClubTables } from "../../store/clubTables.ts";
import { type FoundRow, type Reading, type SearchField, WordSearch } from "../find/wordSearch.ts";
import { type Known, keysOf, known, type MatchReason, REASONS, reasonOf } from "./match.ts";

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

/** Tables whose rows are found by words. */
export type SearchedTable = "clubSource" | "want" | "spare";

/** Those, and the tables of which a find over everything tells too. */
export type FoundTable = SearchedTable | "batch" | "clubMember";

/** Rows that are shown, those that were withheld, or the ones before the others. */
export type Among = "shown" | "withheld" | "all";

/** The words of a table's rows; those that were withheld are found by stewards and by whoever entered them. */
class TableWords {
  private readonly shown = new WordSearch();
  private readonly withheld = new WordSearch();

  async load(rows: readonly SearchedRow[]): Promise<void> {
    await this.shown.addAll(rows.filter(({ withheldReason }) => withheldReason === null).map(worded));
    await this.withheld.addAll(rows.filter(({ withheldReason }) => withheldReason !== null).map(worded));
  }

  follow(id: string, row: SearchedRow | null): void {
    this.shown.discard(id);
    this.withheld.discard(id);
    if (row !== null) (row.withheldReason === null ? this.shown : this.withheld).add(worded(row));
  }

  among(among: Among): WordSearch[] {
    return [...(among === "withheld" ? [] : [this.shown]), ...(among === "shown" ? [] : [this.withheld])];
  }
}

export class ClubIndex {
  private readonly words: Record<FoundTable, TableWords> = {
    clubSource: new TableWords(),
    want: new TableWords(),
    spare: new TableWords(),
    batch: new TableWords(),
    clubMember: new TableWords(),
  };
  /** What each source is a source of, by id. */
  readonly sourceParts = new Map<string, string>();
  readonly wants = new Matchable();
  readonly spares = new Matchable();
  private parts: WantedListed[][] | null = null;
  /** Matches by member, until a want or a spare changes. */
  private readonly matched = new Map<string, Match[]>();

  async load(store: Store, clubId: string): Promise<void> {
    const words = { id: true, part: true, machine: true, references: true, withheldReason: true } as const;
    const where = { clubId };
    const sources = await store.clubSource.findMany({ where, select: { ...words, supplier: true } });
    await this.words.clubSource.load(sources);
    for (const { id, part } of sources) this.sourceParts.set(id, part);
    const listed = { ...words, memberId: true, quantity: true, enteredAt: true } as const;
    const wants = await store.want.findMany({ where, select: { ...listed, partId: true, met: true } });
    await this.words.want.load(wants);
    for (const want of wants) if (isOpen(want)) this.wants.set(want.id, listedOf(want));
    const spares = await store.spare.findMany({ where, select: { ...listed, gone: true } });
    await this.words.spare.load(spares);
    for (const spare of spares) if (isOpen(spare)) this.spares.set(spare.id, listedOf({ ...spare, partId: null }));
    const batches = await store.batch.findMany({ where, select: { ...words, maker: true } });
    await this.words.batch.load(batches.map(wordedBatch));
    const members = await store.clubMember.findMany({ where, select: { id: true, name: true } });
    await this.words.clubMember.load(members.map(wordedMember));
  }

  follow(entries: readonly ClubEntry[]): void {
    for (const { table, id, after } of entries) {
      if (table === "want" || table === "spare") this.matched.clear();
      if (table === "clubSource") {
        const row = after as unknown as ClubTables["clubSource"] | null;
        this.words.clubSource.follow(id, row);
        if (row === null) this.sourceParts.delete(id);
        else this.sourceParts.set(id, row.part);
      } else if (table === "batch")
        this.words.batch.follow(id, after && wordedBatch(after as unknown as ClubTables["batch"]));
      else if (table === "clubMember")
        this.words.clubMember.follow(id, after && wordedMember(after as unknown as ClubTables["clubMember"]));
      else if (table === "want") {
        this.parts = null;
        const row = after as unknown as ClubTables["want"] | null;
        this.words.want.follow(id, row);
        if (row !== null && isOpen(row)) this.wants.set(id, listedOf(row));
        else this.wants.delete(id);
      } else if (table === "spare") {
        const row = after as unknown as ClubTables["spare"] | null;
        this.words.spare.follow(id, row);
        if (row !== null && isOpen(row)) this.spares.set(id, listedOf({ ...row, partId: null }));
        else this.spares.delete(id);
      }
    }
  }

  /** Ids of the rows that fit all words, best first: see {@link WordSearch.find}. */
  find(table: SearchedTable, text: string, fields?: readonly SearchField[], among: Among = "shown"): string[] {
    return this.words[table].among(among).flatMap((words) => words.find(text, fields));
  }

  /** Of the rows that are shown, those that fit all words read so, best first, each with the words that fit; of wants and spares the open ones. */
  found(table: FoundTable, text: string, reading: Reading): FoundRow[] {
    const found = this.words[table].among("shown").flatMap((words) => words.read(text, reading));
    const open = table === "want" ? this.wants : table === "spare" ? this.spares : null;
    return open === null ? found : found.filter(({ id }) => open.has(id));
  }

  /** Ids of the rows that come nearest; for words of which none was found by {@link find}. */
  nearest(table: SearchedTable, text: string, fields?: readonly SearchField[], among: Among = "shown"): string[] {
    return this.words[table].among(among).flatMap((words) => words.nearest(text, fields));
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

interface SearchedRow {
  id: string;
  part: string;
  machine: string;
  references: string;
  supplier?: string;
  withheldReason: string | null;
}

const worded = ({ id, part, machine, references, supplier = "" }: SearchedRow) => ({
  id,
  part,
  machine,
  references,
  supplier,
});

const wordedBatch = ({ maker, ...row }: Omit<SearchedRow, "supplier"> & { maker: string }): SearchedRow => ({
  ...row,
  supplier: maker,
});

const wordedMember = ({ id, name }: { id: string; name: string }): SearchedRow => ({
  id,
  part: name,
  machine: "",
  references: "",
  withheldReason: null,
});

/** A want that is not met, or a spare that is not gone, which no steward has withheld. */
const isOpen = (row: { withheldReason: string | null; met?: boolean; gone?: boolean }): boolean =>
  row.withheldReason === null && !row.met && !row.gone;

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
