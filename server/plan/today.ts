/** Today's ISO date where the program runs, or that of another moment: the one place that reads a clock for a plan. */
export function today(now: Date = new Date()): string {
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
}
