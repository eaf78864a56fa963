/** What is open, in words: a part has no source, a snag no remedy, a trade nobody. Said here alone, wherever it is said. */

type Kind = "PART" | "SNAG" | "TRADE";
type Kinds = Iterable<{ kind: Kind }>;

const LACKS: Readonly<Record<Kind, string>> = { PART: "no source", SNAG: "no remedy yet", TRADE: "nobody to do it" };

/** What they are without: "no source", "no remedy yet", "no source or remedy yet"; null where there are none. */
export function lackOf(open: Kinds): string | null {
  const kinds = kindsOf(open);
  return kinds.length === 0
    ? null
    : kinds
        .map((kind) => LACKS[kind])
        .join(" or ")
        .replace(" or no ", " or ");
}

/** What has become of them once they hold up nothing: parts are "in hand", all else "cleared"; null where there are none. */
export function clearedOf(holdUps: Kinds): string | null {
  const kinds = kindsOf(holdUps);
  return kinds.length === 0 ? null : kinds.every((kind) => kind === "PART") ? "in hand" : "cleared";
}

const kindsOf = (holdUps: Kinds): Kind[] =>
  (["PART", "SNAG", "TRADE"] as const).filter((kind) => [...holdUps].some((one) => one.kind === kind));
