/** What is open, in words: a part has no source, a snag no remedy, a trade nobody. Said here alone, wherever it is said. */

type Kind = "PART" | "SNAG" | "TRADE" | "HAND";
type Kinds = Iterable<{ kind: Kind }>;

const LACKS: Readonly<Partial<Record<Kind, string>>> = {
  PART: "no source",
  SNAG: "no remedy yet",
  TRADE: "nobody to do it",
};

/** What they are without: "no source", "no remedy yet", "no source or remedy yet"; null where there are none. */
export function lackOf(open: Kinds): string | null {
  const kinds = kindsOf(open);
  return kinds.length === 0
    ? null
    : kinds
        .flatMap((kind) => LACKS[kind] ?? [])
        .join(" or ")
        .replace(" or no ", " or ");
}

/** What has become of them once they hold up nothing: parts are "in hand", hands "free", all else "cleared"; null where there are none. */
export function clearedOf(holdUps: Kinds): string | null {
  const kinds = kindsOf(holdUps);
  if (kinds.length === 0) return null;
  const [only] = kinds.length === 1 ? kinds : [];
  return only === "PART" ? "in hand" : only === "HAND" ? "free" : "cleared";
}

/**
 * What holds the end and when it would be without: "Rear axle holds it; with that in hand, 4 Aug 2027". A hand is read by
 * name by those of the shop alone, and is not cleared: nothing waits for it.
 */
export function holdsIt(
  { kind, title, handName }: { kind: Kind; title: string; handName: string | null },
  without: string,
  forOwner: boolean,
): string {
  const who = (forOwner ? null : handName) ?? title;
  const condition = kind === "HAND" ? "if nothing waited for them" : `with that ${clearedOf([{ kind }])}`;
  return `${who} holds it; ${condition}, ${without}.`;
}

const kindsOf = (holdUps: Kinds): Kind[] =>
  (["PART", "SNAG", "TRADE", "HAND"] as const).filter((kind) => [...holdUps].some((one) => one.kind === kind));
