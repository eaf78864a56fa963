/** Hours at the bench: what is left of an operation, and what its entries add up to. */

interface Work {
  hoursLikely: number;
  remainingHours: number | null;
  chosenWay: { hours: number } | null;
}

interface HoursEntry {
  id: string;
  hours: number;
  correctsId: string | null;
}

/** Hundredths of a minute: closer than a clock at the bench is read, and free of what binary fractions leave over. */
export const exactHours = (hours: number): number => Math.round(hours * 6_000) / 6_000;

/** Hours still to do: as last judged, else those of the way in force. Done work has none. */
export function hoursLeft(work: Work & { state: "NOT_STARTED" | "UNDER_WAY" | "DONE" }): number {
  if (work.state === "DONE") return 0;
  const whole = work.chosenWay?.hours ?? work.hoursLikely;
  return work.state === "UNDER_WAY" ? (work.remainingHours ?? whole) : whole;
}

/** What is left after so many more hours, where nobody judged it; never less than zero. */
export const leftAfter = (left: number, hours: number): number => Math.max(0, exactHours(left - hours));

/** Sum of entries, corrections with their sign. */
export const totalHours = (entries: readonly { hours: number }[]): number =>
  exactHours(entries.reduce((sum, { hours }) => sum + hours, 0));

/** An entry and all that put it right, from the first to the last. `all` holds every entry of the operation. */
export function correctionsOf<Entry extends HoursEntry>(all: readonly Entry[], id: string): Entry[] {
  const byId = new Map(all.map((entry) => [entry.id, entry]));
  const after = new Map(all.map((entry) => [entry.correctsId, entry]));
  let first = byId.get(id);
  while (first?.correctsId) first = byId.get(first.correctsId);
  const chain: Entry[] = [];
  for (let at = first; at !== undefined; at = after.get(at.id)) chain.push(at);
  return chain;
}
