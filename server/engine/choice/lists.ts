/**
 * Undominated pairs of cost and points lost over many choices: a multiple-choice knapsack by merging lists.
 *
 * Choices stand at the leaves of a tree, those of one line of the judging sheet together, and lines of one section. A list
 * at a branch is what is left of all sums of its two sides when every pair that another beats is dropped; points past a
 * cap count as the cap, which can be cut off after any sum under it. Where all choices of a line are together, their sum
 * becomes what the line loses, which never falls as the sum rises, so no pair is dropped that would be missed; where points
 * have a price, a whole section becomes the one cheapest pair. A list is kept for as long as it is asked for again, so that when a
 * few options come in, only the branches above them are merged anew.
 */
import type { ChoiceModel } from "./model.ts";

/** Pairs by ascending points and falling cost. */
export interface PairList {
  serial: number;
  /** In units of {@link PairTree.unit}. */
  points: Int32Array;
  cost: Float64Array;
  /** At a leaf: its choice, and the option of each pair. At a branch: where each pair comes from on either side; on one where a list was turned into another. */
  choice: number;
  left: PairList | null;
  right: PairList | null;
  fromLeft: Int32Array;
  fromRight: Int32Array;
}

type Branch =
  | { choice: number }
  | { left: Branch; right: Branch; cap: number; known: Map<number, PairList> }
  | { of: Branch; turn: (points: number, cost: number) => Pair; known: Map<number, PairList> };

interface Pair {
  points: number;
  cost: number;
}

const UNCAPPED = 0x3fff_ffff;
/** Numbers held in remembered lists before they are forgotten. */
const REMEMBERED = 8_000_000;
/** Widest range of points that is laid out flat. */
const FLAT = 1 << 21;

export class PairTree {
  /** Hundredths of a point that one step of `points` stands for. */
  readonly unit: number;
  private readonly root: Branch | null;
  private readonly leaves: Map<number, PairList>[];
  private readonly capOf: readonly number[];
  private readonly branches: { known: Map<number, PairList> }[] = [];
  private serial = 0;
  private held = 0;
  private flatCost = new Float64Array(1024);
  private flatLeft = new Int32Array(1024);
  private flatRight = new Int32Array(1024);

  constructor(private readonly model: ChoiceModel) {
    let unit = 0;
    for (const { points } of [...model.arriving, ...model.ways]) for (const p of points) unit = divisor(unit, p);
    for (const cap of model.caps) unit = divisor(unit, cap);
    for (const { maximum, step = 1 } of model.lines) unit = divisor(divisor(unit, maximum), step);
    this.unit = unit === 0 ? 1 : unit;
    this.leaves = model.choices.map(() => new Map());
    const inUnits = (hundredths: number): number => Math.min(UNCAPPED, Math.round(hundredths / this.unit));
    this.capOf = model.choices.map((_, choice) => {
      const line = model.lines[model.line[choice]!];
      // Of a loss taken whole it matters only whether there is any.
      if (line !== undefined) return line.mandatory ? 1 : inUnits(line.maximum);
      const section = model.section[choice]!;
      return section < 0 ? UNCAPPED : inUnits(model.caps[section]!);
    });
    const sections = new Map<number, Map<number, number[]>>();
    model.section.forEach((section, choice) => {
      const lines = sections.get(section) ?? new Map<number, number[]>();
      sections.set(section, lines);
      const there = lines.get(model.line[choice]!);
      if (there === undefined) lines.set(model.line[choice]!, [choice]);
      else there.push(choice);
    });
    const roots = [...sections].map(([section, lines]) => {
      const cap = section < 0 ? UNCAPPED : inUnits(model.caps[section]!);
      const members = [...lines].flatMap(([line, choices]): Branch[] => {
        const leaves = choices.map((choice): Branch => ({ choice }));
        if (line < 0) return leaves;
        return [
          this.turned(this.branch(leaves, this.capOf[choices[0]!]!), (points, cost) => ({
            points: Math.min(cap, inUnits(model.lossOn(line, points * this.unit))),
            cost,
          })),
        ];
      });
      const whole = this.branch(members, cap);
      const { pointPrice } = model;
      if (pointPrice === null) return whole;
      return this.turned(whole, (points, cost) => ({
        points: 0,
        cost: cost + Math.min(cap, points) * this.unit * pointPrice,
      }));
    });
    this.root = roots.length === 0 ? null : this.branch(roots, UNCAPPED);
  }

