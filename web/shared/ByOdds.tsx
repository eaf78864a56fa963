import { dateInFull, odds as inWords } from "./format.ts";

interface Found {
  condition: string | null;
  endlessHunts: string | null;
  evenOdds: string | null;
  fourInFive: string | null;
  onTarget: number | null;
}

interface ByOddsProps {
  machine: string;
  /** Null until the runs are done. */
  found: Found | null;
  targetDate: string | null;
  /** Where on the sheet it is told how sure it is. */
  more: string;
}

/** The headline of a date: even odds, with 4 in 5 and the odds of the target beside it, on the condition on which they stand. */
export function ByOdds({ machine, found, targetDate, more }: ByOddsProps) {
  if (!found?.evenOdds) return null;
  const { condition, evenOdds, fourInFive, onTarget, endlessHunts } = found;
  return (
    <>
      {sentence(condition, `the ${machine} ${condition ? "would have" : "has"} even odds of being ready by`)}{" "}
      <strong>{dateInFull(evenOdds)}</strong>
      {fourInFive && (
        <>
          , <a href={more}>4 in 5 by {dateInFull(fourInFive)}</a>
        </>
      )}
      {targetDate && onTarget !== null && onTarget < 1 && (
        <>
          ;{" "}
          {onTarget > 0
            ? `the odds of the target date are ${inWords(onTarget)}`
            : "none of the runs keeps the target date"}
        </>
      )}
      .{endlessHunts && ` ${endlessHunts}.`}{" "}
    </>
  );
}

/** A sentence that begins with the condition where there is one: "If A were in hand, even odds by". */
export function sentence(condition: string | null, rest: string): string {
  const whole = condition ? `${condition}, ${rest}` : rest;
  return whole[0]!.toUpperCase() + whole.slice(1);
}
