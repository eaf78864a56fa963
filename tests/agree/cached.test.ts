/** Whatever is changed, what is kept of every restoration of the workshop is what would be worked out anew. */
import { type GraphQLField, graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { Context } from "../../server/api/core/context.ts";
import { oddsOfHunt } from "../../server/api/hunt/huntOdds.ts";
import { furtherFigures, oddsOfRestoration } from "../../server/api/odds/oddsWork.ts";
import { schema } from "../../server/api/schema.ts";
import { huntStopOdds, type StopOddsWork } from "../../server/engine/hunt/stopOdds.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { addDays } from "../../server/engine/time/date.ts";
import type { DayFigures } from "../../server/generated/prisma/client.ts";
import { planOf } from "../../server/plan/cache.ts";
import { walkAwayProblem, walkAwaysOn } from "../../server/plan/choice/walkAway.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { huntOdds, STOP_RUNS } from "../../server/plan/hunt/odds.ts";
import { loadMakers, makerRecord, nextDelivery } from "../../server/plan/makers/makerRecord.ts";
import { MakerRecords } from "../../server/plan/makers/makerWait.ts";
import { Money, moneyOf } from "../../server/plan/money/exposureKept.ts";
import { type ExposureRows, loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { dateWith, type OddsOutlook, oddsModel, RUNS } from "../../server/plan/odds/odds.ts";
import type { Plan } from "../../server/plan/plan.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { type Store, versionOf } from "../../server/store/client.ts";
import { walkAwaysOf } from "../../server/worker/computations.ts";
import { callOf, mutations } from "../support/everyChange.ts";
import { type Marked, markedStore, viewerOf } from "../support/marked.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let marked: Marked;
beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      marked = await markedStore(store);
      for (const id of RESTORATIONS) {
        await toOrderAndHunted(store, id.slice(0, 2));
        await finished(store, id.slice(0, 2));
      }
    },
  });
});
afterAll(() => server.close());

const CHANCE = 0.8;
const RESTORATIONS = ["A1.Restoration", "A2.Restoration"];

/** A part that is to be ordered, and one that is looked for and else ordered from the same maker. */
async function toOrderAndHunted(store: Store, scope: string): Promise<void> {
  const restorationId = `${scope}.Restoration`;
  for (const name of ["ToOrder", "Hunted"]) {
    const partId = `${scope}.${name}`;
    const quoteId = `${partId}.Quote`;
    await store.part.create({ data: { id: partId, restorationId, code: name, name } });
    await store.need.create({ data: { restorationId, operationId: `${scope}.Second`, partId } });
    const offer = { code: name, currency: "GBP", unitPriceMinor: 40_00, leadDays: 90, provenance: "REMADE" } as const;
    await store.quote.create({
      data: {
        ...offer,
        id: quoteId,
        restorationId,
        partId,
        supplierId: `${scope[0]}.Supplier`,
      },
    });
    const chosen = name === "Hunted" ? { fallbackQuoteId: quoteId } : { chosenQuoteId: quoteId };
    await store.part.update({ where: { id: partId }, data: chosen });
  }
  const looked = { begunOn: "2026-12-01", stopDate: "2027-02-01", chancePerWeek: 0.1, beliefWeeks: 10, leadDays: 7 };
  await store.hunt.create({
    data: { ...looked, id: `${scope}.Hunted.Hunt`, restorationId, partId: `${scope}.Hunted`, currency: "GBP" },
  });
}

/** Work that is done and took longer than was estimated, in a trade that has work left. */
async function finished(store: Store, scope: string): Promise<void> {
  const restorationId = `${scope}.Restoration`;
  const { trade } = await store.operation.findUniqueOrThrow({ where: { id: `${scope}.Second` } });
  const id = `${scope}.Finished`;
  const done = { state: "DONE", startedOn: "2026-11-02", finishedOn: "2026-11-04" } as const;
  await store.operation.create({
    data: { id, restorationId, code: "Finished", title: "Finished", trade, hoursLikely: 10, ...done },
  });
  await store.hoursBooked.create({
    data: {
      id: `${id}.Hours`,
      restorationId,
      operationId: id,
      accountId: `${scope[0]}.admin`,
      clientKey: id,
      workedOn: "2026-11-03",
      hours: 15,
      currency: "GBP",
    },
  });
}

