/** The check line of the odds, through the API: the same runs with the order of work kept and without. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { choose, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

interface Answer {
  odds: {
    evenOdds: string;
    policies: {
      runs: number;
      evenOddsDays: number;
      fourInFiveDays: number;
      differ: boolean;
      differDays: number;
    } | null;
  };
}

async function ask(): Promise<Answer["odds"]> {
  const { data, errors } = await server.query<Answer>(
    `query ($id: ID!) {
      odds(restoration: $id) { evenOdds policies { runs evenOddsDays fourInFiveDays differ differDays } }
    }`,
    { id: rows.restoration },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data.odds;
}

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  await server.store.workshop.updateMany({ data: { shopSpread: 0, tradeSpread: 0 } });
});
afterAll(() => server.close());

describe("the check line", () => {
  it("is not there where there is no order of work", async () => {
    expect((await ask()).policies).toBeNull();
  });

  it("says that the two agree where one hand has all that it needs", async () => {
    await saved(server, "Hand", { name: "Ned", trades: ["engine", "chassis"] });
    expect((await ask()).policies).toMatchObject({ evenOddsDays: 0, fourInFiveDays: 0, differ: false, differDays: 7 });
  });

  it("warns where the order has its hand wait for a part, with ten days of other work to do", async () => {
    // Promised for tomorrow, and more likely to take months; what it is for is to be done before the painting.
    const { revision } = await saved(server, "Quote", {
      part: rows.casing,
      supplier: rows.foundry,
      provenance: "REMADE",
      unitPriceMinor: 64_000,
      leadDays: 1,
      leadLeast: 1,
      leadLikely: 1,
      leadMost: 400,
    }).then(async ({ id }) => {
      const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
      return choose(server, rows.casing, id, part.revision);
    });
    expect(revision).toBeGreaterThan(0);
    await saved(server, "Operation", {
      restoration: rows.restoration,
      title: "Paint the chassis",
      hoursLikely: 76,
      trade: "chassis",
    });
    const assemble = await server.store.operation.findUniqueOrThrow({ where: { id: rows.assemble } });
    await saved(server, "Operation", { id: assemble.id, revision: assemble.revision, first: true });
    const { policies } = await ask();
    // 80 hours of brake and paint are ten days of work, two weeks; by where week-ends lie a few days more or less.
    expect(policies!.evenOddsDays).toBeLessThanOrEqual(-12);
    expect(policies!.evenOddsDays).toBeGreaterThanOrEqual(-16);
    expect(policies).toMatchObject({ differ: true, runs: 1024 });
    expect((await ask()).policies).toEqual(policies);
  });
});
