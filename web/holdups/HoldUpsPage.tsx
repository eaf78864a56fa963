import { type ReactNode, useEffect, useMemo } from "react";
import { Link, useSearchParams } from "react-router";
import { useClient, useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Folded } from "../shared/Folded.tsx";
import { counted, dateInFull, money } from "../shared/format.ts";
import { FirstGain } from "../shared/handGains.tsx";
import { useJobRead } from "../shared/job.ts";
import { Lines, Rest } from "../shared/Lines.tsx";
import { OnHands } from "../shared/OnHands.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useAddress } from "../shared/useAddress.ts";
import { useMay } from "../shared/useMay.ts";
import { Acts, LateLine } from "./Acts.tsx";
import { AskedFields } from "./Asked.tsx";
import { ChaseList } from "./ChaseList.tsx";
import { HoldUpsQuery, LadderOddsQuery, WhereQuery } from "./documents.ts";
import { FreeToStart } from "./FreeToStart.tsx";
import { HowSure } from "./HowSure.tsx";
import { Key } from "./Key.tsx";
import { Ladder } from "./Ladder.tsx";
import { LadderTable } from "./LadderTable.tsx";
import { leadOf, Opening } from "./Opening.tsx";
import { OrderDays } from "./OrderDays.tsx";
import { OrderLine } from "./OrderLine.tsx";
import { useOddsRun } from "./oddsRun.ts";
import { type Asked, bandsOf, evenOddsDaysOf, type HoldUpsData } from "./rows.ts";
import { ToOrderList } from "./ToOrderList.tsx";

const RUNGS = 20;
const LISTED = 15;
/** What is told one by one to whom it is not told what is due when. */
const FEW = 3;