  /**
   * The undominated pairs over all choices.
   * @param open for each choice, which of its options are allowed: how many of the first where it is a part or a snag,
   * a bit for each where it is an operation
   */
  pairs(open: ArrayLike<number>): PairList {
    if (this.held > REMEMBERED) {
      for (const { known } of this.branches) known.clear();
      this.held = 0;
    }
    return this.root === null ? this.list([0], [0], -1, null, null, [0], [0]) : this.at(this.root, open);
  }

  /** Option of each choice (an index among those left in the model) behind one pair. */
  picks(list: PairList, index: number): Int32Array {
    const picks = new Int32Array(this.model.choices.length);
    const walk = (at: PairList, i: number): void => {
      if (at.choice >= 0) picks[at.choice] = at.fromLeft[i]!;
      if (at.left !== null) walk(at.left, at.fromLeft[i]!);
      if (at.right !== null) walk(at.right, at.fromRight[i]!);
    };
    walk(list, index);
    return picks;
  }

  private branch(members: readonly Branch[], cap: number): Branch {
    if (members.length === 1) return members[0]!;
    const middle = members.length >> 1;
    const known = new Map<number, PairList>();
    this.branches.push({ known });
    return {
      left: this.branch(members.slice(0, middle), cap),
      right: this.branch(members.slice(middle), cap),
      cap,
      known,
    };
  }

  private turned(of: Branch, turn: (points: number, cost: number) => Pair): Branch {
    const known = new Map<number, PairList>();
    this.branches.push({ known });
    return { of, turn, known };
  }

  private at(branch: Branch, open: ArrayLike<number>): PairList {
    if ("choice" in branch) return this.leaf(branch.choice, open[branch.choice]!);
    if ("of" in branch) {
      const list = this.at(branch.of, open);
      let made = branch.known.get(list.serial);
      if (made === undefined) {
        made = this.turn(list, branch.turn);
        branch.known.set(list.serial, made);
        this.held += 3 * made.cost.length;
      }
      return made;
    }
    const left = this.at(branch.left, open);
    const right = this.at(branch.right, open);
    const key = left.serial * 0x400_0000 + right.serial;
    let merged = branch.known.get(key);
    if (merged === undefined) {
      merged = this.merge(left, right, branch.cap);
      branch.known.set(key, merged);
      this.held += 4 * merged.cost.length;
    }
    return merged;
  }

  private leaf(choice: number, open: number): PairList {
    let list = this.leaves[choice]!.get(open);
    if (list !== undefined) return list;
    const { arriving, ways } = this.model;
    const isWay = choice >= arriving.length;
    const { cost, points } = isWay ? ways[choice - arriving.length]! : arriving[choice]!;
    const options = [...cost.keys()].filter((k) => (isWay ? (open >>> k) & 1 : k < open));
    const lost = (k: number): number => Math.min(this.capOf[choice]!, Math.round(points[k]! / this.unit));
    options.sort((a, b) => lost(a) - lost(b) || cost[a]! - cost[b]! || a - b);
    const left = cheaperAndCheaper(options.map((k) => ({ k, cost: cost[k]! }))).map(({ k }) => k);
    list = this.list(
      left.map(lost),
      left.map((k) => cost[k]!),
      choice,
      null,
      null,
      left,
      [],
    );
    this.leaves[choice]!.set(open, list);
    return list;
  }

  private list(
    points: ArrayLike<number>,
    cost: ArrayLike<number>,
    choice: number,
    left: PairList | null,
    right: PairList | null,
    fromLeft: ArrayLike<number>,
    fromRight: ArrayLike<number>,
  ): PairList {
    return {
      serial: this.serial++,
      points: Int32Array.from(points),
      cost: Float64Array.from(cost),
      choice,
      left,
      right,
      fromLeft: Int32Array.from(fromLeft),
      fromRight: Int32Array.from(fromRight),
    };
  }

