import type { ReactNode } from "react";
import { Folded } from "../shared/Folded.tsx";
import { dateInFull, dayNumber, odds as inOdds, money, plainNumber } from "../shared/format.ts";
import { Table } from "../shared/Table.tsx";
import type { HuntOutlook } from "./documents.ts";
import type { OddsState } from "./useHuntOdds.ts";

const WIDE = 600;
const TALL = 100;

interface StopDatesProps {
  outlook: HuntOutlook;
  stopDate: string | null;
  odds: OddsState;
}

interface Line {
  look: "solid" | "dashed" | "dotted";
  points: readonly { date: string; value: number }[];
}

/** What each stop date gives: chance of a find, odds of the target, expected cost and expected points lost. */
export function StopDates({ outlook, stopDate, odds }: StopDatesProps) {
  const { stops } = outlook;
  const weighed = odds.kind === "there" ? odds.odds : null;
  const oddsAt = new Map(weighed?.stops.map((stop) => [stop.date, stop]));
  const target = stops.every(({ chanceOfTarget }) => chanceOfTarget !== null);
  const span = { from: stops[0]!.date, to: stops.at(-1)!.date };
  const marks = [
    ...(stopDate && stopDate >= span.from && stopDate <= span.to ? [{ date: stopDate, words: "stop date" }] : []),
    ...(weighed?.decideBy ? [{ date: weighed.decideBy, words: "decide by" }] : []),
    ...(weighed?.best ? [{ date: weighed.best.date, words: "least in all" }] : []),
  ];
  const known = <T,>(of: (stop: HuntOutlook["stops"][number]) => T | null) =>
    stops.flatMap((stop) => {
      const value = of(stop);
      return value === null ? [] : [{ date: stop.date, value }];
    });
  const costs = known(({ cost }) => cost?.minor ?? null);
  const costOf = (minor: number) => {
    const cost = stops.find((stop) => stop.cost)!.cost!;
    return money({ ...cost, minor });
  };
  const points = known((stop) => stop.points);
  return (
    <>
      <h3>What each stop date gives</h3>
      <div className="stop-dates" aria-hidden="true">
        <Panel
          title={
            <>
              Chance of a find (solid)
              {target && "; of this part in time (dotted)"}
              {weighed && "; odds of the target (dashed)"}
            </>
          }
          span={span}
          marks={marks}
          lines={[
            { look: "solid", points: known((stop) => stop.chanceFound) },
            ...(target ? [{ look: "dotted" as const, points: known((stop) => stop.chanceOfTarget) }] : []),
            ...(weighed
              ? [
                  {
                    look: "dashed" as const,
                    points: weighed.stops.map(({ date, onTarget: value }) => ({ date, value })),
                  },
                ]
              : []),
          ]}
          least={0}
          most={1}
          words={(value) => (value === 0 ? "none" : "certain")}
        />
        {costs.length > 1 && (
          <Panel
            title="Expected cost"
            span={span}
            marks={marks}
            lines={[{ look: "solid", points: costs }]}
            words={costOf}
          />
        )}
        {points.length > 1 && (
          <Panel
            title="Expected points lost"
            span={span}
            marks={marks}
            lines={[{ look: "solid", points }]}
            words={(value) => plainNumber(value, 2)}
          />
        )}
        <p className="stop-dates-ends">
          <span>stop on {dateInFull(span.from)}</span>
          <span>{dateInFull(span.to)}</span>
        </p>
      </div>
      {odds.kind === "coming" && (
        <p className="soft" role="status">
          Drawing the odds of the target for each stop date …
        </p>
      )}
      {odds.kind === "failed" && <p className="late">The odds of the target could not be drawn just now.</p>}
      <Folded summary="Each stop date, in figures">
        <Table
          caption="What each stop date gives"
          rows={stops.filter(({ listed }) => listed)}
          rowKey={({ date }) => date}
          columns={[
            { id: "date", title: "Stop on", lead: true, cell: ({ date }) => dateInFull(date) },
            {
              id: "found",
              title: "Found by then",
              numeric: true,
              cell: ({ chanceFound }) => inOdds(chanceFound, true),
            },
            ...(target
              ? [
                  {
                    id: "alone",
                    title: "This part in time",
                    numeric: true,
                    cell: ({ chanceOfTarget }: HuntOutlook["stops"][number]) =>
                      chanceOfTarget !== null && inOdds(chanceOfTarget, true),
                  },
                ]
              : []),
            ...(weighed
              ? [
                  {
                    id: "target",
                    title: "Odds of the target",
                    numeric: true,
                    cell: ({ date }: HuntOutlook["stops"][number]) => {
                      const at = oddsAt.get(date);
                      return at === undefined ? null : inOdds(at.onTarget, true);
                    },
                  },
                ]
              : []),
            {
              id: "arrival",
              title: "Fallback here",
              cell: ({ fallbackArrival }) => fallbackArrival && dateInFull(fallbackArrival),
            },
            { id: "cost", title: "Expected cost", numeric: true, cell: ({ cost }) => cost && money(cost) },
            {
              id: "points",
              title: "Expected points lost",
              numeric: true,
              cell: (stop) => stop.points !== null && plainNumber(stop.points, 1),
            },
            ...(weighed?.best
              ? [
                  {
                    id: "late",
                    title: "Days past the target",
                    numeric: true,
                    cell: ({ date }: HuntOutlook["stops"][number]) => {
                      const late = oddsAt.get(date)?.daysLate;
                      return late == null ? null : plainNumber(late, 1);
                    },
                  },
                  {
                    id: "total",
                    title: "In all, at your prices",
                    numeric: true,
                    cell: ({ date }: HuntOutlook["stops"][number]) => {
                      const total = oddsAt.get(date)?.total;
                      if (!total) return null;
                      return date === weighed.best?.date ? <strong>{money(total)}, the least</strong> : money(total);
                    },
                  },
                ]
              : []),
          ]}
        />
      </Folded>
    </>
  );
}

