/** Places of plans on a sheet of paper: date across, cost up. Pure. */
import { dateOfDay, dayNumber, majorText, plainNumber } from "../shared/format.ts";

export interface PlotPlan {
  number: number;
  date: string;
  /** Minor units. */
  cost: number;
  points: number;
}

export interface PlacedMark {
  /** Plan number; null: the plan in force. */
  number: number | null;
  x: number;
  y: number;
  radius: number;
  /** Where its points stand in figures, from its middle; null where there is no room. */
  figures: Beside | null;
  /** False where it would lie on another: it is then a point of its date's line. */
  shown: boolean;
}

/** A place beside a mark, in pixels from its middle to the foot of the text. */
export interface Beside {
  dx: number;
  dy: number;
  anchor: "start" | "middle" | "end";
}

export interface PlotAxis {
  at: number;
  label: string;
}

export interface PlotLayout {
  marks: PlacedMark[];
  /** Through the plans of each date, the fewest points lost first. */
  lines: { x: number; y: number }[][];
  dates: PlotAxis[];
  costs: PlotAxis[];
  /** Place of the target date, and of the cap; null where there is none, or it is beyond the sheet. */
  target: number | null;
  cap: number | null;
}

export interface PlotInput {
  plans: readonly PlotPlan[];
  inForce: { date: string; cost: number; points: number } | null;
  targetDate: string | null;
  capMinor: number | null;
  decimals: number;
  /** Number of the plan that is always shown. */
  best?: number | null;
  /** Pixels. */
  width: number;
  height: number;
}

/** Room for axes and labels, in pixels. */
export const MARGIN = { left: 62, right: 26, top: 30, bottom: 34 } as const;
const LEAST = 4;
const MOST = 10;
/** What figures take: each of them across, all of them up. */
const FIGURE = { wide: 7.5, tall: 12 } as const;
/** What the words beside the plan in force take, and those at the target's line. */
const WORDS = { inForce: 90, target: 50 } as const;

/** Plans of one date stand side by side, the fewest points lost first, as far as the next date leaves room. */
export function layoutOf(input: PlotInput): PlotLayout {
  const { plans, inForce, targetDate, capMinor, decimals, best = null, width, height } = input;
  const all = [...plans, ...(inForce ? [{ number: null, ...inForce }] : [])];
  const days = all.map(({ date }) => dayNumber(date));
  const costs = all.map(({ cost }) => cost);
  if (all.length === 0) return { marks: [], lines: [], dates: [], costs: [], target: null, cap: null };
  const targetDay = targetDate === null ? null : dayNumber(targetDate);
  const dearest = Math.max(...costs);
  const shownCap = capMinor !== null && capMinor >= 0 && capMinor <= dearest * 2.5 ? capMinor : null;

  const right = width - MARGIN.right;
  const firstDay = Math.min(...days, targetDay ?? Number.POSITIVE_INFINITY);
  const lastDay = Math.max(...days, targetDay ?? Number.NEGATIVE_INFINITY);
  const distinct = [...new Set(days)].sort((a, b) => a - b);
  // The last date's plans need room beside it too.
  const strip = Math.min(320, (right - MARGIN.left) / (distinct.length + 1.5));
  const across = Math.max(1, right - MARGIN.left - strip - MOST);
  const x = (day: number) => MARGIN.left + MOST + ((day - firstDay) / Math.max(1, lastDay - firstDay)) * across;

  const least = Math.min(...costs, shownCap ?? Number.POSITIVE_INFINITY);
  const most = Math.max(dearest, shownCap ?? 0);
  const step = stepOf(Math.max(most - least, 10 ** decimals), decimals);
  const floor = Math.floor((least - step * 0.25) / step) * step;
  const ceiling = most + step * 0.25;
  const y = (cost: number) =>
    height - MARGIN.bottom - ((cost - floor) / (ceiling - floor)) * (height - MARGIN.top - MARGIN.bottom);

  const losses = all.map(({ points }) => points);
  const fewest = Math.min(...losses);
  const spread = Math.max(...losses) - fewest;
  const share = (points: number) => (spread > 0 ? (points - fewest) / spread : 0);
  const room = new Map(
    distinct.map((day, place) => {
      const next = distinct[place + 1];
      return [day, Math.min(strip, next === undefined ? strip : Math.max(0, x(next) - x(day) - 2 * MOST))] as const;
    }),
  );
  const marks = all.map(({ number, date, cost, points }): PlacedMark => {
    const day = dayNumber(date);
    return {
      number,
      x: x(day) + share(points) * (room.get(day) ?? 0),
      y: y(cost),
      radius: LEAST + Math.sqrt(share(points)) * (MOST - LEAST),
      figures: null,
      shown: number === null,
    };
  });
  const ofDates = distinct.map((day) =>
    marks
      .map((mark, place) => ({ mark, day: days[place]!, points: losses[place]! }))
      .filter((one) => one.day === day && one.mark.number !== null)
      .sort((a, b) => a.points - b.points)
      .map(({ mark }) => mark),
  );
  showWhereThereIsRoom(marks, ofDates, best);
  const target = targetDay === null ? null : x(targetDay);
  const drawn = marks.filter(({ shown }) => shown);
  writeWhereThereIsRoom(
    drawn,
    drawn.map((mark) => figuresOf(losses[marks.indexOf(mark)]!)),
    target,
    width,
  );

  const dates: PlotAxis[] = [];
  for (const day of [...distinct, ...(targetDay === null ? [] : [targetDay])].sort((a, b) => a - b)) {
    const at = x(day);
    const before = dates.at(-1);
    if (!before || at - before.at > 88) dates.push({ at, label: dateOfDay(day) });
  }
  const lines: PlotAxis[] = [];
  for (let cost = Math.ceil(floor / step) * step; cost <= ceiling; cost += step)
    lines.push({ at: y(cost), label: majorText(cost, decimals).replace(/\.0+$/, "") });
  return {
    marks,
    lines: ofDates.filter((line) => line.length > 1),
    dates,
    costs: lines,
    target,
    cap: shownCap === null ? null : y(shownCap),
  };
}

