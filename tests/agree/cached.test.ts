/** Whatever is changed, what is kept of every restoration of the workshop is what would be worked out anew. */
import { type GraphQLField, graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { Context } from "../../server/api/context.ts";
import { schema } from "../../server/api/schema.ts";
import { planOf } from "../../server/plan/cache.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { dayFor } from "../../server/plan/day.ts";
import { Money, moneyOf } from "../../server/plan/exposureKept.ts";
import { loadExposureRows } from "../../server/plan/exposureLoad.ts";
import { loadRows } from "../../server/plan/load.ts";
import { loadMakers, makerRecord } from "../../server/plan/makerRecord.ts";
import type { Plan } from "../../server/plan/plan.ts";
import { callOf, mutations } from "../support/everyChange.ts";
import { type Marked, markedStore, viewerOf } from "../support/marked.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let marked: Marked;
beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      marked = await markedStore(store);
    },
  });
});
afterAll(() => server.close());

const CHANCE = 0.8;
const RESTORATIONS = ["A1.Restoration", "A2.Restoration"];

/** All that a plan says, apart from what it works out when asked. */
const said = (plan: Plan) =>
  JSON.stringify([
    plan.completion,
    plan.ladder,
    plan.orderNow,
    plan.declined,
    plan.chase,
    plan.freeWork,
    [...plan.operations],
    [...plan.parts],
    [...plan.quoteInForce],
    [...plan.remedyInForce],
  ]);
const told = (work: () => string) => {
  try {
    return work();
  } catch (error) {
    return String(error);
  }
};

async function agrees(id: string): Promise<void> {
  const { store } = server;
  const dataDate = await dayFor(store, id).catch(() => null);
  if (dataDate === null) return;
  for (const confidence of [null, CHANCE]) {
    const kept = await planOf(store, id, { confidence }).then(said, String);
    const rows = await loadRows(store, id);
    expect(kept).toBe(told(() => said(computePlan(rows, { dataDate, confidence }))));
  }
  const exposure = (money: Money) => JSON.stringify([money.exposure, money.consentDue]);
  const keptMoney = await moneyOf(store, id).then(exposure, String);
  const fresh = await loadExposureRows(store, id, dataDate);
  expect(keptMoney).toBe(told(() => exposure(new Money(fresh))));
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
  test.each(mutations.map((field) => [field.name, field] as const))("%s", async (_name, field) => {
    for (const id of RESTORATIONS) await agrees(id);
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

/** The maker's record by which a restoration's order-by dates go, and the one of the supplier's page. */
test("an order that is overdue counts in order-by dates as it does on the supplier's page", async () => {
  const { store } = server;
  const restorationId = (await store.restoration.findFirstOrThrow({ where: { id: { startsWith: "B1" } } })).id;
  const where = { id: restorationId };
  const { workshopId } = await store.restoration.findUniqueOrThrow({ where });
  await store.restoration.updateMany({ where: { workshopId }, data: { dataDate: "2027-03-01" } });
  await store.order.updateMany({
    where: { restorationId },
    data: { placedOn: "2026-12-01", promisedOn: "2026-12-31", arrivedOn: null, state: "PLACED" },
  });
  await store.restoration.update({ where, data: { planRevision: { increment: 1 } } });
  const order = await store.order.findFirstOrThrow({ where: { restorationId }, include: { quote: true } });
  const { MakerRecords } = await import("../../server/plan/makerWait.ts");
  const record = new MakerRecords(await loadRows(store, restorationId), "2027-03-01").of(order.quote.supplierId);
  const page = makerRecord(await loadMakers(store, workshopId), order.quote.supplierId).own;
  expect(record).toEqual(page);
  expect(record).not.toEqual(makerRecord(await loadMakers(store, workshopId), "another").own);
});
