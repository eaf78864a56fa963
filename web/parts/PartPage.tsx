import { useState } from "react";
import { Link, useNavigate, useParams } from "react-router";
import { useQuery } from "urql";
import { Hunt } from "../hunts/Hunt.tsx";
import { Photographs } from "../photographs/Photographs.tsx";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { HoldsUpMark, SupplyMark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { isGone, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { RowChanges } from "../shared/RowChanges.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { PROVENANCE, STATE_ON_HAND } from "../shared/words.ts";
import { Inspections } from "./Inspections.tsx";
import { References, Specification } from "./Measures.tsx";
import { Needs } from "./Needs.tsx";
import { Orders } from "./Orders.tsx";
import { PartForm } from "./PartForm.tsx";
import { PartSentence } from "./PartSentence.tsx";
import { isHere, type Part, PartQuery, RungsQuery } from "./part.ts";
import { Quotes } from "./Quotes.tsx";
import { WalkAways } from "./WalkAways.tsx";
import "./parts.css";

/** One part: where it stands, who can supply it, what is ordered, and what it must be. */
export default function PartPage() {
  const { part: id = "" } = useParams();
  const [result, again] = useQuery({ query: PartQuery, variables: { part: id } });
  const part = useKept(result.data, id)?.part;
  if (part && part.id === id && !isGone(result.error)) return <PartSheet key={id} part={part} />;
  if (result.error && !result.fetching)
    return (
      <Page title="Part">
        <Problem of={result.error} what="this part" again={() => again({ requestPolicy: "network-only" })} />
      </Page>
    );
  return <Loading what="the part" />;
}

function PartSheet({ part }: { part: Part }) {
  const restoration = useRestoration();
  const navigate = useNavigate();
  const open = useOpen();
  const [orderingFrom, setOrderingFrom] = useState<string | null>(null);
  const [{ data }] = useQuery({ query: RungsQuery, variables: { restoration: restoration.id } });
  const plan = data?.holdUps;
  const figuresFor = plan?.figuresFor ?? restoration.day;
  const rung = plan?.ladder.edges.find(({ node }) => node.part?.id === part.id)?.node;
  const target = rung?.needByTarget ? { name: restoration.targetName || "target date", by: rung.needByTarget } : null;

  return (
    <Page
      title={part.name}
      sentence={<PartSentence part={part} rung={rung} plan={plan} figuresFor={figuresFor} />}
      aside={
        <>
          <OpenButton of={open} opens="part">
            Change the part
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
      <PartFacts part={part} />
      <Quotes part={part} figuresFor={figuresFor} target={target} onOrder={(quote) => setOrderingFrom(quote.id)} />
      {!isHere(part) && <Hunt part={part.id} figuresFor={figuresFor} />}
      {!isHere(part) && (
        <WalkAways part={part.id} ordered={part.outlook.state === "ORDERED" || part.outlook.state === "LATE"} />
      )}
      <Orders
        part={part}
        figuresFor={figuresFor}
        from={part.quotes.find(({ id }) => id === orderingFrom) ?? null}
        onFromDone={() => setOrderingFrom(null)}
      />
      <Needs part={part} />
      {(part.safetyCritical || part.inspections.length > 0) && <Inspections part={part} figuresFor={figuresFor} />}
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
      <Specification part={part} />
      <References part={part} />
      <RowChanges row="PART" id={part.id} />
      <p className="no-print sheet-back">
        <Link to={addressOf.parts(restoration.id)}>All parts</Link>
      </p>
    </Page>
  );
}

function PartFacts({ part }: { part: Part }) {
  const { holdsUp } = part.outlook;
  return (
    <>
      <dl className="part-facts">
        <div>
          <dt>Code</dt>
          <dd className="code">{codeInWords("part", part.code)}</dd>
        </div>
        <div>
          <dt>State</dt>
          <dd>
            <SupplyMark of={part.outlook} /> {holdsUp && <HoldsUpMark />}
          </dd>
        </div>
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
