import { Fragment, type ReactNode, useMemo } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { listed } from "../shared/format.ts";
import { Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { NOT_ORDERED, PROVENANCE } from "../shared/words.ts";
import { type ChoicesFound, SettledQuery } from "./documents.ts";

/** What the choice leaves alone, and what it may not take: kept, ruled out, without a source or remedy, and left out. */
export function Settled({ found }: { found: ChoicesFound }) {
  const { id } = useRestoration();
  const variables = useMemo(() => ({ restoration: id, notOrdered: NOT_ORDERED }), [id]);
  const { rows = [] } = useEveryPage(SettledQuery, variables, (data) => data.restoration.parts);
  const kept = rows.filter((part) => part.kept);
  const without = rows.filter(({ ruledOut, quotes }) => ruledOut.length > 0 || quotes.some(({ ruledOut }) => ruledOut));
  const { open, notices } = found;
  if (kept.length + without.length + open.length + notices.totalCount === 0) return null;
  const partLink = (part: { id: string; name: string }) => (
    <Link key={part.id} to={addressOf.part(id, part.id)}>
      {part.name}
    </Link>
  );
  const left = notices.totalCount - notices.edges.length;
  return (
    <Section title="Settled beforehand" id="settled">
      <ul className="settled">
        {open.length > 0 && (
          <li>
            With {found.lacking}, and taken as {found.cleared} so that the rest can be weighed:{" "}
            <Joined>
              {open.map(({ title, part, snag }) => (
                <Link
                  key={part?.id ?? snag?.id ?? title}
                  to={
                    part
                      ? addressOf.part(id, part.id)
                      : `${addressOf.snags(id)}?snag=${encodeURIComponent(snag?.id ?? "")}`
                  }
                >
                  {title}
                </Link>
              ))}
            </Joined>
            . There is no completion date until there is one.
          </li>
        )}
        {kept.length > 0 && (
          <li>
            Kept as chosen: <Joined>{kept.map(partLink)}</Joined>.
          </li>
        )}
        {without.map((part) => (
          <li key={part.id}>
            Ruled out for {partLink(part)}:{" "}
            {listed([
              ...part.ruledOut.map((provenance) => PROVENANCE[provenance]),
              ...part.quotes
                .filter(({ ruledOut }) => ruledOut)
                .map(({ code, supplier }) => `${codeInWords("quote", code)} of ${supplier.name}`),
            ])}
            .
          </li>
        ))}
        {notices.edges.map(({ node }) => (
          <li key={`${node.row} ${node.message}`}>{node.message}</li>
        ))}
        {left > 0 && <li>And {left} more like these.</li>}
      </ul>
    </Section>
  );
}

function Joined({ children }: { children: readonly ReactNode[] }) {
  return children.map((child, place) => (
    <Fragment key={place}>
      {place > 0 && (place === children.length - 1 ? " and " : ", ")}
      {child}
    </Fragment>
  ));
}
