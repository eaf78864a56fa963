import { dateOfDay, dayNumber } from "../shared/format.ts";

/** Turns dates into pixels: from the data date at the left to past the latest end. */
export interface Scale {
  /** First and last day shown. */
  start: string;
  end: string;
  width: number;
  /** Where the axis ends and the room for labels begins. */
  axisEnd: number;
  x: (date: string) => number;
}

/** `room`: pixels kept free at the right for what stands beside the ends. */
export function scaleOf(dataDate: string, dates: readonly (string | null)[], width: number, room: number): Scale {
  const start = dayNumber(dataDate);
  const latest = Math.max(start + 14, ...dates.filter((date) => date !== null).map(dayNumber));
  const end = latest + Math.max(3, Math.round((latest - start) * 0.03));
  const axisEnd = Math.max(60, width - room);
  return {
    start: dataDate,
    end: dateOfDay(end),
    width,
    axisEnd,
    x: (date) => Math.min(axisEnd, Math.max(0, ((dayNumber(date) - start) / (end - start)) * axisEnd)),
  };
}

export interface Month {
  /** First of the month. */
  date: string;
  x: number;
  /** "Jan", with its year where it changes; blank where labels would touch. */
  label: string;
}

const NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** Firsts of the months on the axis, labelled as often as there is room for. */
export function monthsOf(scale: Scale): Month[] {
  const months: { year: number; month: number }[] = [];
  let year = Number(scale.start.slice(0, 4));
  let month = Number(scale.start.slice(5, 7));
  for (;;) {
    month += 1;
    if (month > 12) {
      month = 1;
      year += 1;
    }
    if (`${year}-${String(month).padStart(2, "0")}-01` > scale.end) break;
    months.push({ year, month });
  }
  const apart = months.length > 0 ? scale.axisEnd / months.length : 0;
  const every = [1, 2, 3, 6, 12].find((step) => apart * step >= 38) ?? 12;
  let yearShown = 0;
  return months.map(({ year, month }) => {
    const date = `${year}-${String(month).padStart(2, "0")}-01`;
    const x = scale.x(date);
    const shown = (month - 1) % every === 0 && x < scale.axisEnd - 18;
    const label = shown ? `${NAMES[month - 1]}${year !== yearShown && (month === 1 || yearShown === 0) ? ` ${year}` : ""}` : "";
    if (shown) yearShown = year;
    return { date, x, label };
  });
}
