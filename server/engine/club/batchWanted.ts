/** Which parts are wanted by so many members that a batch of them would be filled. */
import { atSize, type BatchTerms } from "./batch.ts";

export interface WantedPart {
  id: string;
  memberId: string;
  quantity: number;
  /** What makes two wants one part: reference numbers, machine and wording. Two that share any are for the same part. */
  keys: readonly string[];
  /** The member's best quote for all its pieces, in the terms' currency; null without one. */
  bestMinor: number | null;
}

export interface WantedBatch<Want extends WantedPart = WantedPart> {
  wants: readonly Want[];
  members: number;
  pieces: number;
  /** Pieces wanting for the smallest size; 0: it would be filled. */
  needed: number;
  /** The size the wants make, or the smallest where that is more. */
  size: number;
  totalMinor: number;
  /** What a piece costs at most at that size. */
  pieceMinor: number;
  /** Saved on all pieces of a want against its best quote, in the order of `wants`; null without a quote; negative: dearer. */
  savings: readonly (number | null)[];
  /** Savings of those that save; no one is made to take part who would lose by it. */
  savedMinor: number;
}

/** Wants gathered by part: two that share a key, or are joined by others that do. In the order of their first want. */
export function sameParts<Want extends WantedPart>(wants: readonly Want[]): Want[][] {
  const parent = wants.map((_, i) => i);
  const rootOf = (i: number): number => {
    let at = i;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]!]!;
      at = parent[at]!;
    }
    return at;
  };
  const first = new Map<string, number>();
  wants.forEach(({ keys }, i) => {
    for (const key of keys) {
      const other = first.get(key);
      if (other === undefined) {
        first.set(key, i);
        continue;
      }
      const [a, b] = [rootOf(i), rootOf(other)];
      parent[Math.max(a, b)] = Math.min(a, b);
    }
  });
  const groups = new Map<number, Want[]>();
  wants.forEach((want, i) => {
    const root = rootOf(i);
    const group = groups.get(root);
    if (group === undefined) groups.set(root, [want]);
    else group.push(want);
  });
  return [...groups.values()];
}

/** One group of wants as a batch under the terms. */
export function wantedBatch<Want extends WantedPart>(terms: BatchTerms, wants: readonly Want[]): WantedBatch<Want> {
  const pieces = wants.reduce((sum, { quantity }) => sum + quantity, 0);
  const members = new Set(wants.map(({ memberId }) => memberId)).size;
  const { size, totalMinor, pieceMinor } = atSize(
    terms,
    Math.max(1, terms.smallest, Math.min(pieces, terms.most ?? pieces)),
  );
  const savings = wants.map(({ bestMinor, quantity }) =>
    bestMinor === null ? null : bestMinor - pieceMinor * quantity,
  );
  return {
    wants,
    members,
    pieces,
    needed: Math.max(0, terms.smallest - pieces),
    size,
    totalMinor,
    pieceMinor,
    savings,
    savedMinor: savings.reduce<number>((sum, saved) => sum + Math.max(0, saved ?? 0), 0),
  };
}

/** Those that would fill a batch first, by how much they save; then those nearest to filling one. */
export function byPromise(a: WantedBatch, b: WantedBatch): number {
  return a.needed - b.needed || b.savedMinor - a.savedMinor || b.members - a.members || b.pieces - a.pieces;
}
