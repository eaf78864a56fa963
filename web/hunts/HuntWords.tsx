import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, daysBetween, odds as inOdds, plainNumber } from "../shared/format.ts";
import type { HuntOutlook, HuntRow } from "./documents.ts";
import type { OddsState } from "./useHuntOdds.ts";

interface HuntWordsProps {
  hunt: HuntRow;
  /** Whether something is chosen to be ordered in its stead. */
  fallback: boolean;
  figuresFor: string;
  odds: OddsState;
}

/** When to decide, how long it has been looked for, and what the plan makes of it. */
export function HuntWords({ hunt, fallback, figuresFor, odds }: HuntWordsProps) {
  const { state, outlook, stopDate } = hunt;
  if (state === "FOUND") return "It was found; the hunt is over.";
  if (hunt.begunOn > figuresFor)
    return `It begins on ${dateInFull(hunt.begunOn)}: the figures are for a day before, on which nobody looks.`;
  if (state === "STOPPED" || !outlook)
    return fallback
      ? "The hunt has stopped; its fallback is what is planned."
      : "The hunt has stopped, and nothing is chosen in its stead.";
  const weeks = outlook.weeksLooked;
  return (
    <>
      <Decide outlook={outlook} odds={odds} />
      Looked for since {dateInFull(hunt.begunOn)}, {weeks === 1 ? "1 week" : `${plainNumber(weeks, 1)} weeks`} without a
      find: the next week's chance is {inOdds(outlook.chanceNextWeek)}
      {outlook.evenOddsDate && <>, even odds by {dateInFull(outlook.evenOddsDate)}</>}.{" "}
      {stopDate
        ? fallback
          ? `The plan reads it as not found: the fallback is ordered on ${dateInFull(stopDate)}.`
          : `It stops on ${dateInFull(stopDate)}, and nothing is chosen to be ordered then: there is no completion date.`
        : "It has no stop date: there is no completion date until it is found."}
      <NoAward outlook={outlook} />
    </>
  );
}

/** What is judged on a line where a loss leaves no award. */
function NoAward({ outlook: { findDisqualifiedBy, fallbackDisqualifiedBy } }: { outlook: HuntOutlook }) {
  const line = findDisqualifiedBy ?? fallbackDisqualifiedBy;
  if (line === null) return null;
  const what =
    findDisqualifiedBy === null
      ? "Its fallback loses"
      : fallbackDisqualifiedBy === null
        ? "A find loses"
        : "A find and its fallback both lose";
  return (
    <>
      {" "}
      <span className="late">
        {what} on “{line}”, which leaves no award.
      </span>
    </>
  );
}

/** The last day to stop, by everything that is uncertain where the runs are there, else by this part alone. */
function Decide({ outlook, odds }: { outlook: HuntOutlook; odds: OddsState }) {
  const { inDays, word } = useDayInView(outlook.figuresFor);
  const wanted = inOdds(outlook.confidence);
  if (odds.kind === "there") {
    const { decideBy, inHand, stops } = odds.odds;
    if (decideBy)
      return (
        <>
          <strong>
            Decide by {dateInFull(decideBy)}, {inDays(daysBetween(outlook.figuresFor, decideBy))}
          </strong>
          : the last day to stop looking that keeps the target at {wanted}, with all else as uncertain as it is.{" "}
        </>
      );
    const best = Math.max(...stops.map(({ onTarget }) => onTarget));
    return (
      <>
        <strong className="late">
          No stop date keeps the target at {wanted}:{" "}
          {inHand < outlook.confidence
            ? `with the part in hand ${word} it is ${inHand === 0 ? "kept in none of the runs" : inOdds(inHand)}, so something else must give first.`
            : `the best gives ${inOdds(best)}.`}
        </strong>{" "}
        <Alone outlook={outlook} />
      </>
    );
  }
  if (odds.kind === "coming") return "The date to decide by is being worked out. ";
  return <Alone outlook={outlook} />;
}

/** What is known without the runs. */
function Alone({ outlook: { best, confidence } }: { outlook: HuntOutlook }) {
  if (best?.chanceOfTarget == null || best.chanceOfTarget >= confidence) return null;
  return (
    <strong className="late">
      This part alone is in time with {inOdds(best.chanceOfTarget)} at best, whenever the looking stops.{" "}
    </strong>
  );
}