interface PanelProps {
  title: ReactNode;
  span: { from: string; to: string };
  marks: readonly { date: string; words: string }[];
  lines: readonly Line[];
  /** Ends of the scale; absent: of what is drawn. */
  least?: number;
  most?: number;
  words: (value: number) => string;
}

/** One figure by stop date. The table says the same. */
function Panel({ title, span, marks, lines, words, ...ends }: PanelProps) {
  const values = lines.flatMap(({ points }) => points.map(({ value }) => value));
  const least = ends.least ?? Math.min(...values);
  const most = ends.most ?? Math.max(...values);
  const first = dayNumber(span.from);
  const place = (date: string) => (dayNumber(date) - first) / (dayNumber(span.to) - first);
  const height = (value: number) => (most === least ? 0.5 : (value - least) / (most - least));
  const path = ({ points }: Line) =>
    points
      .map(
        ({ date, value }, at) =>
          `${at === 0 ? "M" : "L"}${(place(date) * WIDE).toFixed(1)} ${((1 - height(value)) * TALL).toFixed(1)}`,
      )
      .join("");
  return (
    <figure className="stop-panel">
      <figcaption>{title}</figcaption>
      <div className="stop-drawing">
        <span className="stop-scale most">{words(most)}</span>
        {most > least && <span className="stop-scale least">{words(least)}</span>}
        <div className="stop-lines">
          <svg aria-hidden="true" viewBox={`0 -3 ${WIDE} ${TALL + 6}`} preserveAspectRatio="none">
            <line className="base" x1="0" x2={WIDE} y1={TALL + 2} y2={TALL + 2} />
            {lines.map((line) => (
              <path key={line.look} className={line.look} d={path(line)} />
            ))}
          </svg>
          {marks.map(({ date, words: said }) => (
            <span
              key={said}
              className={place(date) > 0.6 ? "stop-mark before" : "stop-mark"}
              style={{ left: `${(place(date) * 100).toFixed(2)}%` }}
            >
              <span>{said}</span>
            </span>
          ))}
        </div>
      </div>
    </figure>
  );
}
