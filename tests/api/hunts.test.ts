/** A hunt for a part that nobody quotes: what it does to the plan, how it fails, stops and ends in a find. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { addDays } from "../../server/engine/date.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Result, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let hunt: Result;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const partRevision = async (): Promise<number> =>
  (await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } })).revision;

interface Outlook {
  chanceNextWeek: number;
  weeksLooked: number;
  stops: { date: string; chanceFound: number; chanceOfTarget: number | null; fallbackArrival: string | null }[];
  decideBy: { date: string; chanceOfTarget: number } | null;
  lastOrderDate: string | null;
}

async function outlook(): Promise<Outlook> {
  const { data, errors } = await server.query<{ hunt: { outlook: Outlook } }>(
    `query ($id: ID!) { hunt(id: $id) { outlook {
      chanceNextWeek weeksLooked lastOrderDate decideBy { date chanceOfTarget }
      stops { date chanceFound chanceOfTarget fallbackArrival } } } }`,
    { id: hunt.id },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data.hunt.outlook;
}

async function standing(): Promise<{ standing: string; arrivalDate: string | null }> {
  const { data } = await server.query<{ part: { outlook: { standing: string; arrivalDate: string | null } } }>(
    `query ($id: ID!) { part(id: $id) { outlook { standing arrivalDate } } }`,
    { id: rows.casing },
  );
  return data!.part.outlook;
}

describe("a hunt", () => {
  test("names what is wrong with it, and nothing is kept", async () => {
    const bad = await save(server, "Hunt", { part: rows.casing, begunOn: "2027-02-30", chancePerWeek: 1.5 });
    expect(bad.faults.map(({ field }) => field).toSorted()).toEqual(["begunOn", "chancePerWeek"]);
    expect(await server.store.hunt.count()).toBe(0);
  });

  test("with a stop date and a fallback is planned as the fallback ordered on the stop date", async () => {
    await call(server, "chooseFallback", "$part: ID!, $quote: ID, $revision: Int!", {
      part: rows.casing,
      quote: rows.quote,
      revision: await partRevision(),
    });
    hunt = await saved(server, "Hunt", {
      part: rows.casing,
      begunOn: "2026-12-07",
      chancePerWeek: 0.05,
      stopDate: "2027-02-01",
      events: [{ date: "2027-01-16", title: "Winter swap meet", chance: 0.2 }],
    });
    expect(await standing()).toEqual({ standing: "HUNTED", arrivalDate: addDays("2027-02-01", 60) });
  });

  test("is likelier to find the later it stops, and less likely to keep the target once the fallback comes too late", async () => {
    const { stops, decideBy, lastOrderDate, chanceNextWeek, weeksLooked } = await outlook();
    expect(weeksLooked).toBe(4);
    // Four fruitless weeks have lowered the belief of 1 in 20.
    expect(chanceNextWeek).toBeLessThan(0.05);
    const found = stops.map((stop) => stop.chanceFound);
    expect(found).toEqual(found.toSorted((a, b) => a - b));
    for (const stop of stops)
      expect(stop.chanceOfTarget).toBeCloseTo(stop.date <= lastOrderDate! ? 1 : stop.chanceFound, 1);
    expect(decideBy!.date).toBe(lastOrderDate);
  });

  test("believes less after a fruitless search, which cannot lie in the future", async () => {
    const args = "$hunt: ID!, $revision: Int!, $date: Date!, $title: String!";
    const early = await call(server, "recordFruitlessSearch", args, {
      hunt: hunt.id,
      revision: hunt.revision,
      date: "2027-01-16",
      title: "Winter swap meet",
    });
    expect(early.faults).toMatchObject([{ field: "date", code: "OUT_OF_RANGE" }]);
    const done = await call(server, "recordFruitlessSearch", args, {
      hunt: hunt.id,
      revision: hunt.revision,
      date: "2027-01-03",
      title: "Asked round the club",
    });
    expect(done.__typename).toBe("Saved");
    hunt = { ...hunt, revision: done.revision };
  });

  test("ends in a find that is in hand, and undo goes on looking", async () => {
    const args = "$hunt: ID!, $revision: Int!, $inHand: Boolean!";
    const found = await call(server, "huntFound", args, { hunt: hunt.id, revision: hunt.revision, inHand: true });
    expect(found.__typename).toBe("Saved");
    expect((await standing()).standing).toBe("IN_HAND");
    expect((await undo(server, found.change.id)).__typename).toBe("Saved");
    expect((await standing()).standing).toBe("HUNTED");
    hunt = { ...hunt, revision: (await server.store.hunt.findUniqueOrThrow({ where: { id: hunt.id } })).revision };
  });

  test("that is stopped orders the fallback on the data date", async () => {
    await saved(server, "Hunt", { id: hunt.id, revision: hunt.revision, state: "STOPPED" });
    expect(await standing()).toEqual({ standing: "TO_ORDER", arrivalDate: addDays("2027-01-04", 60) });
  });
});
