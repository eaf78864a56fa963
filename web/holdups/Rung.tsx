import { useEffect, useRef } from "react";
import { Link } from "react-router";
import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, days, daysBetween, hours } from "../shared/format.ts";
import { isOwnWork, supplyWords } from "../shared/words.ts";
import { type Asked, type Band, isHunted, nameOf, type RungRow } from "./rows.ts";
import { percent, type Scale } from "./scale.ts";
import { Why } from "./Why.tsx";
import { useWhyAddress } from "./WhyLink.tsx";

/** Pixels from the top of the drawing: the line of the rung. ladder.css knows them too. */
const TOP = 9;
const BAR = 15;

interface RungProps {
  asked: Asked;
  rung: RungRow;
  /** Its end by the odds of its arrival; absent until the runs are done. */
  band: Band | undefined;
  /** Days by which the even odds come earlier with it alone cleared; null until the runs are done. */
  evenOddsDays: number | null;
  before: string | undefined;
  scale: Scale;
  narrow: boolean;
  /** Completion depends on it. */
  binding: boolean;
  figuresFor: string;
  /** End of the line above, from which the stair comes down. */
  above: string | null;
  /** Days by which the end is sooner once it, and all above it, is cleared; null inside a tie. */
  step: number | null;
  tied: number;
  opened: boolean;
  /** Folded away on a screen, with all that is not among the first lines. */
  away: boolean;
}

/** One line of the ladder; a link that opens its reasons beneath it. */
export function Rung({
  asked,
  rung,
  band,
  evenOddsDays,
  before,
  scale,
  narrow,
  binding,
  figuresFor,
  above,
  step,
  tied,
  opened,
  away,
}: RungProps) {
  const dayInView = useDayInView(figuresFor);
  const address = useWhyAddress();
  const item = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (opened) item.current?.scrollIntoView({ block: "nearest" });
  }, [opened]);
  const panel = `why-${rung.id}`;
  const end = rung.heldTo;
  return (
    <li ref={item} className={`rung${opened ? " opened" : ""}${away ? " folded-away" : ""}`}>
      <Link
        id={`rung-${rung.id}`}
        className={`rung-line${binding ? " binding" : ""}${rung.open ? " open" : ""}`}
        to={address(opened ? null : rung.id)}
        preventScrollReset
        aria-expanded={opened}
        aria-controls={opened ? panel : undefined}
      >
        <span className="rung-name">
          <span className="rung-title">{nameOf(rung)}</span>
          {narrow && (
            <span className="rung-date" aria-hidden="true">
              {rung.open ? "no end" : rung.heldTo && dateInFull(rung.heldTo)}
            </span>
          )}
          <span
            className={`rung-say${rung.open || rung.order?.daysLate || (!rung.order && (rung.daysLeft ?? 0) < 0) ? " late" : ""}`}
          >
            {say(rung, dayInView)}
          </span>
          {narrow && (
            <span className="rung-gain" aria-hidden="true">
              {rung.open ? rung.needBy && `by ${dateInFull(rung.needBy)}` : step !== null && sooner(step, tied)}
            </span>
          )}
          <span className="unseen">
            . {endWords(rung, step, tied)}
            {band && `; ${bandWords(band)}`}
          </span>
        </span>
        <RungDrawing
          rung={rung}
          band={band}
          scale={scale}
          narrow={narrow}
          figuresFor={figuresFor}
          above={above}
          step={step}
          tied={tied}
        />
      </Link>
      {opened && (
        <Why
          id={panel}
          asked={asked}
          rung={rung}
          evenOddsDays={evenOddsDays}
          before={before}
          end={end}
          figuresFor={figuresFor}
        />
      )}
    </li>
  );
}

/** What to do about it, or what is being waited for. */
function say(rung: RungRow, { inDays, word }: ReturnType<typeof useDayInView>): string {
  if (rung.kind === "HAND")
    return rung.otherWorkUntil ? `on other work until ${dateInFull(rung.otherWorkUntil)}` : "work waits for them";
  if (rung.open)
    return rung.declined
      ? `declined, and no other ${rung.kind === "SNAG" ? "remedy" : "source"}`
      : (rung.lacking ?? "");
  const own = rung.quote !== null && isOwnWork(rung.quote);
  if (rung.order)
    return rung.order.daysLate > 0
      ? `${supplyWords("ORDERED", own)}, ${days(rung.order.daysLate)} late`
      : supplyWords(rung.part?.outlook.state ?? "ORDERED", own);
  const act = rung.declined
    ? `declined: choose another and ${rung.kind === "SNAG" ? "begin it" : "order it"}`
    : rung.kind === "SNAG"
      ? rung.decided
        ? "carry out the remedy"
        : "choose a remedy"
      : rung.decided
        ? own
          ? `begin making ${isHunted(rung) ? "its fallback" : "it"}`
          : isHunted(rung)
            ? "order its fallback"
            : "order"
        : "decide and order";
  if (!rung.orderBy || rung.daysLeft === null) return act;
  if (rung.daysLeft < 0) return `${act} ${word}: the last day for it was ${dateInFull(rung.orderBy)}`;
  return `${act} by ${dateInFull(rung.orderBy)}, ${inDays(rung.daysLeft)}`;
}

