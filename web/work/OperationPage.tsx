import { Link, useNavigate, useParams } from "react-router";
import { useQuery } from "urql";
import { HoursOfOperation } from "../hours/HoursOfOperation.tsx";
import { Photographs } from "../photographs/Photographs.tsx";
import { addressOf } from "../shared/addresses.ts";
import { Code, codeInWords } from "../shared/Code.tsx";
import { dateInFull } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { RowChanges } from "../shared/RowChanges.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Inspections } from "./Inspections.tsx";
import { Links } from "./Links.tsx";
import { Needs } from "./Needs.tsx";
import { OperationAfter, OperationCopy } from "./OperationAfter.tsx";
import { OperationForm } from "./OperationForm.tsx";
import { OperationSentence } from "./OperationSentence.tsx";
import { type OperationOnPage, OperationQuery } from "./operation.ts";
import { Ways } from "./Ways.tsx";
import "./work.css";

/** One piece of shop work: when, what it waits for, its hours and state, ways to do it, links, parts, snags. */
export default function OperationPage() {
  const restoration = useRestoration();
  const { operation: id = "" } = useParams();
  const navigate = useNavigate();
  const [result, again] = useQuery({ query: OperationQuery, variables: { operation: id } });
  const open = useOpen();
  const operation = result.data?.operation;
  if (!operation)
    return (
      <Page title="Operation">
        {result.error ? (
          <Problem
            of={result.error}
            what="this operation"
            to={{ address: addressOf.work(restoration.id), name: "All work" }}
            again={() => again({ requestPolicy: "network-only" })}
          />
        ) : (
          <Loading what="the operation" />
        )}
      </Page>
    );
  const critical = operation.needs.filter((need) => need.part.safetyCritical);
  return (
    <Page
      title={`${codeInWords("Operation", operation.code)} ${operation.title}`}
      sentence={<OperationSentence restoration={restoration.id} of={operation} />}
      aside={
        <>
          <Link className="button" to={addressOf.work(restoration.id)}>
            All work
          </Link>
          <OpenButton of={open} opens="copy">
            Copy it
          </OpenButton>
          <RemoveButton
            row="OPERATION"
            id={operation.id}
            revision={operation.revision}
            what={`the operation ${operation.title}`}
            onRemoved={() => void navigate(addressOf.work(restoration.id))}
          />
        </>
      }
    >
      {open.has("copy") && (
        <Section title="Copy">
          <Opened>
            <OperationCopy operation={operation} onDone={() => open.close("copy")} />
          </Opened>
        </Section>
      )}
      <Section title="The work">
        <OperationForm key={operation.id} operation={operation} />
      </Section>
      <Section title="Ways to do it" id="ways">
        <Ways operation={operation} />
      </Section>
      <HoursOfOperation operation={operation} />
      <Photographs
        of={[
          {
            kind: "operation",
            id: operation.id,
            name: `${codeInWords("operation", operation.code)} ${operation.title}`,
          },
        ]}
      />
      {critical.length > 0 && <Inspections operation={operation} needs={critical} />}
      <Section title="Comes before" id="comes-before">
        <Links
          operation={operation}
          side="before"
          links={operation.linksBefore.map((link) => ({
            ...link,
            other: link.before,
            date: link.before.schedule.earlyFinishDate,
          }))}
        />
      </Section>
      <Section title="Comes after">
        <Links
          operation={operation}
          side="after"
          links={operation.linksAfter.map((link) => ({
            ...link,
            other: link.after,
            date: link.after.schedule.earlyStartDate,
          }))}
        />
        <OperationAfter operation={operation} />
      </Section>
      <Section title="Parts it needs">
        <Needs operation={operation} />
      </Section>
      <Section
        title="Snags"
        id="snags"
        aside={
          <Link className="button" to={`${addressOf.snags(restoration.id)}?add=${encodeURIComponent(operation.id)}`}>
            Add a snag
          </Link>
        }
      >
        <Snags restoration={restoration.id} of={operation} />
      </Section>
      <RowChanges row="OPERATION" id={operation.id} />
    </Page>
  );
}

function Snags({ restoration, of }: { restoration: string; of: OperationOnPage }) {
  if (of.snags.length === 0) return <p className="soft">No snag was found here.</p>;
  return (
    <ul className="lines">
      {of.snags.map((snag) => (
        <li key={snag.id}>
          <span>
            <Link to={`${addressOf.snags(restoration)}?snag=${encodeURIComponent(snag.id)}`}>
              <Code noun="snag" of={snag.code} /> {snag.title}
            </Link>
          </span>
          <span className={snag.clearedOn ? "soft" : "late"}>
            {snag.clearedOn
              ? `cleared on ${dateInFull(snag.clearedOn)}`
              : snag.chosenRemedy
                ? `open; remedy: ${snag.chosenRemedy.title}`
                : "open, and no remedy chosen"}
          </span>
        </li>
      ))}
    </ul>
  );
}
