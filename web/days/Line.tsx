import { type MouseEvent, useMemo } from "react";
import { dateInFull, dayAndMonth, plainNumber } from "../shared/format.ts";
import { useWidth } from "../shared/useWidth.ts";
import type { DayRow } from "./documents.ts";
import { layoutOf, MARGIN } from "./line.ts";

interface LineProps {
  days: readonly DayRow[];
  /** The kept day from which the movement is counted. */
  since: string | null;
  onSince: (day: string) => void;
}

const NARROW = 560;

/** The end as it stood on each day, and below it the cost. The table says the same; a click chooses the nearest day. */
export function Line({ days, since, onSince }: LineProps) {
  const [frame, width] = useWidth();
  const cost = days.find((day) => day.cost)?.cost;
  const height = cost ? 420 : 320;
  const layout = useMemo(
    () =>
      layoutOf(
        days.map((day) => ({ ...day, cost: day.cost?.minor ?? null })),
        width,
        height,
        cost?.decimals ?? 2,
      ),
    [days, width, height, cost],
  );
  const choose = (event: MouseEvent<SVGSVGElement>) => {
    const x = event.clientX - event.currentTarget.getBoundingClientRect().left;
    const nearest = layout.points.reduce((best, point) =>
      Math.abs(point.x - x) < Math.abs(best.x - x) ? point : best,
    );
    onSince(nearest.day);
  };
  const chosen = layout.points.find(({ day }) => day === since);
  const last = layout.points.at(-1);
  const bottom = height - MARGIN.bottom;
  const narrow = width < NARROW;
  return (
    <div className="line" ref={frame}>
      {width > 0 && (
        <>
          {/* The field above the drawing chooses the same by keyboard. */}
          <svg width={width} height={height} aria-hidden="true" onClick={choose}>
            {layout.ends.map((end) => (
              <g key={end.label}>
                <line className="grid" x1={MARGIN.left} x2={width} y1={end.at} y2={end.at} />
                <text x={MARGIN.left - 8} y={end.at + 5} textAnchor="end">
                  {dayAndMonth(end.label)} {end.label.slice(2, 4)}
                </text>
              </g>
            ))}
            {layout.open.map(({ from, to }) => (
              <g key={from}>
                <rect className="open" x={from} y={MARGIN.top - 8} width={to - from} height="7" />
                {to - from > 60 && (
                  <text className="open-word" x={from + 2} y={MARGIN.top + 14}>
                    no date
                  </text>
                )}
              </g>
            ))}
            <path className="band" d={layout.band} />
            <path className="target" d={layout.target} />
            <path className="completion" d={layout.completion} />
            {cost && (
              <>
                <text x="0" y={layout.upper + MARGIN.between - 12}>
                  All of it, {cost.currency}
                </text>
                {layout.costs.map((line) => (
                  <g key={line.label}>
                    <line className="grid" x1={MARGIN.left} x2={width} y1={line.at} y2={line.at} />
                    <text x={MARGIN.left - 8} y={line.at + 5} textAnchor="end">
                      {plainNumber(Number(line.label), 0)}
                    </text>
                  </g>
                ))}
                <path className="cost" d={layout.cost} />
              </>
            )}
            <line className="base" x1={MARGIN.left} x2={width} y1={bottom} y2={bottom} />
            {layout.days.map((day, place) => (
              <g key={day.label}>
                <line className="base" x1={day.at} x2={day.at} y1={bottom} y2={bottom + 6} />
                <text
                  x={day.at}
                  y={bottom + 22}
                  textAnchor={place === 0 ? "start" : place === layout.days.length - 1 ? "end" : "middle"}
                >
                  {narrow ? dayAndMonth(day.label) : dateInFull(day.label)}
                </text>
              </g>
            ))}
            {chosen && (
              <g className="since">
                <line x1={chosen.x} x2={chosen.x} y1={MARGIN.top} y2={bottom} />
                <circle cx={chosen.x} cy={chosen.y} r="6" />
              </g>
            )}
            {last && <circle className="now" cx={last.x} cy={last.y} r="6" />}
          </svg>
        </>
      )}
      <ul className="key" aria-hidden="true">
        <li>
          <span className="key-completion" /> the end as quoted, as if nothing lacked a source or remedy
        </li>
        {layout.band !== "" && (
          <li>
            <span className="key-band" /> from even odds to 4 in 5
          </li>
        )}
        {layout.target !== "" && (
          <li>
            <span className="key-target" /> target date
          </li>
        )}
        {layout.open.length > 0 && (
          <li>
            <span className="key-open" /> no completion date: something had no source or remedy
          </li>
        )}
      </ul>
    </div>
  );
}
