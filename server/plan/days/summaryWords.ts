/** Dates, days and chances in the sentences of a plan and of a day's summary. */

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** A date as people write it: 2 Aug 2027. The screens say it alike. */
export const dateInWords = (date: string): string =>
  `${Number(date.slice(8))} ${MONTHS[Number(date.slice(5, 7)) - 1]} ${date.slice(0, 4)}`;

/** What is wrong with a day on which something is said to have been done, after the name of its field. */
export const notAfter = (last: string): string => `must not be after ${dateInWords(last)}`;

export const daysInWords = (count: number): string => (count === 1 ? "1 day" : `${count} days`);

/** Days from the day that figures are for: of today as "today", "tomorrow", "in 9 days", "9 days ago"; of another day "that same day", "9 days later", "9 days earlier". */
export function fromDay(days: number, isToday: boolean): string {
  if (isToday) return fromToday(days);
  if (days === 0) return "that same day";
  return `${daysInWords(Math.abs(days))} ${days > 0 ? "later" : "earlier"}`;
}

function fromToday(days: number): string {
  if (days === 0) return "today";
  if (days === 1) return "tomorrow";
  return days > 0 ? `in ${daysInWords(days)}` : `${daysInWords(-days)} ago`;
}

/** Out of how many odds are said: what people say, "17 in 20" and never "11 in 13". */
const OUT_OF = [2, 3, 4, 5, 10, 20];

/**
 * A chance as odds: 0.8 is "4 in 5". Within half of one in a hundred, and never certain while it is not. The screens say
 * them alike.
 */
export function oddsInWords(chance: number): string {
  if (chance <= 0) return "no chance";
  if (chance >= 1) return "certain";
  if (chance < 0.005) return "less than 1 in 200";
  if (chance > 0.995) return "more than 199 in 200";
  // Exactly where that can be, else the smallest that is near enough.
  for (const near of [1e-9, 0.005]) {
    for (const of of OUT_OF) {
      const ins = Math.round(chance * of);
      if (ins > 0 && ins < of && Math.abs(ins / of - chance) < near) return `${ins} in ${of}`;
    }
  }
  return `${Math.min(99, Math.max(1, Math.round(chance * 100)))} in 100`;
}

/** Chance of the target date in a sentence, and how it stood on an earlier day where that is known. */
export function targetOddsInWords(odds: number, before: { odds: number; day: string } | null): string {
  const now =
    odds <= 0
      ? "No run keeps the target"
      : odds >= 1
        ? "Every run keeps the target"
        : `The odds of keeping the target are ${oddsInWords(odds)}`;
  if (before === null) return `${now}.`;
  const day = dateInWords(before.day);
  if (oddsInWords(before.odds) === oddsInWords(odds)) return `${now}, as on ${day}.`;
  const subject = odds <= 0 || odds >= 1 ? "the odds" : "they";
  const then =
    before.odds <= 0
      ? "no run kept it"
      : before.odds >= 1
        ? "every run kept it"
        : `${subject} were ${oddsInWords(before.odds)}`;
  return `${now}; on ${day} ${then}.`;
}

/** What is ordered: of what is still looked for the quote that is its fallback. */
export const whatToOrder = ({ state }: { state: string | null }): string =>
  state === "HUNTED" ? "its fallback" : "it";

/** "order it from Lower Mill Foundry"; of the shop's own work "begin it at Quill Lane Workshop": the day is that of its beginning. */
export const getFrom = ({ name, kind }: { name: string; kind: string }, what: string): string =>
  kind === "SHOP" ? `begin ${what} at ${name}` : `order ${what} from ${name}`;