/** All that a plan says, apart from what it works out when asked. */
const said = (plan: Plan) => [
  plan.completion,
  plan.ladder,
  plan.toOrder,
  plan.declined,
  plan.chase,
  plan.freeToStart,
  [...plan.operations],
  [...plan.parts],
  [...plan.quoteInForce],
  [...plan.remedyInForce],
  plan.orderDays && [plan.orderDays.own, plan.orderDays.target].map((end) => end && { ...end, days: [...end.days] }),
];
const told = (work: () => unknown): string => {
  try {
    return JSON.stringify(work());
  } catch (error) {
    return String(error);
  }
};

/** What is asked of a hunt's curve: one stop date is enough to tell that it is of the rows as they are. */
const stopFrom = (figuresFor: string) => ({ dates: [addDays(figuresFor, 60)], ...SURE, figuresFor });
const SURE = { confidence: CHANCE };

/** What is kept of a restoration, as each sheet is told it. */
async function kept(id: string, figuresFor: string): Promise<Figures> {
  const { store } = server;
  const toldOf = <Found>(asked: Promise<Found>, said: (found: Found) => unknown) =>
    asked.then((found) => JSON.stringify(said(found)), String);
  const hunts = await store.hunt.findMany({ where: { restorationId: id }, orderBy: { id: "asc" } });
  await keepDay(store, id, furtherFigures(store)).catch(() => {});
  return {
    asQuoted: await toldOf(planOf(store, id, { confidence: null }), said),
    atChance: await toldOf(planOf(store, id, SURE), said),
    money: await toldOf(moneyOf(store, id), moneySaid),
    odds: await toldOf(oddsOfRestoration(store, id, figuresFor, ASKER), oddsSaid),
    curves: await Promise.all(
      hunts.map((hunt) => toldOf(oddsOfHunt(store, hunt, stopFrom(figuresFor), ASKER), (odds) => odds)),
    ),
    walkAways: await walkAwaysTold(id),
    day: await toldOf(
      store.dayFigures.findFirst({ where: { restorationId: id, day: figuresFor } }),
      (day) => day && dayTold(day),
    ),
  };
}

/** The same worked out from the rows alone. */
async function fresh(id: string, figuresFor: string): Promise<Figures> {
  const { store } = server;
  const rows = await loadRows(store, id);
  const money = new Money(await loadExposureRows(store, id, figuresFor));
  const hunts = await store.hunt.findMany({ where: { restorationId: id }, orderBy: { id: "asc" } });
  const { end, ...drawn } = await drawnOf(rows, hunts, figuresFor);
  return {
    ...drawn,
    money: told(() => moneySaid(money)),
    walkAways: await walkAwaysFresh(money.rows),
    day: told(() => {
      const { total } = money.exposure;
      return dayTold({ ...end(), costMinor: total.unknown > 0 ? null : total.planned });
    }),
  };
}

type Drawn = Pick<Figures, "asQuoted" | "atChance" | "odds" | "curves"> & { end: () => Omit<Told, "costMinor"> };

/** By rows, plans and what is drawn of them: of equal rows it is worked out once. */
const drawn = new Map<string, Promise<Drawn>>();
function drawnOf(rows: PlanRows, hunts: readonly { partId: string }[], figuresFor: string): Promise<Drawn> {
  const key = JSON.stringify([rows, figuresFor]);
  const found = drawn.get(key) ?? draw(rows, hunts, figuresFor);
  drawn.set(key, found);
  return found;
}

async function draw(rows: PlanRows, hunts: readonly { partId: string }[], figuresFor: string): Promise<Drawn> {
  const plan = (confidence: number | null) => computePlan(rows, { figuresFor, confidence });
  let runs: OddsOutlook["found"] | undefined;
  const outlook = (): OddsOutlook => {
    runs ??= oddsOf(oddsModel(rows, figuresFor), RUNS);
    return { restorationId: rows.restoration.id, figuresFor, found: runs };
  };
  const stops = async (work: StopOddsWork) => huntStopOdds(work, STOP_RUNS);
  return {
    asQuoted: told(() => said(plan(null))),
    atChance: told(() => said(plan(CHANCE))),
    odds: told(() => oddsSaid(outlook())),
    curves: await Promise.all(
      hunts.map(({ partId }) =>
        huntOdds(rows, partId, stopFrom(figuresFor), stops).then((found) => JSON.stringify(found), String),
      ),
    ),
    end: () => {
      const { open, dateWithOpenInHand: completion, targetDate } = plan(null).completion;
      const odds = outlook();
      const [evenOdds, fourInFive] = [dateWith(odds, 0.5), dateWith(odds, 0.8)];
      return { open, completion, targetDate, evenOdds, fourInFive, targetOdds: odds.found.onTarget };
    },
  };
}

