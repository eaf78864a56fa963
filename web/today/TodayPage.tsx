import type { ResultOf } from "gql.tada";
import { Fragment, type ReactNode } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { Folded } from "../shared/Folded.tsx";
import { dateInFull, lateBy, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Line, Lines, Rest } from "../shared/Lines.tsx";
import { Mark } from "../shared/Mark.tsx";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useMay } from "../shared/useMay.ts";
import { Away } from "./Away.tsx";
import { Bench } from "./Bench.tsx";
import { TodayQuery } from "./documents.ts";
import { Morning } from "./Morning.tsx";
import { OnTheBench } from "./OnTheBench.tsx";
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
  const may = useMay();
  const [asked, setAsked] = useAddressValue("lines");
  const first = Math.min(MOST, Math.max(FEW, Number(asked) || 0));
  const [result, again] = useQuery({
    query: TodayQuery,
    variables: { restoration: restoration.id, first, shop: may("Query.hands") },
  });
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
  const { laterOrders, handLoad } = read.holdUps ?? {};
  const restorer = read.me.role === "RESTORER";
  const more = (shown: number, total: number) =>
    total > shown &&
    (first < MOST ? (
      <p className="no-print">
        {shown} of {total}.{" "}
        <button type="button" onClick={() => setAsked(String(first * 4))}>
          Show more
        </button>
      </p>
    ) : (
      <p>
        {shown} of {total}; all of them are on the <Link to={addressOf.holdUps(restoration.id)}>Hold-ups sheet</Link>.
      </p>
    ));
  return (
    <Page title={isToday ? "Today" : dateInFull(day)} lead={leadOf(sections, restoration.id, restorer)}>
      {!isToday && (
        <p>
          <Mark word="not today" colour="brass" shape="half" /> The figures are for {dateInFull(day)}.
          {restorer && (
            <>
              {" "}
              To see those of today, leave the day blank on the{" "}
              <Link to={addressOf.restoration(restoration.id)}>Restoration sheet</Link>.
            </>
          )}
        </p>
      )}
      <Folded summary="When it is ready">
        <p className="sentence">{sentence}</p>
        <p className="prose">
          {since} <Link to={addressOf.holdUps(restoration.id)}>What holds it up</Link>
        </p>
      </Folded>
      <Bench isToday={isToday} />
      <div className={handLoad?.edges.length ? "two" : undefined}>
        <div>
          {sections.map(({ kind, title, none, lines }) => {
            const all = lines.edges.map(({ node }) => node);
            // What is due after the fortnight is one line.
            const later = kind === "ORDER" ? laterOrders : undefined;
            const soon = later ? Math.min(all.length, lines.totalCount - later.count) : all.length;
            const line = (node: SummaryLine, at: number) => (
              <TodayLine key={at} kind={kind} line={node} restoration={restoration.id} restorer={restorer} />
            );
            const next = all[soon];
            return (
              <Section
                key={kind}
                title={title}
                id={kind.toLowerCase()}
                note={lines.totalCount > 0 && (later ? `${soon} within a fortnight` : lines.totalCount)}
              >
                {lines.totalCount === 0 ? (
                  <p className="soft">{none}</p>
                ) : (
                  <Lines>
                    {all.slice(0, soon).map(line)}
                    {later && next && (
                      <>
                        {next.due && (
                          <Rest
                            summary={
                              <span className="soft">
                                {soon === 0 ? "Nothing" : "Nothing more"} within a fortnight. The next is {next.subject}
                                , by {dateInFull(next.due)}.
                              </span>
                            }
                          />
                        )}
                        <Rest
                          summary={`${later.count} later${later.lastOn ? `, to ${dateInFull(later.lastOn)}` : ""}`}
                          sum={later.cost && later.chosen > 0 && `${later.chosen} chosen: ${money(later.cost)}`}
                          open={first > FEW}
                        >
                          <Lines>{all.slice(soon).map(line)}</Lines>
                          {more(all.length, lines.totalCount)}
                        </Rest>
                      </>
                    )}
                  </Lines>
                )}
                {!(later && next) && more(all.length, lines.totalCount)}
              </Section>
            );
          })}
        </div>
        <div>
          {handLoad && <OnTheBench restoration={restoration.id} loads={handLoad.edges.map(({ node }) => node)} />}
          <Away />
          <div className="no-print">
            <Morning account={read.me} />
          </div>
        </div>
      </div>
      <p className="soft small as-of">As of {dateInFull(day)}.</p>
    </Page>
  );
}

