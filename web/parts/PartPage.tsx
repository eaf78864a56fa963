import type { ReactNode } from "react";
import { Link, useNavigate, useParams } from "react-router";
import { useQuery } from "urql";
import { Hunt } from "../hunts/Hunt.tsx";
import { Photographs } from "../photographs/Photographs.tsx";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { useDayInView } from "../shared/dayInView.ts";
import { Fold, Folds } from "../shared/Fold.tsx";
import { counted, dateInFull, days, listed, money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { HoldsUpMark, SupplyMark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { isGone, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { RowChanges } from "../shared/RowChanges.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { isOwnWork, orderStates, PROVENANCE, STATE_ON_HAND } from "../shared/words.ts";
import { Inspections } from "./Inspections.tsx";
import { References, Specification } from "./Measures.tsx";
import { Needs } from "./Needs.tsx";
import { Orders } from "./Orders.tsx";
import { PartForm } from "./PartForm.tsx";
import { leadOf, PartSentence } from "./PartSentence.tsx";
import { isHere, type Part, PartQuery, RungsQuery } from "./part.ts";
import { Quotes } from "./Quotes.tsx";
import { WalkAways } from "./WalkAways.tsx";
import "./parts.css";

/** One part: where it stands, who can supply it, what is ordered, and what it must be. */
export default function PartPage() {
  const restoration = useRestoration();
  const { part: id = "" } = useParams();
  const [result, again] = useQuery({ query: PartQuery, variables: { part: id } });
  const part = useKept(result.data, id)?.part;
  if (part && part.id === id && !isGone(result.error)) return <PartSheet key={id} part={part} />;
  if (result.error && !result.fetching)
    return (
      <Page title="Part">
        <Problem
          of={result.error}
          what="this part"
          to={{ address: addressOf.parts(restoration.id), name: "All parts" }}
          again={() => again({ requestPolicy: "network-only" })}
        />
      </Page>
    );
  return <Loading what="the part" />;
}

function PartSheet({ part }: { part: Part }) {
  const restoration = useRestoration();
  const navigate = useNavigate();
  const open = useOpen();
  const [orderingFrom, setOrderingFrom] = useAddressValue("order");
  const [{ data }] = useQuery({ query: RungsQuery, variables: { restoration: restoration.id } });
  const plan = data?.holdUps;
  const figuresFor = plan?.figuresFor ?? restoration.day;
  const { inDays, alone } = useDayInView(figuresFor);
  const rung = plan?.ladder.edges.find(({ node }) => node.part?.id === part.id)?.node;
  const here = isHere(part);
  const target = rung?.needByTarget ? { name: restoration.targetName || "target date", by: rung.needByTarget } : null;

  return (
    <Page
      title={part.name}
      lead={leadOf({ part, rung, plan, figuresFor, restoration: restoration.id, inDays, alone })}
      sentence={<PartSentence part={part} rung={rung} plan={plan} figuresFor={figuresFor} />}
      aside={
        <>
          <OpenButton of={open} opens="part">
            Change the part
          </OpenButton>
          <OpenButton of={open} opens="copy">
            Copy it
          </OpenButton>
          <RemoveButton
            row="PART"
            id={part.id}
            revision={part.revision}
            what={part.name}
            onRemoved={() => navigate(addressOf.parts(restoration.id))}
          />
        </>
      }
    >
      {open.has("part") && (
        <Section title="Change the part">
          <Opened>
            <PartForm part={part} onSaved={() => open.close("part")} onCancel={() => open.close("part")} />
          </Opened>
        </Section>
      )}
      {open.has("copy") && (
        <Section title="Copy">
          <Opened>
            <PartForm
              like={part}
              onSaved={(id) => {
                open.close("copy");
                void navigate(addressOf.part(restoration.id, id));
              }}
              onCancel={() => open.close("copy")}
            />
          </Opened>
        </Section>
      )}
      <PartFacts part={part} />
      <Quotes part={part} figuresFor={figuresFor} target={target} onOrder={(quote) => setOrderingFrom(quote.id)} />
      <Folds>
        <Fold title="What it is" says={whatItIs(part)} holds={["what"]}>
          <MoreFacts part={part} />
        </Fold>
        <Fold title="Dimensions and numbers" says={measured(part)} holds={["specification", "references"]}>
          <Specification part={part} />
          <References part={part} />
        </Fold>
        <Fold title="Needed for" says={neededFor(part)} holds={["needs"]}>
          <Needs part={part} />
        </Fold>
        {!here && (
          <Fold title="Walk-away price" says="the most to pay, by what it is" holds={["walk-away"]}>
            <WalkAways part={part.id} ordered={part.outlook.state === "ORDERED" || part.outlook.state === "LATE"} />
          </Fold>
        )}
        {(part.safetyCritical || part.inspections.length > 0) && (
          <Fold title="Inspections" says={inspected(part)} holds={["inspections"]}>
            <Inspections part={part} figuresFor={figuresFor} />
          </Fold>
        )}
        <Fold
          title={here ? "Orders, photographs" : "Orders, hunt, photographs"}
          says={ordersAndMore(part)}
          holds={["orders", "hunt", "photographs"]}
          wanted={part.orders.some(({ state }) => state === "PLACED" || state === "ARRIVED")}
        >
          <Orders
            part={part}
            figuresFor={figuresFor}
            from={
              part.quotes.find(({ id, chosen }) => (orderingFrom === "chosen" ? chosen : id === orderingFrom)) ?? null
            }
            onFromDone={() => setOrderingFrom(null)}
          />
          {!here && <Hunt part={part.id} figuresFor={figuresFor} />}
          <Photographs
            of={[
              { kind: "part", id: part.id, name: part.name },
              ...part.quotes.map(({ id, code, supplier }) => ({
                kind: "quote" as const,
                id,
                name: `quote ${code} from ${supplier.name}`,
              })),
            ]}
          />
        </Fold>
      </Folds>
      <RowChanges row="PART" id={part.id} />
      <p className="no-print sheet-back">
        <Link to={addressOf.parts(restoration.id)}>All parts</Link>
      </p>
    </Page>
  );
}

function PartFacts({ part }: { part: Part }) {
  const { holdsUp, arrivalDate, needBy } = part.outlook;
  return (
    <dl className="part-facts">
      <div>
        <dt>Part</dt>
        <dd>
          <span className="code">{codeInWords("part", part.code)}</span> {part.name}
          {part.quantity > 1 && <span className="soft nowrap"> × {plainNumber(part.quantity)}</span>}
        </dd>
      </div>
      <div>
        <dt>State</dt>
        <dd>
          <SupplyMark of={part.outlook} /> {holdsUp && <HoldsUpMark />}
        </dd>
      </div>
      {arrivalDate && (
        <div>
          <dt>Arrives</dt>
          <dd className="nowrap">{dateInFull(arrivalDate)}</dd>
        </div>
      )}
      {needBy && !isHere(part) && (
        <div>
          <dt>Need-by date</dt>
          <dd className="nowrap">{dateInFull(needBy)}</dd>
        </div>
      )}
    </dl>
  );
}

const whatItIs = ({ stateOnHand, group, estimate, ruledOut }: Part): string =>
  [
    STATE_ON_HAND[stateOnHand],
    ...(group ? [group] : []),
    ...(estimate ? [`estimate ${money(estimate)}`] : []),
    ...(ruledOut.length > 0 ? [`${counted(ruledOut.length, "provenance")} ruled out`] : []),
  ].join(", ");

const measured = ({ specification, references }: Part): string =>
  [
    specification.length > 0 ? counted(specification.length, "dimension") : "no dimension measured",
    references.length > 0 ? counted(references.length, "number") : "no number known",
  ].join(", ");

function neededFor({ needs }: Part): string {
  const [first, ...others] = needs;
  if (!first) return "no operation is said to need it";
  return `${first.operation.title}${others.length > 0 ? ` and ${counted(others.length, "other")}` : ""}`;
}

function inspected({ inspections }: Part): ReactNode {
  return inspections.length > 0 ? (
    `${counted(inspections.length, "inspection")} on record`
  ) : (
    <span className="late">none on record</span>
  );
}

const ordersAndMore = (part: Part): string =>
  [
    part.orders.length === 0
      ? "none ordered"
      : listed(
          part.orders.map((order) =>
            order.daysLate > 0
              ? `${codeInWords("order", order.code)} ${days(order.daysLate)} late`
              : `${codeInWords("order", order.code)} ${orderStates(isOwnWork(order.quote))[order.state]}`,
          ),
        ),
    ...(isHere(part) ? [] : [part.outlook.state === "HUNTED" ? "hunted" : "not hunted"]),
    part.photographs.totalCount > 0 ? counted(part.photographs.totalCount, "photograph") : "no photograph",
  ].join(", ");

/** What is looked up about it and seldom changes. */
function MoreFacts({ part }: { part: Part }) {
  return (
    <>
      <dl className="part-facts" id="what">
        <div>
          <dt>State on hand</dt>
          <dd>{STATE_ON_HAND[part.stateOnHand]}</dd>
        </div>
        <div>
          <dt>How many</dt>
          <dd>{plainNumber(part.quantity)}</dd>
        </div>
        {part.group && (
          <div>
            <dt>Group</dt>
            <dd>{part.group}</dd>
          </div>
        )}
        <div>
          <dt>Estimate</dt>
          <dd>{part.estimate ? <span className="money">{money(part.estimate)}</span> : "not known"}</dd>
        </div>
        <div>
          <dt>Judged</dt>
          <dd>
            {!part.visible
              ? "not seen by a judge"
              : part.judgingSection
                ? `in ${part.judgingSection.name}${part.judgingLine ? `: ${lineInWords(part.judgingLine)}` : ""}`
                : "in no section"}
          </dd>
        </div>
        {part.ruledOut.length > 0 && (
          <div>
            <dt>Ruled out here</dt>
            <dd>{part.ruledOut.map((provenance) => PROVENANCE[provenance]).join(", ")}</dd>
          </div>
        )}
        {part.kept && (
          <div>
            <dt>Quote</dt>
            <dd>decided: choosing leaves it alone</dd>
          </div>
        )}
        {part.safetyCritical && (
          <div>
            <dt>Safety-critical</dt>
            <dd>
              yes: <a href="#inspections">inspections</a>
            </dd>
          </div>
        )}
      </dl>
      {part.notes && <p className="prose part-notes">{part.notes}</p>}
    </>
  );
}

const lineInWords = ({ title, mandatory, disqualifying }: NonNullable<Part["judgingLine"]>): string =>
  [
    title,
    ...(mandatory ? ["where a loss is taken whole"] : []),
    ...(disqualifying ? ["where a loss leaves no award"] : []),
  ].join(", ");
