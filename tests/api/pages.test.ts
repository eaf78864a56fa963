import { graphql } from "graphql";
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from "vitest";
import { viewerOf } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import type { Store } from "../../server/store/client.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { type Shop, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
  await server.store.exchangeRate.createMany({
    data: ["GBP", "CHF"].map((counter) => ({ workshopId, date: "2027-01-01", base: "EUR", counter, rate: "0.9" })),
  });
  await server.store.judgingSection.create({
    data: { restorationId: rows.restoration, name: "engine", maximum: 60 },
  });
});
afterAll(() => server.close());

/** Adds parts, each with a quote, that one operation waits for. */
async function addParts(count: number, from: number): Promise<void> {
  const { store } = server;
  const restorationId = rows.restoration;
  const numbers = Array.from({ length: count }, (_, i) => from + i);
  await store.part.createMany({
    data: numbers.map((n) => ({ id: `part${n}`, restorationId, code: `X${n}`, name: `Part ${n}`, group: "engine" })),
  });
  await store.need.createMany({
    data: numbers.map((n) => ({ restorationId, operationId: rows.assemble, partId: `part${n}` })),
  });
  await store.quote.createMany({
    data: numbers.map((n) => ({
      id: `quote${n}`,
      restorationId,
      partId: `part${n}`,
      supplierId: rows.foundry,
      code: `X${n}`,
      provenance: "REMADE" as const,
      unitPriceMinor: 100,
      currency: "CHF",
      leadDays: 10 + n,
    })),
  });
  await store.knockOn.createMany({
    data: numbers.map((n) => ({ quoteId: `quote${n}`, title: "Adapter", currency: "EUR", priceMinor: n })),
  });
  await store.statedDimension.createMany({
    data: numbers.map((n) => ({ quoteId: `quote${n}`, dimension: "Bore", value: n })),
  });
  await store.specificationRow.createMany({
    data: numbers.map((n) => ({ partId: `part${n}`, dimension: "Bore", nominal: 20, nature: "INSIDE" as const })),
  });
  await store.ruledOut.createMany({
    data: numbers.map((n) => ({ partId: `part${n}`, provenance: "LATER_SUBSTITUTE" as const })),
  });
  await store.restoration.update({ where: { id: restorationId }, data: { planRevision: { increment: 1 } } });
}

interface Listed {
  restoration: {
    parts: {
      totalCount: number;
      pageInfo: { startCursor: string; endCursor: string; hasNextPage: boolean; hasPreviousPage: boolean };
      edges: { node: { code: string } }[];
    };
  };
}

