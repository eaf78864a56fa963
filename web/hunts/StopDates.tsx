import { dateInFull, money, odds, plainNumber } from "../shared/format.ts";
import { Table } from "../shared/Table.tsx";
import type { HuntRow } from "./documents.ts";
import "./hunts.css";

const WIDE = 600;
const TALL = 160;
const SHOWN = 26;

/** What each stop date gives: the chance of a find rises, the chance of the target falls once the fallback would come too late. */
export function StopDates({ outlook }: { outlook: NonNullable<HuntRow["outlook"]> }) {
  const stops = outlook.stops.slice(0, SHOWN);
  const target = stops.every(({ chanceOfTarget }) => chanceOfTarget !== null);
  const at = (place: number) => (place / (stops.length - 1)) * WIDE;
  const path = (chances: readonly number[]) =>
    chances
      .map((chance, place) => `${place === 0 ? "M" : "L"}${at(place).toFixed(1)} ${((1 - chance) * TALL).toFixed(1)}`)
      .join("");
  return (
    <>
      <figure className="stop-dates">
        <svg aria-hidden="true" viewBox={`0 -4 ${WIDE} ${TALL + 8}`} preserveAspectRatio="none">
          <line className="base" x1="0" x2={WIDE} y1={TALL} y2={TALL} />
          <path className="found" d={path(stops.map(({ chanceFound }) => chanceFound))} />
          {target && <path className="target" d={path(stops.map(({ chanceOfTarget }) => chanceOfTarget ?? 0))} />}
        </svg>
        <figcaption>
          <span>stop on {dateInFull(stops[0]!.date)}</span>
          <span>solid: chance of a find{target && "; dashed: odds of the target, if nothing else holds it"}</span>
          <span>{dateInFull(stops.at(-1)!.date)}</span>
        </figcaption>
      </figure>
      <Table
        caption="What each stop date gives"
        rows={stops}
        rowKey={({ date }) => date}
        columns={[
          { id: "date", title: "Stop on", lead: true, cell: ({ date }) => dateInFull(date) },
          { id: "found", title: "Found by then", numeric: true, cell: ({ chanceFound }) => odds(chanceFound) },
          {
            id: "target",
            title: "Keeps the target",
            numeric: true,
            cell: ({ chanceOfTarget }) => chanceOfTarget !== null && odds(chanceOfTarget),
          },
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
            cell: ({ points }) => points !== null && plainNumber(points, 1),
          },
        ]}
      />
    </>
  );
}
