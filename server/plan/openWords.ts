/** What is open, in words: a part has no source, a snag no remedy. Said here alone, wherever it is said. */

type Kinds = Iterable<{ kind: "PART" | "SNAG" }>;

/** What they are without: "no source", "no remedy yet", "no source or remedy yet"; null where there are none. */
export function lackOf(open: Kinds): string | null {
  return byKind(open, "no source", "no remedy yet", "no source or remedy yet");
}

/** What has become of them once they hold up nothing: parts are "in hand", snags "cleared"; null where there are none. */
export function clearedOf(holdUps: Kinds): string | null {
  return byKind(holdUps, "in hand", "cleared", "cleared");
}

function byKind(holdUps: Kinds, part: string, snag: string, both: string): string | null {
  const kinds = new Set([...holdUps].map(({ kind }) => kind));
  return kinds.size === 2 ? both : kinds.has("PART") ? part : kinds.has("SNAG") ? snag : null;
}
