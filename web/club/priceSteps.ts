/** Places of the price at each size: sizes across, price of a piece up. Pure. */

export interface PricedSize {
  size: number;
  /** Minor units. */
  piece: number;
}

export interface StepLayout {
  /** The line in steps: a size's price stands half a size to either side. */
  path: string;
  /** Places in parts of the width and the height, 0 to 1 from the left and from the top. */
  at: (size: number) => { x: number; y: number };
  /** Where the sizes that are too small to go ahead end; null where all shown go ahead. */
  short: number | null;
  /** Sizes written under the line. */
  ticks: number[];
  high: number;
  low: number;
}

/** Room above and below the line, in parts of the height. */
const AIR = 0.08;
const TICKS = 7;

/** @param sizes by rising size, at least one */
export function stepsOf(sizes: readonly PricedSize[], smallest: number): StepLayout {
  const first = sizes[0]!.size;
  const count = sizes.length;
  const prices = sizes.map(({ piece }) => piece);
  const [low, high] = [Math.min(...prices), Math.max(...prices)];
  const x = (size: number): number => (size - first + 0.5) / count;
  const y = (piece: number): number => (high === low ? 0.5 : AIR + ((high - piece) / (high - low)) * (1 - 2 * AIR));
  const half = 0.5 / count;
  const path = sizes
    .map(({ size, piece }, place) => {
      const [from, to, height] = [x(size) - half, x(size) + half, y(piece)].map((part) => (part * 1000).toFixed(1));
      return `${place === 0 ? "M" : "L"}${from} ${height}L${to} ${height}`;
    })
    .join("");
  const every = Math.max(1, Math.ceil(count / TICKS));
  const short = smallest > first && smallest <= first + count - 1 ? x(smallest) - half : null;
  return {
    path,
    at: (size) => ({ x: x(size), y: y(sizes.find((one) => one.size === size)?.piece ?? low) }),
    short,
    ticks: sizes.map(({ size }) => size).filter((size) => (size - first) % every === 0),
    high,
    low,
  };
}
