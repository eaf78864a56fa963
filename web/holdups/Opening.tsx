import { Fragment, type ReactNode } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { ByOdds } from "../shared/ByOdds.tsx";
import { useDayInView } from "../shared/dayInView.ts";
import { counted, dateInFull, daysBetween, lateBy } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { type CompletionRow, type HoldUpsData, type LadderOdds, nameOf } from "./rows.ts";
import { WhyLink } from "./WhyLink.tsx";

type Top = HoldUpsData["top"]["edges"][number]["node"];
type Mark = NonNullable<HoldUpsData["heldByMarks"]>[number];

const NAMED = 4;

interface LeadProps {
  completion: CompletionRow;
  top: readonly Top[];
  byOdds: LadderOdds | null;
}

/** What is read from two metres: what leaves the date open, then the date, how late it is and what holds it. */
export function leadOf({ completion, top, byOdds }: LeadProps): ReactNode[] {
  const { dateWithOpenInHand: quoted, targetDate, open, workOnlyHours } = completion;
  const wanting = top.filter((rung) => rung.open);
  const { binding, heldUp } = bindingOf(completion, top);
  const date = byOdds?.evenOdds ?? quoted;
  const daysLate = byOdds?.evenOdds ? targetDate && daysBetween(targetDate, date) : completion.daysLate;
  const by = byOdds?.evenOdds ? "by even odds" : "as quoted";
  return [
    ...(open
      ? [
          <span className="late" key="open">
            No date yet: {wanting.length === 0 ? "nobody is there for some of the work" : <Wanting of={wanting} />}.
          </span>,
        ]
      : []),
    <Fragment key="date">
      {open ? "But for that " : "Ready "}
      <strong>{dateInFull(date)}</strong> {by}
      {daysLate !== null && daysLate !== "" && (
        <>
          , <span className={daysLate > 0 && !open ? "late" : undefined}>{lateBy(daysLate)}</span>
        </>
      )}
      .{" "}
      {heldUp ? (
        <>Held by {named(binding, 2)}.</>
      ) : workOnlyHours > 0 ? (
        "Only the work holds it."
      ) : (
        "All the work is done."
      )}
    </Fragment>,
  ];
}

/** "Horn has no source", "2 parts have no source, 1 snag has no remedy yet"; they stand first on the ladder. */
function Wanting({ of }: { of: readonly Top[] }) {
  const kinds = [
    { noun: "part", of: of.filter(({ kind }) => kind === "PART") },
    { noun: "snag", of: of.filter(({ kind }) => kind === "SNAG") },
  ].filter(({ of: some }) => some.length > 0);
  return kinds.map(({ noun, of: some }, place) => (
    <Fragment key={noun}>
      {place > 0 && ", "}
      {of.length === 1 ? (
        <WhyLink id={some[0]!.id}>{some[0]!.title}</WhyLink>
      ) : (
        <a href="#ladder">{counted(some.length, noun)}</a>
      )}{" "}
      {some.length === 1 ? "has" : "have"} {some[0]!.lacking}
    </Fragment>
  ));
}

/** What holds the end as quoted, and whether clearing it would bring the end forward. */
function bindingOf({ dateWithOpenInHand }: CompletionRow, top: readonly Top[]) {
  const binding = top.filter((rung) => rung.heldTo === dateWithOpenInHand);
  const next = binding.at(-1)?.nextCompletionDate;
  return { binding, next, heldUp: next !== undefined && next !== dateWithOpenInHand };
}

