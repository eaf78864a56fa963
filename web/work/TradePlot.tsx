import { useId } from "react";
import { codeInWords } from "../shared/Code.tsx";
import { counted, hours } from "../shared/format.ts";
import { noTrade } from "../shared/words.ts";
import { type scaleOf, type TradeRecord, timesWords } from "./howLong.ts";

const SIDE = 200;

/**
 * Hours as estimated from left to right, and as booked from below, both by equal ratios: each finished operation a mark,
 * the line on which work takes as long as is estimated, and in a band the factor that the odds take, with its doubt.
 */
export function TradePlot({ record, scale }: { record: TradeRecord; scale: ReturnType<typeof scaleOf> }) {
  const clip = useId();
  const { from, to, marks } = scale;
  const at = (value: number) => (Math.log(value / from) / Math.log(to / from)) * SIDE;
  const down = (value: number) => SIDE - at(value);
  const along = (factor: number) => `M0 ${down(from * factor).toFixed(1)}L${SIDE} ${down(to * factor).toFixed(1)}`;
  const band = `${along(record.oneInTen)}L${SIDE} ${down(to * record.nineInTen).toFixed(1)}L0 ${down(from * record.nineInTen).toFixed(1)}Z`;
  const shown = marks.filter((_, place) => marks.length < 5 || place % Math.ceil(marks.length / 4) === 0);
  return (
    <figure className="trade-plot">
      <figcaption>
        <strong>{noTrade(record.trade)}</strong>, {counted(record.operations, "operation")}: {timesWords(record.factor)}
      </figcaption>
      <svg aria-hidden="true" viewBox={`-34 -6 ${SIDE + 44} ${SIDE + 26}`}>
        <clipPath id={clip}>
          <rect width={SIDE} height={SIDE} />
        </clipPath>
        {shown.map((mark) => (
          <g key={mark} className="marks">
            <line x1={at(mark)} x2={at(mark)} y1={0} y2={SIDE} />
            <line x1={0} x2={SIDE} y1={down(mark)} y2={down(mark)} />
            <text x={at(mark)} y={SIDE + 15} textAnchor="middle">
              {mark}
            </text>
            <text x={-5} y={down(mark) + 4} textAnchor="end">
              {mark}
            </text>
          </g>
        ))}
        <g clipPath={`url(#${clip})`}>
          <path className="doubt" d={band} />
          <path className="as-estimated" d={along(1)} />
          <path className="factor" d={along(record.factor)} />
        </g>
        {record.finished.edges.map(({ node: { operation, estimateHours, bookedHours } }) => (
          <circle
            key={operation.id}
            className={bookedHours > estimateHours ? "over" : "under"}
            cx={at(estimateHours)}
            cy={down(bookedHours)}
            r={4.5}
          >
            <title>{`${codeInWords("operation", operation.code)} ${operation.title}: estimated ${hours(estimateHours)}, took ${hours(bookedHours)}`}</title>
          </circle>
        ))}
      </svg>
    </figure>
  );
}

/** What the drawings show. */
export function TradePlotKey() {
  return (
    <p className="trade-plot-key">
      <span>
        <span className="key as-estimated" /> as long as is estimated
      </span>
      <span>
        <span className="key factor" /> what the odds take
      </span>
      <span>
        <span className="key doubt" /> in 8 of 10 runs
      </span>
      <span>
        <span className="key over" /> took longer
      </span>
      <span>
        <span className="key under" /> took as long or less
      </span>
    </p>
  );
}