/** What holds up the last bolt, and what to do about it today. */
export default function HoldUpsPage() {
  const restoration = useRestoration();
  const [params] = useSearchParams();
  const may = useMay();
  const ladder = usePaging("ladder", RUNGS);
  const order = usePaging("order", LISTED);
  const chase = usePaging("chase", LISTED);
  const free = usePaging("free", LISTED);
  const asked = askedIn(params, restoration.id);
  const trade = params.get("trade");
  const [result, again] = useQuery({
    query: HoldUpsQuery,
    variables: {
      ...asked,
      ladderFirst: ladder.variables.first ?? RUNGS,
      ladderAfter: ladder.variables.after ?? null,
      orderFirst: order.variables.first ?? LISTED,
      orderAfter: order.variables.after ?? null,
      chaseFirst: chase.variables.first ?? LISTED,
      chaseAfter: chase.variables.after ?? null,
      freeFirst: free.variables.first ?? LISTED,
      freeAfter: free.variables.after ?? null,
      trade,
      contact: may("Query.supplier"),
      landed: may("Query.supplier"),
    },
  });
  const shown = result.data?.holdUps;
  const why = params.get("why");
  const run = useOddsRun(
    restoration.id,
    // Where nothing is entered there are no odds.
    shown?.completion.entered ? { figuresFor: shown.figuresFor, planRevision: shown.restoration.planRevision } : null,
  );
  const read = useJobRead(
    LadderOddsQuery,
    useMemo(
      () =>
        shown
          ? {
              restoration: restoration.id,
              figuresFor: shown.figuresFor,
              rungs: shown.ladder.edges.flatMap(({ node }) => (node.kind === "HAND" ? [] : [node.id])),
            }
          : null,
      [restoration.id, shown],
    ),
    run,
  );
  useFindRung(asked, why, shown);

  if (result.error && !shown)
    return (
      <Page title="Hold-ups">
        <Problem of={result.error} what="the hold-ups" again={() => again({ requestPolicy: "network-only" })} />
      </Page>
    );
  if (!shown)
    return (
      <Page title="Hold-ups">
        <Loading what="the hold-ups" />
      </Page>
    );

  const { completion } = shown;
  if (!completion.entered)
    return (
      <Page title="Hold-ups">
        <Empty
          title="Nothing is entered yet"
          actions={
            may("Mutation.savePart") && (
              <>
                <Link className="button main" to={addressOf.files(restoration.id)}>
                  Bring in files
                </Link>
                <Link className="button" to={addressOf.work(restoration.id)}>
                  Enter the work
                </Link>
                <Link className="button" to={addressOf.parts(restoration.id)}>
                  Enter the parts
                </Link>
              </>
            )
          }
        >
          <p>
            The ladder needs the work in hours, what follows what, and the parts that the work waits for. Bring them in
            from spreadsheets, or type the first operation and the first missing part.
          </p>
        </Empty>
      </Page>
    );

  const rungs = shown.ladder.edges.map((edge) => edge.node);
  // While the runs are drawn anew the last odds stay; of runs that were stopped there are none.
  const lasting = read.current || run.job === null || run.working || run.job.state === "DONE";
  const byOdds = lasting && read.data?.odds.figuresFor === shown.figuresFor ? read.data.odds : null;
  const bands = bandsOf(byOdds);
  const before = shown.ladder.edges.map((_, place) =>
    place > 0 ? shown.ladder.edges[place - 1]?.cursor : (ladder.variables.after ?? undefined),
  );
  const urgent = shown.toOrder.totalCount;
  const top = shown.top.edges.map((edge) => edge.node);
  const later = shown.laterOrders;
  const soon = later ? urgent - later.count : Math.min(urgent, FEW);
  const orderDays = { figuresFor: shown.figuresFor, confidence: shown.confidence, orderDays: shown.orderDays };
  return (
    <Page title="Hold-ups" lead={leadOf({ completion, top, byOdds })}>
      <Acts shown={shown} soon={soon} />
      <Folded summary="What that date rests on">
        <div className="two rests">
          <p className="sentence">
            <Opening
              figuresFor={shown.figuresFor}
              machine={restoration.machine}
              completion={completion}
              top={top}
              byOdds={byOdds}
              marks={shown.heldByMarks ?? []}
            />
          </p>
          <div>
            {may("Mutation.saveTradeRate") && <OnHands restoration={restoration.id} figuresFor={shown.figuresFor} />}
            {shown.figuresFor === restoration.day && <FirstGain restoration={restoration.id} />}
          </div>
        </div>
      </Folded>
      {result.error && (
        <Problem of={result.error} what="the newest figures" again={() => again({ requestPolicy: "network-only" })} />
      )}
      <div aria-busy={result.stale || result.fetching}>
        <Section title="The ladder" id="ladder" note="Clear a line and all above it: it is ready where the next ends.">
          <Folded summary="For another day, or with other odds">
            <AskedFields figuresFor={shown.figuresFor} confidence={shown.confidence} />
          </Folded>
          <Ladder
            asked={asked}
            figuresFor={shown.figuresFor}
            completion={completion}
            rungs={rungs}
            bands={bands}
            evenOddsDays={evenOddsDaysOf(byOdds)}
            before={before}
            why={why}
            more={shown.ladder.pageInfo.hasNextPage}
          />
          {rungs.length > 0 && <Key bands={bands.size > 0} />}
          {shown.ladder.totalCount > RUNGS && (
            <Paging
              of={ladder}
              page={shown.ladder.pageInfo}
              total={shown.ladder.totalCount}
              shown={rungs.length}
              noun="hold-up"
            />
          )}
          {rungs.length > 0 && (
            <LadderTable rungs={rungs} bands={bands} completion={completion} figuresFor={shown.figuresFor} />
          )}
        </Section>
        <HowSure shown={shown} run={run} />
        <Section title="To order" id="to-order" note={soon > 0 && `${soon} within a fortnight, the first above`}>
          {urgent > 0 && shown.confidence !== null && <OrderDays {...orderDays} />}
          <Lines label="To order within a fortnight">
            {shown.soon.edges.slice(1, soon).map(({ node }) => (
              <OrderLine key={node.id} row={node} figuresFor={shown.figuresFor} />
            ))}
            <RestToOrder later={later} all={urgent} open={params.has("order")}>
              {urgent > 0 && shown.confidence === null && <OrderDays {...orderDays} />}
              <ToOrderList
                restoration={restoration.id}
                rows={shown.toOrder.edges.map((edge) => edge.node)}
                figuresFor={shown.figuresFor}
                confidence={shown.confidence}
                paging={
                  urgent > 0 && (
                    <Paging
                      of={order}
                      page={shown.toOrder.pageInfo}
                      total={urgent}
                      shown={shown.toOrder.edges.length}
                      noun="to order"
                      plural="to order"
                    />
                  )
                }
              />
            </RestToOrder>
          </Lines>
        </Section>
        <Section
          title="To chase"
          id="chase"
          note={shown.chase.totalCount > 0 && `${shown.chase.totalCount} late, the first above`}
        >
          {shown.chase.totalCount === 0 ? (
            <p className="soft">No order is late: every maker is within the promised date.</p>
          ) : (
            <Lines label="To chase first">
              {shown.late.edges.slice(1).map(({ node }) => (
                <LateLine key={node.part.id} late={node} />
              ))}
              <Rest
                summary={
                  shown.chase.totalCount === 1
                    ? "What was promised, and the newest word"
                    : `All ${shown.chase.totalCount}, with what was promised and the newest word`
                }
                open={params.has("chase")}
              >
                <ChaseList
                  restoration={restoration.id}
                  rows={shown.chase.edges.map((edge) => edge.node)}
                  paging={
                    <Paging
                      of={chase}
                      page={shown.chase.pageInfo}
                      total={shown.chase.totalCount}
                      shown={shown.chase.edges.length}
                      noun="late order"
                    />
                  }
                />
              </Rest>
            </Lines>
          )}
        </Section>
        <Section title="Free to start" id="free-to-start">
          <FreeToStart
            restoration={restoration.id}
            rows={shown.freeToStart.edges.map((edge) => edge.node)}
            total={shown.freeToStart.totalCount}
            trades={shown.freeToStartByTrade}
            trade={trade}
            open={params.has("trade") || params.has("free")}
            paging={
              shown.freeToStart.totalCount > 0 && (
                <Paging
                  of={free}
                  page={shown.freeToStart.pageInfo}
                  total={shown.freeToStart.totalCount}
                  shown={shown.freeToStart.edges.length}
                  noun="operation"
                />
              )
            }
          />
        </Section>
        <p className="unseen">{counted(shown.ladder.totalCount, "hold-up")} in all.</p>
      </div>
    </Page>
  );
}