type Sections = ResultOf<typeof TodayQuery>["restoration"]["daySummary"]["sections"];
type SummaryLine = Sections[number]["lines"]["edges"][number]["node"];

const LED_BY = 2;

/** What to do first and then, with what stands in its way. */
function leadOf(sections: Sections, restoration: string, restorer: boolean): ReactNode[] {
  const all = sections.flatMap(({ kind, lines }) => lines.edges.map(({ node }) => ({ kind, line: node })));
  // To an owner nothing is pressing but what waits for an answer.
  const first = all.filter(({ kind, line }) => line.pressing || (!restorer && kind === "DECISION")).slice(0, LED_BY);
  if (first.length === 0) return ["Nothing presses on this day."];
  return first.map(({ kind, line }, place) => (
    <Fragment key={place}>
      {place > 0 && "Then "}
      <Subject kind={kind} line={line} restoration={restoration} restorer={restorer} />: {line.what}
      {kind === "LATE" && line.daysLeft !== null ? `, ${lateBy(-line.daysLeft)}` : line.note && `; ${line.note}`}.
    </Fragment>
  ));
}

interface TodayLineProps {
  kind: keyof typeof MARKS;
  line: SummaryLine;
  restoration: string;
  restorer: boolean;
}

/** What there is to do, by when, and the button that leads to where it is done. */
function TodayLine({ kind, line, restoration, restorer }: TodayLineProps) {
  const { alone } = useDayInView();
  const { due, daysLeft, pressing, what, note, phone, subject, part, snag } = line;
  const { word, colour } = MARKS[kind];
  const when =
    daysLeft === null || due === null
      ? pressing && word
      : kind === "LATE"
        ? lateBy(-daysLeft)
        : daysLeft > 0 && kind === "ORDER"
          ? `by ${dateInFull(due)}`
          : alone(daysLeft);
  const act = buttonOf(kind, restorer);
  const to = part
    ? kind === "ORDER"
      ? addressOf.orderFor(restoration, part.id)
      : `${addressOf.part(restoration, part.id)}${kind === "HUNT" ? "#hunt" : ""}`
    : snag && addressOf.snag(restoration, snag.id);
  return (
    <Line
      name={<Subject kind={kind} line={line} restoration={restoration} restorer={restorer} />}
      also={
        <>
          {what}
          {note && (
            <>
              ; <span className={kind === "LATE" ? "red-lead" : "brass"}>{note}</span>
            </>
          )}
        </>
      }
      when={when || undefined}
      {...(pressing || kind === "LATE" ? { colour } : {})}
      button={
        phone ? (
          <a className="button" href={`tel:${phone.replace(/[^+\d]/g, "")}`}>
            Ring <span className="unseen">about {subject}</span>
          </a>
        ) : (
          act && (
            <Link
              className={pressing && kind === "ORDER" ? "button main" : "button"}
              to={
                kind === "DECISION" ? `${addressOf.owner(restoration)}#decisions` : (to ?? addressOf.owner(restoration))
              }
            >
              {act} <span className="unseen">{subject}</span>
            </Link>
          )
        )
      }
    />
  );
}

/** What the button of a line is called; where there is nothing to do, null. */
function buttonOf(kind: keyof typeof MARKS, restorer: boolean): string | null {
  if (kind === "DECISION") return restorer ? "Note the answer" : "Answer";
  if (!restorer || kind === "LATE") return null;
  return { ORDER: "Order", HUNT: "Decide", DECLINED: "Choose" }[kind];
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
