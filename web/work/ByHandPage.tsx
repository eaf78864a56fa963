import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull, dayAndMonth, days, hours, listed } from "../shared/format.ts";
import { OnHands } from "../shared/OnHands.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SheetLink } from "../shared/SheetLink.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import { ByHandQuery, type HandLoadRow, type WorkOfWeek, workIn } from "./byHand.ts";
import { HandGains } from "./HandGains.tsx";
import { OrderOfWork } from "./OrderOfWork.tsx";
import "./byHand.css";

/** Who does what, when: of each hand the weeks to come, drawn against the hours that they have, and the work of one week. */
export default function ByHandPage() {
  const restoration = useRestoration();
  const may = useMay();
  const [result, again] = useQuery({
    query: ByHandQuery,
    variables: { restoration: restoration.id, mayHands: may("Query.hands") },
  });
  const [asked, choose] = useAddressValue("week");
  if (result.error)
    return (
      <Page title="By hand">
        <Problem what="who does what" of={result.error} again={() => again({ requestPolicy: "network-only" })} />
      </Page>
    );
  if (!result.data)
    return (
      <Page title="By hand">
        <Loading what="who does what" />
      </Page>
    );
  const { figuresFor } = result.data.holdUps;
  const loads = result.data.holdUps.handLoad.edges.map(({ node }) => node);
  const weeks = loads[0]?.weeks ?? [];
  if (weeks.length === 0) {
    const { entered } = result.data.holdUps.completion;
    const someWork = (result.data.shop?.totalCount ?? 0) > 0;
    return (
      <Page title="By hand">
        <OnHands restoration={restoration.id} figuresFor={null} />
        <Empty
          title={
            someWork ? (entered ? "No work is left for anybody" : "No work is entered yet") : "Nobody has work yet"
          }
          actions={
            <>
              {!someWork && (
                <Link className="button" to={`${addressOf.restoration(restoration.id)}#hands`}>
                  Say who works
                </Link>
              )}
              <Link className="button" to={addressOf.work(restoration.id)}>
                Enter the work
              </Link>
            </>
          }
        >
          Once it is entered {!someWork && "who works when, and "}what there is to do, each week of{" "}
          {someWork ? "those who work" : "theirs"} is drawn here.
        </Empty>
      </Page>
    );
  }
  const week = weeks.some(({ from }) => from === asked) ? asked! : weeks[0]!.from;
  return (
    <Page title="By hand" sentence={<Sentence loads={loads} />}>
      <OnHands restoration={restoration.id} figuresFor={null} />
      <Section id="weeks" title="Hours spoken for, week by week">
        <ul className="by-hand">
          {loads.map((load) => (
            <li key={load.name}>
              <p>
                <strong>{load.name}</strong>
                {load.people > 1 && ` (${load.people})`} <span className="soft">{listed(load.trades)}</span>
                <span className="by-hand-sum">
                  {load.daysGained > 0 && `${days(load.daysGained)} sooner if nothing waited for them, `}
                  {hours(sumOf(load))} to do
                </span>
              </p>
              <Weeks load={load} restoration={restoration.id} chosen={week} onChoose={choose} />
            </li>
          ))}
        </ul>
        <p className="soft">
          Each column is a week: the outline is what they work in it, the filled part what the schedule has work for
          {loads.some((load) => elsewhereIn(load, restoration.id)) && ", pale where it is on another machine"}. What is
          not ordered yet counts as ordered on {dateInFull(figuresFor)}.
        </p>
      </Section>
      <Section id="week" title={`The week of ${dateInFull(week)}`}>
        <nav className="row no-print" aria-label="Weeks">
          {[-1, 1].map((step) => {
            const other = weeks[weeks.findIndex(({ from }) => from === week) + step]?.from;
            return (
              <button key={step} type="button" disabled={!other} onClick={() => other && choose(other)}>
                {step < 0 ? "Week before" : "Week after"}
              </button>
            );
          })}
        </nav>
        <Table
          caption={`Who works on what in the week of ${dateInFull(week)}`}
          rows={workIn(loads, week)}
          columns={columnsFor(restoration.id)}
          rowKey={(row) => row.key}
          empty={<Empty title="Nobody has work in this week">The schedule has none for it.</Empty>}
        />
      </Section>
      <HandGains plan={result.data.holdUps.restoration} />
      <OrderOfWork restoration={restoration.id} kept={result.data.holdUps.hands?.orderKept ?? false} />
    </Page>
  );
}

