import type { KeyboardEvent } from "react";
import { Link, useNavigate, useSearchParams } from "react-router";
import { dateInFull, dayAndMonth, days, daysBetween } from "../shared/format.ts";
import { useWidth } from "../shared/useWidth.ts";
import { Label, Rung, Stair, WorkAlone } from "./Rung.tsx";
import { type Asked, type Band, type CompletionRow, nameOf, type RungRow, tiesOf, workAloneOf } from "./rows.ts";
import { monthsOf, percent, type Scale, scaleOf } from "./scale.ts";
import { useWhyAddress } from "./WhyLink.tsx";
import "./ladder.css";

interface LadderProps {
  asked: Asked;
  figuresFor: string;
  completion: CompletionRow;
  rungs: readonly RungRow[];
  /** By hold-up, once the runs are done. */
  bands: ReadonlyMap<string, Band>;
  evenOddsDays: ReadonlyMap<string, number | null>;
  /** Cursor of the rung before each rung; undefined before the very first. */
  before: readonly (string | undefined)[];
  /** Id of the rung whose reasons are open. */
  why: string | null;
  /** More rungs stand between the last of these and the work alone. */
  more: boolean;
}

/** Below this width the names stand above their lines. */
const NARROW = 720;

/** Lines that are drawn at first, whole ties; fewer than so many more are not worth a fold. */
const FIRST = 8;
const FEWEST_FOLDED = 3;

/** The ladder: one line a hold-up, longest first, each step down the time that clearing the hold-ups above it gains. */
export function Ladder({ asked, figuresFor, completion, rungs, bands, evenOddsDays, before, why, more }: LadderProps) {
  const [frame, width] = useWidth();
  const navigate = useNavigate();
  const address = useWhyAddress();

  const narrow = width < NARROW;
  const scale = scaleOf(figuresFor, [
    completion.dateWithOpenInHand,
    completion.targetDate,
    completion.workOnlyDate,
    ...rungs.map((rung) => rung.heldTo),
    // What has no source is drawn without an end: the odds of a hunt may reach decades beyond all others.
    ...rungs.flatMap(({ id, open }) => {
      const band = open ? undefined : bands.get(id);
      return band === undefined ? [] : [band.evenOdds, band.fourInFive];
    }),
  ]);
  const groups = tiesOf(rungs);
  const ends = groups.map((group) => group[0]?.heldTo ?? null);
  const [params] = useSearchParams();
  const folded = params.has(ALL) ? [] : foldedOf(groups, why);

  /** Arrow keys walk the rungs; Escape closes the reasons. */
  const walk = (event: KeyboardEvent) => {
    if (event.key === "Escape" && why) {
      navigate(address(null));
      document.getElementById(`rung-${why}`)?.focus();
      return;
    }
    const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
    if (!step || !(event.target instanceof HTMLElement) || !event.target.matches(".rung-line")) return;
    const lines = [...(frame.current?.querySelectorAll<HTMLElement>("a.rung-line") ?? [])].filter(
      (line) => line.offsetParent !== null,
    );
    const to = lines[lines.indexOf(event.target) + step];
    if (!to) return;
    event.preventDefault();
    to.focus();
  };

  // As in ladder.css: the names take 27 % up to 288 pixels, and labels beside the ends 128.
  const months = monthsOf(scale, narrow ? width - 6 : width - Math.min(288, width * 0.27) - 128);
  const target = completion.targetDate && completion.targetDate >= figuresFor ? completion.targetDate : null;
  // Not moved as one: where a head is printed again, nothing is moved.
  const foot = target ? 44 : 24;
  const targetAt = target ? scale.at(target) : 0;
  const targetAtEnd = targetAt > 0.55;
  const targetLabel = (name: string) => `${name}, ${target ? (narrow ? dayAndMonth : dateInFull)(target) : ""}`;
  // A long name that would be cut off at the sheet's edge gives way to the word; the sentence above names it.
  const targetRoom = (targetAtEnd ? targetAt : 1 - targetAt) * (narrow ? width : width * 0.73);
  const targetName = completion.targetName || "Target";
  const targetText = targetLabel(targetLabel(targetName).length * 6.5 < targetRoom ? targetName : "Target");

  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: arrow keys are an addition; every rung is a link of its own
    <div className={`ladder${narrow ? " narrow" : ""}`} ref={frame} onKeyDown={walk}>
      {width > 0 && (
        <>
          <div className="ladder-head">
            <svg className="ladder-axis" height={foot} aria-hidden="true">
              {target && (
                <text
                  className="target"
                  x={percent(targetAt)}
                  dx={targetAtEnd ? 1 : 0}
                  y={14}
                  textAnchor={targetAtEnd ? "end" : "start"}
                >
                  {targetText}
                </text>
              )}
              {months.map((month) => (
                <g key={month.date}>
                  <line className="tick" x1={percent(month.at)} x2={percent(month.at)} y1={foot - 8} y2={foot} />
                  {month.label && (
                    <text x={percent(month.at)} dx={3} y={foot - 8}>
                      {month.label}
                    </text>
                  )}
                </g>
              ))}
              <line className="base" x1="0" x2="100%" y1={foot - 0.5} y2={foot - 0.5} />
            </svg>
          </div>
          <div className="ladder-body">
            <svg className="ladder-grid" aria-hidden="true">
              {months.map((month) => (
                <line
                  key={month.date}
                  className="grid"
                  x1={percent(month.at)}
                  x2={percent(month.at)}
                  y1="0"
                  y2="100%"
                />
              ))}
              <line className="today" x1="0.5" x2="0.5" y1="0" y2="100%" />
              {target && <line className="target" x1={percent(targetAt)} x2={percent(targetAt)} y1="0" y2="100%" />}
            </svg>
            <ol className="rungs" aria-label="The ladder, longest hold-up first">
              {groups.map((group, place) => {
                const first = group[0] as RungRow;
                const last = group.at(-1) as RungRow;
                const gained = first.heldTo ? daysBetween(last.nextCompletionDate, first.heldTo) : 0;
                const tied = group.length > 1;
                const away = folded.includes(group);
                const lines = group.map((rung, nth) => {
                  const index = rungs.indexOf(rung);
                  return (
                    <Rung
                      key={rung.id}
                      asked={asked}
                      rung={rung}
                      band={bands.get(rung.id)}
                      evenOddsDays={evenOddsDays.get(rung.id) ?? null}
                      before={before[index]}
                      scale={scale}
                      narrow={narrow}
                      binding={rung.heldTo === completion.dateWithOpenInHand && last.nextCompletionDate !== rung.heldTo}
                      figuresFor={figuresFor}
                      above={nth > 0 ? first.heldTo : place > 0 ? (ends[place - 1] ?? null) : null}
                      step={nth === group.length - 1 ? gained : null}
                      tied={tied ? group.length : rung.tieSize > 1 && !rung.open ? rung.tieSize : 1}
                      opened={why === rung.id}
                      away={away && !tied}
                    />
                  );
                });
                if (!tied) return lines;
                return (
                  <li key={`tie-${first.id}`} className={away ? "tie folded-away" : "tie"}>
                    <div className="tie-note">
                      <p>
                        These {group.length === first.tieSize ? group.length : `${group.length} of ${first.tieSize}`}{" "}
                        are tied: with {first.tieSize === 2 ? "both" : "all of them"} cleared the end is{" "}
                        {gained === 0 ? "no day" : days(gained)} sooner, with only{" "}
                        {first.tieSize === 2 ? "one" : "some"} no sooner.
                      </p>
                      {place > 0 && ends[place - 1] && first.heldTo && (
                        <Stair at={scale.at(first.heldTo)} part="through" />
                      )}
                    </div>
                    <ol>{lines}</ol>
                  </li>
                );
              })}
              {folded.length > 0 && <More rungs={folded.flat()} scale={scale} narrow={narrow} />}
              <WorkAlone
                date={more ? completion.workOnlyDate : workAloneOf(rungs, completion)}
                hours={rungs.some(({ kind }) => kind === "HAND") ? null : completion.workOnlyHours}
                above={more ? null : (ends.at(-1) ?? null)}
                more={more}
                scale={scale}
                narrow={narrow}
                figuresFor={figuresFor}
              />
            </ol>
          </div>
        </>
      )}
    </div>
  );
}

