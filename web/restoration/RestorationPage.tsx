import { Link, useNavigate } from "react-router";
import { useQuery } from "urql";
import { Hands } from "../hands/Hands.tsx";
import { weekWords } from "../hands/hand.ts";
import { addressOf } from "../shared/addresses.ts";
import { FoldedSection } from "../shared/Fold.tsx";
import { counted, dateInFull, money, odds } from "../shared/format.ts";
import { OnHands } from "../shared/OnHands.tsx";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { CalendarLinks } from "./CalendarLinks.tsx";
import { Changes } from "./Changes.tsx";
import { ExchangeRates } from "./ExchangeRates.tsx";
import { JudgingSheet } from "./JudgingSheet.tsx";
import { PointsLost } from "./PointsLost.tsx";
import { RestorationForm } from "./RestorationForm.tsx";
import { RestorationQuery, type RestorationRow } from "./restorationRow.ts";
import { ShopCalendar } from "./ShopCalendar.tsx";
import { TradeRates } from "./TradeRates.tsx";
import "./restoration.css";

/** What holds for the whole restoration: machine, target, money, rates, calendar, hands, judging sheet, points lost, and the record of changes. */
export default function RestorationPage() {
  const { id } = useRestoration();
  const navigate = useNavigate();
  const [result, again] = useQuery({ query: RestorationQuery, variables: { restoration: id } });
  const row = result.data?.restoration;
  if (!row)
    return (
      <Page title="Restoration">
        {result.error ? (
          <Problem of={result.error} what="the restoration" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the restoration" />
        )}
      </Page>
    );
  return (
    <Page title="Restoration" sentence={<Sentence row={row} />}>
      <Section title="Machine, target and money">
        <RestorationForm key={row.id} row={row} />
      </Section>
      <FoldedSection title="Exchange rates" id="rates" says={"what money of other currencies counts for"}>
        <ExchangeRates />
      </FoldedSection>
      <FoldedSection title="Shop calendar" id="calendar" says={`${weekWords(row.calendar)}, and closed dates`}>
        <ShopCalendar key={row.id} restoration={row.id} calendar={row.calendar} />
      </FoldedSection>
      <CalendarLinks restoration={row.id} />
      <Section title="Hands" id="hands">
        <OnHands restoration={row.id} figuresFor={null} />
        <Hands row={row} />
        <h3>What an hour of a trade is charged at</h3>
        <TradeRates restoration={row.id} rates={row.tradeRates} />
      </Section>
      <FoldedSection title="Judging sheet" id="judging" says={counted(row.judgingSheet.sections.length, "section")}>
        <JudgingSheet restoration={row.id} sheet={row.judgingSheet} />
      </FoldedSection>
      <FoldedSection title="Points lost" id="points" says={"line by line"}>
        <PointsLost restoration={row.id} />
      </FoldedSection>
      <Section title="Record of changes" id="changes">
        <Changes restoration={row.id} />
      </Section>
      <Section title="Remove the restoration">
        <p className="prose">
          All its parts, work, quotes, orders and payments go with it. The removal is recorded on another restoration of
          the workshop, and can be undone there. <Link to={addressOf.files(row.id)}>Export it first</Link> to keep a
          copy.
        </p>
        <RemoveButton
          row="RESTORATION"
          id={row.id}
          revision={row.revision}
          what={row.machine}
          confirm="Everything that belongs to it goes too. Undo brings it back whole."
          onRemoved={() => void navigate(addressOf.restorations())}
          label="Remove"
        />
      </Section>
    </Page>
  );
}

function Sentence({ row }: { row: RestorationRow }) {
  return (
    <>
      {row.machine}
      {row.owner && <>, of {row.owner},</>}
      {row.targetDate ? (
        <>
          {" "}
          is to be finished for {row.targetName || "its target"} on{" "}
          <span className="nowrap">{dateInFull(row.targetDate)}</span>
        </>
      ) : (
        " has no target date"
      )}
      {row.cap ? ` within ${money(row.cap)}` : ", with no cap on the money"}. Figures are for{" "}
      {row.figuresFor ? `${dateInFull(row.figuresFor)}, the day set in the shop calendar` : "today"}
      {row.confidence === null
        ? ", with deliveries as promised"
        : `, with order-by dates that hold with a chance of ${odds(row.confidence)}`}
      .
    </>
  );
}
