import { useQuery } from "urql";
import { useDayInView } from "../shared/dayInView.ts";
import { dateWithWeekday, daysBetween } from "../shared/format.ts";
import { DecideByQuery } from "./documents.ts";
import type { RungRow } from "./rows.ts";

interface HuntedUntilProps {
  row: RungRow;
  figuresFor: string;
  confidence: number | null;
}

/** What is looked for is ordered when its hunt stops: the day by which to decide on that, else the stop date. */
export function HuntedUntil({ row, figuresFor, confidence }: HuntedUntilProps) {
  const { inDays } = useDayInView(figuresFor);
  const hunt = row.part?.hunt?.id;
  const [{ data }] = useQuery({
    query: DecideByQuery,
    variables: { hunt: hunt ?? "", confidence },
    pause: hunt === undefined,
  });
  const outlook = data?.hunt.id === hunt ? data?.hunt.outlook : undefined;
  // A day that is looked at here alone is none of the hunt's own figures.
  const decideBy = outlook?.figuresFor === figuresFor ? outlook.odds?.decideBy : null;
  const day = decideBy ?? row.huntedUntil;
  if (!day) return "hunted";
  return (
    <>
      <span className="nowrap">
        hunted{decideBy ? ": decide by" : " until"} {dateWithWeekday(day)}
      </span>
      <span className="soft small below">{inDays(daysBetween(figuresFor, day))}</span>
    </>
  );
}
