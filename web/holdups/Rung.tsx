import { useEffect, useRef } from "react";
import { Link } from "react-router";
import { dateInFull, days, daysBetween, hours, inDays } from "../shared/format.ts";
import type { Asked, RungRow } from "./rows.ts";
import type { Scale } from "./scale.ts";
import { Why } from "./Why.tsx";
import { useWhyAddress } from "./WhyLink.tsx";

/** Pixels: where the line lies in its row, and how high the row is. */
const BAR = { top: 9, height: 15 };
const ROW = 54;
const ROW_NARROW = 34;

interface RungProps {
  asked: Asked;
  rung: RungRow;
  before: string | undefined;
  scale: Scale;
  narrow: boolean;
  /** Completion depends on it. */
  binding: boolean;
  dataDate: string;
  /** End of the line above, from which the stair comes down. */
  above: string | null;
  /** Days that clearing it, and all above it, gains; null inside a tie. */
  step: number | null;
  tied: number;
  opened: boolean;
}

/** One line of the ladder; a link that opens its reasons beneath it. */
export function Rung({ asked, rung, before, scale, narrow, binding, dataDate, above, step, tied, opened }: RungProps) {
  const address = useWhyAddress();
  const item = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (opened) item.current?.scrollIntoView({ block: "nearest" });
  }, [opened]);
  const panel = `why-${rung.id}`;
  const end = rung.completionDate;
  return (
    <li ref={item} className={`rung${opened ? " opened" : ""}`}>
      <Link
        id={`rung-${rung.id}`}
        className={`rung-line${binding ? " binding" : ""}${rung.open ? " open" : ""}`}
        to={address(opened ? null : rung.id)}
        preventScrollReset
        aria-expanded={opened}
        aria-controls={opened ? panel : undefined}
      >
        <span className="rung-name">
          <span className="rung-title">{rung.title}</span>
          <span className={`rung-say${rung.open || rung.order?.daysLate ? " late" : ""}`}>{say(rung)}</span>
          {narrow && <span className="rung-end">{endWords(rung, step, tied)}</span>}
          {!narrow && <span className="unseen">. {endWords(rung, step, tied)}</span>}
        </span>
        <RungDrawing rung={rung} scale={scale} narrow={narrow} dataDate={dataDate} above={above} step={step} tied={tied} />
      </Link>
      {opened && <Why id={panel} asked={asked} rung={rung} before={before} end={end} dataDate={dataDate} />}
    </li>
  );
}

/** What to do about it, or what is being waited for. */
function say(rung: RungRow): string {
  if (rung.open) return "no source";
  if (rung.order) return rung.order.daysLate > 0 ? `ordered, ${days(rung.order.daysLate)} late` : "ordered";
  const act = rung.kind === "SNAG" ? (rung.decided ? "cure" : "decide the cure") : rung.decided ? "order" : "decide and order";
  if (!rung.orderBy || rung.daysLeft === null) return act;
  return `${act} by ${dateInFull(rung.orderBy)}, ${inDays(rung.daysLeft)}`;
}

function endWords(rung: RungRow, step: number | null, tied: number): string {
  if (rung.open) return rung.needBy ? `in hand by ${dateInFull(rung.needBy)} to change nothing` : "no end until it has a source";
  if (!rung.completionDate) return "";
  const end = `to ${dateInFull(rung.completionDate)}`;
  return step === null ? end : `${end}; ${gains(step, tied)}`;
}

const gains = (step: number, tied: number): string =>
  `${tied > 1 ? (tied === 2 ? "both gain " : "all gain ") : "gains "}${days(step)}`;