function endWords(rung: RungRow, step: number | null, tied: number): string {
  if (rung.open)
    return rung.needBy
      ? `need-by date ${dateInFull(rung.needBy)}, or the end moves`
      : `no end until it has a ${rung.kind === "SNAG" ? "remedy" : "source"}`;
  if (!rung.heldTo) return "";
  const end = `to ${dateInFull(rung.heldTo)}`;
  return step === null ? end : `${end}; ${sooner(step, tied)} once cleared`;
}

const bandWords = ({ evenOdds, fourInFive }: Band): string =>
  evenOdds === null
    ? "it may never come"
    : `even odds by ${dateInFull(evenOdds)}, ${fourInFive === null ? "and it may never come" : `4 in 5 by ${dateInFull(fourInFive)}`}`;

/** By how much the end comes sooner: "12 days sooner", "both: 12 days sooner", "no day sooner". */
const sooner = (step: number, tied: number): string =>
  `${tied > 1 ? (tied === 2 ? "both: " : "all: ") : ""}${step === 0 ? "no day" : days(step)} sooner`;

interface LabelProps {
  at: number;
  y: number;
  says: string;
  /** Pixels between the place and the words. */
  apart?: number;
  /** The words end at the place. */
  leftwards?: boolean;
  className?: string;
}

/** Words beside a place on the axis. On paper, where letters have no halo, a patch keeps the lines behind from going through them. */
export function Label({ at, y, says, apart = 8, leftwards = false, className }: LabelProps) {
  const wide = `${(says.length * 0.46 + 0.3).toFixed(2)}em`;
  const from = leftwards ? `calc(${percent(at)} - ${apart - 2}px - ${wide})` : `calc(${percent(at)} + ${apart - 2}px)`;
  return (
    <>
      <rect className="label-patch" style={{ x: from, width: wide }} y={y - 12} height={16} />
      <text
        className={className}
        x={percent(at)}
        dx={leftwards ? -apart : apart}
        textAnchor={leftwards ? "end" : undefined}
        y={y}
      >
        {says}
      </text>
    </>
  );
}

type StairPart = "in" | "out" | "through" | "tread";

/** A piece of the staircase behind a row: down into its line, down from it, through it, or along its lower edge. */
export function Stair({ at, to, part }: { at: number; to?: number; part: StairPart }) {
  return (
    <span
      className={`stair ${part}`}
      aria-hidden="true"
      style={{ "--at": at, "--to": to ?? at } as React.CSSProperties}
    />
  );
}