async function parts(args: string): Promise<Listed["restoration"]["parts"]> {
  const { data, errors } = await server.query<Listed>(
    `query ($id: ID!) { restoration(id: $id) { parts(${args}) {
      totalCount pageInfo { startCursor endCursor hasNextPage hasPreviousPage } edges { node { code } } } } }`,
    { id: rows.restoration },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data.restoration.parts;
}

const codes = (page: Listed["restoration"]["parts"]) => page.edges.map((edge) => edge.node.code);

const SCREENS = {
  ladder: `query ($id: ID!) { holdUps(restoration: $id) {
    completion { dateWithOpenInHand } restoration { machine }
    ladder(first: 50) { totalCount edges { node {
      code completionDate waitingHours chain { code operation { code trade } }
      part { code outlook { state } needs { operation { code } } } quote { code unitPrice { minor } arrivalDate supplier { name } }
      order { code paid { minor } } snag { code } remedy { code } } } }
    toOrder(first: 50) { edges { node { part { code revision } quote { supplier { name } } } } }
    freeToStart(first: 50) { edges { node { operation { code title } } } }
    chase(first: 50) { edges { node { promisedOn supplier { name } order { code } } } } } }`,
  parts: `query ($id: ID!) { restoration(id: $id) {
    all: parts(first: 1) { totalCount } open: parts(first: 1, state: [NO_SOURCE, UNDECIDED]) { totalCount }
    parts(first: 50, sort: ORDER_BY) { totalCount edges { node {
      code outlook { state orderBy } estimate { minor } quotes { code chosen expired priceBreaks { unitPrice { minor } } supplier { name } }
      orders { daysLate } inspections { what } references { number } } } } } }`,
  weighing: `query ($id: ID!) { restoration(id: $id) {
    pointsLost { total bySection { section lost cap } floors { award by } }
    parts(first: 50) { edges { node { code kept visible ruledOut judgingSection { name } ownJudgingSection { name } finds { what }
      specification { nature }
      quotes { code pointsLost ruledOut priceBreaks { quantity } knockOns { title price { minor } } statedDimensions { value }
        landed { total { minor } rateDate problem lines { kind amount { minor } } } fit { verdict rows { words } }
        makerRecord { orders averageDaysLate } supplier { name makerRecord { onTime } } } } } }
    operations(first: 50) { edges { node { code chosenWay { code } ways { code chosen supplier { name } } } } } } }`,
  work: `query ($id: ID!) { restoration(id: $id) { trades groups
    operations(first: 50) { edges { node {
      code schedule { earlyStartDate waitsForOpen operation { id } } needs { part { code outlook { state } } }
      linksBefore { before { code } } linksAfter { after { code } } snags { code remedies { chosen } } } } }
    links(first: 50) { edges { node { before { code } after { code } } } } } }`,
};

/** Calls of Prisma that one document makes, with the plan computed already. */
async function calls(document: string): Promise<string[]> {
  const made: string[] = [];
  const counted = server.store.$extends({
    query: {
      $allOperations({ model, operation, args, query }) {
        made.push(`${model}.${operation}`);
        return query(args);
      },
    },
  }) as unknown as Store;
  const viewer = await viewerOf(server.store);
  const run = async () => {
    made.length = 0;
    const { errors } = await graphql({
      schema,
      source: document,
      contextValue: new Context(counted, viewer),
      variableValues: { id: rows.restoration },
    });
    expect(errors).toBeUndefined();
  };
  await run();
  await run();
  return made.sort();
}

describe("queries", () => {
  // Makers' records are read anew each quarter of an hour: within a test it stays the same one.
  afterEach(() => vi.useRealTimers());
  test.each(Object.entries(SCREENS))("the %s reads as often for fifty rows as for few", async (name, document) => {
    vi.useFakeTimers({ toFake: ["Date"] });
    const from = Object.keys(SCREENS).indexOf(name) * 100;
    await addParts(3, from);
    const few = await calls(document);
    await addParts(60, from + 10);
    const many = await calls(document);
    expect(many).toEqual(few);
    expect(many.length).toBeLessThan(25);
  });
});

describe("pages", () => {
  test("are read forwards and backwards over the same rows, with the total", async () => {
    const all = codes(await parts("first: 500"));
    const first = await parts("first: 2");
    expect(codes(first)).toEqual(all.slice(0, 2));
    expect(first).toMatchObject({ totalCount: all.length, pageInfo: { hasNextPage: true, hasPreviousPage: false } });
    const second = await parts(`first: 2, after: "${first.pageInfo.endCursor}"`);
    expect(codes(second)).toEqual(all.slice(2, 4));
    expect(second.pageInfo).toMatchObject({ hasNextPage: true, hasPreviousPage: true });
    const back = await parts(`last: 2, before: "${second.pageInfo.startCursor}"`);
    expect(codes(back)).toEqual(all.slice(0, 2));
    const end = await parts("last: 3");
    expect(codes(end)).toEqual(all.slice(-3));
    expect(end.pageInfo).toMatchObject({ hasNextPage: false, hasPreviousPage: true });
    expect((await parts("descending: false")).edges).toHaveLength(50);
  });

  test("the same for rows that the store orders", async () => {
    const read = async (args: string) => {
      const { data } = await server.query<{ restoration: { operations: Listed["restoration"]["parts"] } }>(
        `query ($id: ID!) { restoration(id: $id) { operations(${args}) {
          totalCount pageInfo { startCursor endCursor hasNextPage hasPreviousPage } edges { node { code } } } } }`,
        { id: rows.restoration },
      );
      if (!data) throw new Error("There is no answer.");
      return data.restoration.operations;
    };
    const first = await read("first: 2");
    expect(codes(first)).toEqual(["CHA-1", "ENG-1"]);
    const rest = await read(`after: "${first.pageInfo.endCursor}"`);
    expect(codes(rest)).toEqual(["ENG-2"]);
    expect(rest).toMatchObject({ totalCount: 3, pageInfo: { hasNextPage: false, hasPreviousPage: true } });
    expect(codes(await read(`last: 1, before: "${rest.pageInfo.startCursor}"`))).toEqual(["ENG-1"]);
    expect(codes(await read(`search: "BRAKE"`))).toEqual(["CHA-1"]);
    expect(codes(await read(`trade: "engine", state: NOT_STARTED`))).toEqual(["ENG-1", "ENG-2"]);
  });

  test("a cursor from nowhere is an error that names the argument", async () => {
    const { errors } = await server.query(`{ restorations(after: "rubbish") { totalCount } }`);
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "after" });
  });

  test("parts are ordered by float, the scarcest first, those without the figure last", async () => {
    const { data } = await server.query<{
      restoration: { parts: { edges: { node: { outlook: { floatDays: number | null } } }[] } };
    }>(
      "query ($id: ID!) { restoration(id: $id) { parts(first: 500, sort: FLOAT) { edges { node { outlook { floatDays } } } } } }",
      { id: rows.restoration },
    );
    const floats = data?.restoration.parts.edges.map((edge) => edge.node.outlook.floatDays) ?? [];
    const known = floats.filter((days) => days !== null);
    expect(known.length).toBeGreaterThan(100);
    expect(known).toEqual([...known].sort((a, b) => a - b));
    expect(floats.slice(known.length).every((days) => days === null)).toBe(true);
  });
});
