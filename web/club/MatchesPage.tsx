import { Link } from "react-router";
import { useQuery } from "urql";
import { told } from "../shared/Brief.tsx";
import { counted, dateInFull, money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { CONDITION, PROVENANCE } from "../shared/words.ts";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { MATCH_REASON, MatchesQuery, type MatchRow } from "./match.ts";

/** Where the own wants meet others' spares, and the own spares others' wants: the surest first. */
export default function MatchesPage() {
  const club = useClub();
  const paging = usePaging("page", useNarrow() ? 25 : 50);
  const [result, again] = useQuery({
    query: MatchesQuery,
    variables: { first: paging.size, after: paging.variables.after ?? null },
  });
  const matches = useKept(result.data, club.id)?.matches;
  const rows = matches?.edges.map(({ node }) => node) ?? [];
  return (
    <Page
      title="Matches"
      sentence={matches && matches.totalCount > 0 && <Opening total={matches.totalCount} rows={rows} />}
    >
      {result.error && !matches ? (
        <Problem of={result.error} what="the matches" again={() => again({ requestPolicy: "network-only" })} />
      ) : !matches ? (
        <Loading what="the matches" />
      ) : (
        <Table
          caption="Matches"
          rows={rows}
          rowKey={({ want, spare }) => `${want.id} ${spare.id}`}
          columns={COLUMNS}
          brief={({ want, spare, messageCount }) => ({
            name: want.own ? want.part : spare.part,
            to: clubAddress.match(want.id, spare.id),
            also: told(
              want.own ? `${spare.member.name} has it` : `${want.member.name} wants yours`,
              messageCount > 0 && counted(messageCount, "message"),
            ),
            when: spare.price && money(spare.price),
          })}
          empty={
            <Empty
              title="Nothing of yours meets another's yet"
              actions={
                <>
                  <Link className="button main" to={clubAddress.wants()}>
                    Say what you want
                  </Link>
                  <Link className="button" to={clubAddress.spares()}>
                    Offer a spare
                  </Link>
                </>
              }
            >
              <p>
                A want and a spare go together by a reference number, or by the machine and the words. A match is listed
                here as soon as both are in the club.
              </p>
            </Empty>
          }
          paging={
            matches.totalCount > 0 && (
              <Paging
                of={paging}
                page={matches.pageInfo}
                total={matches.totalCount}
                shown={rows.length}
                noun="match"
                plural="matches"
              />
            )
          }
        />
      )}
    </Page>
  );
}

/** How the surest one reads; the rows come surest first. */
function Opening({ total, rows }: { total: number; rows: readonly MatchRow[] }) {
  const [first] = rows;
  if (!first) return null;
  const { want, spare } = first;
  const link = <Link to={clubAddress.match(want.id, spare.id)}>{want.own ? want.part : spare.part}</Link>;
  return (
    <>
      {counted(total, "match", "matches")}.{" "}
      {want.own ? (
        <>
          The surest: {spare.member.name} can let {link} go
          {spare.price && <> and asks {money(spare.price)}</>}.
        </>
      ) : (
        <>
          The surest: {want.member.name} wants {link}, which you can let go
          {want.needBy && <>, by {dateInFull(want.needBy)}</>}.
        </>
      )}
    </>
  );
}

const COLUMNS: Column<MatchRow>[] = [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ want, spare }) => (
      <>
        <Link to={clubAddress.match(want.id, spare.id)}>{want.own ? want.part : spare.part}</Link>
        <span className="club-under">{want.own ? want.machine || spare.machine : spare.machine || want.machine}</span>
      </>
    ),
  },
  {
    id: "way",
    title: "Who",
    cell: ({ want, spare }) =>
      want.own ? (
        <>
          {spare.member.name} has it; you want it
          <span className="club-under">offered as “{spare.part}”</span>
        </>
      ) : (
        <>
          you have it; {want.member.name} wants it
          <span className="club-under">wanted as “{want.part}”</span>
        </>
      ),
  },
  { id: "why", title: "Go together by", cell: ({ reason }) => reason && MATCH_REASON[reason] },
  {
    id: "state",
    title: "What it is",
    cell: ({ spare }) => `${PROVENANCE[spare.provenance]}, ${CONDITION[spare.condition]}`,
  },
  {
    id: "price",
    title: "Asked for one",
    numeric: true,
    cell: ({ spare: { price } }) =>
      price ? <span className="money">{money(price)}</span> : <span className="soft">to be agreed</span>,
  },
  { id: "messages", title: "Messages", numeric: true, cell: ({ messageCount }) => plainNumber(messageCount) },
];
