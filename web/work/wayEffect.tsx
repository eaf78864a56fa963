import { type ReactNode, useState } from "react";
import { useQuery } from "urql";
import { dateInFull, days, daysBetween } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import type { OperationOnPage } from "./operation.ts";
import { CompletionQuery } from "./way.ts";

interface LastChoice {
  way: string | null;
  /** Completion before it. */
  before: string;
}

/** The completion date as things are chosen, and what the last choice on this sheet did to it. */
export function useWayEffect(operation: OperationOnPage) {
  const restoration = useRestoration();
  const [{ data, stale }] = useQuery({ query: CompletionQuery, variables: { restoration: restoration.id } });
  const [last, setLast] = useState<LastChoice | null>(null);
  const completion = data?.holdUps.completion;
  const now = completion ? (completion.date ?? completion.dateWithOpenInHand) : null;
  const chosen = (way: string | null, before: string | null) => setLast(before === null ? null : { way, before });
  // A choice that was taken back, or changed elsewhere, is no longer the one that was made here.
  const stands = last !== null && last.way === (operation.chosenWay?.id ?? null);
  // While it is read anew the old date stands here, which the choice may have moved.
  const words =
    now === null || stale ? "Working out the completion date …" : wordsOf(now, completion, stands ? last.before : null);
  return { now, chosen, words };
}

function wordsOf(
  now: string,
  completion: { lacking: string | null; cleared: string | null } | undefined,
  before: string | null,
): ReactNode {
  const condition = completion?.lacking ? `, once what has ${completion.lacking} is ${completion.cleared}` : "";
  if (before === null)
    return (
      <>
        As chosen now, the machine is finished on <strong className="nowrap">{dateInFull(now)}</strong>
        {condition}. The way in force gives the plan its hours and its days away.
      </>
    );
  const moved = daysBetween(before, now);
  return (
    <>
      Before this choice the machine was finished on <span className="nowrap">{dateInFull(before)}</span>; now it is
      finished on <strong className="nowrap">{dateInFull(now)}</strong>
      {moved === 0 ? ", the same day" : moved > 0 ? `, ${days(moved)} later` : `, ${days(-moved)} sooner`}
      {condition}.
    </>
  );
}
