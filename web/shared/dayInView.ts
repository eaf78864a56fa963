import { dayWord, inDays, today } from "./format.ts";
import { useRestoration } from "./restoration.ts";

/** How the day that figures are for is spoken of: of another day than today in the workshop nothing is said to be today. */
export function useDayInView(figuresFor?: string) {
  const { day, timeZone } = useRestoration();
  const isToday = (figuresFor ?? day) === today(timeZone);
  return { isToday, word: dayWord(isToday), inDays: (count: number) => inDays(count, isToday) };
}
