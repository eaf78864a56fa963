import { useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { useFormState } from "../shared/Form.tsx";
import { counted, hours, listed } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { WEEKDAYS } from "../shared/weekdays.ts";
import type { Closed } from "./ClosedDates.tsx";

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const CELL = 22;
const LABEL = 66;

interface Day {
  date: string;
  hours: number;
  reason: string;
}

const HandHoursQuery = graphql(`
  query HandHours($restoration: ID!, $from: Date!, $to: Date!) {
    restoration(id: $restoration) {
      id
      shopDays { handHours(from: $from, to: $to) { name people hours } }
    }
  }
`);

/** Hands that are told by name: of more, what they work together. */
const MOST_NAMED = 4;

/**
 * Twelve months, a line each: the days on which somebody works, by the hours of Monday to Sunday that hands work, or without
 * hands by the calendar as it stands in the form; closed dates are off.
 */
export function YearStrip({ ofHands }: { ofHands: readonly number[] }) {
  const form = useFormState();
  const restoration = useRestoration();
  const begin = restoration.day;
  const [turn, setTurn] = useState(0);
  const byHands = ofHands.some((worked) => worked > 0);
  const week = byHands ? ofHands : WEEKDAYS.map((day) => Number(form.value(day) ?? 0));
  const dates = (form.value("closedDates") as Closed[] | undefined) ?? [];
  const closed = new Map(dates.map((row) => [row.date, row.reason]));
  const first = Number(begin.slice(0, 4)) * 12 + Number(begin.slice(5, 7)) - 1 + turn * 12;
  const months = Array.from({ length: 12 }, (_, place) => monthOf(first + place, week, closed));
  const all = months.flatMap((month) => month.days);
  const worked = all.filter((day) => day.hours > 0);
  const from = months[0]?.name ?? "";
  const to = months.at(-1)?.name ?? "";
  const variables = { restoration: restoration.id, from: all[0]!.date, to: all.at(-1)!.date };
  const [{ data }] = useQuery({ query: HandHoursQuery, variables });
  const hands = data?.restoration.shopDays.handHours;
  const eachPair =
    hands?.length === 0 ? `, ${hours(worked.reduce((sum, day) => sum + day.hours, 0))} for each pair of hands` : "";
  const said = `From ${from} to ${to}: ${counted(worked.length, "working day")}${eachPair}; closed on ${counted(all.length - worked.length, "day")}.`;
  return (
    <div className="year">
      <div className="headline">
        <div>
          <p>{said}</p>
          {hands && hands.length > 0 && <p className="soft">By what is saved, {handHoursWords(hands)}.</p>}
        </div>
        <div className="row no-print">
          <button type="button" onClick={() => setTurn(turn - 1)}>
            A year back
          </button>
          <button type="button" onClick={() => setTurn(turn + 1)}>
            A year on
          </button>
        </div>
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls sideways on a narrow screen, and the keyboard must reach it */}
      <section className="year-scroll" tabIndex={0} aria-label="Working days of the year">
        <svg
          viewBox={`0 0 ${LABEL + 31 * CELL} ${12 * CELL + 18}`}
          role="img"
          aria-label={`${said} Hatched days are closed.`}
        >
          <defs>
            <pattern id="year-closed" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
              <path d="M0 0V5" className="year-hatch" />
            </pattern>
          </defs>
          {Array.from({ length: 31 }, (_, place) => (
            <text key={place} x={LABEL + place * CELL + CELL / 2} y="12" textAnchor="middle" className="year-day">
              {place + 1}
            </text>
          ))}
          {months.map((month, line) => (
            <g key={month.name} transform={`translate(0 ${18 + line * CELL})`}>
              <text x="0" y="15">
                {month.name}
              </text>
              {month.days.map((day, place) => (
                <rect
                  key={day.date}
                  x={LABEL + place * CELL + 1}
                  y="1"
                  width={CELL - 2}
                  height={CELL - 2}
                  className={`${day.hours > 0 ? "worked" : closed.has(day.date) ? "closed listed" : "closed"}${day.date === begin ? " now" : ""}${day.date === restoration.targetDate ? " target" : ""}`}
                >
                  <title>{`${day.date}: ${day.hours > 0 ? hours(day.hours) : day.reason || "closed"}`}</title>
                </rect>
              ))}
            </g>
          ))}
        </svg>
      </section>
      <p className="soft small">
        Hatched: closed; with a firmer outline: on the list of closed dates. Thick outline: the day the figures are for.
        Broken outline: the target date.
      </p>
    </div>
  );
}

/** "Ivy works 1,704 h and Ned (2) 3,408 h in them" */
function handHoursWords(hands: readonly { name: string; people: number; hours: number }[]): string {
  if (hands.length > MOST_NAMED) {
    const people = hands.reduce((sum, hand) => sum + hand.people, 0);
    return `${counted(people, "person works", "people work")} ${hours(hands.reduce((sum, hand) => sum + hand.hours, 0))} in them, all together`;
  }
  const each = hands.map(
    ({ name, people, hours: theirs }, at) =>
      `${name}${people > 1 ? ` (${people})` : ""}${at > 0 ? "" : people > 1 ? " work" : " works"} ${hours(theirs)}`,
  );
  return `${listed(each)} in them`;
}

function monthOf(
  number: number,
  week: readonly number[],
  closed: ReadonlyMap<string, string>,
): { name: string; days: Day[] } {
  const [year, month] = [Math.floor(number / 12), number % 12];
  const length = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
  const days = Array.from({ length }, (_, place): Day => {
    const at = new Date(Date.UTC(year, month, place + 1));
    const date = at.toISOString().slice(0, 10);
    const usual = week[(at.getUTCDay() + 6) % 7] ?? 0;
    return {
      date,
      hours: closed.has(date) ? 0 : usual,
      reason: closed.get(date) ?? (WEEKDAYS[(at.getUTCDay() + 6) % 7] as string),
    };
  });
  return { name: `${MONTHS[month]} ${year}`, days };
}
