import type { ResultOf } from "gql.tada";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull, hours, listed } from "../shared/format.ts";
import { Line, Lines } from "../shared/Lines.tsx";
import { Section } from "../shared/Page.tsx";
import type { TodayQuery } from "./documents.ts";

type Load = NonNullable<ResultOf<typeof TodayQuery>["holdUps"]>["handLoad"]["edges"][number]["node"];

/** One line a hand: what they begin the rest of this week with, and for how long. */
export function OnTheBench({ restoration, loads }: { restoration: string; loads: readonly Load[] }) {
  if (loads.length === 0) return null;
  return (
    <Section title="On the bench this week" id="bench" note={counted(loads.length, "hand")}>
      <Lines>
        {loads.map(({ name, trades, weeks: [week] }) => {
          const [work, ...more] = week?.work ?? [];
          const [away] = week?.away ?? [];
          return (
            <Line
              key={name}
              name={name}
              more={<span className="soft"> {listed(trades)}</span>}
              also={
                work ? (
                  <>
                    {work.operation ? (
                      <Link to={addressOf.operation(work.restoration.id, work.operation.id)}>{work.title}</Link>
                    ) : (
                      work.title
                    )}
                    {work.restoration.id !== restoration && `, ${work.restoration.machine}`}
                    {more.length > 0 && `; then ${more.length} more`}
                  </>
                ) : away ? (
                  `away${away.from === away.to ? ` on ${dateInFull(away.from)}` : ` from ${dateInFull(away.from)} to ${dateInFull(away.to)}`}`
                ) : (
                  "the schedule has nothing"
                )
              }
              when={work && hours(work.hours)}
              button={
                work?.operation &&
                work.restoration.id === restoration && (
                  <Link className="button" to={addressOf.hours(restoration)}>
                    Book <span className="unseen">hours of {name}</span>
                  </Link>
                )
              }
            />
          );
        })}
      </Lines>
      <p className="more-hands">
        <Link to={addressOf.byHand(restoration)}>Who does what, week by week</Link>
      </p>
    </Section>
  );
}
