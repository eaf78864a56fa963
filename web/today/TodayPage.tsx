import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Away } from "./Away.tsx";
import { Bench } from "./Bench.tsx";
import { TodayQuery } from "./documents.ts";
import { Morning } from "./Morning.tsx";
import "./today.css";

/** Lines of each list at first, and the most that are read at once. */
const FEW = 25;
const MOST = 500;

const MARKS = {
  ORDER: { word: "to order", colour: "red-lead", shape: "cross" },
  HUNT: { word: "decide now", colour: "brass", shape: "cross" },
  LATE: { word: "late", colour: "red-lead", shape: "cross" },
  DECISION: { word: "waits", colour: "brass", shape: "half" },
  DECLINED: { word: "choose another", colour: "red-lead", shape: "cross" },
} as const;

/** What the day asks for: to order, hunts to decide on, what is late, what waits for an answer; and the same by mail each morning. */
export default function TodayPage() {
  const restoration = useRestoration();
  const [asked, setAsked] = useAddressValue("lines");
  const first = Math.min(MOST, Math.max(FEW, Number(asked) || 0));
  const [result, again] = useQuery({ query: TodayQuery, variables: { restoration: restoration.id, first } });
  const read = useKept(result.data, restoration.id);
  if (!read)
    return (
      <Page title="Today">
        {result.error ? (
          <Problem of={result.error} what="the day" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the day" />
        )}
      </Page>
    );
  const { day, isToday, sentence, since, sections } = read.restoration.daySummary;
  return (
    <Page title={isToday ? "Today" : dateInFull(day)} sentence={sentence}>
      {!isToday && (
        <p>
          <Mark word="not today" colour="brass" shape="half" /> The figures are for {dateInFull(day)}.
          {read.me.role === "RESTORER" && (
            <>
              {" "}
              To see those of today, leave the day blank on the{" "}
              <Link to={addressOf.restoration(restoration.id)}>Restoration sheet</Link>.
            </>
          )}
        </p>
      )}
      <p className="prose">
        {since} <Link to={addressOf.holdUps(restoration.id)}>What holds it up</Link>
      </p>
      <Bench isToday={isToday} />
      {sections.map(({ kind, title, none, lines }) => (
        <Section key={kind} title={title} id={kind.toLowerCase()}>
          {lines.totalCount === 0 ? (
            <p className="soft">{none}</p>
          ) : (
            <ul className="today-lines">
              {lines.edges.map(({ node }, at) => (
                <li key={at}>
                  <Subject
                    kind={kind}
                    line={node}
                    restoration={restoration.id}
                    restorer={read.me.role === "RESTORER"}
                  />
                  : {node.words}
                  {node.pressing && (
                    <>
                      {" "}
                      <Mark {...MARKS[kind]} />
                    </>
                  )}
                </li>
              ))}
            </ul>
          )}
          {lines.totalCount > lines.edges.length &&
            (first < MOST ? (
              <p className="no-print">
                {lines.edges.length} of {lines.totalCount}.{" "}
                <button type="button" onClick={() => setAsked(String(first * 4))}>
                  Show more
                </button>
              </p>
            ) : (
              <p>
                {lines.edges.length} of {lines.totalCount}; all of them are on the{" "}
                <Link to={addressOf.holdUps(restoration.id)}>Hold-ups sheet</Link>.
              </p>
            ))}
        </Section>
      ))}
      <Away />
      <Morning account={read.me} />
      <p className="soft small">As of {dateInFull(day)}.</p>
    </Page>
  );
}

interface SubjectProps {
  kind: keyof typeof MARKS;
  line: { subject: string; part: { id: string } | null; snag: { id: string } | null };
  restoration: string;
  /** The sheets of parts and snags are the restorer's. */
  restorer: boolean;
}

function Subject({ kind, line: { subject, part, snag }, restoration, restorer }: SubjectProps) {
  // What waits for the owner is asked, answered and read on one sheet, by both.
  if (kind === "DECISION") return <Link to={`${addressOf.owner(restoration)}#decisions`}>{subject}</Link>;
  if (!restorer) return <strong>{subject}</strong>;
  if (kind === "DECLINED" && !part && !snag)
    return <Link to={`${addressOf.owner(restoration)}#decided`}>{subject}</Link>;
  if (part && kind === "HUNT") return <Link to={`${addressOf.part(restoration, part.id)}#hunt`}>{subject}</Link>;
  if (part) return <Link to={addressOf.part(restoration, part.id)}>{subject}</Link>;
  if (snag) return <Link to={`${addressOf.snags(restoration)}?snag=${encodeURIComponent(snag.id)}`}>{subject}</Link>;
  return <strong>{subject}</strong>;
}
