/** Plans to choose from as a job, taken up and taken back; walk-away prices for the field sheet. */
import { once } from "node:events";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, otherShop, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let quick: string;
let snag: string;
let cure: string;
let comesIn: string;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const quote = { part: rows.casing, supplier: rows.foundry, provenance: "LATER_SUBSTITUTE", pointsByHand: 2 };
  quick = (await saved(server, "Quote", { ...quote, unitPriceMinor: 91_000, leadDays: 5 })).id;
  snag = (await saved(server, "Snag", { operation: rows.strip, title: "Stud sheared in the case" })).id;
  cure = (await saved(server, "Remedy", { snag, title: "Drill and sleeve", hours: 40, priceMinor: 500 })).id;
  await saved(server, "Remedy", { snag, title: "Spark it out", hours: 2, priceMinor: 9_000 });
  const way = { operation: rows.assemble, title: "The gearbox man comes in", hours: 4, priceMinor: 30_000 };
  comesIn = (await saved(server, "OperationWay", way)).id;
});
afterAll(() => server.close());

interface JobAnswer {
  id: string;
  state: string;
  choices: Choices | null;
}
interface Choices {
  stale: boolean;
  planRevision: number;
  inForce: { date: string; cost: { minor: number } | null; pointsLost: number };
  plans: { totalCount: number; edges: { node: Plan }[] };
  answers: Record<string, { plan: { id: string } | null; words: string; misses: { limit: string; alone: number }[] }>;
}
interface Plan {
  id: string;
  number: number;
  date: string;
  cost: { minor: number; currency: string };
  pointsLost: number;
  differences: { edges: { node: { kind: string; code: string; to: { code: string | null } } }[] };
}

const JOB = `id state choices { stale planRevision inForce { date cost { minor } pointsLost }
  plans(first: 100) { totalCount edges { node { id number date cost { minor currency } pointsLost
    differences { edges { node { kind code title part { id } snag { id } operation { id } costChange { minor }
      from { words cost { hours } } to { code words quote { id } remedy { id } wayId } } } } } } }
  answers { cheapestByTarget { plan { id } words misses { limit alone } } earliestWithinCap { plan { id } words misses { limit alone } }
    mostPointsWithinBoth { plan { id } words misses { limit alone withOthers words } } } }`;

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

const START = `mutation ($restoration: ID!, $figuresFor: Date) { startChoices(restoration: $restoration, figuresFor: $figuresFor) { id state } }`;
const start = async (figuresFor?: string): Promise<string> =>
  (await ask<{ startChoices: JobAnswer }>(START, { restoration: rows.restoration, figuresFor })).startChoices.id;

async function finished(id: string): Promise<JobAnswer> {
  const owner = await server.store.account.findFirstOrThrow();
  for await (const _ of jobs.changes(id, owner));
  return (await ask<{ job: JobAnswer }>(`query ($id: ID!) { job(id: $id) { ${JOB} } }`, { id })).job;
}

const apply = (job: string, plan: number) => call(server, "takePlan", "$job: ID!, $plan: Int!", { job, plan });

const chosen = async () => [
  await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } }),
  await server.store.snag.findUniqueOrThrow({ where: { id: snag } }),
  await server.store.operation.findUniqueOrThrow({ where: { id: rows.assemble } }),
];
const decisions = async () => {
  const [part, found, operation] = await chosen();
  const of = (row: object | undefined, field: string) => (row as Record<string, unknown>)[field];
  return [of(part, "chosenQuoteId"), of(found, "chosenRemedyId"), of(operation, "chosenWayId")];
};

