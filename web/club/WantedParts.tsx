import type { ResultOf } from "gql.tada";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { type Brief, told } from "../shared/Brief.tsx";
import { codeInWords } from "../shared/Code.tsx";
import { counted, money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { clubAddress } from "./addresses.ts";
import { capital, morePieces } from "./batchWords.ts";
import { useClub } from "./club.ts";

const WantedPartsQuery = graphql(`
  query WantedParts($first: Int, $after: String) {
    wantedParts(first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges {
        node {
          id part machine references members pieces needed own
          batch { id code part }
          price { size piece { minor currency decimals } ownSaving { minor currency decimals } }
        }
      }
    }
  }
`);

export type WantedPart = ResultOf<typeof WantedPartsQuery>["wantedParts"]["edges"][number]["node"];

/** Parts that several members look for: those first that would fill a batch. */
export function WantedParts({ onBegin }: { onBegin: (part: WantedPart) => void }) {
  const club = useClub();
  const paging = usePaging("wanted", useNarrow() ? 12 : 25);
  const [result, again] = useQuery({
    query: WantedPartsQuery,
    variables: { first: paging.size, after: paging.variables.after ?? null },
  });
  const wanted = useKept(result.data, club.id)?.wantedParts;
  return (
    <Section title="Wanted by several members">
      {result.error && !wanted ? (
        <Problem
          of={result.error}
          what="the parts that several want"
          again={() => again({ requestPolicy: "network-only" })}
        />
      ) : !wanted ? (
        <Loading what="the parts that several want" />
      ) : (
        <Table
          caption="Parts that several members want"
          rows={wanted.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          columns={columnsOf(onBegin)}
          brief={briefOf}
          empty={
            <p className="prose">
              No two members look for the same part at present. <Link to={clubAddress.wants()}>Say what you want</Link>:
              a part that several want can be made in a batch.
            </p>
          }
          paging={
            wanted.totalCount > 0 && (
              <Paging
                of={paging}
                page={wanted.pageInfo}
                total={wanted.totalCount}
                shown={wanted.edges.length}
                noun="part"
              />
            )
          }
        />
      )}
    </Section>
  );
}

const briefOf = ({ part, machine, members, own, pieces, needed, batch }: WantedPart): Brief => ({
  name: part,
  also: told(`${counted(members, "member")}${own ? ", you among them" : ""}`, machine),
  ...(batch
    ? { when: codeInWords("batch", batch.code), colour: "brass" }
    : needed === 0
      ? { when: "would fill", colour: "verdigris" }
      : { when: counted(pieces, "piece") }),
});

const columnsOf = (onBegin: (part: WantedPart) => void): Column<WantedPart>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ part, machine, references }) => (
      <>
        {part}
        {machine && <span className="club-under">{machine}</span>}
        {references && <span className="club-under code">{references}</span>}
      </>
    ),
  },
  {
    id: "members",
    title: "Wanted by",
    cell: ({ members, own }) => `${counted(members, "member")}${own ? ", you among them" : ""}`,
  },
  { id: "pieces", title: "Pieces", numeric: true, cell: ({ pieces }) => plainNumber(pieces) },
  {
    id: "fills",
    title: "Would fill a batch",
    cell: ({ needed }) => (needed === 0 ? "yes" : `${capital(morePieces(needed))} would`),
  },
  {
    id: "batch",
    title: "Batch taking names",
    cell: ({ batch, price }) =>
      batch && (
        <>
          <Link to={clubAddress.batch(batch.id)}>{codeInWords("batch", batch.code)}</Link>
          {price && (
            <span className="club-under">
              {money(price.piece)} each at {plainNumber(price.size)}
            </span>
          )}
        </>
      ),
  },
  {
    id: "saving",
    title: "Against your quotes",
    cell: ({ price }) =>
      price?.ownSaving && (
        <span className="money">
          {price.ownSaving.minor < 0
            ? `${money({ ...price.ownSaving, minor: -price.ownSaving.minor })} dearer`
            : `saves ${money(price.ownSaving)}`}
        </span>
      ),
  },
  {
    id: "controls",
    title: "",
    controls: true,
    cell: (part) =>
      !part.batch && (
        <button type="button" onClick={() => onBegin(part)}>
          Make a batch of it<span className="unseen"> {part.part}</span>
        </button>
      ),
  },
];
