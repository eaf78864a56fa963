import { useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { Large } from "./Large.tsx";
import { altOf, dayOf } from "./photograph.ts";
import { Thumbnail } from "./Thumbnail.tsx";
import "./photographs.css";

const OwnersPhotographsQuery = graphql(`
  query OwnersPhotographs($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      photographs(first: $first, after: $after, forOwner: true) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id caption takenOn addedAt width height path smallPath
            part { id name } operation { id title } snag { id title }
          }
        }
      }
    }
  }
`);

/** What the workshop has photographed of a restoration and shows its owner, the newest first. */
export function OwnersPhotographs({ restoration }: { restoration: string }) {
  const [large, setLarge] = useState<string | null>(null);
  const paging = usePaging("photographs", 24);
  const [result, again] = useQuery({
    query: OwnersPhotographsQuery,
    variables: { restoration, ...paging.variables },
  });
  const read = useKept(result.data, restoration)?.restoration.photographs;
  const shown =
    read?.edges.map(({ node }) => {
      const of = node.part?.name ?? node.operation?.title ?? node.snag?.title ?? "the machine";
      return { ...node, alt: altOf(node, of), words: `${of}, ${dayOf(node)}` };
    }) ?? [];
  return (
    <Section title="Photographs" id="photographs">
      {!read ? (
        result.error ? (
          <Problem of={result.error} what="the photographs" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the photographs" />
        )
      ) : read.totalCount === 0 ? (
        <p className="soft">The workshop has put no photograph here yet.</p>
      ) : (
        <>
          <ul className="photographs">
            {shown.map(({ id, smallPath, alt, caption, words }) => (
              <li key={id}>
                <Thumbnail smallPath={smallPath} alt={alt} onOpen={() => setLarge(id)} />
                <p>
                  {caption}
                  <span className="soft small photograph-note">{words}</span>
                </p>
              </li>
            ))}
          </ul>
          <Paging of={paging} page={read.pageInfo} total={read.totalCount} shown={shown.length} noun="photograph" />
        </>
      )}
      <Large of={shown} open={large} onOpen={setLarge} />
    </Section>
  );
}