describe("plans to choose from", () => {
  test("come as a job, each with its number, date, cost, points and what differs from the plan in force", async () => {
    const job = await finished(await start());
    expect(job.state).toBe("DONE");
    const { plans, stale, answers } = job.choices!;
    expect(stale).toBe(false);
    expect(plans.totalCount).toBeGreaterThan(2);
    const all = plans.edges.map(({ node }) => node);
    expect(all.map(({ id }) => id)).toEqual(all.map(({ number }) => `${job.id}:${number}`));
    expect(all.map(({ date }) => date)).toEqual(all.map(({ date }) => date).sort());
    for (const a of all)
      for (const b of all)
        if (a !== b)
          expect(a.date <= b.date && a.cost.minor <= b.cost.minor && a.pointsLost <= b.pointsLost).toBe(false);
    const cheapest = all.find(({ id }) => id === answers["cheapestByTarget"]!.plan?.id)!;
    expect(cheapest.cost).toEqual({ minor: 64_000 + 500, currency: "GBP" });
    expect(cheapest.pointsLost).toBe(0);
  });

  test("of the same revision and day of the figures are not worked out twice; of another date they are", async () => {
    const first = await start();
    expect(await start()).toBe(first);
    const later = await start("2027-02-01");
    expect(later).not.toBe(first);
    expect((await finished(later)).state).toBe("DONE");
    expect(await start()).toBe(first);
  });

  test("a plan is taken up in one change, and one undo restores every row", async () => {
    const before = await decisions();
    expect(before).toEqual([null, null, null]);
    const job = await finished(await start());
    // The plan in which all three differ: foundry casing, drilled stud, the gearbox man.
    const plan = job.choices!.plans.edges.map(({ node }) => node).find((one) => one.differences.edges.length === 3)!;
    const result = await apply(job.id, plan.number);
    expect(result).toMatchObject({ __typename: "Saved", id: rows.restoration });
    expect(result.change.summary).toMatch(/^Took plan \d+, 3 changed: .*Gearbox casing/);
    expect(await decisions()).toEqual([rows.quote, cure, comesIn]);
    const taken = (await finished(await start())).choices!;
    expect(taken.inForce).toEqual({ date: plan.date, cost: { minor: plan.cost.minor }, pointsLost: plan.pointsLost });
    expect(await undo(server, result.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await decisions()).toEqual(before);
  });

  test("the plan in force is taken up while something only stands in, and decides it", async () => {
    const job = await finished(await start());
    const inForce = job.choices!.plans.edges.map(({ node }) => node).find((one) => one.differences.edges.length === 0)!;
    const { job: read } = await ask<{ job: { choices: { plan: { decides: string[] } } } }>(
      "query ($id: ID!, $n: Int!) { job(id: $id) { choices { plan(number: $n) { decides } } } }",
      { id: job.id, n: inForce.number },
    );
    expect(read.choices.plan.decides).toEqual(["Gearbox casing", "Stud sheared in the case"]);
    const result = await apply(job.id, inForce.number);
    expect(result.change.summary).toMatch(/^Took plan \d+, 2 decided: Gearbox casing and Stud/);
    expect(result).toMatchObject({ __typename: "Saved" });
    const [casing, stud, assembly] = await decisions();
    expect([casing, typeof stud, assembly]).toEqual([quick, "string", null]);
    const again = await finished(await start());
    expect(again.choices!.inForce).toEqual(job.choices!.inForce);
    const same = again.choices!.plans.edges.map(({ node }) => node).find((one) => one.differences.edges.length === 0)!;
    expect(await apply(again.id, same.number)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
    expect(await undo(server, result.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await decisions()).toEqual([null, null, null]);
  });

  test("plans of a restoration that has changed since are stale, and refused", async () => {
    const job = await finished(await start());
    const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    await choose(server, rows.casing, quick, part.revision);
    expect((await finished(job.id)).choices!.stale).toBe(true);
    const other = job.choices!.plans.edges[0]!.node.number;
    expect(await apply(job.id, other)).toMatchObject({ __typename: "Refused", code: "STALE" });
    expect((await decisions())[0]).toBe(quick);
    expect(await start()).not.toBe(job.id);
    await choose(server, rows.casing, null, part.revision + 1);
  });

  test("a number that no plan has is told, and so is a job without plans", async () => {
    const job = await finished(await start());
    for (const number of [0, -1, 1_000_000])
      expect(await apply(job.id, number)).toMatchObject({ __typename: "InvalidInput", faults: [{ field: "plan" }] });
    const idle = jobs.start("import", await server.store.account.findFirstOrThrow(), async () => null);
    expect(await apply(idle.id, 1)).toMatchObject({ __typename: "InvalidInput", faults: [{ field: "job" }] });
  });

  test("a job that is stopped gives no plans, and is begun anew when asked again", async () => {
    const begin = jobs.start.bind(jobs);
    // The work goes on once the stop has come, so that it cannot be done before.
    vi.spyOn(jobs, "start").mockImplementationOnce((kind, owner, work) =>
      begin(kind, owner, async (running) => {
        if (!running.signal.aborted) await once(running.signal, "abort");
        return work(running);
      }),
    );
    const id = await start("2027-03-01");
    await ask("mutation ($id: ID!) { stopJob(job: $id) { state } }", { id });
    expect(await finished(id)).toMatchObject({ state: "STOPPED", choices: null });
    const again = await start("2027-03-01");
    expect(again).not.toBe(id);
    expect((await finished(again)).state).toBe("DONE");
  });

  test("the cap and the target that fail are told in figures and words", async () => {
    const restoration = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", {
      id: rows.restoration,
      revision: restoration.revision,
      capMinor: 60_000,
      targetDate: "2027-01-05",
    });
    const { answers } = (await finished(await start())).choices!;
    expect(answers["earliestWithinCap"]).toMatchObject({ plan: null, misses: [{ limit: "COST", alone: 4_500 }] });
    expect(answers["earliestWithinCap"]!.words).toContain("£45.00 over");
    expect(answers["cheapestByTarget"]!.misses[0]!.alone).toBeGreaterThan(0);
    expect(answers["cheapestByTarget"]!.words).toMatch(/the earliest plan is \d+ days late/);
  });
});

describe("walk-away prices", () => {
  interface Priced {
    provenance: string;
    price: { minor: number } | null;
    words: string;
    daysSaved: number | null;
  }
  const PRICES = "provenance price { minor } words daysSaved pointsDifference";
  const prices = async (): Promise<Priced[]> =>
    (
      await ask<{ part: { walkAway: Priced[] } }>(`query ($id: ID!) { part(id: $id) { walkAway { ${PRICES} } } }`, {
        id: rows.casing,
      })
    ).part.walkAway;

  test("rise with what a day is worth, for each provenance that is not ruled out", async () => {
    const before = await prices();
    expect(before).toHaveLength(6);
    expect(before[0]).toMatchObject({ provenance: "ORIGINAL", price: { minor: 64_000 } });
    expect(before[0]!.words).toContain("No price is set on a day");
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", { id: rows.restoration, revision, pricePerDayMinor: 10_000 });
    const after = await prices();
    expect(after[0]!.price!.minor).toBeGreaterThan(64_000);
    const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    await saved(server, "Part", { id: rows.casing, revision: part.revision, ruledOut: ["LATER_SUBSTITUTE"] });
    expect((await prices()).map(({ provenance }) => provenance)).not.toContain("LATER_SUBSTITUTE");
  });

  test("of the field sheet stand for every outstanding part, and none for what is in hand", async () => {
    const magneto = await saved(server, "Part", { restoration: rows.restoration, name: "Magneto" });
    const { restoration } = await ask<{
      restoration: { walkAways: { edges: { node: { part: { id: string }; walkAway: Priced[] } }[] } };
    }>(
      `query ($id: ID!) { restoration(id: $id) { walkAways(first: 10) { edges { node { part { id } walkAway { ${PRICES} } } } } } }`,
      { id: rows.restoration },
    );
    const nodes = restoration.walkAways.edges.map(({ node }) => node);
    expect(nodes.map(({ part }) => part.id)).toEqual([rows.casing, magneto.id]);
    expect(nodes[1]!.walkAway[0]).toMatchObject({ price: null, daysSaved: null });
    expect(nodes[1]!.walkAway[0]!.words).toContain("No limit from the figures");
  });
});

describe("another workshop's", () => {
  test("restoration, job and parts are not found", async () => {
    const other = await otherShop(server.store);
    const workshop = await server.store.workshop.findFirstOrThrow({ where: { name: "Next door" } });
    const job = jobs.start("choices", { workshopId: workshop.id }, async () => null);
    const notFound = { errors: [{ extensions: { code: "NOT_FOUND" } }] };
    expect(await server.query(START, { restoration: other["restoration"] })).toMatchObject(notFound);
    expect(await server.query("query ($id: ID!) { job(id: $id) { id } }", { id: job.id })).toMatchObject(notFound);
    expect(
      await server.query("mutation ($id: ID!) { takePlan(job: $id, plan: 1) { __typename } }", { id: job.id }),
    ).toMatchObject(notFound);
    expect(
      await server.query("query ($id: ID!) { part(id: $id) { walkAway { words } } }", { id: other["part"] }),
    ).toMatchObject(notFound);
  });
});
