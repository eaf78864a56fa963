/** How sure the date is, through the API: from fixed waits the date as quoted, from estimates dates by their odds. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { otherShop, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  // Hours are certain: this workshop takes estimates as they stand.
  await server.store.workshop.updateMany({ data: { shopSpread: 0, tradeSpread: 0 } });
});
afterAll(() => server.close());

interface Answer {
  odds: {
    runs: number;
    condition: string | null;
    never: number;
    evenOdds: string | null;
    fourInFive: string | null;
    dateWith: string | null;
    onTarget: number | null;
    weeks: { from: string; to: string; share: number }[];
    holdUps: {
      edges: {
        node: {
          id: string;
          setsEnd: number;
          meanDays: number;
          evenOddsArrival: string | null;
          fourInFiveArrival: string | null;
          evenOddsCompletion: string | null;
          fourInFiveCompletion: string | null;
          part: { id: string } | null;
        };
      }[];
    };
  };
  holdUps: { completion: { date: string | null } };
}

async function ask(): Promise<Answer> {
  const { data, errors } = await server.query<Answer>(
    `query ($id: ID!) {
      odds(restoration: $id) {
        runs condition never evenOdds fourInFive dateWith(chance: 0.95) onTarget
        weeks { from to share }
        holdUps { edges { node { id setsEnd meanDays evenOddsArrival fourInFiveArrival evenOddsCompletion fourInFiveCompletion part { id } } } }
      }
      holdUps(restoration: $id) { completion { date } }
    }`,
    { id: rows.restoration },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data;
}

async function quote(patch: object): Promise<void> {
  const { revision } = await server.store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
  await saved(server, "Quote", { id: rows.quote, revision, ...patch });
}

describe("the odds of a restoration", () => {
  test("are certain, and the date as quoted, where every estimate is one figure", async () => {
    await quote({ leadDays: 60, leadLeast: 60, leadLikely: 60, leadMost: 60 });
    const { odds, holdUps } = await ask();
    expect([odds.evenOdds, odds.fourInFive, odds.dateWith]).toEqual(Array(3).fill(holdUps.completion.date));
    expect(odds).toMatchObject({ condition: null, never: 0, onTarget: 1 });
    expect(odds.holdUps.edges.map(({ node }) => node)).toMatchObject([
      { id: `part:${rows.casing}`, setsEnd: 1, part: { id: rows.casing }, evenOddsArrival: "2027-03-05" },
    ]);
  });

  test("spread with the wait: a later date for better odds, weeks that add up, and the same answer each time", async () => {
    await quote({ leadLeast: 40, leadLikely: 60, leadMost: 140 });
    const { odds } = await ask();
    const dates = [odds.evenOdds!, odds.fourInFive!, odds.dateWith!];
    expect(dates).toEqual(dates.toSorted());
    expect(new Set(dates).size).toBe(3);
    expect(odds.weeks.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
    // One hold-up and hours that are certain: its own end is the machine's.
    expect(odds.holdUps.edges[0]!.node).toMatchObject({
      evenOddsCompletion: odds.evenOdds,
      fourInFiveCompletion: odds.fourInFive,
    });
    expect(odds.holdUps.edges[0]!.node.fourInFiveArrival! > odds.holdUps.edges[0]!.node.evenOddsArrival!).toBe(true);
    const { restoration: id } = rows;
    const { revision, machine } = await server.store.restoration.findUniqueOrThrow({ where: { id } });
    await saved(server, "Restoration", { id, revision, machine: `${machine}, again` });
    expect((await ask()).odds).toEqual(odds);
  });

  test("take a maker's record where a quote has only its promise: a maker who is late moves the even-odds date back", async () => {
    await quote({ leadLeast: null, leadLikely: null, leadMost: null });
    const before = (await ask()).odds.evenOdds!;
    for (const code of ["A", "B", "C", "D", "E", "F"])
      await server.store.order.create({
        data: {
          restorationId: rows.restoration,
          partId: rows.drum,
          quoteId: rows.quote,
          code: `LATE-${code}`,
          state: "ACCEPTED",
          placedOn: "2026-06-01",
          promisedOn: "2026-07-01",
          arrivedOn: "2026-09-01",
          totalMinor: 1,
          currency: "GBP",
        },
      });
    await server.store.restoration.update({
      where: { id: rows.restoration },
      data: { planRevision: { increment: 1 } },
    });
    expect((await ask()).odds.evenOdds! > before).toBe(true);
  });

  test("count runs that never end, where the route may fail and nothing follows it", async () => {
    await server.store.quote.update({ where: { id: rows.quote }, data: { failureChance: 0.5 } });
    await server.store.restoration.update({
      where: { id: rows.restoration },
      data: { planRevision: { increment: 1 } },
    });
    const { odds } = await ask();
    expect(odds.never).toBeGreaterThan(0.45);
    expect(odds.never).toBeLessThan(0.55);
    expect(odds.fourInFive).toBeNull();
    await server.store.quote.update({ where: { id: rows.quote }, data: { failureChance: 0 } });
  });

  test("say on what they stand where a part has no source", async () => {
    await quote({ ruledOut: true });
    const { odds, holdUps } = await ask();
    expect(holdUps.completion.date).toBeNull();
    expect(odds.condition).toMatch(/^if .+ were in hand$/);
    await quote({ ruledOut: false });
  });

  test("of another workshop are not found, and a chance must be one", async () => {
    const { restoration } = await otherShop(server.store);
    const theirs = await server.query(`query ($id: ID!) { odds(restoration: $id) { runs } }`, { id: restoration });
    expect(theirs.errors?.[0]?.extensions).toMatchObject({ code: "NOT_FOUND" });
    const wrong = await server.query(`query ($id: ID!) { odds(restoration: $id) { dateWith(chance: 1) } }`, {
      id: rows.restoration,
    });
    expect(wrong.errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "chance" });
  });
});

test("a restoration in which nothing is entered has no odds", async () => {
  const { workshopId } = await server.store.restoration.findFirstOrThrow();
  const { id } = await server.store.restoration.create({
    data: { workshopId, machine: "Bare frame", currency: "GBP", targetDate: "2027-06-19" },
  });
  const { data, errors } = await server.query(
    "query ($id: ID!) { odds(restoration: $id) { evenOdds fourInFive onTarget weeks { share } } }",
    { id },
  );
  expect(errors).toBeUndefined();
  expect(data).toEqual({ odds: { evenOdds: null, fourInFive: null, onTarget: null, weeks: [] } });
});