/** Of a line of marks the one that lies farthest from the straight way between its ends: past it, less of one costs much of the other. */
function kneeOf(line: readonly PlacedMark[]): PlacedMark | undefined {
  const [from, to] = [line[0], line.at(-1)];
  if (!from || !to) return undefined;
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const away = ({ x, y }: PlacedMark) => Math.abs(dx * (y - from.y) - dy * (x - from.x));
  return line.reduce((knee, mark) => (away(mark) > away(knee) ? mark : knee), from);
}

/** Shows the best, the ends and the knee of each date's plans, then each of the others that lies on none that is shown. */
function showWhereThereIsRoom(marks: PlacedMark[], ofDates: readonly PlacedMark[][], best: number | null): void {
  const first = [
    ...marks.filter(({ number }) => number !== null && number === best),
    ...ofDates.flatMap((line) => [line[0], line.at(-1), kneeOf(line)]).filter((mark) => mark !== undefined),
  ];
  const clear = (mark: PlacedMark): boolean =>
    marks.every(
      (other) =>
        other === mark ||
        !other.shown ||
        Math.hypot(other.x - mark.x, other.y - mark.y) >= other.radius + mark.radius + 2,
    );
  for (const mark of [...first, ...marks]) mark.shown ||= clear(mark);
}

/** A round amount that divides the span into some five pieces. */
function stepOf(span: number, decimals: number): number {
  const unit = 10 ** decimals;
  const raw = Math.max(span / 5, unit);
  const power = 10 ** Math.floor(Math.log10(raw));
  return (([1, 2, 5, 10].find((times) => times * power >= raw) ?? 10) as number) * power;
}

/** Points lost as they stand beside a mark. */
export const figuresOf = (points: number): string => plainNumber(points, 2);

interface Box {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

const meet = (a: Box, b: Box): boolean => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** Places that are tried for the figures of a mark, the best first. */
const places = (radius: number): Beside[] => [
  { dx: 0, dy: -radius - 4, anchor: "middle" },
  { dx: radius + 4, dy: 4, anchor: "start" },
  { dx: -radius - 4, dy: 4, anchor: "end" },
  { dx: 0, dy: radius + FIGURE.tall + 2, anchor: "middle" },
];

function boxOf(mark: PlacedMark, { dx, dy, anchor }: Beside, text: string): Box {
  const wide = text.length * FIGURE.wide;
  const left = mark.x + dx - (anchor === "start" ? 0 : anchor === "end" ? wide : wide / 2);
  return { left, right: left + wide, top: mark.y + dy - FIGURE.tall, bottom: mark.y + dy };
}

/** Figures of each mark in order, where they lie neither on another mark nor on other words. */
function writeWhereThereIsRoom(
  marks: PlacedMark[],
  texts: readonly string[],
  target: number | null,
  width: number,
): void {
  const around = ({ x, y, radius }: PlacedMark): Box => ({
    left: x - radius,
    right: x + radius,
    top: y - radius,
    bottom: y + radius,
  });
  const taken = marks.map((mark): Box => {
    const box = around(mark);
    return mark.number === null ? { ...box, left: box.left - 6, right: mark.x + 16 + WORDS.inForce } : box;
  });
  if (target !== null)
    taken.push(
      { left: target - 2, right: target + 2, top: 0, bottom: Number.POSITIVE_INFINITY },
      { left: target, right: target + WORDS.target, top: MARGIN.top - 4, bottom: MARGIN.top + 12 },
    );
  for (const [place, mark] of marks.entries()) {
    if (mark.number === null) continue;
    for (const beside of places(mark.radius)) {
      const box = boxOf(mark, beside, texts[place]!);
      if (
        box.left < MARGIN.left ||
        box.right > width ||
        box.top < 0 ||
        taken.some((other, at) => at !== place && meet(box, other))
      )
        continue;
      mark.figures = beside;
      taken.push(box);
      break;
    }
  }
}