interface RestToOrderProps {
  /** Absent to whom sums are not told. */
  later: HoldUpsData["laterOrders"];
  all: number;
  open: boolean;
  children: ReactNode;
}

/** What is due after the fortnight in one line with its sum, which unfolds the whole list. */
function RestToOrder({ later, all, open, children }: RestToOrderProps) {
  if (!later || later.count === 0)
    return (
      <Rest summary={all === 0 ? "Nothing more is to be ordered" : "All that is to be ordered"} open={open}>
        {children}
      </Rest>
    );
  return (
    <Rest
      summary={
        <>
          {later.count} later
          {later.firstOn &&
            later.lastOn &&
            (later.firstOn === later.lastOn
              ? `, on ${dateInFull(later.firstOn)}`
              : `, from ${dateInFull(later.firstOn)} to ${dateInFull(later.lastOn)}`)}
        </>
      }
      sum={later.cost && later.chosen > 0 && `${later.chosen} chosen: ${money(later.cost)}`}
      open={open}
    >
      {children}
    </Rest>
  );
}

/** What the address asks for; nonsense in it counts as not asked. */
function askedIn(params: URLSearchParams, restoration: string): Asked {
  const on = params.get("on") ?? "";
  const chance = Number(params.get("confidence"));
  return {
    restoration,
    figuresFor: /^\d{4}-\d\d-\d\d$/.test(on) && !Number.isNaN(Date.parse(on)) ? on : null,
    confidence: params.get("confidence") && chance > 0 && chance < 1 ? chance : undefined,
  };
}

/** Turns the ladder to the page of the rung whose reasons the address asks for. */
function useFindRung(asked: Asked, why: string | null, shown: HoldUpsData | undefined) {
  const client = useClient();
  const [, change] = useAddress();
  const onPage = shown?.ladder.edges.some((edge) => edge.node.id === why) ?? true;
  const total = shown?.ladder.totalCount ?? 0;
  const { restoration, figuresFor, confidence } = asked;
  useEffect(() => {
    if (!why || onPage || total <= RUNGS) return;
    let wanted = true;
    const find = async () => {
      const cursors: string[] = [];
      let after: string | null = null;
      for (;;) {
        const found = await client.query(WhereQuery, { restoration, figuresFor, confidence, after }).toPromise();
        const page: NonNullable<typeof found.data>["holdUps"]["ladder"] | undefined = found.data?.holdUps.ladder;
        if (!page || !wanted) return;
        const place = page.edges.findIndex((edge) => edge.node.id === why);
        cursors.push(...page.edges.slice(0, place < 0 ? undefined : place).map((edge) => edge.cursor));
        if (place >= 0) break;
        if (!page.pageInfo.hasNextPage) return;
        after = page.pageInfo.endCursor;
      }
      change(
        (next) => {
          next.delete("ladder");
          for (let at = RUNGS; at <= cursors.length; at += RUNGS) next.append("ladder", cursors[at - 1] as string);
        },
        { replace: true },
      );
    };
    void find();
    return () => {
      wanted = false;
    };
  }, [client, why, onPage, total, restoration, figuresFor, confidence, change]);
}
