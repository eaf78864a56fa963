import { monthsOf, percent, scaleOf } from "../holdups/scale.ts";
import { dateInFull } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useWidth } from "../shared/useWidth.ts";

interface OddsLineProps {
  quoted: string;
  targetDate: string | null;
  evenOdds: string | null;
  fourInFive: string | null;
}

const ROW = 21;
const BAND = 14;
/** Room in pixels that a label takes beside its mark. */
const roomOf = (label: string): number => 10 + label.length * 6.5;

/** From the day of the figures to the end: the date as quoted, the band from even odds to 4 in 5, and the target. The list above it says the same in words. */
export function OddsLine({ quoted, targetDate, evenOdds, fourInFive }: OddsLineProps) {
  const { day } = useRestoration();
  const [frame, width] = useWidth();
  const from = day;
  const target = targetDate !== null && targetDate >= from ? targetDate : null;
  const scale = scaleOf(from, [quoted, target, evenOdds, fourInFive]);
  const named: [string, string | null][] = [
    ["target", target],
    ["as quoted", quoted],
    ["even odds", evenOdds],
    ["4 in 5", fourInFive],
  ];
  // The latest stands on top, so that no label lies across the line of another.
  const marks = named
    .flatMap(([name, date]) => (date === null ? [] : [{ name, date, at: scale.at(date) }]))
    .sort((a, b) => b.at - a.at);
  const top = marks.length * ROW + 6;
  const axis = top + BAND + 8;
  const bandTo = fourInFive ?? evenOdds;
  return (
    <figure className="odds-line">
      <div ref={frame}>
        <svg width="100%" height={axis + 22} aria-hidden="true">
          {monthsOf(scale, width).map(({ date, at, label }) => (
            <g className="axis-month" key={date}>
              <line x1={percent(at)} x2={percent(at)} y1={axis} y2={axis + 5} />
              <text x={percent(at)} dx={3} y={axis + 18}>
                {label}
              </text>
            </g>
          ))}
          <line className="axis" x1="0" x2="100%" y1={axis} y2={axis} />
          <line
            className="wait"
            x1="0"
            x2={percent(scale.at(evenOdds ?? quoted))}
            y1={top + BAND / 2}
            y2={top + BAND / 2}
          />
          {evenOdds && bandTo && (
            <rect
              className="band"
              x={percent(scale.at(evenOdds))}
              width={percent(scale.at(bandTo) - scale.at(evenOdds))}
              y={top}
              height={BAND}
            />
          )}
          {marks.map(({ name, date, at }, row) => {
            const label = `${name}, ${dateInFull(date)}`;
            const left = at * width >= roomOf(label);
            const missed = name === "target" && (bandTo ?? quoted) > date;
            return (
              <g key={name} className={name === "target" ? `target${missed ? " missed" : ""}` : "quoted"}>
                <line x1={percent(at)} x2={percent(at)} y1={row * ROW + 3} y2={axis} />
                <text x={percent(at)} dx={left ? -6 : 6} y={row * ROW + 15} textAnchor={left ? "end" : "start"}>
                  {label}
                </text>
              </g>
            );
          })}
        </svg>
      </div>
    </figure>
  );
}