function RungDrawing({
  rung,
  band,
  scale,
  narrow,
  figuresFor,
  above,
  step,
  tied,
}: Omit<RungProps, "asked" | "before" | "binding" | "evenOddsDays" | "opened" | "away">) {
  const at = (date: string | null) => scale.at(!date || date < figuresFor ? figuresFor : date);
  const pattern = `lead-${rung.id.replace(/\W/g, "-")}`;
  const middle = TOP + BAR / 2;
  if (rung.open) {
    const need = rung.needBy ? at(rung.needBy) : null;
    return (
      <span className="rung-drawing open-drawing">
        <svg aria-hidden="true">
          {/* Twice as long as the axis: what is beyond the edge of the sheet is cut off there. */}
          <line className="open-edge" x1="0" x2="200%" y1={TOP} y2={TOP} />
          <line className="open-edge" x1="0" x2="200%" y1={TOP + BAR} y2={TOP + BAR} />
          <line className="open-start" x1="1" x2="1" y1={TOP} y2={TOP + BAR} />
          {need !== null && (
            <line className="need" x1={percent(need)} x2={percent(need)} y1={TOP - 4} y2={TOP + BAR + 4} />
          )}
          {!narrow && rung.needBy && need !== null && (
            <Label
              at={need}
              apart={5}
              leftwards={need > 0.7}
              y={TOP + BAR + 17}
              says={`need-by date ${dateInFull(rung.needBy)}, or the end moves`}
            />
          )}
        </svg>
      </span>
    );
  }
  const ordered = at(rung.orderOn);
  const arrives = at(rung.arrivalDate);
  const usable = at(rung.usableDate ?? rung.arrivalDate ?? rung.otherWorkUntil);
  const end = at(rung.heldTo);
  const even = band?.evenOdds ? at(band.evenOdds) : null;
  const sure = band?.fourInFive ? at(band.fourInFive) : 1;
  const label = even === null ? end : Math.max(end, sure);
  return (
    <span className="rung-drawing">
      <svg aria-hidden="true">
        <defs>
          <pattern id={pattern} width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line className="hatch" x1="1" x2="1" y1="0" y2="7" />
          </pattern>
        </defs>
        {ordered > 0 && <line className="waiting" x1="0" x2={percent(ordered)} y1={middle} y2={middle} />}
        {arrives > ordered && (
          <rect
            className="lead"
            x={percent(ordered)}
            y={TOP + 0.5}
            width={percent(arrives - ordered)}
            height={BAR - 1}
            fill={`url(#${pattern})`}
          />
        )}
        {usable > arrives && (
          <line className="waiting" x1={percent(arrives)} x2={percent(usable)} y1={middle} y2={middle} />
        )}
        {end > usable && (
          <rect className="chain" x={percent(usable)} y={TOP} width={percent(end - usable)} height={BAR} />
        )}
        {even !== null && even > end && (
          <line className="waiting" x1={percent(end)} x2={percent(even)} y1={middle} y2={middle} />
        )}
        {even !== null && sure > even && (
          <rect
            className={band?.fourInFive ? "band" : "band open"}
            x={percent(even)}
            y={TOP + 4}
            width={percent(sure - even)}
            height={BAR - 8}
          />
        )}
        {rung.arrivalDate && rung.arrivalDate > figuresFor && (
          <line className="arrival" x1={percent(arrives)} x2={percent(arrives)} y1={TOP - 4} y2={TOP + BAR + 4} />
        )}
        {!narrow && rung.heldTo && (
          <>
            <Label
              className="end"
              at={label}
              y={TOP + 12}
              says={`${even === null ? "" : "quoted "}${dateInFull(rung.heldTo)}`}
            />
            {step !== null && <Label at={label} y={TOP + 29} says={sooner(step, tied)} />}
          </>
        )}
      </svg>
      {above && <Stair at={end} part="in" />}
      <Stair at={end} part="out" />
      {step !== null && <Stair at={at(rung.nextCompletionDate)} to={end} part="tread" />}
    </span>
  );
}

interface WorkAloneProps {
  date: string;
  /** Null: with hands for whom nothing waits, too. */
  hours: number | null;
  above: string | null;
  more: boolean;
  scale: Scale;
  narrow: boolean;
  figuresFor: string;
}

/** The last line: how long the work alone takes with every hold-up cleared today. */
export function WorkAlone({ date, hours: count, above, more, scale, narrow, figuresFor }: WorkAloneProps) {
  const { word } = useDayInView(figuresFor);
  const end = scale.at(date);
  return (
    <li className="rung">
      <div className="rung-line alone">
        <span className="rung-name">
          <span className="rung-title">The work alone</span>
          {narrow && (
            <span className="rung-date" aria-hidden="true">
              {dateInFull(date)}
            </span>
          )}
          <span className="rung-say">
            {count === null ? "" : `${hours(count)} of shop time `}
            {more ? `with every part in hand ${word}; more hold-ups lie between` : `with every hold-up cleared ${word}`}
          </span>
          <span className="unseen">. To {dateInFull(date)}</span>
        </span>
        <span className="rung-drawing">
          <svg aria-hidden="true">
            <rect className="chain" x="0" y={TOP} width={percent(end)} height={BAR} />
            {!narrow && <Label className="end" at={end} y={TOP + 12} says={dateInFull(date)} />}
          </svg>
          {above && <Stair at={end} part="in" />}
        </span>
      </div>
    </li>
  );
}

/** Days between two dates as a step of the stair, for the table. */
export const stepOf = (rung: Pick<RungRow, "heldTo" | "nextCompletionDate">): number | null =>
  rung.heldTo ? daysBetween(rung.nextCompletionDate, rung.heldTo) : null;
