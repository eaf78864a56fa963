import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Folded } from "../shared/Folded.tsx";
import { money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { isNothing } from "./buckets.ts";
import { CapBar } from "./CapBar.tsx";
import { Consent } from "./Consent.tsx";
import { Contingency } from "./Contingency.tsx";
import { Direct } from "./Direct.tsx";
import { MoneyQuery } from "./documents.ts";
import { Ledger } from "./Ledger.tsx";
import { Months } from "./Months.tsx";
import { Opening } from "./Opening.tsx";
import { AtRiskTable, BucketTable, CurrencyTable, MonthTable, SectionTable, UnpricedTable } from "./Sums.tsx";
import "./money.css";

/** What the owner's money is exposed to, and every entry of the ledger. */
export default function MoneyPage() {
  const restoration = useRestoration();
  const { id } = restoration;
  const [result, again] = useQuery({ query: MoneyQuery, variables: { restoration: id } });
  const read = useKept(result.data?.restoration, id);
  if (!read)
    return (
      <Page title="Money">
        {result.error ? (
          <Problem of={result.error} what="the money" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the money" />
        )}
      </Page>
    );
  const { exposure, cap, capCoversLabour } = read;
  const { invoiced, received, labourUnrated, unpriced } = exposure;
  const due = invoiced.minor - received.minor;
  const nothing = isNothing(exposure.total);
  return (
    <Page title="Money" sentence={<Opening of={read} />}>
      <Section title={cap ? "Against the cap" : "What it comes to"} id="cap">
        <CapBar of={read} />
        {cap === null ? (
          <p>
            No cap is set. It is entered on the <Link to={addressOf.restoration(id)}>Restoration sheet</Link>.
          </p>
        ) : (
          !capCoversLabour && (
            <p className="soft">The cap is for parts and work outside; labour is counted beside it.</p>
          )
        )}
      </Section>
      {(!nothing || labourUnrated || invoiced.minor !== 0 || received.minor !== 0) && (
        <Section title="All of it" id="all">
          {labourUnrated && (
            <p className="caution">
              No hourly rate is entered for some of the labour, so it has no figure. Enter one on the{" "}
              <Link to={addressOf.restoration(id)}>Restoration sheet</Link>.
            </p>
          )}
          {!nothing && (
            <Folded summary="Each sum, least and most">
              <BucketTable of={read} />
            </Folded>
          )}
          <p>
            Asked of the owner {money(invoiced)}, received {money(received)}
            {due === 0
              ? ": nothing is outstanding."
              : due > 0
                ? `: ${money({ ...invoiced, minor: due })} is outstanding.`
                : `: ${money({ ...invoiced, minor: -due })} more than asked.`}
          </p>
        </Section>
      )}
      <Consent of={read} />
      {exposure.paidDirectly.totalCount > 0 && (
        <Section title="Work sent out, and remedies" id="direct">
          <Direct of={read} figuresFor={exposure.figuresFor} />
        </Section>
      )}
      {unpriced.totalCount > 0 && (
        <Section title="Without a figure" id="unpriced">
          <UnpricedTable of={read} />
        </Section>
      )}
      {!nothing && (
        <>
          <Section title="Contingency" id="contingency">
            <Contingency restoration={id} />
          </Section>
          <Section title="At risk with makers who are late" id="at-risk">
            <AtRiskTable of={read} />
          </Section>
          <Section title="By month" id="by-month">
            <Months of={read} />
            <Folded summary="Each month, in figures">
              <MonthTable of={read} />
            </Folded>
          </Section>
          <Section title="By group of the machine" id="by-group">
            <Folded summary="Each group, in figures">
              <SectionTable of={read} />
            </Folded>
          </Section>
          <Section title="By currency" id="by-currency">
            <Folded summary="Each currency, in figures">
              <CurrencyTable of={read} />
            </Folded>
          </Section>
        </>
      )}
      <Ledger figuresFor={exposure.figuresFor} />
    </Page>
  );
}