function RungDrawing({ rung, scale, narrow, dataDate, above, step, tied }: Omit<RungProps, "asked" | "before" | "binding" | "opened">) {
  const height = narrow ? ROW_NARROW : ROW;
  const { top, height: bar } = BAR;
  const middle = top + bar / 2;
  const from = (date: string | null) => scale.x(!date || date < dataDate ? dataDate : date);
  const pattern = `lead-${rung.id.replace(/\W/g, "-")}`;
  if (rung.open) {
    const need = rung.needBy ? scale.x(rung.needBy) : null;
    return (
      <svg className="rung-drawing" width={scale.width} height={height} aria-hidden="true">
        <line className="open-edge" x1={0} x2={scale.width} y1={top} y2={top} />
        <line className="open-edge" x1={0} x2={scale.width} y1={top + bar} y2={top + bar} />
        <line className="open-start" x1={1} x2={1} y1={top} y2={top + bar} />
        {need !== null && <line className="need" x1={need} x2={need} y1={top - 4} y2={top + bar + 4} />}
        {!narrow && rung.needBy && need !== null && (
          <text x={Math.min(need + 5, scale.width - 220)} y={top + bar + 17}>
            in hand by {dateInFull(rung.needBy)} to change nothing
          </text>
        )}
      </svg>
    );
  }
  const ordered = from(rung.orderOn);
  const arrives = from(rung.arrivalDate);
  const usable = from(rung.usableDate ?? rung.arrivalDate);
  const end = from(rung.completionDate);
  const next = from(rung.nextCompletionDate);
  return (
    <svg className="rung-drawing" width={scale.width} height={height} aria-hidden="true">
      <defs>
        <pattern id={pattern} width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line className="hatch" x1="1" x2="1" y1="0" y2="7" />
        </pattern>
      </defs>
      {above && <line className="stair" x1={from(above)} x2={from(above)} y1={0} y2={above === rung.completionDate ? top : 0} />}
      {above && above !== rung.completionDate && <line className="stair" x1={end} x2={end} y1={0} y2={top} />}
      {ordered > 1 && <line className="waiting" x1={0} x2={ordered} y1={middle} y2={middle} />}
      {arrives > ordered && (
        <rect className="lead" x={ordered + 0.5} y={top + 0.5} width={Math.max(1, arrives - ordered - 1)} height={bar - 1} fill={`url(#${pattern})`} />
      )}
      {usable > arrives && <line className="waiting" x1={arrives} x2={usable} y1={middle} y2={middle} />}
      {end > usable && <rect className="chain" x={usable} y={top} width={end - usable} height={bar} />}
      {rung.arrivalDate && rung.arrivalDate > dataDate && <line className="arrival" x1={arrives} x2={arrives} y1={top - 4} y2={top + bar + 4} />}
      <path className="stair" d={`M${end} ${top + bar}V${height - 0.75}${step !== null ? `H${next}` : ""}`} />
      {!narrow && rung.completionDate && (
        <>
          <text className="end" x={end + 8} y={top + 12}>
            {dateInFull(rung.completionDate)}
          </text>
          {step !== null && (
            <text x={end + 8} y={top + 29}>
              {gains(step, tied)}
            </text>
          )}
        </>
      )}
    </svg>
  );
}

interface WorkAloneProps {
  date: string;
  hours: number;
  above: string | null;
  more: boolean;
  scale: Scale;
  narrow: boolean;
}

/** The last line: how long the work alone takes with everything in hand today. */
export function WorkAlone({ date, hours: count, above, more, scale, narrow }: WorkAloneProps) {
  const end = scale.x(date);
  const { top, height: bar } = BAR;
  return (
    <li className="rung">
      <div className="rung-line alone">
        <span className="rung-name">
          <span className="rung-title">The work alone</span>
          <span className="rung-say">
            {hours(count)} with everything in hand today{more ? "; more rungs stand between" : ""}
          </span>
          {narrow && <span className="rung-end">to {dateInFull(date)}</span>}
          {!narrow && <span className="unseen">. To {dateInFull(date)}</span>}
        </span>
        <svg className="rung-drawing" width={scale.width} height={narrow ? ROW_NARROW : ROW} aria-hidden="true">
          {above && <line className="stair" x1={end} x2={end} y1={0} y2={top} />}
          <rect className="chain" x={0} y={top} width={Math.max(1, end)} height={bar} />
          {!narrow && (
            <text className="end" x={end + 8} y={top + 12}>
              {dateInFull(date)}
            </text>
          )}
        </svg>
      </div>
    </li>
  );
}

/** Days between two dates as a step of the stair, for the table. */
export const stepOf = (rung: RungRow): number | null =>
  rung.completionDate ? daysBetween(rung.nextCompletionDate, rung.completionDate) : null;