interface Figures {
  asQuoted: string;
  /** With the days to order by. */
  atChance: string;
  money: string;
  odds: string;
  curves: string[];
  walkAways: string;
  day: string;
}

const ASKER = { account: "" };

const moneySaid = (money: Money) => [money.exposure, money.consentDue];

const oddsSaid = (outlook: OddsOutlook) => [
  [0.1, 0.5, 0.8, 0.95].map((chance) => dateWith(outlook, chance)),
  outlook.found.samples,
  outlook.found.never,
  outlook.found.onTarget,
  outlook.found.holdUps.map(({ node, setsEnd, meanDays }) => [node, setsEnd, meanDays]),
];

type Told = Pick<
  DayFigures,
  "open" | "completion" | "targetDate" | "evenOdds" | "fourInFive" | "targetOdds" | "costMinor"
>;
const dayTold = ({ open, completion, targetDate, evenOdds, fourInFive, targetOdds, costMinor }: Told) => [
  ...[open, completion, targetDate, evenOdds, fourInFive],
  ...[targetOdds, costMinor],
];

/** Of each part the price and the words, for each provenance. */
async function walkAwaysTold(id: string): Promise<string> {
  const { data, errors } = await graphql({
    schema,
    source: `query ($id: ID!) { restoration(id: $id) { walkAways(first: 50) { edges { node {
      part { id } walkAway { price { minor } words } } } } } }`,
    variableValues: { id },
    contextValue: new Context(server.store, viewerOf(marked.people["A.admin"]!)),
  });
  if (errors) return "no prices";
  const { edges } = (data as unknown as { restoration: { walkAways: { edges: { node: PricedPart }[] } } }).restoration
    .walkAways;
  return JSON.stringify(
    edges.map(({ node }) => [node.part.id, node.walkAway.map(({ price, words }) => [price?.minor ?? null, words])]),
  );
}

interface PricedPart {
  part: { id: string };
  walkAway: { price: { minor: number } | null; words: string }[];
}

async function walkAwaysFresh(rows: ExposureRows): Promise<string> {
  try {
    const asked = walkAwayProblem(rows);
    const { problem, worth, offers } = asked;
    const prices = await walkAwaysOf({ kind: "walkAways", work: problem.work, worth, offers }, ASKER);
    return JSON.stringify(
      walkAwaysOn(asked, prices).map(({ partId, walkAways }) => [
        partId,
        walkAways.map(({ priceMinor, words }) => [priceMinor, words]),
      ]),
    );
  } catch {
    return "no prices";
  }
}

/** While nothing is committed, what is worked out anew is the same as before. */
const known = new Map<string, { version: number; figures: Figures }>();
async function freshNow(id: string, figuresFor: string): Promise<Figures> {
  const version = versionOf(server.store);
  const last = known.get(id);
  if (last?.version === version) return last.figures;
  const figures = await fresh(id, figuresFor);
  known.set(id, { version, figures });
  return figures;
}

async function agrees(id: string): Promise<void> {
  const figuresFor = await dayFor(server.store, id).catch(() => null);
  if (figuresFor === null) return;
  expect(await kept(id, figuresFor)).toEqual(await freshNow(id, figuresFor));
}

async function ask(field: GraphQLField<unknown, unknown>, scope: string): Promise<void> {
  const { source, variableValues } = callOf(field, scope, "A.restorer");
  const contextValue = new Context(server.store, viewerOf(marked.people["A.admin"]!));
  await graphql({ schema, source, variableValues, contextValue });
}

const revisions = async () =>
  JSON.stringify(await server.store.restoration.findMany({ select: { id: true, planRevision: true } }));

describe("after each mutation of the API", () => {
  let changed = 0;
  test("there is something of every kind to be kept", async () => {
    for (const id of RESTORATIONS) {
      await agrees(id);
      const { figures } = known.get(id)!;
      expect(figures.curves.filter((curve) => curve.includes("decideBy"))).toHaveLength(1);
      for (const told of Object.values(figures)) expect(String(told)).not.toContain("Error");
      for (const told of [figures.atChance, figures.walkAways]) expect(told).toContain(`${id.slice(0, 2)}.ToOrder`);
    }
  });

  test.each(mutations.map((field) => [field.name, field] as const))("%s", async (_name, field) => {
    // So that there is something kept which may be out of date; else it was just asked for.
    if (known.size === 0) for (const id of RESTORATIONS) await agrees(id);
    const before = await revisions();
    for (const scope of ["A1", "A2"]) {
      await ask(field, scope);
      for (const id of RESTORATIONS) await agrees(id);
    }
    if ((await revisions()) !== before) changed += 1;
  });

  test("of which a good many changed something", () => {
    expect(changed).toBeGreaterThan(12);
  });
});