const sumOf = ({ weeks }: HandLoadRow): number => weeks.reduce((sum, { booked }) => sum + booked, 0);

/** Who has the most to do, and until when. */
function Sentence({ loads }: { loads: readonly HandLoadRow[] }) {
  const most = loads.reduce((one, other) => (sumOf(other) > sumOf(one) ? other : one));
  const last = most.weeks.findLast(({ booked }) => booked > 0);
  if (last === undefined) return null;
  const full = most.weeks.filter(({ open, booked }) => open > 0 && booked > open - 0.05).length;
  return (
    <>
      {most.name} has the most to do: <strong>{hours(sumOf(most))}</strong>, to the week of {dateInFull(last.from)}
      {full > 0 && `, with ${counted(full, "week")} full`}.
    </>
  );
}

const HEIGHT = 46;

const elsewhereIn = ({ weeks }: HandLoadRow, restoration: string): boolean =>
  weeks.some(({ work }) => work.some((one) => one.restoration.id !== restoration));

interface WeeksProps {
  load: HandLoadRow;
  /** The machine whose sheet it is: work on another is drawn pale. */
  restoration: string;
  chosen: string;
  onChoose: (week: string) => void;
}

function Weeks({ load, restoration, chosen, onChoose }: WeeksProps) {
  const { weeks } = load;
  const most = Math.max(1, ...weeks.map(({ open, booked }) => Math.max(open, booked)));
  const step = 100 / weeks.length;
  const every = Math.max(1, Math.ceil(weeks.length / 5));
  return (
    // The table of a week says the same; its weeks are gone through with the buttons above it.
    <svg width="100%" height={HEIGHT + 18} aria-hidden="true">
      {weeks.map(({ from, open, booked, work }, place) => {
        const here = work.reduce((sum, one) => (one.restoration.id === restoration ? sum + one.hours : sum), 0);
        const x = `${place * step + step * 0.1}%`;
        const width = `${step * 0.8}%`;
        const tall = (h: number): number => (h / most) * HEIGHT;
        return (
          // biome-ignore lint/a11y/noStaticElementInteractions: hidden from whoever does not point; the buttons do the same
          <g key={from} onClick={() => onChoose(from)} className={from === chosen ? "chosen" : undefined}>
            <title>{`Week of ${dateInFull(from)}: ${hours(booked)} of ${hours(open)}`}</title>
            <rect className="whole" x={`${place * step}%`} y={0} width={`${step}%`} height={HEIGHT} />
            <rect className="elsewhere" x={x} y={HEIGHT - tall(booked)} width={width} height={tall(booked)} />
            <rect className="booked" x={x} y={HEIGHT - tall(here)} width={width} height={tall(here)} />
            <rect className="open" x={x} y={HEIGHT - tall(open)} width={width} height={tall(open)} />
            {place % every === 0 && (
              <text x={x} y={HEIGHT + 14}>
                {dayAndMonth(from)}
              </text>
            )}
          </g>
        );
      })}
      <line className="base" x1="0" x2="100%" y1={HEIGHT} y2={HEIGHT} />
    </svg>
  );
}

const columnsFor = (restoration: string): Column<WorkOfWeek>[] => [
  {
    id: "who",
    title: "Who",
    lead: true,
    cell: (row) => <span className={row.again ? "again" : undefined}>{row.name}</span>,
  },
  {
    id: "work",
    title: "Work",
    cell: (row) => (
      <>
        {row.operation && row.restoration ? (
          <SheetLink reads="Query.operation" to={addressOf.operation(row.restoration.id, row.operation.id)}>
            {row.title}
          </SheetLink>
        ) : (
          row.title
        )}
        {row.restoration && row.restoration.id !== restoration && (
          <span className="soft"> ({row.restoration.machine})</span>
        )}
      </>
    ),
  },
  { id: "hours", title: "Hours", numeric: true, cell: (row) => (row.hours === null ? "" : hours(row.hours)) },
];
