/** Places of a line over time: day of the figuress across, the date of the end up. Pure. */
import { dateOfDay, dayNumber, majorText } from "../shared/format.ts";

export interface LineDay {
  day: string;
  open: boolean;
  /** With what was open cleared. */
  completion: string;
  evenOdds: string | null;
  fourInFive: string | null;
  targetDate: string | null;
  /** Minor units. */
  cost: number | null;
}

export interface Axis {
  at: number;
  label: string;
}

export interface LineLayout {
  /** Paths in steps: a day's figures hold until the next kept day. */
  completion: string;
  target: string;
  cost: string;
  /** The band from even odds to 4 in 5, closed. */
  band: string;
  /** Stretches in which completion was open. */
  open: { from: number; to: number }[];
  points: { day: string; x: number; y: number }[];
  days: Axis[];
  ends: Axis[];
  costs: Axis[];
  /** Bottom of the upper drawing; the lower one hangs below it. */
  upper: number;
}

/** Room for axes and labels, in pixels. */
export const MARGIN = { left: 78, right: 14, top: 22, bottom: 30, between: 34 } as const;
const COST_SHARE = 0.3;

export function layoutOf(days: readonly LineDay[], width: number, height: number, decimals: number): LineLayout {
  const hasCost = days.some(({ cost }) => cost !== null);
  const bottom = height - MARGIN.bottom;
  const upper = hasCost ? bottom - (bottom - MARGIN.top) * COST_SHARE - MARGIN.between : bottom;
  const first = dayNumber(days[0]!.day);
  const last = Math.max(dayNumber(days.at(-1)!.day), first + 1);
  const right = width - MARGIN.right;
  const x = (day: number): number => MARGIN.left + ((day - first) / (last - first)) * (right - MARGIN.left);

  const ends = days
    .flatMap((d) => [d.completion, d.evenOdds, d.fourInFive, d.targetDate])
    .filter((date) => date !== null)
    .map(dayNumber);
  const low = Math.min(...(ends.length > 0 ? ends : [first]));
  const high = Math.max(...(ends.length > 0 ? ends : [last]), low + 7);
  const room = Math.max(3, (high - low) * 0.08);
  const y = (date: string): number =>
    upper - ((dayNumber(date) - low + room) / (high - low + 2 * room)) * (upper - MARGIN.top);

  const costs = days.flatMap(({ cost }) => (cost === null ? [] : [cost]));
  const least = Math.min(...costs);
  const most = Math.max(...costs, least + 10 ** decimals);
  const costY = (cost: number): number =>
    bottom - 4 - ((cost - least) / (most - least)) * (bottom - upper - MARGIN.between - 8);

  const at = days.map((d) => x(dayNumber(d.day)));
  const until = (place: number): number => at[place + 1] ?? right;
  /** A line in steps that is broken where there is no figure. */
  const steps = (value: (day: LineDay) => number | null): string => {
    let path = "";
    let drawn = false;
    days.forEach((day, place) => {
      const v = value(day);
      if (v === null) {
        drawn = false;
        return;
      }
      path += `${drawn ? "V" : `M${round(at[place]!)} `}${round(v)}H${round(until(place))}`;
      drawn = true;
    });
    return path;
  };
  const dated = (pick: (day: LineDay) => string | null) => (day: LineDay) => {
    const date = pick(day);
    return date === null ? null : y(date);
  };
  const open: LineLayout["open"] = [];
  let band = "";
  days.forEach((day, place) => {
    if (day.open) {
      const before = open.at(-1);
      if (before && before.to === at[place]) before.to = until(place);
      else open.push({ from: at[place]!, to: until(place) });
    }
    if (day.evenOdds !== null && day.fourInFive !== null)
      band += `M${round(at[place]!)} ${round(y(day.evenOdds))}H${round(until(place))}V${round(y(day.fourInFive))}H${round(at[place]!)}Z`;
  });
  return {
    completion: steps(dated((day) => day.completion)),
    target: steps(dated((day) => day.targetDate)),
    cost: hasCost ? steps(({ cost }) => (cost === null ? null : costY(cost))) : "",
    band,
    open,
    points: days.map(({ day, completion }, place) => ({
      day,
      x: at[place]!,
      y: y(completion),
    })),
    days: spaced(
      days.map(({ day }, place) => ({ at: at[place]!, label: day })),
      width < 560 ? 76 : 110,
    ),
    ends: spaced(
      [low, ...monthStarts(low, high), high].map((day) => ({ at: y(dateOfDay(day)), label: dateOfDay(day) })),
      24,
    ),
    costs: hasCost
      ? [...new Set([least, Math.max(...costs)])].map((cost) => ({ at: costY(cost), label: majorText(cost, decimals) }))
      : [],
    upper,
  };
}

/** The first days of the months between. */
function monthStarts(low: number, high: number): number[] {
  const starts: number[] = [];
  for (let day = low + 1; day < high; day++) if (dateOfDay(day).endsWith("-01")) starts.push(day);
  return starts;
}

/** Labels that do not run together: first and last are kept, those between where there is room. */
function spaced(axis: Axis[], apart: number): Axis[] {
  if (axis.length < 2) return axis;
  const last = axis.at(-1)!;
  const kept = [axis[0]!];
  for (const one of axis.slice(1, -1))
    if (Math.abs(one.at - kept.at(-1)!.at) >= apart && Math.abs(one.at - last.at) >= apart) kept.push(one);
  if (Math.abs(last.at - kept[0]!.at) >= apart || kept.length > 1) kept.push(last);
  return kept;
}

const round = (value: number): number => Math.round(value * 10) / 10;
