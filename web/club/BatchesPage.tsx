import { useState } from "react";
import { Link, useNavigate } from "react-router";
import { useQuery } from "urql";
import { type Brief, told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { CheckFilter, ChoiceFilter, Narrowing } from "../shared/Filters.tsx";
import { counted, dateInFull, dayAndMonth, money, odds, oddsThat, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { choicesOf } from "../shared/words.ts";
import { clubAddress } from "./addresses.ts";
import { BatchForm } from "./BatchForm.tsx";
import { BatchMark } from "./BatchMark.tsx";
import { BATCH_STATE, BatchesQuery, type BatchRow } from "./batch.ts";
import { capital, closesIn, filledWords, morePieces } from "./batchWords.ts";
import { useClub } from "./club.ts";
import { Withheld } from "./RowActions.tsx";
import { type WantedPart, WantedParts } from "./WantedParts.tsx";

const isState = (word: string | null): word is keyof typeof BATCH_STATE => word !== null && word in BATCH_STATE;

/** Every batch: those taking names by closing date, then those not filled, then those that go ahead. */
export default function BatchesPage() {
  const club = useClub();
  const navigate = useNavigate();
  const [state, setState] = useAddressValue("state", ["page"]);
  const [own, setOwn] = useAddressValue("own", ["page"]);
  const paging = usePaging("page", useNarrow() ? 15 : 50);
  const open = useOpen();
  const [begun, setBegun] = useState<WantedPart>();
  const [result, again] = useQuery({
    query: BatchesQuery,
    variables: {
      first: paging.size,
      after: paging.variables.after ?? null,
      state: isState(state) ? state : null,
      own: own === "yes",
    },
  });
  const data = useKept(result.data, club.id);
  const rows = data?.batches.edges.map(({ node }) => node) ?? [];
  const narrowed = Boolean(state || own);
  const none = data !== undefined && data.batches.totalCount === 0 && !narrowed;
  const begin = (
    <OpenButton of={open} opens="new" main>
      Make a batch
    </OpenButton>
  );
  return (
    <Page
      title="Batches"
      sentence={
        data &&
        !none && <Opening count={data.takingNames.totalCount} first={data.takingNames.edges[0]?.node} day={club.day} />
      }
      aside={data && !none && begin}
    >
      {open.has("new") && (
        <Section title="A new batch">
          <Opened key={begun?.id}>
            <BatchForm
              {...(begun ? { of: begun } : {})}
              onSaved={(id) => void navigate(clubAddress.batch(id))}
              onCancel={() => {
                open.close("new");
                setBegun(undefined);
              }}
            />
          </Opened>
        </Section>
      )}
      {result.error && !data ? (
        <Problem of={result.error} what="the batches" again={() => again({ requestPolicy: "network-only" })} />
      ) : !data ? (
        <Loading what="the batches" />
      ) : none ? (
        !open.has("new") && (
          <Empty title="No batch has been gathered yet" actions={begin}>
            <p>
              Where several members need the same part, a maker can run it once for all: the pattern is paid together,
              and every name put down makes the others' pieces cheaper.
            </p>
          </Empty>
        )
      ) : (
        <Table
          caption="Batches"
          rows={rows}
          rowKey={({ id }) => id}
          brief={briefOf}
          columns={columnsOf(club.day)}
          filters={
            <Narrowing says={[isState(state) && BATCH_STATE[state], own && "only mine"]}>
              <ChoiceFilter
                label="State"
                all="all states"
                value={state}
                onChange={setState}
                choices={choicesOf(BATCH_STATE)}
              />
              <CheckFilter label="Only mine" value={own} onChange={setOwn} />
            </Narrowing>
          }
          empty={
            <Empty
              title="No batch matches"
              actions={
                <Link className="button" to={clubAddress.batches()}>
                  Clear the filters
                </Link>
              }
            >
              <p>Clear the filters to see every batch.</p>
            </Empty>
          }
          paging={
            data.batches.totalCount > 0 && (
              <Paging
                of={paging}
                page={data.batches.pageInfo}
                total={data.batches.totalCount}
                shown={rows.length}
                noun="batch"
                plural="batches"
              />
            )
          }
        />
      )}
      {data && (
        <WantedParts
          onBegin={(part) => {
            setBegun(part);
            open.open("new");
          }}
        />
      )}
    </Page>
  );
}

/** The batch taking names that closes first, and what it still needs. */
function Opening({ count, first, day }: { count: number; first: BatchRow | undefined; day: string }) {
  if (!first) return <>No batch is taking names at present.</>;
  const { needed, goingAhead, chance } = first.outlook;
  const link = <Link to={clubAddress.batch(first.id)}>{first.part}</Link>;
  return (
    <>
      {count === 1
        ? "1 batch is taking names: "
        : `${counted(count, "batch", "batches")} are taking names. The first to close is `}
      {link}, which closes on {dateInFull(first.closesOn)}, {closesIn(day, first.closesOn)}.{" "}
      {needed > 0 ? (
        <>
          {capital(morePieces(needed))} {needed === 1 ? "fills" : "fill"} it at {money(goingAhead.piece)} each;{" "}
          {oddsThat("it fills", chance)}.
        </>
      ) : (
        <>It is filled, at {money(goingAhead.piece)} each.</>
      )}
    </>
  );
}

const briefOf = (batch: BatchRow): Brief => {
  const { id, part, maker, state, closesOn, own, ownNameDown, withheldReason } = batch;
  return {
    name: part,
    to: clubAddress.batch(id),
    also: told(
      filledWords(batch),
      maker,
      own && "gathered by you",
      ownNameDown && `you are down for ${plainNumber(ownNameDown.quantity)}`,
    ),
    ...(withheldReason !== null
      ? { when: "withheld", colour: "red-lead" }
      : state === "TAKING_NAMES"
        ? { when: `by ${dayAndMonth(closesOn)}`, colour: "brass" }
        : { when: BATCH_STATE[state], colour: state === "GOES_AHEAD" ? "verdigris" : undefined }),
  };
};

const columnsOf = (day: string): Column<BatchRow>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ id, part, machine, code, withheldReason }) => (
      <>
        <Link to={clubAddress.batch(id)}>{part}</Link>
        <span className="club-under">
          <Code noun="batch" of={code} /> {machine}
        </span>
        <Withheld reason={withheldReason} />
      </>
    ),
  },
  { id: "maker", title: "Maker", cell: ({ maker }) => maker },
  { id: "state", title: "State", cell: (batch) => <BatchMark batch={batch} /> },
  { id: "putDown", title: "Put down for", cell: filledWords },
  {
    id: "piece",
    title: "Each pays",
    numeric: true,
    cell: ({ state, outlook: { goingAhead } }) =>
      state !== "NOT_FILLED" && <span className="money">{money(goingAhead.piece)}</span>,
  },
  {
    id: "chance",
    title: "Odds it fills",
    cell: ({ state, outlook: { chance } }) => state === "TAKING_NAMES" && odds(chance, true),
  },
  {
    id: "closes",
    title: "Closes",
    cell: ({ state, closesOn }) => (
      <>
        <span className="nowrap">{dateInFull(closesOn)}</span>
        {state === "TAKING_NAMES" && <span className="club-under">{closesIn(day, closesOn)}</span>}
      </>
    ),
  },
  {
    id: "own",
    title: "You",
    cell: ({ own, ownNameDown }) =>
      [own && "gather it", ownNameDown && `down for ${plainNumber(ownNameDown.quantity)}`].filter(Boolean).join(", "),
  },
];