describe("work that is finished in one restoration counts in the odds of the others", () => {
  const change = async (source: string, variableValues: object): Promise<void> => {
    const contextValue = new Context(server.store, viewerOf(marked.people["A.admin"]!));
    const { data, errors } = await graphql({ schema, source, variableValues: { ...variableValues }, contextValue });
    expect(errors).toBeUndefined();
    expect(Object.values(data!)[0]).toMatchObject({ __typename: expect.stringMatching(/^(Account)?Saved$/) });
  };
  const operation = () => server.store.operation.findUniqueOrThrow({ where: { id: "A2.Finished" } });
  const CHANGES: [string, () => Promise<void>][] = [
    [
      "hours booked on it",
      () =>
        change("mutation ($input: HoursInput!) { bookHours(input: $input) { __typename } }", {
          input: {
            operation: "A2.Finished",
            clientKey: "more",
            workedOn: "2026-11-04",
            hours: 9,
            remainingHours: 0,
            afterDone: true,
          },
        }),
    ],
    [
      "an entry put right",
      () =>
        change("mutation ($input: HoursCorrectionInput!) { correctHours(input: $input) { __typename } }", {
          input: { entry: "A2.Finished.Hours", clientKey: "right", hours: 2 },
        }),
    ],
    [
      "its estimate",
      async () =>
        change("mutation ($input: OperationInput!) { saveOperation(input: $input) { __typename } }", {
          input: { id: "A2.Finished", revision: (await operation()).revision, hoursLikely: 30 },
        }),
    ],
    [
      "what it is called off",
      async () =>
        change("mutation ($input: OperationInput!) { saveOperation(input: $input) { __typename } }", {
          input: {
            id: "A2.Finished",
            revision: (await operation()).revision,
            state: "UNDER_WAY",
            finishedOn: null,
            remainingHours: 1,
          },
        }),
    ],
    [
      "what the workshop expects of estimates",
      async () => {
        const { revision } = await server.store.workshop.findUniqueOrThrow({ where: { id: "A.Workshop" } });
        await change("mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) { __typename } }", {
          input: { revision, shopSpread: 0.4, tradeSpread: 0 },
        });
      },
    ],
  ];
  test.each(CHANGES)("%s", async (_name, make) => {
    const here = RESTORATIONS[0]!;
    const figuresFor = await dayFor(server.store, here);
    await agrees(here);
    const before = (await freshNow(here, figuresFor)).odds;
    await make();
    for (const id of RESTORATIONS) await agrees(id);
    expect((await freshNow(here, figuresFor)).odds).not.toBe(before);
  });
});

describe("an order that is overdue counts in order-by dates as it does on the supplier's page", () => {
  test.each([
    ["on the day that is looked at", "2027-03-01"],
    ["today", null],
  ])("%s, whichever restoration it is for", async (_name, figuresFor) => {
    const { store } = server;
    const order = await store.order.findFirstOrThrow({ where: { id: "B1.Order" }, include: { quote: true } });
    const { supplierId } = order.quote;
    await store.order.update({
      where: { id: order.id },
      data: { placedOn: "2026-06-01", promisedOn: "2026-06-11", arrivedOn: null, state: "PLACED" },
    });
    await store.shopCalendar.update({ where: { workshopId: "B.Workshop" }, data: { figuresFor } });
    const elsewhere = await store.restoration.create({ data: { workshopId: "B.Workshop", machine: "Engine" } });
    const { data } = await server.query<{ supplier: { makerRecord: object } }>(
      `query ($restoration: ID!, $supplier: ID!) { supplier(id: $supplier) {
        makerRecord(restoration: $restoration) { overdue ownShare next { evenOdds fourInFive } } } }`,
      { restoration: elsewhere.id, supplier: supplierId },
      marked.people["B.admin"]!.cookie,
    );
    const day = await dayFor(store, elsewhere.id);
    const record = new MakerRecords(await loadRows(store, elsewhere.id), day).of(supplierId);
    const { evenOdds, fourInFive } = nextDelivery(record, 10);
    const { overdue, ownShare } = record;
    expect(overdue).toBe(1);
    expect(data!.supplier.makerRecord).toEqual({ overdue, ownShare, next: { evenOdds, fourInFive } });
    const { own } = makerRecord(await loadMakers(store, "B.Workshop"), supplierId, day);
    expect(record).toEqual(own);
  });
});
