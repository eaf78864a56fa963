/**
 * The order in which hold-ups are cleared where hands are among them. An arrival holds the end alone, a hand holds it through
 * what waits for it, so what a line gains depends on which are cleared above: the next is always the one that gains most.
 */

/** The ladder of the arrivals alone, with some hands that nothing waits for. */
export interface ArrivalsLadder {
  /** Arrivals that end later than the work alone, the longest first, with the days on which they end. */
  rungs: readonly { id: string; day: number }[];
  /** The day on which the work alone ends. */
  work: number;
}

/** Lines of one day: one that gains alone, or several of which all must be cleared to gain anything. */
export interface ClearedTogether {
  arrivals: readonly string[];
  hands: readonly string[];
  /** The end with all above cleared, and with these too; days. */
  heldTo: number;
  next: number;
}

/**
 * @param hands in the order in which equal ones are taken
 * @param ladderWith the ladder where nothing waits for these hands
 */
export function lineByLine(
  hands: readonly string[],
  ladderWith: (free: ReadonlySet<string>) => ArrivalsLadder,
): ClearedTogether[] {
  const known = new Map<string, ArrivalsLadder>();
  const ladderOf = (free: ReadonlySet<string>): ArrivalsLadder => {
    const key = JSON.stringify(hands.filter((hand) => free.has(hand)));
    const found = known.get(key) ?? ladderWith(free);
    known.set(key, found);
    return found;
  };
  const endWith = (free: ReadonlySet<string>, inHand: ReadonlySet<string>): number => {
    const { rungs, work } = ladderOf(free);
    return rungs.find(({ id }) => !inHand.has(id))?.day ?? work;
  };
  const lines: ClearedTogether[] = [];
  const free = new Set<string>();
  const inHand = new Set<string>();
  for (;;) {
    const { rungs, work } = ladderOf(free);
    const left = rungs.filter(({ id }) => !inHand.has(id));
    const heldTo = left[0]?.day ?? work;
    const top = left.filter(({ day }) => day === heldTo).map(({ id }) => id);
    const waited = hands.filter((hand) => !free.has(hand));
    const clear = (arrivals: readonly string[], freed: readonly string[]): void => {
      for (const id of arrivals) inHand.add(id);
      for (const hand of freed) free.add(hand);
      lines.push({ arrivals, hands: freed, heldTo, next: endWith(free, inHand) });
    };
    let best: string | undefined;
    let soonest = top.length === 1 ? (left[1]?.day ?? work) : heldTo;
    for (const hand of waited) {
      const end = endWith(new Set([...free, hand]), inHand);
      if (end < soonest) {
        best = hand;
        soonest = end;
      }
    }
    if (best !== undefined) clear([], [best]);
    else if (soonest < heldTo) clear(top, []);
    else {
      // Nothing gains alone: what is not needed for all together to gain is left out, hands before what can be ordered.
      const gain = (arrivals: ReadonlySet<string>, freed: ReadonlySet<string>): boolean =>
        endWith(new Set([...free, ...freed]), new Set([...inHand, ...arrivals])) < heldTo;
      // With the hands free, what the work alone hid may hold the end.
      const hidden = ladderOf(new Set(hands)).rungs.filter(({ id, day }) => day === heldTo && !inHand.has(id));
      const arrivals = new Set([...top, ...hidden.map(({ id }) => id)]);
      const freed = new Set(waited);
      if (!gain(arrivals, freed)) {
        if (top.length > 0) clear(top, []);
        return lines;
      }
      for (const of of [freed, arrivals])
        for (const one of [...of].reverse()) {
          of.delete(one);
          if (!gain(arrivals, freed)) of.add(one);
        }
      clear(
        [...arrivals],
        waited.filter((hand) => freed.has(hand)),
      );
    }
  }
}