/** In the address: every line is drawn. */
const ALL = "all";

/** The groups after the first lines: none where one of them is asked for, or they are too few. */
function foldedOf(groups: RungRow[][], why: string | null): RungRow[][] {
  let drawn = 0;
  const rest = groups.filter((group) => {
    const after = drawn >= FIRST;
    drawn += group.length;
    return after;
  });
  const rungs = rest.flat();
  return rungs.length < FEWEST_FOLDED || rungs.some(({ id }) => id === why) ? [] : rest;
}

/** In place of the lines that are folded away: how many, from which to which, between which ends. */
function More({ rungs, scale, narrow }: { rungs: readonly RungRow[]; scale: Scale; narrow: boolean }) {
  const [params] = useSearchParams();
  const [first, last] = [rungs[0]!, rungs.at(-1)!];
  const from = scale.at(last.nextCompletionDate);
  const to = scale.at(first.heldTo ?? last.nextCompletionDate);
  const all = new URLSearchParams(params);
  all.set(ALL, "1");
  const end = first.heldTo && `from ${dateInFull(first.heldTo)}`;
  return (
    <li className="rung more no-print">
      <Link className="rung-line" to={`?${all}`} preventScrollReset>
        <span className="rung-name">
          <span className="rung-title">
            {rungs.length} more, from {nameOf(first)} to {nameOf(last)}
          </span>
          {narrow && <span className="rung-date">{end}</span>}
          <span className="rung-say">show them</span>
        </span>
        <span className="rung-drawing">
          <svg aria-hidden="true">
            <line className="some" x1={percent(from)} x2={percent(to)} y1={16.5} y2={16.5} />
            {!narrow && end && <Label className="end" at={to} y={21} says={end} />}
          </svg>
          <Stair at={to} part="in" />
          <Stair at={to} part="out" />
          <Stair at={from} to={to} part="tread" />
        </span>
      </Link>
    </li>
  );
}
