/** Sums of the largest amounts that rows may hold are told whole wherever they are told: more than a 32-bit number has room for. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { MOST_MINOR } from "../../server/store/rules.ts";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { choose, type Shop, save, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const { restoration, assemble, foundry } = rows;
  for (const [at, name] of ["Crankcase", "Axle", "Radiator"].entries()) {
    const part = (await saved(server, "Part", { restoration, name })).id;
    await saved(server, "Need", { operation: assemble, part });
    const quote = { part, supplier: foundry, provenance: "REMADE", leadDays: 20 };
    const dear = (await saved(server, "Quote", { ...quote, unitPriceMinor: MOST_MINOR, carriageMinor: at })).id;
    await saved(server, "Quote", { ...quote, unitPriceMinor: MOST_MINOR - 1, leadDays: 90 });
    await choose(server, part, dear, 1);
  }
  const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: restoration } });
  await saved(server, "Restoration", { id: restoration, revision, capMinor: MOST_MINOR });
});
afterAll(() => server.close());

async function ask<T>(document: string, variables: Record<string, unknown> = {}): Promise<T> {
  const { data, errors } = await server.query<T>(document, { id: rows.restoration, ...variables });
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

/** Three at the most with their carriage, and the casing. */
const planned = 3 * MOST_MINOR + 3 + 64_000;

it("on Money and in the owner's report", async () => {
  const { restoration } = await ask<{
    restoration: { exposure: { total: { planned: number }; capLeft: { minor: number } } };
  }>(`query ($id: ID!) { restoration(id: $id) { exposure {
    total { low planned high } counted { planned } capLeft { minor decimals } labourExpected { minor }
    contingency { amount { minor } capLeft { minor } } byMonth { edges { node { key total { planned } } } }
    byCurrency { currency total { planned } owedThere { minor } } } } }`);
  expect(restoration.exposure.total.planned).toBe(planned);
  expect(restoration.exposure.capLeft.minor).toBe(MOST_MINOR - planned);
});

it("on Hold-ups, in the days that are kept, and in the files", async () => {
  const { holdUps } = await ask<{ holdUps: { toOrder: { totalCount: number } } }>(
    `query ($id: ID!) { holdUps(restoration: $id) { completion { date } toOrder { totalCount edges { node { quote { landed { total { minor } } } } } } } }`,
  );
  expect(holdUps.toOrder.totalCount).toBeGreaterThan(0);
  await keepDay(server.store, rows.restoration, async () => ({
    evenOdds: null,
    fourInFive: null,
    targetOdds: null,
    costMinor: planned,
  }));
  const { restoration } = await ask<{ restoration: { days: { edges: { node: { cost: { minor: number } } }[] } } }>(
    "query ($id: ID!) { restoration(id: $id) { days { edges { node { cost { minor } } } } } }",
  );
  expect(restoration.days.edges.map(({ node }) => node.cost.minor)).toEqual([planned]);
  const { status } = await fetch(`${server.address}/export/${rows.restoration}.zip`);
  expect(status).toBe(200);
  const ledger = await fetch(`${server.address}/ledger/${rows.restoration}.csv`);
  expect(ledger.status).toBe(200);
});

it("on Choices, where limits that are missed are told in as many minor units too", async () => {
  const { startChoices } = await ask<{ startChoices: { id: string } }>(
    "mutation ($id: ID!) { startChoices(restoration: $id) { id } }",
  );
  for await (const _ of jobs.changes(startChoices.id, await server.store.account.findFirstOrThrow()));
  const { job } = await ask<{
    job: {
      choices: {
        inForce: { cost: { minor: number } };
        answers: { earliestWithinCap: { misses: { limit: string; alone: number }[] } };
        plans: { edges: { node: { cost: { minor: number } } }[] };
      };
    };
  }>(
    `query ($job: ID!) { job(id: $job) { choices { inForce { cost { minor } counted { minor } }
      answers { earliestWithinCap { words misses { limit alone withOthers } } }
      plans(first: 50) { edges { node { date cost { minor } counted { minor } landed { minor } } } } } } }`,
    { job: startChoices.id },
  );
  const costs = job.choices.plans.edges.map(({ node }) => node.cost.minor);
  expect(job.choices.inForce.cost.minor).toBe(planned);
  const least = 3 * (MOST_MINOR - 1) + 64_000;
  expect([Math.max(...costs), Math.min(...costs)]).toEqual([planned, least]);
  expect(job.choices.answers.earliestWithinCap.misses).toMatchObject([{ limit: "COST", alone: least - MOST_MINOR }]);
});

it("while one amount that is too large is a fault of its field", async () => {
  const quote = { part: rows.casing, supplier: rows.foundry, provenance: "REMADE", leadDays: 1 };
  expect(await save(server, "Quote", { ...quote, unitPriceMinor: MOST_MINOR + 1 })).toMatchObject({
    __typename: "InvalidInput",
    faults: [{ code: "OUT_OF_RANGE", field: "unitPriceMinor" }],
  });
});
