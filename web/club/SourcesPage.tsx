import type { ReactNode } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { type Brief, told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { CheckFilter, ChoiceFilter, Narrowing, SearchFilter } from "../shared/Filters.tsx";
import { counted, dateInFull, days, listed, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { choicesOf, FIT_RATING, PROVENANCE } from "../shared/words.ts";
import { countryName } from "../suppliers/countries.ts";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { Nearest } from "./Nearest.tsx";
import { RemoveRow } from "./RemoveRow.tsx";
import { openedAction, RowActions, Withheld } from "./RowActions.tsx";
import { SourceForm } from "./SourceForm.tsx";
import { SOURCE_FIELD, type Source, SourcesQuery } from "./source.ts";
import { deliveryWords, recordWords, sourceWords } from "./sourceWords.ts";

const isOneOf = <T extends object>(words: T, word: string | null): word is Extract<keyof T, string> =>
  word !== null && word in words;

/** Who makes this: what members have shared, searched by number, machine and wording. */
export default function SourcesPage() {
  const club = useClub();
  const [search, setSearch] = useAddressValue("q", ["page"]);
  const [within, setWithin] = useAddressValue("in", ["page"]);
  const [provenance, setProvenance] = useAddressValue("provenance", ["page"]);
  const [maker, setMaker] = useAddressValue("maker", ["page"]);
  const [own, setOwn] = useAddressValue("own", ["page"]);
  const [withheld, setWithheld] = useAddressValue("withheld", ["page"]);
  const paging = usePaging("page", useNarrow() ? 25 : 50);
  const open = useOpen();
  const [result, again] = useQuery({
    query: SourcesQuery,
    variables: {
      first: paging.variables.first ?? paging.size,
      after: paging.variables.after ?? null,
      search,
      in: isOneOf(SOURCE_FIELD, within) ? [within] : null,
      provenance: isOneOf(PROVENANCE, provenance) ? provenance : null,
      supplier: maker,
      own: own === "yes",
      withheld: withheld === "yes" && club.steward,
      searches: Boolean(search),
    },
  });
  const data = useKept(result.data, club.id);
  const found = data?.clubSources.edges.map(({ node }) => node) ?? [];
  const nearest = data?.nearest?.edges.map(({ node }) => node) ?? [];
  const rows = found.length > 0 ? found : nearest;
  const total = data?.clubSources.totalCount ?? 0;
  const narrowed = Boolean(search || within || provenance || maker || own || withheld);
  const none = data !== undefined && total === 0 && !narrowed;
  /** What the list is narrowed to, as what its rows have. */
  const set = [
    search && `“${search}”${isOneOf(SOURCE_FIELD, within) ? ` in ${SOURCE_FIELD[within]}` : ""}`,
    isOneOf(PROVENANCE, provenance) && `the provenance “${PROVENANCE[provenance]}”`,
    maker && `${maker} as its maker`,
    own && "you as its sharer",
    withheld && "been withheld",
  ].filter((word): word is string => Boolean(word));
  const share = (
    <>
      <OpenButton of={open} opens="new" main>
        Share a source
      </OpenButton>
      {club.restorer && (
        <Link className="button" to={clubAddress.share()}>
          Share from my suppliers
        </Link>
      )}
    </>
  );
  const clear = (
    <Link className="button" to={clubAddress.sources()}>
      Clear the search
    </Link>
  );

  return (
    <Page
      title="Who makes this"
      sentence={data && !none && <Opening search={search} maker={maker} total={total} rows={rows} />}
      aside={data && !none && share}
    >
      {open.has("new") && (
        <Section title="Share a source">
          <Opened>
            <SourceForm onSaved={() => open.close("new")} onCancel={() => open.close("new")} />
          </Opened>
        </Section>
      )}
      {result.error && !data ? (
        <Problem of={result.error} what="the sources" again={() => again({ requestPolicy: "network-only" })} />
      ) : !data ? (
        <Loading what="the sources" />
      ) : none ? (
        !open.has("new") && (
          <Empty title="No source has been shared yet" actions={share}>
            <p>
              Share who made a part for you, how long it took and how it fitted; the next member who looks for it finds
              it here.
            </p>
          </Empty>
        )
      ) : (
        <Table
          caption="Shared sources"
          rows={rows}
          rowKey={({ id }) => id}
          brief={briefOf}
          columns={columnsOf((source) =>
            source.own ? (
              <>
                <OpenButton of={open} opens={source.id}>
                  Change<span className="unseen"> {sourceWords(source)}</span>
                </OpenButton>
                <RemoveRow noun="source" row={source} what={sourceWords(source)} />
              </>
            ) : (
              <RowActions row={source} kind="SOURCE" what={sourceWords(source)} open={open} />
            ),
          )}
          below={(source) =>
            open.has(source.id) ? (
              <Opened>
                <SourceForm
                  source={source}
                  onSaved={() => open.close(source.id)}
                  onCancel={() => open.close(source.id)}
                />
              </Opened>
            ) : (
              openedAction({ row: source, kind: "SOURCE", what: sourceWords(source), open })
            )
          }
          filters={
            <Narrowing says={set}>
              <div className="club-search">
                <SearchFilter label="Number, machine or wording" value={search} onChange={setSearch} />
              </div>
              <ChoiceFilter
                label="Looked for in"
                all="everything"
                value={within}
                onChange={setWithin}
                choices={choicesOf(SOURCE_FIELD)}
              />
              <ChoiceFilter
                label="Provenance"
                all="any provenance"
                value={provenance}
                onChange={setProvenance}
                choices={choicesOf(PROVENANCE)}
              />
              <CheckFilter label="Shared by me" value={own} onChange={setOwn} />
              {club.steward && <CheckFilter label="Withheld ones" value={withheld} onChange={setWithheld} />}
              {maker && (
                <button type="button" onClick={() => setMaker(null)}>
                  Every maker, not only {maker}
                </button>
              )}
              {narrowed && clear}
            </Narrowing>
          }
          empty={
            <Empty title="No source matches" actions={clear}>
              <p>
                None of the {counted(club.sourceCount, "shared source")} has {listed(set) || "what is asked for"}.{" "}
                <Link to={clubAddress.wants()}>Say that you want it</Link>, and a member who has one is told.
              </p>
            </Empty>
          }
          paging={
            total > 0 && (
              <Paging of={paging} page={data.clubSources.pageInfo} total={total} shown={rows.length} noun="source" />
            )
          }
        />
      )}
    </Page>
  );
}

const briefOf = ({ part, supplier, machine, delivery, failed, price, withheldReason }: Source): Brief => ({
  name: part,
  also: told(supplier, machine),
  ...(withheldReason !== null
    ? { when: "withheld", colour: "red-lead" }
    : failed
      ? { when: "failed", colour: "red-lead" }
      : { when: price ? money(price) : delivery && `took ${days(delivery.takenDays)}` }),
});

interface OpeningProps {
  search: string | null;
  maker: string | null;
  total: number;
  rows: readonly Source[];
}

function Opening({ search, maker, total, rows }: OpeningProps): ReactNode {
  const club = useClub();
  const [first] = rows;
  if (search && first && total === 0) return <Nearest search={search} />;
  if (maker && first)
    return (
      <>
        {maker} has made {counted(total, "part")} that members have shared: {recordWords(first.record)}.
      </>
    );
  if (search && first) {
    const makers = [...new Set(rows.map(({ supplier }) => supplier))];
    const shown = makers.slice(0, 3);
    return (
      <>
        {counted(total, "source")} {total === 1 ? "matches" : "match"} “{search}”:{" "}
        {shown.map((name, place) => (
          <span key={name}>
            {place > 0 && (place === shown.length - 1 && makers.length === shown.length ? " and " : ", ")}
            <Link to={clubAddress.maker(name)}>{name}</Link>
          </span>
        ))}
        {makers.length > shown.length && ` and ${counted(makers.length - shown.length, "other")}`}{" "}
        {makers.length === 1 ? "makes" : "make"} it.
      </>
    );
  }
  return (
    <>
      {counted(club.memberCount, "member")} {club.memberCount === 1 ? "has" : "have"} shared{" "}
      {counted(club.sourceCount, "source")} of parts. Search for yours by its reference number, its machine or its
      wording; a misspelt word is found too.
    </>
  );
}

const columnsOf = (controls: (source: Source) => ReactNode): Column<Source>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ part, machine, references, notes, withheldReason }) => (
      <>
        {part}
        {machine && <span className="club-under">{machine}</span>}
        {references && <span className="club-under code">{references}</span>}
        {notes && <span className="club-under club-notes">{notes}</span>}
        <Withheld reason={withheldReason} />
      </>
    ),
  },
  {
    id: "supplier",
    title: "Who makes it",
    cell: ({ supplier, country, record }) => (
      <>
        <Link to={clubAddress.maker(supplier)}>{supplier}</Link>
        {country && <span className="club-under">{countryName(country)}</span>}
        <span className="club-under">{recordWords(record)}</span>
      </>
    ),
  },
  { id: "provenance", title: "Provenance", cell: ({ provenance }) => PROVENANCE[provenance] },
  {
    id: "delivery",
    title: "This one took",
    cell: ({ delivery, failed }) =>
      failed ? (
        <span className="late">failed: never came, or went back</span>
      ) : (
        delivery && (
          <span className={delivery.takenDays > delivery.promisedDays ? "late" : undefined}>
            {deliveryWords(delivery)}
          </span>
        )
      ),
  },
  {
    id: "fit",
    title: "Fit",
    cell: ({ delivery }) => {
      const rating = delivery?.fitRating;
      return rating && FIT_RATING[rating as keyof typeof FIT_RATING];
    },
  },
  {
    id: "price",
    title: "Paid for one",
    numeric: true,
    cell: ({ price }) =>
      price ? <span className="money">{money(price)}</span> : <span className="soft">not shared</span>,
  },
  {
    id: "shared",
    title: "Shared",
    cell: ({ member, sharedOn, code, own }) => (
      <>
        <span className="nowrap">{own ? "by you" : member.name}</span>
        <span className="club-under">
          <span className="nowrap">{dateInFull(sharedOn)}</span> <Code noun="source" of={code} />
        </span>
      </>
    ),
  },
  { id: "controls", title: "", controls: true, cell: controls },
];
