import { type KeyboardEvent, type MouseEvent, useEffect, useMemo, useRef } from "react";
import { counted, dateInFull, dayAndMonth, money, plainNumber, points } from "../shared/format.ts";
import { useWidth } from "../shared/useWidth.ts";
import type { ChoicesFound, PlanRow } from "./documents.ts";
import { figuresOf, layoutOf, MARGIN } from "./plot.ts";

interface PlotProps {
  plans: readonly PlanRow[];
  found: ChoicesFound;
  /** Number of the plan that is picked. */
  picked: number | null;
  onPick: (plan: number) => void;
}

const TALL = 420;
const NARROW = 560;

/** The plans: date across, cost up, points lost by the size of the mark and in figures. Arrow keys walk from plan to plan. */
export function Plot({ plans, found, picked, onPick }: PlotProps) {
  const [frame, width] = useWidth();
  const height = width < NARROW ? 360 : TALL;
  const { inForce, targetDate, capLeft } = found;
  const decimals = plans[0]?.cost.decimals ?? 2;
  const now = inForce.cost;
  const apart = capApart(found, plans);
  const best = found.answers.bestByWorth.plan?.number ?? null;
  const layout = useMemo(
    () =>
      layoutOf({
        plans: plans.map(({ number, date, cost, pointsLost }) => ({
          number,
          date,
          cost: cost.minor,
          points: pointsLost,
        })),
        inForce: now ? { date: inForce.date, cost: now.minor, points: inForce.pointsLost } : null,
        targetDate,
        // Where our own hours do not count against it the cap is no line across what is to be spent: marks say it.
        capMinor: apart ? null : (capLeft?.minor ?? null),
        decimals,
        best,
        width,
        height,
      }),
    [plans, inForce, now, targetDate, capLeft, apart, decimals, best, width, height],
  );
  const at = plans.findIndex(({ number }) => number === picked);
  // A held key is faster than the address: the next step starts where the last one led.
  const reached = useRef(at);
  useEffect(() => {
    reached.current = at;
  }, [at]);

  const walk = (event: KeyboardEvent) => {
    const to = {
      ArrowRight: reached.current + 1,
      ArrowDown: reached.current + 1,
      ArrowLeft: reached.current - 1,
      ArrowUp: reached.current - 1,
      Home: 0,
      End: plans.length - 1,
      Enter: Math.max(reached.current, 0),
      " ": Math.max(reached.current, 0),
    }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    reached.current = Math.min(plans.length - 1, Math.max(0, to));
    const plan = plans[reached.current];
    if (plan) onPick(plan.number);
  };

  /** The nearest mark is meant: on a phone a finger is wider than the marks. */
  const point = (event: MouseEvent<SVGSVGElement>) => {
    const box = event.currentTarget.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    let nearest: number | null = null;
    let least = 44 ** 2;
    for (const mark of layout.marks) {
      const away = (mark.x - x) ** 2 + (mark.y - y) ** 2;
      if (mark.number !== null && away < least) [nearest, least] = [mark.number, away];
    }
    if (nearest !== null) onPick(nearest);
  };

  const byNumber = new Map(plans.map((plan) => [plan.number, plan]));
  const markNow = layout.marks.find(({ number }) => number === null);
  const bottom = height - MARGIN.bottom;
  const onLines = layout.marks.filter(({ shown }) => !shown).length;
  return (
    <div className="plot" ref={frame}>
      <svg width={width} height={height} aria-hidden="true">
        <text x="0" y="14">
          {capLeft?.currency ?? plans[0]?.cost.currency} to spend
          {now && inForce.landed && now.minor !== inForce.landed.minor && ", with our own hours"}
        </text>
        {layout.costs.map((line) => (
          <g key={line.label}>
            <line className="grid" x1={MARGIN.left} x2={width} y1={line.at} y2={line.at} />
            <text x={MARGIN.left - 10} y={line.at + 5} textAnchor="end">
              {plainNumber(Number(line.label), 2)}
            </text>
          </g>
        ))}
        <line className="base" x1={MARGIN.left} x2={width} y1={bottom} y2={bottom} />
        {layout.dates.map((date) => (
          <g key={date.label}>
            <line className="base" x1={date.at} x2={date.at} y1={bottom} y2={bottom + 6} />
            <text x={date.at} y={bottom + 22} textAnchor={date.at < MARGIN.left + 40 ? "start" : "middle"}>
              {width < NARROW ? dayAndMonth(date.label) : dateInFull(date.label)}
            </text>
          </g>
        ))}
        {layout.target !== null && (
          <>
            <line className="limit" x1={layout.target} x2={layout.target} y1={MARGIN.top} y2={bottom} />
            <text className="limit-word" x={layout.target + 6} y={MARGIN.top + 10}>
              target
            </text>
          </>
        )}
        {layout.cap !== null && (
          <>
            <line className="limit" x1={MARGIN.left} x2={width} y1={layout.cap} y2={layout.cap} />
            <text className="limit-word" x={width} y={layout.cap - 6} textAnchor="end">
              left of the cap
            </text>
          </>
        )}
        {layout.lines.map((line) => (
          <polyline className="line" key={line[0]!.x} points={line.map(({ x, y }) => `${x},${y}`).join(" ")} />
        ))}
        {markNow && (
          <g className="in-force">
            <path d={`M${markNow.x - 11} ${markNow.y}l5.5-9.5h11l5.5 9.5-5.5 9.5h-11z`} />
            <text x={markNow.x + 16} y={markNow.y + 5}>
              in force, {figuresOf(found.inForce.pointsLost)}
            </text>
          </g>
        )}
      </svg>
      <svg
        className="plot-marks"
        width={width}
        height={height}
        // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: the drawing itself is the list to pick from
        role="listbox"
        tabIndex={0}
        aria-label="Plans, the earliest first"
        aria-activedescendant={at >= 0 ? `plan-mark-${picked}` : undefined}
        onKeyDown={walk}
        onClick={point}
      >
        {layout.marks.map((mark) => {
          const plan = mark.number === null ? undefined : byNumber.get(mark.number);
          if (!plan) return null;
          const chosen = plan.number === picked;
          const over = isOver(found, plan);
          return (
            <g
              key={plan.number}
              id={`plan-mark-${plan.number}`}
              role="option"
              aria-selected={chosen}
              aria-label={`Plan ${plan.number}: ${dateInFull(plan.date)}, ${money(plan.cost)}, ${points(plan.pointsLost)} lost${apart ? `, ${money(plan.counted)} against the cap` : ""}${over ? ", over the cap" : ""}${plan.number === best ? ", the best by worth" : ""}`}
              data-plan={plan.number}
            >
              {(mark.shown || chosen) && (
                <circle className={over ? "over" : undefined} cx={mark.x} cy={mark.y} r={mark.radius} />
              )}
              {plan.number === best && mark.shown && (
                <path
                  className="best"
                  d={`M${mark.x} ${mark.y - mark.radius - 3}l${mark.radius + 3} ${mark.radius + 3}l${-mark.radius - 3} ${mark.radius + 3}l${-mark.radius - 3} ${-mark.radius - 3}z`}
                />
              )}
              {chosen && <circle className="ring" cx={mark.x} cy={mark.y} r={mark.radius + 5} />}
              {chosen ? (
                <text x={mark.x} y={mark.y - mark.radius - 9} textAnchor="middle" className="chosen">
                  {figuresOf(plan.pointsLost)}
                </text>
              ) : (
                mark.figures &&
                !nearPicked(mark, layout.marks, picked) && (
                  <text x={mark.x + mark.figures.dx} y={mark.y + mark.figures.dy} textAnchor={mark.figures.anchor}>
                    {figuresOf(plan.pointsLost)}
                  </text>
                )
              )}
            </g>
          );
        })}
      </svg>
      {onLines > 0 && (
        <p className="soft">
          {counted(plans.length - onLines, "plan")} {plans.length - onLines === 1 ? "is" : "are"} drawn;{" "}
          {plainNumber(onLines)} more {onLines === 1 ? "lies" : "lie"} on the lines between them, and{" "}
          {onLines === 1 ? "is" : "are"} picked there or below.
        </p>
      )}
      {apart && capLeft && (
        <p className="soft">
          {plans.some((plan) => isOver(found, plan))
            ? "A dashed mark is a plan over the cap"
            : "No plan is over the cap"}
          : {money(capLeft)} is left of it, and our own hours do not count against it.
        </p>
      )}
    </div>
  );
}

/** Whether what counts against the cap is not what is to be spent, since our own hours stand beside it. */
export const capApart = ({ capLeft, inForce }: ChoicesFound, plans: readonly PlanRow[]): boolean =>
  capLeft !== null && [inForce, ...plans].some(({ cost, counted }) => cost?.minor !== counted?.minor);

/** Whether a plan costs more than the cap leaves. */
export const isOver = ({ capLeft }: ChoicesFound, { counted }: { counted: PlanRow["counted"] | null }): boolean =>
  capLeft !== null && counted !== null && counted.minor > capLeft.minor;

/** The figures of the plan that is picked are always written; those beside it give way. */
function nearPicked(
  mark: { x: number; y: number },
  marks: readonly { number: number | null; x: number; y: number }[],
  picked: number | null,
): boolean {
  const chosen = picked === null ? undefined : marks.find(({ number }) => number === picked);
  return chosen !== undefined && Math.abs(chosen.x - mark.x) < 34 && Math.abs(chosen.y - mark.y) < 24;
}
