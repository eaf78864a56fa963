import { Fragment, type ReactNode } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull, hours, listed } from "../shared/format.ts";
import type { OperationOnPage } from "./operation.ts";

/** When it is done, whether it is critical, and what it waits for. */
export function OperationSentence({ restoration, of }: { restoration: string; of: OperationOnPage }) {
  const { schedule, state } = of;
  if (state === "DONE")
    return (
      <>
        Done{of.finishedOn ? `, on ${dateInFull(of.finishedOn)}` : ""}. {counted(of.linksAfter.length, "operation")}{" "}
        could follow it.
      </>
    );
  const waits = waitsFor(restoration, of);
  const when =
    schedule.earlyStartDate === schedule.earlyFinishDate
      ? `on ${dateInFull(schedule.earlyStartDate)}`
      : `from ${dateInFull(schedule.earlyStartDate)} to ${dateInFull(schedule.earlyFinishDate)}`;
  return (
    <>
      {state === "UNDER_WAY"
        ? `Under way${putDownWords(of)}; finished on ${dateInFull(schedule.earlyFinishDate)} at the earliest`
        : schedule.hands.length > 0
          ? `${listed(schedule.hands)} can do it ${when}`
          : `Can be done ${when}`}
      {schedule.critical ? (
        <>
          ; it is on the <strong>critical path</strong>: a day lost here is a day lost at the end.
        </>
      ) : (
        <>
          ; it may slip by <span className="nowrap">{hours(schedule.totalFloat)}</span> of shop time, to{" "}
          {dateInFull(schedule.lateFinishDate)}, before the end moves.
        </>
      )}
      {schedule.floatToTarget !== null && schedule.floatToTarget < 0 && (
        <>
          {" "}
          For the target date it is <span className="nowrap">{hours(-schedule.floatToTarget)}</span> of shop time too
          late.
        </>
      )}
      {waits.length > 0 && <> It waits for {joined(waits)}.</>}
      {schedule.waitsForOpen.length > 0 && (
        <>
          {" "}
          <strong>{listed(schedule.waitsForOpen)}</strong> {schedule.waitsForOpen.length === 1 ? "has" : "have"}{" "}
          {schedule.lacking}, so these dates hold only once that is {schedule.cleared}.
        </>
      )}
    </>
  );
}

/** Whether other work may take its hands, and does. */
function putDownWords({ mayBePutDown, first, schedule: { putDownUntil, putDownFor } }: OperationOnPage): string {
  if (!mayBePutDown) return "";
  if (first) return ", and not put down, for it is to be done first";
  if (!putDownUntil) return ", and may be put down for other work";
  const titles = putDownFor.length > 4 ? [...putDownFor.slice(0, 3), `${putDownFor.length - 3} more`] : putDownFor;
  return `, put down for ${listed(titles)} until ${dateInFull(putDownUntil)}, when it goes on`;
}

function waitsFor(restoration: string, of: OperationOnPage): { key: string; node: ReactNode }[] {
  const work = of.linksBefore
    .filter((link) => link.before.state !== "DONE")
    .map(({ before }) => ({
      key: before.id,
      node: <Link to={addressOf.operation(restoration, before.id)}>{before.title}</Link>,
    }));
  const parts = of.needs
    .filter((need) => need.part.stateOnHand === "MISSING")
    .map(({ part }) => ({
      key: part.id,
      node: <Link to={addressOf.part(restoration, part.id)}>{part.name}</Link>,
    }));
  const snags = of.snags
    .filter((snag) => !snag.clearedOn)
    .map((snag) => ({
      key: snag.id,
      node: (
        <Link to={`${addressOf.snags(restoration)}?snag=${encodeURIComponent(snag.id)}`}>the snag {snag.title}</Link>
      ),
    }));
  return [...work, ...parts, ...snags];
}

function joined(items: readonly { key: string; node: ReactNode }[]): ReactNode {
  return items.map(({ key, node }, place) => (
    <Fragment key={key}>
      {place === 0 ? "" : place === items.length - 1 ? " and " : ", "}
      {node}
    </Fragment>
  ));
}
