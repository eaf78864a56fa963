/**
 * An end that no order of work beats: the longest path on the hands' own hours, and the load of what only some of the
 * hands can do. For an end that is tried, an operation has a head (its earliest start) and a due (its latest finish); what
 * a set of hands alone can do between a head and a due must find room in that set's hours between the two. The sets are
 * those that some need asks for, the unions of any two of them, and larger ones grown towards the most hours a hand.
 */
import { days, hours, SAME_INSTANT } from "../time/units.ts";
import { earliest, endsOf, latest } from "./ownPass.ts";
import type { HandOperation, Shop } from "./shop.ts";

/** Operations past which the bound is the longest path alone. */
const MOST_OPERATIONS = 500;

/** Days by which a bound is moved on at most: of work for many years it is told as far as that. */
const MOST_STEPS = 600;

interface Load {
  position: number;
  /** Hours of all the hands of the need. */
  hours: number;
}

interface HandSet {
  lines: readonly number[];
  loads: Load[];
}

/**
 * For each restoration, from its own work alone, the hour before which it cannot end.
 * @param operations those of which the shop was made, for what each needs
 */
export function lowerBounds(shop: Shop, operations: readonly HandOperation[]): Float64Array {
  const { earlyStart, earlyFinish } = earliest(shop);
  const bounds = endsOf(shop, earlyFinish);
  // Loads of sets are gone through day by day, which of so much work takes too long for a request.
  if (!shop.plain && shop.size > MOST_OPERATIONS) return bounds;
  for (let r = 0; r < shop.restorations; r++) {
    const own = operations.filter(
      ({ restoration, hours: work, doneOn }) => restoration === r && work > 0 && doneOn === undefined,
    );
    const sets = setsOf(shop, own);
    const ends = new Float64Array(shop.restorations).fill(Number.POSITIVE_INFINITY);
    let end = bounds[r]!;
    if (!Number.isFinite(end)) continue;
    let due: Float64Array | null = null;
    let steps = 0;
    for (const set of sets) {
      // Each step is proved: however many there are, the end is no sooner.
      while (steps++ < MOST_STEPS) {
        ends[r] = end;
        due ??= latest(shop, ends).lateFinish;
        const over = tooMuch(shop, set, earlyStart, due);
        if (over <= SAME_INSTANT) break;
        // A plain instance counts in whole hours; on a calendar the end moves on to the close of the next day.
        end = shop.plain ? Math.ceil(end + over - SAME_INSTANT) : nextClose(shop, end);
        due = null;
      }
    }
    // What is proved is the day: the end may lie anywhere in it.
    bounds[r] = shop.plain || end === bounds[r] ? end : Math.max(bounds[r]!, opening(shop, end));
  }
  return bounds;
}

/** Just after the opening of the day on which an end falls. */
const opening = ({ calendar }: Shop, end: number): number =>
  calendar.hoursBefore(calendar.finishDay(hours(end))) + 2 * SAME_INSTANT;

/** The close of the day, or else of the next one of work: ends are compared by day. */
const nextClose = ({ calendar }: Shop, end: number): number =>
  calendar.hoursBefore(days(calendar.startDay(hours(end)) + 1));

/** By how many hours each, at least, the hands of a set are too few; 0: they suffice. */
function tooMuch(shop: Shop, { lines, loads }: HandSet, head: Float64Array, due: Float64Array): number {
  const byHead = loads.toSorted((a, b) => head[b.position]! - head[a.position]!);
  const dues = [...new Set(loads.map(({ position }) => due[position]!))];
  const hands = lines.reduce((sum, line) => sum + shop.capacity[line]!, 0);
  const roomTo = (t: number): number =>
    shop.plain
      ? hands * t
      : lines.reduce((sum, line) => sum + shop.capacity[line]! * shop.lineHours[line]!.before(t), 0);
  const rooms = byHead.map(({ position }) => roomTo(head[position]!));
  let most = 0;
  for (const d of dues) {
    const room = roomTo(d);
    let load = 0;
    for (let i = 0; i < byHead.length; i++) {
      const { position, hours: work } = byHead[i]!;
      if (due[position]! > d + SAME_INSTANT) continue;
      load += work;
      const over = load - (room - rooms[i]!);
      if (over > most) most = over;
    }
  }
  return most / hands;
}

function setsOf(shop: Shop, operations: readonly HandOperation[]): HandSet[] {
  const able = (trade: string, begunBy: readonly string[] | undefined): number[] =>
    shop.lines.flatMap(({ id, trades }, line) =>
      trades.includes(trade) && (begunBy === undefined || begunBy.includes(id)) ? [line] : [],
    );
  const needs: { key: Set<number>; load: Load }[] = [];
  const single = new Map<string, Set<number>>();
  for (const { id, hours: work, needs: asked, begunBy } of operations)
    for (const { trade, hands } of asked) {
      const lines = able(trade, begunBy);
      if (lines.length === 0) continue;
      const key = new Set(lines);
      needs.push({ key, load: { position: shop.network.position(id), hours: work * hands } });
      single.set(lines.join(" "), key);
    }
  const all = new Map(single);
  const add = (set: ReadonlySet<number>): void => {
    all.set([...set].sort((a, b) => a - b).join(" "), new Set(set));
  };
  const singles = [...single.values()];
  const loadOf = (set: ReadonlySet<number>): number =>
    needs.reduce((sum, { key, load }) => (within(key, set) ? sum + load.hours : sum), 0);
  const handsOf = (set: ReadonlySet<number>): number => [...set].reduce((sum, line) => sum + shop.capacity[line]!, 0);
  for (const begin of singles) {
    for (const other of singles) add(new Set([...begin, ...other]));
    // On from each, always with the set that leaves the most hours a hand, until all hands are in.
    for (let set = begin; ; ) {
      const next = singles
        .filter((other) => !within(other, set))
        .map((other) => new Set([...set, ...other]))
        .map((union) => ({ union, density: loadOf(union) / handsOf(union) }));
      if (next.length === 0) break;
      set = next.reduce((most, one) => (one.density > most.density ? one : most)).union;
      add(set);
    }
  }
  return [...all.values()].map((set) => ({
    lines: [...set],
    loads: needs.filter(({ key }) => within(key, set)).map(({ load }) => load),
  }));
}

const within = (one: ReadonlySet<number>, other: ReadonlySet<number>): boolean =>
  [...one].every((line) => other.has(line));
