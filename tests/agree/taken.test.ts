/** A plan to choose from, and what Hold-ups and Money say once it is taken: the same day and the same sums. */
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { dayFor, lastOf } from "../../server/plan/days/day.ts";
import { type Workshops, workshops } from "./workshops.ts";

let all: Workshops;
beforeAll(async () => {
  all = await workshops(6);
});
afterAll(() => all.server.close());

interface Minor {
  minor: number;
}
interface Found {
  job: {
    state: string;
    problem: { message: string } | null;
    choices: {
      daysToBound: number | null;
      inForce: { date: string; cost: Minor | null };
      plans: { edges: { node: { number: number; date: string; cost: Minor; counted: Minor; decides: string[] } }[] };
    } | null;
  };
}
const FOUND = `state problem { message } choices { daysToBound inForce { date cost { minor } }
  plans(first: 500) { edges { node { number date cost { minor } counted { minor } decides } } } }`;

interface Said {
  holdUps: { completion: { dateWithOpenInHand: string } };
  restoration: { exposure: { total: { planned: number } } };
}
const SAID = `query ($id: ID!) {
  holdUps(restoration: $id) { completion { dateWithOpenInHand } }
  restoration(id: $id) { exposure { total { planned } } }
}`;

async function plansOf(id: string): Promise<{ job: string; choices: NonNullable<Found["job"]["choices"]> }> {
  const start = "mutation ($id: ID!) { startChoices(restoration: $id) { id } }";
  const { startChoices } = await all.asked<{ startChoices: { id: string } }>(id, start);
  const job = startChoices.id;
  const read = () => all.asked<Found>(id, `query { job(id: ${JSON.stringify(job)}) { ${FOUND} } }`);
  await vi.waitFor(async () => expect((await read()).job).toMatchObject({ state: "DONE", problem: null }), {
    timeout: 20_000,
    interval: 50,
  });
  return { job, choices: (await read()).job.choices! };
}

/** The first, the last and some between. */
const some = <T>(of: readonly T[], count: number): T[] =>
  of.filter((_, i) => i === of.length - 1 || i % Math.max(1, Math.ceil(of.length / count)) === 0);

/** Every quote brings some hours of work to do. */
async function bringsWork(id: string): Promise<void> {
  const quotes = await all.server.store.quote.findMany({ where: { restorationId: id }, orderBy: { code: "asc" } });
  for (const [i, quote] of quotes.entries())
    await all.server.store.quote.update({ where: { id: quote.id }, data: { preparationHours: 3 + 7 * (i % 5) } });
  await all.server.store.restoration.update({ where: { id }, data: { planRevision: { increment: 1 } } });
}

/** Beside each quote one at half the price that takes sixty days more. */
async function offersSlower(id: string): Promise<void> {
  const quotes = await all.server.store.quote.findMany({ where: { restorationId: id, batchId: null } });
  for (const { id: _, code, codeOrder: __, ...quote } of quotes)
    await all.server.store.quote.create({
      data: {
        ...quote,
        code: `${code} slow`,
        unitPriceMinor: Math.floor(quote.unitPriceMinor / 2),
        leadDays: quote.leadDays + 60,
        spareId: null,
      },
    });
}

async function takesSome(id: string, count: number): Promise<number> {
  let compared = 0;
  const { choices } = await plansOf(id);
  for (const { number, date, cost, counted } of some(
    choices.plans.edges.map(({ node }) => node),
    count,
  )) {
    // A change that is undone makes the plans stale: the same again.
    const again = await plansOf(id);
    expect(again.choices.plans.edges[number - 1]?.node).toMatchObject({ date, cost, counted });
    const before = await all.asked<Said>(id, SAID);
    const take = `mutation { takePlan(job: ${JSON.stringify(again.job)}, plan: ${number}) {
      __typename ... on Saved { change { id } } ... on Refused { code } } }`;
    const { takePlan } = await all.asked<{ takePlan: { __typename: string; change?: { id: string }; code?: string } }>(
      id,
      take,
    );
    if (takePlan.code === "NOT_ALLOWED") continue;
    expect(takePlan.__typename).toBe("Saved");
    const after = await all.asked<Said>(id, SAID);
    const end = after.holdUps.completion.dateWithOpenInHand;
    const day = await dayFor(all.server.store, id);
    // Where as good as no work is left all is done before the day of the figures, and no plan ends before that day.
    expect(lastOf(end, day)).toBe(date);
    const { inForce } = again.choices;
    if (inForce.cost !== null) {
      const sums = ({ restoration: { exposure } }: Said) => exposure.total.planned;
      expect(sums(after) - sums(before)).toBe(cost.minor - inForce.cost.minor);
    }
    compared += 1;
    await all.asked(id, `mutation { undo(change: ${JSON.stringify(takePlan.change!.id)}) { __typename } }`);
  }
  return compared;
}

describe("a plan that is taken", () => {
  test("ends on the day and costs the sum that the sheet said, in the demo", async () => {
    const [demo] = all.ids;
    expect(await takesSome(demo!, 3)).toBeGreaterThan(2);
    // Its hands bind: no plan is promised that free hands alone could keep.
    expect((await plansOf(demo!)).choices.daysToBound).not.toBeNull();
  }, 120_000);

  test("does so where every part brings work to do", async () => {
    const [demo] = all.ids;
    await bringsWork(demo!);
    expect(await takesSome(demo!, 2)).toBeGreaterThan(1);
  }, 120_000);

  test("does so in restorations of any kind", async () => {
    let compared = 0;
    for (const id of all.ids.slice(1)) {
      await offersSlower(id);
      await bringsWork(id);
      try {
        compared += await takesSome(id, 4);
      } catch (error) {
        // Some are of sums past what money can be, which is said so.
        if (!/Int cannot represent/.test(String(error))) throw error;
      }
    }
    expect(compared).toBeGreaterThan(4);
  }, 240_000);
});