/** Completion against the target in one or two sentences; every name leads to its reasons. */
export function Opening({
  machine,
  completion,
  top,
  byOdds,
  marks,
  figuresFor,
}: {
  figuresFor: string;
  machine: string;
  completion: CompletionRow;
  top: readonly Top[];
  /** Null until the runs are done. */
  byOdds: LadderOdds | null;
  /** What is said of operations and holds the end. */
  marks: readonly Mark[];
}) {
  const { word } = useDayInView(figuresFor);
  const open = top.filter((rung) => rung.open);
  const { binding, next, heldUp } = bindingOf(completion, top);
  const { targetDate, targetName, daysLate } = completion;
  const late = targetDate !== null && daysLate !== null && (
    <>
      , <strong className={daysLate > 0 ? "late" : undefined}>{lateBy(daysLate)}</strong>
    </>
  );
  return (
    <>
      {targetDate && (
        <>
          {targetName ? `The ${targetName.replace(/^the /i, "")} is on` : "The target date is"} {dateInFull(targetDate)}
          .{" "}
        </>
      )}
      {completion.open && (
        <>
          <strong className="late">There is no completion date until {needs(open)}</strong>
          {open.length > 0 && <>: {named(open)}</>}.{" "}
        </>
      )}
      <ByOdds machine={machine} found={byOdds} targetDate={targetDate} more="#how-sure" />
      As quoted{completion.open && `, with ${open.length < 2 ? "it" : "them"} ${completion.cleared} ${word}`},{" "}
      {byOdds?.evenOdds ? "it" : `the ${machine}`} {completion.open ? "would be" : "is"} ready on{" "}
      {byOdds?.evenOdds ? (
        dateInFull(completion.dateWithOpenInHand)
      ) : (
        <strong>{dateInFull(completion.dateWithOpenInHand)}</strong>
      )}
      {late}.{" "}
      {heldUp && next !== undefined ? (
        <>
          {named(binding)} {binding.length === 1 ? "holds" : "together hold"} it{completion.open ? " then" : ""};{" "}
          {onceCleared(binding)}, {dateInFull(next)}.
        </>
      ) : (
        <>
          Nothing outstanding holds it:{" "}
          {completion.workOnlyHours > 0
            ? `the work alone takes until ${dateInFull(completion.workOnlyDate)}`
            : "all the work that is entered is done"}
          .
        </>
      )}
      {marks.map((mark) => (
        <HeldBy key={`${mark.operation.id} ${mark.notBefore}`} mark={mark} />
      ))}
    </>
  );
}

/** A day or a place in the order of work that the restorer has said. */
function HeldBy({ mark: { operation, title, notBefore, completionWithout } }: { mark: Mark }) {
  const restoration = useRestoration();
  return (
    <>
      {" "}
      <Link to={addressOf.operation(restoration.id, operation.id)}>{title}</Link>{" "}
      {notBefore
        ? `is not to begin before ${dateInFull(notBefore)}, which holds it; without that day,`
        : "is to be done first, which holds it; otherwise"}{" "}
      {dateInFull(completionWithout)}.
    </>
  );
}

/** "2 parts have a source and 1 snag has a remedy"; what else completion waits for is somebody to do the work. */
function needs(open: readonly Top[]): string {
  if (open.length === 0) return "there is somebody for all the work";
  const have = (kind: Top["kind"], noun: string, what: string) => {
    const count = open.filter((rung) => rung.kind === kind).length;
    return count === 0 ? [] : [`${counted(count, noun)} ${count === 1 ? "has" : "have"} ${what}`];
  };
  return [...have("PART", "part", "a source"), ...have("SNAG", "snag", "a remedy")].join(" and ");
}

/** Once they hold up nothing: "with both in hand"; hands are not cleared, but nothing waits for them. */
function onceCleared(rungs: readonly Top[]): string {
  if (rungs.every(({ kind }) => kind === "HAND")) return "if nothing waited for them";
  const words = new Set(rungs.map(({ cleared }) => cleared));
  const those = rungs.length === 1 ? "that" : rungs.length === 2 ? "both" : "all of them";
  return `with ${those} ${words.size === 1 ? rungs[0]!.cleared : "cleared"}`;
}

function named(rungs: readonly Top[], most = NAMED): ReactNode {
  const shown = rungs.slice(0, most);
  const more = rungs.length - shown.length;
  return shown.map((rung, place) => (
    <Fragment key={rung.id}>
      {place > 0 && (place === shown.length - 1 && more === 0 ? " and " : ", ")}
      <WhyLink id={rung.id}>{nameOf(rung)}</WhyLink>
      {place === shown.length - 1 && more > 0 && ` and ${more} more`}
    </Fragment>
  ));
}
