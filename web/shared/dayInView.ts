import { dateInFull, dayWord, inDays, today } from "./format.ts";
import { useRestoration } from "./restoration.ts";

/** How the day that figures are for is spoken of: of another day than today in the workshop nothing is said to be today. */
export function useDayInView(figuresFor?: string) {
  const { day, timeZone } = useRestoration();
  const isToday = (figuresFor ?? day) === today(timeZone);
  const inDaysOf = (count: number) => inDays(count, isToday);
  return {
    isToday,
    word: dayWord(isToday),
    inDays: inDaysOf,
    /** Where no date stands beside it that could be the same day. */
    alone: (count: number) => (count === 0 && !isToday ? `on ${dateInFull(figuresFor ?? day)}` : inDaysOf(count)),
  };
}
