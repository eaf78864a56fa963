import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { SaveRestoration } from "../restoration/restorationRow.ts";
import { counted, dateInFull, dateOfDay, dayNumber, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Line, Lines } from "../shared/Lines.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useMay } from "../shared/useMay.ts";
import type { OwnerData, Report } from "./documents.ts";

const SinceQuery = graphql(`
  query Since($restoration: ID!, $day: Date!, $first: Int!) {
    restoration(id: $restoration) {
      id
      finishedSince(day: $day, first: $first) { totalCount edges { node { id title finishedOn } } }
      arrivedSince(day: $day, first: $first) { totalCount edges { node { id arrivedOn quantity part { id name } } } }
      movedSince(day: $day) {
        days
        since { day completion evenOdds cost { minor currency decimals } }
      }
    }
  }
`);

/** Shown of each list before the rest is asked for, and then the most that one answer holds. */
const FIRST = 4;
const ALL = 100;
/** Where no report is marked as given. */
const USUAL_DAYS = 30;

interface SinceProps {
  report: Report;
  completion: OwnerData["holdUps"]["completion"];
  evenOdds: string | null;
}

/** What was done since the owner's last report: the day asked for, else the one marked, else thirty days back. */
export function Since({ report, completion, evenOdds }: SinceProps) {
  const { id, day } = useRestoration();
  const may = useMay();
  const { save, saving } = useSave();
  const [asked, ask] = useAddressValue("since");
  const [all, setAll] = useAddressValue("done");
  const { reportedOn, revision, exposure } = report;
  const isDay = asked !== null && /^\d{4}-\d{2}-\d{2}$/.test(asked) && dateOfDay(dayNumber(asked)) === asked;
  const chosen = isDay && asked <= day ? asked : null;
  const marked = reportedOn !== null && reportedOn <= day ? reportedOn : null;
  const since = chosen ?? marked ?? dateOfDay(dayNumber(day) - USUAL_DAYS);
  const [result, again] = useQuery({
    query: SinceQuery,
    variables: { restoration: id, day: since, first: all === "all" ? ALL : FIRST },
  });
  const read = useKept(result.data?.restoration, id);
  const done = read && [
    ...read.finishedSince.edges.map(({ node }) => ({
      id: node.id,
      name: node.title,
      on: node.finishedOn,
      how: "finished",
    })),
    ...read.arrivedSince.edges.map(({ node }) => ({
      id: node.id,
      name: node.quantity > 1 ? `${node.part.name}, ${node.quantity}` : node.part.name,
      on: node.arrivedOn,
      how: "come",
    })),
  ];
  const total = read ? read.finishedSince.totalCount + read.arrivedSince.totalCount : 0;
  const why = chosen
    ? ""
    : marked
      ? "The workshop marked a report as given on that day."
      : `No report is marked as given: these are the last ${USUAL_DAYS} days.`;
  return (
    <Section
      title={`Since ${chosen || !marked ? "" : "the last report, "}${dateInFull(since)}`}
      id="since"
      aside={
        may("Mutation.saveRestoration") &&
        reportedOn !== day && (
          <button
            type="button"
            disabled={saving}
            onClick={() => void save(SaveRestoration, { input: { id, revision, reportedOn: day } })}
          >
            Mark this report as given
          </button>
        )
      }
    >
      {!read || !done ? (
        result.error ? (
          <Problem of={result.error} what="what was done" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="what was done" />
        )
      ) : (
        <>
          <p className="said">
            {read.finishedSince.totalCount === 0
              ? "No work was finished"
              : `${counted(read.finishedSince.totalCount, "piece of work was", "pieces of work were")} finished`}
            ,{" "}
            {read.arrivedSince.totalCount === 0
              ? "no order came"
              : `${counted(read.arrivedSince.totalCount, "order")} came`}
            .{" "}
            {since === day ? (
              "Nothing has moved since: these are the figures of that day."
            ) : read.movedSince ? (
              <Moved of={read.movedSince} completion={completion} evenOdds={evenOdds} total={exposure.total} />
            ) : (
              completion.entered && "No figures are kept from then, so how the date moved is not known."
            )}
          </p>
          {done.length > 0 && (
            <Lines label="Done since then">
              {done.map(({ id: row, name, on, how }) => (
                <Line key={row} name={name} when={`${how} ${on ? dateInFull(on) : ""}`} />
              ))}
            </Lines>
          )}
          {(total > done.length || all === "all") && (
            <div className="row no-print">
              <button type="button" onClick={() => setAll(all === "all" ? null : "all")}>
                {all === "all" ? "Only the latest" : `${total - done.length} more`}
              </button>
            </div>
          )}
          {total > done.length && <p className="on-paper-line">and {total - done.length} more</p>}
        </>
      )}
      <div className="since-day no-print">
        <label htmlFor="since-day">Since</label>{" "}
        <input
          id="since-day"
          type="date"
          value={since}
          max={day}
          onChange={(event) => ask(event.target.value || null)}
        />{" "}
        <span className="soft">{why}</span>
      </div>
    </Section>
  );
}

interface MovedProps {
  of: {
    days: number;
    since: { completion: string; evenOdds: string | null; cost: Parameters<typeof money>[0] | null };
  };
  completion: SinceProps["completion"];
  evenOdds: string | null;
  total: { planned: number; unknown: number };
}

/** How the date and the sum moved, each against the same figure of that day. */
function Moved({ of: { days, since }, completion, evenOdds, total }: MovedProps) {
  const { cost } = since;
  return (
    <>
      As quoted, the end{" "}
      {days === 0 ? (
        <>stands where it did, at {dateInFull(completion.dateWithOpenInHand)}</>
      ) : (
        <>
          moved{" "}
          <strong
            className={days > 0 ? "late" : undefined}
          >{`${counted(Math.abs(days), "day")} ${days > 0 ? "later" : "earlier"}`}</strong>
          , from {dateInFull(since.completion)} to {dateInFull(completion.dateWithOpenInHand)}
        </>
      )}
      {since.evenOdds && evenOdds && since.evenOdds !== evenOdds && (
        <>
          ; even odds from {dateInFull(since.evenOdds)} to {dateInFull(evenOdds)}
        </>
      )}
      .
      {cost && total.unknown === 0 && cost.minor !== total.planned && (
        <>
          {" "}
          All of it, as planned, went from {money(cost)} to {money({ ...cost, minor: total.planned })}.
        </>
      )}
    </>
  );
}
