import { useRef, useState } from "react";
import { useMutation, useQuery } from "urql";
import { graphql } from "../client.ts";
import { dateInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Problem, Section, wordsOf } from "../shared/Page.tsx";

const CalendarLinksQuery = graphql(`
  query CalendarLinks($restoration: ID!) {
    restoration(id: $restoration) { id calendarFeeds { id madeAt readAt account { name } } }
  }
`);

const Make = graphql(`
  mutation MakeCalendarFeed($restoration: ID!) {
    makeCalendarFeed(restoration: $restoration) { path feed { id } }
  }
`);

const Revoke = graphql(`
  mutation RevokeCalendarFeed($feed: ID!) { revokeCalendarFeed(feed: $feed) }
`);

/** Secret links by which a calendar program reads the restoration's days: made, copied once, revoked. */
export function CalendarLinks({ restoration }: { restoration: string }) {
  const [result, again] = useQuery({ query: CalendarLinksQuery, variables: { restoration } });
  const [making, make] = useMutation(Make);
  const [revoking, revoke] = useMutation(Revoke);
  const [made, setMade] = useState<{ id: string; link: string } | null>(null);
  const [said, setSaid] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const field = useRef<HTMLInputElement>(null);
  const feeds = useKept(result.data, restoration)?.restoration.calendarFeeds;
  const busy = making.fetching || revoking.fetching;

  const makeOne = async () => {
    setProblem(null);
    setSaid("");
    const { data, error } = await make({ restoration });
    if (data) {
      const { path, feed } = data.makeCalendarFeed;
      setMade({ id: feed.id, link: new URL(path, window.location.origin).href });
    } else setProblem(`No link was made. ${error ? wordsOf(error) : ""}`);
  };
  const copy = async () => {
    field.current?.select();
    try {
      await navigator.clipboard.writeText(made?.link ?? "");
      setSaid("Copied.");
    } catch {
      setSaid("This browser does not allow copying here: the link is selected, so copy it by hand.");
    }
  };
  const revokeOne = async (id: string) => {
    setProblem(null);
    const { error } = await revoke({ feed: id });
    if (error) return setProblem(`The link was not revoked. ${wordsOf(error)}`);
    if (made?.id === id) setMade(null);
    setSaid("Revoked: the link leads nowhere from now on.");
  };

  return (
    <Section
      title="Calendar links"
      id="calendar-links"
      aside={
        <button type="button" disabled={busy} onClick={() => void makeOne()}>
          Make a link
        </button>
      }
    >
      <p className="prose">
        A calendar program that reads such a link shows the order-by dates, promised arrivals, the days of hunts and the
        target date, and follows them as they move. Whoever has the link can read them: revoke one that went astray.
      </p>
      {made && (
        <div className="field wide">
          <label htmlFor="calendar-link">The new link</label>
          <span className="hint" id="calendar-link-hint">
            It is shown this once. Give it to the calendar program as a calendar to subscribe to.
          </span>
          <input
            id="calendar-link"
            ref={field}
            readOnly
            value={made.link}
            aria-describedby="calendar-link-hint"
            onFocus={(event) => event.target.select()}
          />
          <div className="row">
            <button type="button" onClick={() => void copy()}>
              Copy the link
            </button>
          </div>
        </div>
      )}
      <p role="status">{said}</p>
      {problem && (
        <p className="form-problem" role="alert">
          {problem}
        </p>
      )}
      {!feeds ? (
        result.error ? (
          <Problem of={result.error} what="the calendar links" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the calendar links" />
        )
      ) : feeds.length === 0 ? (
        <p className="soft">No link is in use.</p>
      ) : (
        <ul className="calendar-links">
          {feeds.map(({ id, madeAt, readAt, account }) => {
            const words = `made ${dateInFull(madeAt.slice(0, 10))} by ${account.name}`;
            return (
              <li key={id}>
                <span>
                  Link {words},{" "}
                  {readAt ? `last read ${dateInFull(readAt.slice(0, 10))}` : "not read by any program yet"}
                </span>
                <button type="button" className="remove no-print" disabled={busy} onClick={() => void revokeOne(id)}>
                  Revoke<span className="unseen"> the link {words}</span>
                </button>
              </li>
            );
          })}
        </ul>
      )}
    </Section>
  );
}
