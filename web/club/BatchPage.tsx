import { Link, useNavigate, useParams } from "react-router";
import { useQuery } from "urql";
import { dateInFull, money, oddsThat } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { isGone, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { usePaging } from "../shared/paging.tsx";
import { clubAddress } from "./addresses.ts";
import { BatchForm } from "./BatchForm.tsx";
import { BatchMark } from "./BatchMark.tsx";
import { BatchSentence } from "./BatchSentence.tsx";
import { BATCH_BASIS, type Batch, BatchQuery } from "./batch.ts";
import { filledWords, pieces } from "./batchWords.ts";
import { useClub } from "./club.ts";
import { NamesDown } from "./NamesDown.tsx";
import { CloseButton, OwnNameDown } from "./OwnNameDown.tsx";
import { PlanBatch } from "./PlanBatch.tsx";
import { PriceSteps } from "./PriceSteps.tsx";
import { RemoveRow } from "./RemoveRow.tsx";
import { openedAction, RowActions, Withheld } from "./RowActions.tsx";

/** One batch: what would fill it, what each size costs, who is in it, and what the reader is down for. */
export default function BatchPage() {
  const club = useClub();
  const navigate = useNavigate();
  const { batch: id = "" } = useParams();
  const paging = usePaging("names", 100);
  const open = useOpen();
  const [result, again] = useQuery({
    query: BatchQuery,
    variables: { batch: id, first: paging.size, after: paging.variables.after ?? null },
  });
  const batch = useKept(result.data, id)?.batch;
  if (!batch)
    return isGone(result.error) ? (
      <Page
        title="No such batch"
        sentence={
          <>
            It has been taken out, or it is not yours to see. <Link to={clubAddress.batches()}>All batches</Link>
          </>
        }
      />
    ) : result.error ? (
      <Problem
        of={result.error}
        what="the batch"
        to={{ address: clubAddress.batches(), name: "All batches" }}
        again={() => again({ requestPolicy: "network-only" })}
      />
    ) : (
      <Loading what="the batch" />
    );
  const what = `batch ${batch.code}`;
  const editable = batch.own && batch.state === "TAKING_NAMES";
  return (
    <Page
      title={batch.part}
      sentence={<BatchSentence batch={batch} day={club.day} />}
      aside={
        <>
          <Link to={clubAddress.batches()}>All batches</Link>
          {editable && (
            <OpenButton of={open} opens="edit">
              Change<span className="unseen"> {what}</span>
            </OpenButton>
          )}
          {editable && batch.namesDown.totalCount === 0 && (
            <RemoveRow noun="batch" row={batch} what={what} onRemoved={() => void navigate(clubAddress.batches())} />
          )}
          {club.restorer && (batch.state === "TAKING_NAMES" || (batch.state === "GOES_AHEAD" && batch.ownNameDown)) && (
            <OpenButton of={open} opens="plan">
              Take it into my plan
            </OpenButton>
          )}
          <RowActions row={batch} kind="BATCH" what={what} open={open} />
        </>
      }
    >
      <Withheld reason={batch.withheldReason} />
      {openedAction({ row: batch, kind: "BATCH", what, open })}
      {open.has("plan") && (
        <Section title="Take it into my plan">
          <Opened>
            <PlanBatch batch={batch} onDone={() => open.close("plan")} />
          </Opened>
        </Section>
      )}
      {open.has("edit") && (
        <Section title="Change the batch">
          <Opened>
            <BatchForm batch={batch} onSaved={() => open.close("edit")} onCancel={() => open.close("edit")} />
          </Opened>
        </Section>
      )}
      <Section title="What you are down for">
        <OwnNameDown batch={batch} />
        <div className="row">
          <CloseButton batch={batch} />
        </div>
      </Section>
      <Section title="What a piece costs at each size">
        <PriceSteps batch={batch} />
      </Section>
      <Section title="Names down">
        <NamesDown batch={batch} paging={paging} />
      </Section>
      <Section title="The terms">
        <Terms batch={batch} />
      </Section>
    </Page>
  );
}

function Terms({ batch }: { batch: Batch }) {
  const { outlook } = batch;
  return (
    <>
      <dl className="facts">
        <dt>State</dt>
        <dd>
          <BatchMark batch={batch} />, {filledWords(batch)}
        </dd>
        <dt>Gathered by</dt>
        <dd>
          {batch.own ? "you" : batch.member.name}, since {dateInFull(batch.begunOn)}
        </dd>
        <dt>Maker</dt>
        <dd>
          <Link to={clubAddress.maker(batch.maker)}>{batch.maker}</Link>, from {BATCH_BASIS[batch.basis]}
        </dd>
        {batch.machine && (
          <>
            <dt>Machine</dt>
            <dd>{batch.machine}</dd>
          </>
        )}
        {batch.references && (
          <>
            <dt>Reference numbers</dt>
            <dd>{batch.references}</dd>
          </>
        )}
        {batch.prices.length > 0 ? (
          <>
            <dt>The maker's prices</dt>
            <dd>{batch.prices.map(({ size, unit }) => `from ${pieces(size)} ${money(unit)}`).join("; ")}</dd>
          </>
        ) : (
          <>
            <dt>Shared by all</dt>
            <dd>
              pattern {money(batch.pattern)}, setting up {money(batch.setUp)}, and {money(batch.unit)} for each casting
            </dd>
          </>
        )}
        <dt>Spare castings</dt>
        <dd>
          {batch.sparePercent} per cent: {outlook.goingAhead.cast} cast for {pieces(outlook.goingAhead.size)}
        </dd>
        <dt>Size</dt>
        <dd>
          {pieces(batch.smallest)} at least{batch.most !== null && `, ${batch.most} at most`}
        </dd>
        <dt>Deposit</dt>
        <dd>{batch.depositPercent} per cent, returned where it is not filled</dd>
        {batch.stages.length > 0 && (
          <>
            <dt>Then, of the rest</dt>
            <dd>{batch.stages.map(({ title, percent }) => `${percent} per cent: ${title}`).join("; ")}</dd>
          </>
        )}
        <dt>Closes on</dt>
        <dd>
          {dateInFull(batch.closesOn)}
          {batch.state === "TAKING_NAMES" && `; ${oddsThat("it goes ahead", outlook.chance)}`}
        </dd>
        <dt>Parts</dt>
        <dd>
          about {dateInFull(outlook.arrivesOn)}, {batch.leadDays} days after it closes
        </dd>
        {batch.notes && (
          <>
            <dt>Notes</dt>
            <dd className="club-said">{batch.notes}</dd>
          </>
        )}
      </dl>
      <p className="caution">
        A remade brake, steering, wheel, fuel or pressure part wants proof of its material, a crack test and the
        sign-off of somebody competent before it is fitted. Local codes and licensed practice decide; a batch certifies
        nothing.
      </p>
    </>
  );
}
