import { Link } from "react-router";
import { useQuery } from "urql";
import { CapBar } from "../money/CapBar.tsx";
import { Contingency } from "../money/Contingency.tsx";
import { OwnersPhotographs } from "../photographs/OwnersPhotographs.tsx";
import { addressOf } from "../shared/addresses.ts";
import { Folded } from "../shared/Folded.tsx";
import { dateInFull, days, listed, money, plainNumber, points } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Asking } from "./Asking.tsx";
import { Answered, Waiting } from "./Decisions.tsx";
import { OwnerOddsQuery, OwnerQuery, ReaderQuery, type Report } from "./documents.ts";
import { Invoices } from "./Invoices.tsx";
import { Letterhead } from "./Letterhead.tsx";
import { Since } from "./Since.tsx";
import { Answers, HowSure, Opening } from "./When.tsx";
import "./owner.css";

const SIZE = 20;

/** What the owner sees of the restoration: when, how sure, the money, and what is the owner's to decide. It prints as a report. */
export default function OwnerPage() {
  const restoration = useRestoration();
  const { id, owner } = restoration;
  const paging = usePaging("decided", SIZE);
  const [{ data: reader }] = useQuery({ query: ReaderQuery });
  const [result, again] = useQuery({
    query: OwnerQuery,
    variables: { restoration: id, answered: SIZE, after: paging.variables.after ?? null },
  });
  const read = useKept(result.data, id);
  // Asked for by itself: it waits for the runs.
  const [odds, oddsAgain] = useQuery({ query: OwnerOddsQuery, variables: { restoration: id } });
  const byOdds = odds.data?.odds ?? null;
  const report = read?.restoration;
  const account = reader?.visitor.account ?? null;
  if (!read || !report)
    return (
      <Page title="Report">
        {result.error ? (
          <Problem of={result.error} what="the report" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the report" />
        )}
      </Page>
    );
  const restorer = account?.role === "RESTORER";
  const noting = restorer && report.mayAnswer;
  const waiting = report.waiting.edges.map(({ node }) => node);
  return (
    <Page
      title={owner ? `Report to ${owner}` : "Report to the owner"}
      aside={
        <button type="button" className="main" onClick={() => window.print()}>
          Print<span className="unseen"> this report</span>
        </button>
      }
    >
      <Letterhead />
      <Answers
        report={report}
        plan={read.holdUps}
        byOdds={byOdds}
        payer={restorer ? `${owner || "The owner"} has` : "You have"}
      />
      <p className="sentence">
        <Opening report={report} plan={read.holdUps} byOdds={byOdds} reader={restorer ? owner || "the owner" : "you"} />
      </p>
      {restorer && (
        <p className="soft no-print">
          This is what {owner || "the owner"} sees: no notes of the workshop and no other work. All of the money is on
          the <Link to={addressOf.money(id)}>Money sheet</Link>.
        </p>
      )}
      <Section title="Decisions that wait" id="decisions">
        <Waiting
          decisions={waiting}
          answersAs={report.mayAnswer ? (noting ? owner : (account?.name ?? "")) : null}
          noting={noting}
          waitsFor={restorer ? owner || "the owner" : "you"}
          answers={restorer}
          otherwise={`${owner || "The owner"} answers it, signed in.`}
        />
      </Section>
      <Since report={report} completion={read.holdUps.completion} evenOdds={byOdds?.evenOdds ?? null} />
      {read.holdUps.completion.entered && (
        <Section title="When, and how sure" id="when">
          <HowSure
            completion={read.holdUps.completion}
            found={byOdds}
            error={odds.error}
            again={() => oddsAgain({ requestPolicy: "network-only" })}
          />
        </Section>
      )}
      <Section title="The money" id="money">
        <MoneyWords of={report} />
        <Folded
          summary={
            report.exposure.capLeft && report.exposure.capLeft.minor >= 0
              ? `Against the cap: ${money(report.exposure.capLeft)} left, as planned`
              : "Against the cap"
          }
        >
          <CapBar of={report} />
        </Folded>
        {read.holdUps.completion.entered && <Contingency restoration={id} />}
        <AtRisk of={report} />
        <Invoices restoration={id} />
      </Section>
      {report.pointsLost.maximum > 0 && (
        <Section title="With the judges" id="judges">
          <Judged of={report.pointsLost} />
        </Section>
      )}
      <OwnersPhotographs restoration={id} />
      <Section title="Decided" id="decided">
        <Answered of={report.answered} paging={paging} />
      </Section>
      {restorer && <Asking waiting={waiting} />}
    </Page>
  );
}

/** What a judge would take off what is planned, and which award that leaves. */
function Judged({ of: { total, maximum, floors, disqualifiedBy } }: { of: Report["pointsLost"] }) {
  const met = floors.find((one) => one.met);
  return (
    <p className="said">
      As planned, <strong>{points(total)}</strong> of {plainNumber(maximum)} lost
      {disqualifiedBy.length > 0 ? (
        <>
          , and <strong>no award is left</strong>: a loss on {listed(disqualifiedBy)} rules them out
        </>
      ) : floors.length > 0 ? (
        <>
          , which is {met ? "enough" : "too little"} for <strong>{met ? met.award : "any award"}</strong>
          {met ? ` with ${plainNumber(met.by, 2)} to spare` : ""}
        </>
      ) : null}
      .
    </p>
  );
}

/** What was asked of the owner and what came in. */
function MoneyWords({ of }: { of: Report }) {
  const { invoiced, received } = of.exposure;
  const due = invoiced.minor - received.minor;
  return (
    <p className="said">
      Asked for so far {money(invoiced)}, received {money(received)}
      {due > 0 ? (
        <>
          : <strong>{money({ ...invoiced, minor: due })} is outstanding</strong>.
        </>
      ) : (
        "."
      )}
      {of.cap && !of.capCoversLabour && " The cap is for parts and work outside; labour is counted beside it:"}
      {of.cap && !of.capCoversLabour && <Labour of={of} />}
    </p>
  );
}

function Labour({ of: { exposure } }: { of: Report }) {
  const { labourDone, labourToGo } = exposure.buckets;
  const cash = (minor: number) => money({ ...exposure.received, minor });
  if (exposure.labourUnrated) return <> not all of its hours have a rate yet.</>;
  return (
    <>
      {" "}
      {cash(labourDone.planned)} done, {cash(labourToGo.low)} to {cash(labourToGo.high)} to go.
    </>
  );
}

/** What was paid to makers who are late. */
function AtRisk({ of }: { of: Report }) {
  const { edges } = of.exposure.atRisk;
  if (edges.length === 0) return <p>No maker who is late holds any of the money.</p>;
  return (
    <>
      <p>
        <strong>At risk with makers who are late:</strong>
      </p>
      <ul>
        {edges.map(({ node }) => (
          <li key={node.order}>
            {money(node.paid)} paid to {node.supplierName} for {node.partName}, promised for{" "}
            {dateInFull(node.promisedOn)}: <span className="late">{days(node.daysLate)} late</span>
          </li>
        ))}
      </ul>
    </>
  );
}