  /** The undominated of the pairs that a list is turned into. */
  private turn(list: PairList, turn: (points: number, cost: number) => Pair): PairList {
    const pairs = Array.from(list.cost, (cost, i) => ({ ...turn(list.points[i]!, cost), i }));
    pairs.sort((a, b) => a.points - b.points || a.cost - b.cost || a.i - b.i);
    const kept = cheaperAndCheaper(pairs);
    return this.list(
      kept.map(({ points }) => points),
      kept.map(({ cost }) => cost),
      -1,
      list,
      null,
      kept.map(({ i }) => i),
      [],
    );
  }

  private merge(left: PairList, right: PairList, cap: number): PairList {
    const m = left.cost.length;
    const n = right.cost.length;
    if (m === 0 || n === 0) return this.list([], [], -1, left, right, [], []);
    const first = Math.min(cap, left.points[0]! + right.points[0]!);
    const last = Math.min(cap, left.points[m - 1]! + right.points[n - 1]!);
    const width = last - first + 1;
    if (width > FLAT && width > 8 * m * n) return this.mergeSorted(left, right, cap);
    if (width > this.flatCost.length) {
      const room = 2 * width;
      this.flatCost = new Float64Array(room);
      this.flatLeft = new Int32Array(room);
      this.flatRight = new Int32Array(room);
    }
    const { flatCost, flatLeft, flatRight } = this;
    const { points, cost } = right;
    flatCost.fill(Number.POSITIVE_INFINITY, 0, width);
    for (let i = 0; i < m; i++) {
      const p = left.points[i]! - first;
      const c = left.cost[i]!;
      for (let j = 0; j < n; j++) {
        let at = p + points[j]!;
        if (at >= width) at = width - 1;
        const sum = c + cost[j]!;
        if (sum < flatCost[at]!) {
          flatCost[at] = sum;
          flatLeft[at] = i;
          flatRight[at] = j;
        }
      }
    }
    let count = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let at = 0; at < width; at++)
      if (flatCost[at]! < least) {
        least = flatCost[at]!;
        count++;
      } else flatCost[at] = Number.POSITIVE_INFINITY;
    const result = this.list([], [], -1, left, right, [], []);
    result.points = new Int32Array(count);
    result.cost = new Float64Array(count);
    result.fromLeft = new Int32Array(count);
    result.fromRight = new Int32Array(count);
    for (let at = 0, k = 0; k < count; at++) {
      if (flatCost[at] === Number.POSITIVE_INFINITY) continue;
      result.points[k] = first + at;
      result.cost[k] = flatCost[at]!;
      result.fromLeft[k] = flatLeft[at]!;
      result.fromRight[k++] = flatRight[at]!;
    }
    return result;
  }

  /** The same where points lie too far apart to be laid out flat. */
  private mergeSorted(left: PairList, right: PairList, cap: number): PairList {
    const sums: { points: number; cost: number; i: number; j: number }[] = [];
    for (let i = 0; i < left.cost.length; i++)
      for (let j = 0; j < right.cost.length; j++)
        sums.push({
          points: Math.min(cap, left.points[i]! + right.points[j]!),
          cost: left.cost[i]! + right.cost[j]!,
          i,
          j,
        });
    sums.sort((a, b) => a.points - b.points || a.cost - b.cost);
    const kept = cheaperAndCheaper(sums);
    return this.list(
      kept.map((s) => s.points),
      kept.map((s) => s.cost),
      -1,
      left,
      right,
      kept.map((s) => s.i),
      kept.map((s) => s.j),
    );
  }
}

/** Of pairs by ascending points those that are cheaper than all before them. */
function cheaperAndCheaper<One extends { cost: number }>(pairs: readonly One[]): One[] {
  let least = Number.POSITIVE_INFINITY;
  return pairs.filter(({ cost }) => {
    if (cost >= least) return false;
    least = cost;
    return true;
  });
}

/** Greatest common divisor. */
export function divisor(a: number, b: number): number {
  let x = Math.abs(a);
  let y = Math.abs(b);
  while (y > 0) [x, y] = [y, x % y];
  return x;
}
