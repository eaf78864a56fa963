import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { useDayInView } from "../shared/dayInView.ts";
import { counted, dateInFull, dateWithWeekday, days, hours, money, oddsTimes } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { SheetLink } from "../shared/SheetLink.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import { isOwnWork } from "../shared/words.ts";
import { WhyQuery } from "./documents.ts";
import { type Asked, nameOf, type RungRow } from "./rows.ts";
import { useWhyAddress } from "./WhyLink.tsx";

interface WhyProps {
  id: string;
  asked: Asked;
  rung: RungRow;
  /** Days by which the even odds come earlier with it alone cleared; null where that is not known. */
  evenOddsDays: number | null;
  before: string | undefined;
  end: string | null;
  figuresFor: string;
}

/** Chances are counted in runs: a day more or less is none. */
const SAME_DAYS = 1;

/** What having it today does as quoted, and to the even odds where that is something else. */
function ifHere(asQuoted: number, evenOdds: number | null): string {
  const quoted =
    asQuoted > 0
      ? `as quoted, completion comes ${days(asQuoted)} earlier`
      : "as quoted, completion stays where it is: others hold it";
  if (evenOdds === null || Math.abs(evenOdds - asQuoted) <= SAME_DAYS) return quoted;
  return `${quoted}; the date of even odds ${evenOdds > 0 ? `comes ${days(evenOdds)} earlier` : "stays where it is"}`;
}

/** Why a rung reaches as far as it does: the operations in turn from its arrival to the end, and the dates that follow. */
export function Why({ id, asked, rung, evenOddsDays, before, end, figuresFor }: WhyProps) {
  const { inDays, word } = useDayInView(figuresFor);
  const address = useWhyAddress();
  const may = useMay();
  const [result, again] = useQuery({
    query: WhyQuery,
    variables: {
      restoration: asked.restoration,
      figuresFor: asked.figuresFor,
      confidence: asked.confidence,
      after: before ?? null,
    },
  });
  const found = result.data?.holdUps.ladder.edges[0]?.node;
  const why = found?.id === rung.id ? found : undefined;
  return (
    <section className="why" id={id} aria-label={`Why ${nameOf(rung)} holds up`}>
      <div className="why-head">
        <h2>Why {nameOf(rung)}</h2>
        <span className="row no-print">
          {rung.part && may("Query.part") && (
            <Link to={addressOf.part(asked.restoration, rung.part.id)}>The part and its quotes</Link>
          )}
          {rung.snag && may("Restoration.snags") && (
            <Link to={`${addressOf.snags(asked.restoration)}?snag=${encodeURIComponent(rung.snag.id)}`}>
              The snag and its remedies
            </Link>
          )}
          {rung.kind === "HAND" && may("Mutation.saveTradeRate") && (
            <Link to={addressOf.byHand(asked.restoration)}>What each hand does</Link>
          )}
          <Link to={address(null)} preventScrollReset>
            Close
          </Link>
        </span>
      </div>
      {result.error ? (
        <Problem of={result.error} what="the reasons" again={() => again({ requestPolicy: "network-only" })} />
      ) : !why ? (
        <Loading what="the reasons" />
      ) : (
        <>
          <p className="prose">
            <Arrival rung={rung} figuresFor={figuresFor} />
            {why.chain.length > 0 && (
              <>
                {" "}
                Then {counted(why.chain.length, "step follows", "steps follow")} in turn
                {end ? ` to ${dateInFull(end)}` : ""}.
              </>
            )}
          </p>
          <dl className="facts">
            {why.needBy && (
              <Fact name="Need-by date">
                {dateWithWeekday(why.needBy)}: the latest arrival that leaves completion where it is
              </Fact>
            )}
            {why.orderBy && why.daysLeft !== null && !rung.order && (
              <Fact name="Order-by date">
                {dateWithWeekday(why.orderBy)}, {inDays(why.daysLeft)}
                {why.chanceWeekLater !== null &&
                  `; ordered a week later, the end holds ${oddsTimes(why.chanceWeekLater)}`}
              </Fact>
            )}
            {why.needByTarget && (
              <Fact name="For the target">
                {rung.cleared} by {dateWithWeekday(why.needByTarget)}
                {why.orderByTarget && !rung.order ? `, so ordered by ${dateWithWeekday(why.orderByTarget)}` : ""}
                {why.orderByTarget && !rung.order && why.orderByTarget < figuresFor && (
                  <span className="late">, which is past</span>
                )}
              </Fact>
            )}
            {why.floatDays !== null && (
              <Fact name="Float">
                {why.floatDays < 0
                  ? `${days(-why.floatDays)} too late`
                  : why.floatDays === 0
                    ? "none"
                    : days(why.floatDays)}
              </Fact>
            )}
            {!rung.open && (
              <Fact name={rung.kind === "HAND" ? "If nothing waited for them" : `If it were ${rung.cleared} ${word}`}>
                {ifHere(why.daysGained, evenOddsDays)}
              </Fact>
            )}
            {rung.kind !== "HAND" && (
              <Fact name="Waits for it">
                {counted(why.directOperations, "operation")} directly; {counted(why.waitingOperations, "operation")} and{" "}
                {hours(why.waitingHours)} in all
              </Fact>
            )}
          </dl>
          {why.chain.length > 0 && (
            <Table
              caption={`From ${rung.kind === "SNAG" ? "the remedy" : "the arrival"} of ${rung.title} to the end`}
              rows={why.chain.map((step, place) => ({ ...step, place }))}
              rowKey={(step) => String(step.place)}
              columns={chainColumns(asked.restoration)}
            />
          )}
        </>
      )}
    </section>
  );
}

