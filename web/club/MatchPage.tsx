import { Link, useParams } from "react-router";
import { useQuery } from "urql";
import { codeInWords } from "../shared/Code.tsx";
import { dateInFull, money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { isGone, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { usePaging } from "../shared/paging.tsx";
import { CONDITION, PROVENANCE } from "../shared/words.ts";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { Messages } from "./Messages.tsx";
import { MATCH_REASON, MatchQuery } from "./match.ts";
import { PlanMatch } from "./PlanSpare.tsx";
import { Withheld } from "./RowActions.tsx";
import type { Spare, Want } from "./want.ts";

/** One want and one spare side by side: why they go together, what the two write, and the step into the plan. */
export default function MatchPage() {
  const club = useClub();
  const { want = "", spare = "" } = useParams();
  const paging = usePaging("messages", 100);
  const [result, again] = useQuery({
    query: MatchQuery,
    variables: { want, spare, first: paging.size, after: paging.variables.after ?? null },
  });
  const match = useKept(result.data, `${want} ${spare}`)?.match;
  if (!match)
    return isGone(result.error) ? (
      <Page
        title="No such match"
        sentence={
          <>
            The want or the spare has been taken out, or they are not yours to see.{" "}
            <Link to={clubAddress.matches()}>All matches</Link>
          </>
        }
      />
    ) : result.error ? (
      <Problem
        of={result.error}
        what="the match"
        to={{ address: clubAddress.matches(), name: "All matches" }}
        again={() => again({ requestPolicy: "network-only" })}
      />
    ) : (
      <Loading what="the match" />
    );
  const party = match.want.own || match.spare.own;
  const other = match.want.own ? match.spare.member.name : match.want.member.name;
  return (
    <Page
      title={match.want.own ? match.want.part : match.spare.part}
      sentence={<Opening want={match.want} spare={match.spare} reason={match.reason} />}
      aside={<Link to={clubAddress.matches()}>All matches</Link>}
    >
      <div className="columns">
        <WantFacts want={match.want} />
        <SpareFacts spare={match.spare} />
      </div>
      {match.want.own && club.restorer && (
        <Section title="Take it into my plan">
          {match.want.ownPart ? (
            <PlanMatch spare={match.spare} ownPart={match.want.ownPart} />
          ) : (
            <p className="prose">
              This want names no part of a restoration. <Link to={clubAddress.spares()}>Among the spares</Link> it can
              be taken into the plan for any part.
            </p>
          )}
        </Section>
      )}
      <Messages want={want} spare={spare} other={party ? other : null} messages={match.messages} paging={paging} />
    </Page>
  );
}

interface OpeningProps {
  want: Want;
  spare: Spare;
  reason: keyof typeof MATCH_REASON | null;
}

function Opening({ want, spare, reason }: OpeningProps) {
  return (
    <>
      {want.own ? (
        <>
          You want it{want.needBy && <> by {dateInFull(want.needBy)}</>}; {spare.member.name} can let one go
          {spare.price ? <> and asks {money(spare.price)}</> : ", the price to be agreed"}.
        </>
      ) : !spare.own ? (
        <>
          {want.member.name} wants it, and {spare.member.name} can let one go. You read their messages because somebody
          complained about one.
        </>
      ) : (
        <>
          You can let it go; {want.member.name} wants {want.quantity > 1 ? plainNumber(want.quantity) : "one"}
          {want.needBy && <> by {dateInFull(want.needBy)}</>}.
        </>
      )}{" "}
      {reason ? (
        <>They go together by {MATCH_REASON[reason]}.</>
      ) : (
        "They went together once; one of the two is no longer wanted or to be had, or says something else."
      )}
    </>
  );
}

function WantFacts({ want }: { want: Want }) {
  return (
    <section aria-label="The want">
      <h2>{want.own ? "You want" : `${want.member.name} wants`}</h2>
      <dl className="facts">
        <dt>Part</dt>
        <dd>{want.part}</dd>
        <Wording of={want} />
        <dt>How many</dt>
        <dd>{plainNumber(want.quantity)}</dd>
        {want.notes && (
          <>
            <dt>Notes</dt>
            <dd>{want.notes}</dd>
          </>
        )}
        <dt>Code</dt>
        <dd className="code">{codeInWords("wanted", want.code)}</dd>
      </dl>
      <Withheld reason={want.withheldReason} />
    </section>
  );
}

function SpareFacts({ spare }: { spare: Spare }) {
  return (
    <section aria-label="The spare">
      <h2>{spare.own ? "You can let go" : `${spare.member.name} can let go`}</h2>
      <dl className="facts">
        <dt>Part</dt>
        <dd>{spare.part}</dd>
        <Wording of={spare} />
        <dt>How many</dt>
        <dd>{plainNumber(spare.quantity)}</dd>
        <dt>What it is</dt>
        <dd>
          {PROVENANCE[spare.provenance]}, {CONDITION[spare.condition]}
        </dd>
        {spare.notes && (
          <>
            <dt>Notes</dt>
            <dd>{spare.notes}</dd>
          </>
        )}
        <dt>Code</dt>
        <dd className="code">{codeInWords("spare", spare.code)}</dd>
      </dl>
      <Withheld reason={spare.withheldReason} />
    </section>
  );
}

function Wording({ of: { machine, references } }: { of: { machine: string; references: string } }) {
  return (
    <>
      {machine && (
        <>
          <dt>Machine</dt>
          <dd>{machine}</dd>
        </>
      )}
      {references && (
        <>
          <dt>Reference numbers</dt>
          <dd>{references}</dd>
        </>
      )}
    </>
  );
}
