/** Dates by their odds of the plans to choose from: from the runs of the odds of the plan in force, drawn for those that are looked at. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const quote = { part: rows.casing, supplier: rows.foundry, provenance: "REMADE" };
  const leads = { leadLeast: 3, leadLikely: 5, leadMost: 60 };
  await saved(server, "Quote", { ...quote, unitPriceMinor: 91_000, leadDays: 5, ...leads });
  await saved(server, "Quote", { ...quote, unitPriceMinor: 1_000, leadDays: 80 });
});
afterAll(() => server.close());

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

async function finished(id: string): Promise<void> {
  const owner = await server.store.account.findFirstOrThrow();
  for await (const _ of jobs.changes(id, owner));
}

interface Plan {
  number: number;
  date: string;
  odds: { evenOdds: string; fourInFive: string } | null;
  differences: { totalCount: number };
}

async function choices(): Promise<string> {
  const { startChoices } = await ask<{ startChoices: { id: string } }>(
    "mutation ($id: ID!) { startChoices(restoration: $id) { id } }",
    { id: rows.restoration },
  );
  await finished(startChoices.id);
  return startChoices.id;
}
const plansOf = async (job: string): Promise<Plan[]> =>
  (
    await ask<{ job: { choices: { plans: { edges: { node: Plan }[] } } } }>(
      `query ($id: ID!) { job(id: $id) { choices { plans(first: 50) { edges { node {
        number date odds { evenOdds fourInFive } differences { totalCount } } } } } } }`,
      { id: job },
    )
  ).job.choices.plans.edges.map(({ node }) => node);
const inForceOf = async (job: string): Promise<Plan["odds"]> =>
  (
    await ask<{ job: { choices: { inForce: Pick<Plan, "odds"> } } }>(
      "query ($id: ID!) { job(id: $id) { choices { inForce { odds { evenOdds fourInFive } } } } }",
      { id: job },
    )
  ).job.choices.inForce.odds;
const draw = async (job: string, plans: number[]): Promise<string> => {
  const { startPlanOdds } = await ask<{ startPlanOdds: { id: string } }>(
    "mutation ($job: ID!, $plans: [Int!]!) { startPlanOdds(job: $job, plans: $plans) { id } }",
    { job, plans },
  );
  await finished(startPlanOdds.id);
  return (
    await ask<{ job: { state: string } }>("query ($id: ID!) { job(id: $id) { state } }", { id: startPlanOdds.id })
  ).job.state;
};
const onHoldUps = async () =>
  (
    await ask<{ odds: { evenOdds: string; fourInFive: string } }>(
      "query ($id: ID!) { odds(restoration: $id) { evenOdds fourInFive } }",
      { id: rows.restoration },
    )
  ).odds;

describe("the 4-in-5 date of a plan", () => {
  test("is drawn for the plans that are asked for, and is the date of Hold-ups once the plan is taken up", async () => {
    const job = await choices();
    const before = await plansOf(job);
    expect(before.length).toBeGreaterThan(1);
    expect(before.map(({ odds }) => odds)).toEqual(before.map(() => null));
    expect(await inForceOf(job)).toBeNull();
    expect(await draw(job, [1])).toBe("DONE");
    // The plan in force is drawn first, and its date is that of Hold-ups.
    expect(await inForceOf(job)).toEqual(await onHoldUps());
    expect((await plansOf(job)).map(({ odds }) => odds === null)).toEqual(before.map((_, i) => i > 0));
    expect(
      await draw(
        job,
        before.map(({ number }) => number),
      ),
    ).toBe("DONE");
    const drawn = await plansOf(job);
    // The quick one may take long, so that its date is later the surer it is to be.
    expect(drawn[0]!.odds!.fourInFive > drawn[0]!.date).toBe(true);
    const other = drawn.find(({ differences }) => differences.totalCount > 0)!;
    await call(server, "takePlan", "$job: ID!, $plan: Int!", { job, plan: other.number });
    expect(await onHoldUps()).toEqual(other.odds);
    // What is in force now is a plan of the next choice, and shows the very same.
    const next = await choices();
    const inForce = (await plansOf(next)).find(({ differences }) => differences.totalCount === 0)!;
    await draw(next, [inForce.number]);
    expect((await plansOf(next)).find(({ number }) => number === inForce.number)!.odds).toEqual(await onHoldUps());
  });

  test("is not drawn of a restoration that has changed since, nor for plans that there are not", async () => {
    const job = await choices();
    const { errors } = await server.query("mutation ($job: ID!) { startPlanOdds(job: $job, plans: [999]) { id } }", {
      job,
    });
    expect(errors?.[0]?.message).toContain("There is no plan 999");
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", { id: rows.restoration, revision, targetName: "A rally" });
    expect(await draw(job, [1])).toBe("FAILED");
  });
});