function Fact({ name, children }: { name: string; children: React.ReactNode }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </>
  );
}

function Arrival({ rung, figuresFor }: { rung: RungRow; figuresFor: string }) {
  if (rung.kind === "HAND")
    return (
      <>
        {rung.otherWorkUntil
          ? `On other work until ${dateInFull(rung.otherWorkUntil)}; work here waits for that, and for the work before it.`
          : "They do one thing after the other: work that could begin waits until they are free."}
      </>
    );
  if (rung.open)
    return (
      <>
        {rung.kind === "SNAG" ? "It has no remedy yet" : "Nobody quotes it and no order is out"}, so nothing that waits
        for it has a date.
      </>
    );
  const { landed } = rung.quote ?? {};
  const price = rung.quote ? landed?.total : rung.remedy?.price;
  const from = rung.quote?.supplier.name ?? rung.remedy?.supplier?.name;
  const own = rung.quote !== null && isOwnWork(rung.quote);
  const by = from ? ` ${own ? "at" : "from"} ${from}` : "";
  return (
    <>
      {rung.order
        ? `${own ? "Being made" : "Ordered"}${by}${rung.orderOn ? ` ${own ? "since" : "on"} ${dateInFull(rung.orderOn)}` : ""}`
        : rung.remedy
          ? `Remedy${rung.decided ? "" : ", not yet chosen"}: ${rung.remedy.title}${by}, started on ${rung.orderOn && rung.orderOn > figuresFor ? dateInFull(rung.orderOn) : "the day of the figures"}`
          : `${rung.decided ? "Chosen" : "Not yet decided; the quickest quote is"}${by}, ${own ? "begun" : "ordered"} on ${rung.orderOn && rung.orderOn > figuresFor ? dateInFull(rung.orderOn) : "the day of the figures"}`}
      {rung.quote
        ? `, ${days(rung.quote.leadDays)} of lead time`
        : rung.remedy
          ? `, ${days(rung.remedy.days)} to wait`
          : ""}
      {price && !rung.order
        ? `, ${money(price)}${landed ? `${landed.ordered > 1 ? ` for ${landed.ordered}` : ""}, landed` : ""}`
        : ""}
      {rung.arrivalDate
        ? `; it ${rung.kind === "SNAG" ? "can be put right from" : "arrives on"} ${dateInFull(rung.arrivalDate)}`
        : ""}
      {rung.usableDate && rung.usableDate !== rung.arrivalDate
        ? ` and can be used from ${dateInFull(rung.usableDate)}`
        : ""}
      .
    </>
  );
}

interface Step {
  place: number;
  kind: "OPERATION" | "PREPARATION";
  code: string;
  title: string;
  startDate: string;
  finishDate: string;
  hours: number;
  lag: number;
  lagUnit: "DAYS" | "HOURS" | null;
  operation: { id: string; trade: string } | null;
}

const chainColumns = (restoration: string): Column<Step>[] => [
  {
    id: "title",
    title: "Step",
    lead: true,
    cell: (step) =>
      step.operation ? (
        <SheetLink reads="Query.operation" to={addressOf.operation(restoration, step.operation.id)}>
          {step.title}
        </SheetLink>
      ) : (
        step.title
      ),
  },
  {
    id: "code",
    title: "Code",
    cell: (step) => (step.kind === "PREPARATION" ? "before it fits" : <Code noun="operation" of={step.code} />),
  },
  { id: "trade", title: "Trade", cell: (step) => step.operation?.trade ?? "" },
  {
    id: "lag",
    title: "After a wait of",
    cell: (step) => (step.lag > 0 ? (step.lagUnit === "DAYS" ? days(step.lag) : hours(step.lag)) : ""),
  },
  { id: "start", title: "Starts", cell: (step) => <span className="nowrap">{dateWithWeekday(step.startDate)}</span> },
  {
    id: "finish",
    title: "Finished",
    cell: (step) => <span className="nowrap">{dateWithWeekday(step.finishDate)}</span>,
  },
  { id: "hours", title: "Hours", numeric: true, cell: (step) => hours(step.hours) },
];
