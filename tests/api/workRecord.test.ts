/** How long work really takes, through the API: of the whole workshop, known to the day, in pages, with spreads to set. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, lookAt, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

interface Record {
  counts: boolean;
  words: string;
  shop: { operations: number; factor: number };
  trades: {
    totalCount: number;
    edges: { node: { trade: string; operations: number; hasTaken: number; words: string } }[];
  };
  trade: { factor: number; oneInTen: number; nineInTen: number; ownShare: number; countedAt: string };
  finished: {
    totalCount: number;
    pageInfo: { hasNextPage: boolean };
    edges: { node: { estimateHours: number; bookedHours: number; operation: { title: string } } }[];
  };
}
async function record(restoration = rows.restoration): Promise<Record> {
  const { data, errors } = await server.query<{ restoration: { workRecord: Record } }>(
    `query ($id: ID!) { restoration(id: $id) { workRecord {
      counts words shop { operations factor }
      trades(first: 10) { totalCount edges { node { trade operations hasTaken words } } }
      trade(name: "engine") { factor oneInTen nineInTen ownShare countedAt }
      finished(first: 1) { totalCount pageInfo { hasNextPage }
        edges { node { estimateHours bookedHours operation { title } } } }
    } } }`,
    { id: restoration },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data.restoration.workRecord;
}

let key = 0;
/** An operation with its hours booked, done on the day. */
async function finished(restoration: string, title: string, hours: number, took: number, finishedOn: string) {
  const { id } = await saved(server, "Operation", { restoration, title, trade: "engine", hoursLikely: hours });
  for (let left = took; left > 0; left -= 8)
    await call(server, "bookHours", "$input: HoursInput!", {
      input: { operation: id, clientKey: `k${key++}`, workedOn: finishedOn, hours: Math.min(8, left) },
    });
  const { revision } = await server.store.operation.findUniqueOrThrow({ where: { id: id! } });
  await saved(server, "Operation", { id, revision, state: "DONE", finishedOn, remainingHours: null });
}

describe("the record of work", () => {
  test("says that nothing is known where nothing is finished with hours booked, and what is taken then", async () => {
    expect(await record()).toMatchObject({
      counts: true,
      words: "No finished work has hours booked yet, so nothing is known of how long work really takes here.",
      shop: { operations: 0, factor: 1 },
      trades: { totalCount: 0 },
      trade: { factor: 1, ownShare: 0 },
      finished: { totalCount: 0 },
    });
  });

  test("is of all restorations of the workshop, and the odds of each go by it", async () => {
    const elsewhere = (await saved(server, "Restoration", { machine: "Thripp & Daughter engine" })).id!;
    const revisionOf = async () =>
      (await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } })).planRevision;
    await finished(rows.restoration, "Bore", 10, 13, "2027-01-02");
    const before = await revisionOf();
    await finished(elsewhere, "Scrape", 20, 26, "2027-01-03");
    expect(await revisionOf()).toBeGreaterThan(before);
    const known = await record();
    expect(known).toMatchObject({
      words: "Work has taken 1.3 times its estimates, from 2 operations in 1 trade.",
      trades: {
        totalCount: 1,
        edges: [
          {
            node: {
              trade: "engine",
              operations: 2,
              words: "Your engine work has taken 1.3 times its estimate, from 2 operations.",
            },
          },
        ],
      },
      finished: { totalCount: 2, pageInfo: { hasNextPage: true } },
    });
    expect(known.finished.edges).toEqual([
      { node: { estimateHours: 20, bookedHours: 26, operation: { title: "Scrape" } } },
    ]);
    const { factor, oneInTen, nineInTen, countedAt } = known.trade;
    expect([1 < factor, factor < 1.3, oneInTen < factor, factor < nineInTen]).toEqual([true, true, true, true]);
    expect(countedAt).toMatch(
      /^Your engine work has taken 1.3 times its estimate, from 2 operations: the odds count 1\.\d+ times/,
    );
    expect(await record(elsewhere)).toEqual(known);
  });

  test("is as known on the day that is looked at", async () => {
    await lookAt(server, "2027-01-02");
    expect((await record()).finished).toMatchObject({ totalCount: 1, edges: [{ node: { bookedHours: 13 } }] });
    await lookAt(server, "2027-01-04");
  });

  test("starts from spreads that admins set, between 0 and 1; with both at 0 estimates stand", async () => {
    const set = async (input: object) => {
      const { revision } = await server.store.workshop.findFirstOrThrow();
      const { data } = await server.query<{
        saveWorkshop: { __typename: string; faults?: { field: string; code: string }[] };
      }>(
        `mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) { __typename ... on InvalidInput { faults { field code } } } }`,
        { input: { revision, ...input } },
      );
      return data!.saveWorkshop;
    };
    const factor = async () => (await record()).trade.factor;
    const usual = await factor();
    expect(await set({ shopSpread: 0.6, tradeSpread: 0.3 })).toEqual({ __typename: "AccountSaved" });
    // Less is believed beforehand, so what was seen weighs more.
    expect(await factor()).toBeGreaterThan(usual);
    expect(await set({ shopSpread: 1.5, tradeSpread: -1 })).toEqual({
      __typename: "InvalidInput",
      faults: [
        { field: "shopSpread", code: "OUT_OF_RANGE" },
        { field: "tradeSpread", code: "OUT_OF_RANGE" },
      ],
    });
    await server.store.workshop.updateMany({ data: { timeZone: "Europe/London", revision: { increment: 1 } } });
    expect(await set({ shopSpread: 0, tradeSpread: 0 })).toEqual({ __typename: "AccountSaved" });
    expect(await record()).toMatchObject({
      counts: false,
      trade: { countedAt: expect.stringContaining("as they stand") },
    });
    expect((await server.store.workshop.findFirstOrThrow()).timeZone).toBe("Europe/London");
  });
});
