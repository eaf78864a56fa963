/** Finds: written down where there may be no connection, sent perhaps twice, and made quotes. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let written: Record<string, unknown>;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());
beforeEach(async () => {
  await server.store.find.deleteMany();
  written = {
    restoration: rows.restoration,
    clientKey: "meet-1",
    part: rows.casing,
    what: "Gearbox casing, one half",
    seller: "Row F",
    askedMinor: 14_000,
    provenance: "ORIGINAL",
    condition: "REPAIRABLE",
    foundOn: "2027-01-03",
  };
});

const kept = () => server.store.find.findMany();

describe("a find", () => {
  test("sent twice is stored once, and the second answer is the first", async () => {
    const first = await saved(server, "Find", written);
    expect(await saved(server, "Find", written)).toMatchObject({ id: first.id, revision: 1, change: first.change });
    expect(await kept()).toHaveLength(1);
  });

  test("sent twice at once is stored once", async () => {
    const results = await Promise.all([1, 2, 3].map(() => save(server, "Find", written)));
    expect(results.map(({ __typename }) => __typename)).toEqual(["Saved", "Saved", "Saved"]);
    expect(new Set(results.map(({ id }) => id)).size).toBe(1);
    expect(await kept()).toHaveLength(1);
  });

  test("changed where it was written down is changed here by its key and revision, and that too only once", async () => {
    await saved(server, "Find", written);
    const second = { ...written, revision: 1, askedMinor: 12_000 };
    expect(await saved(server, "Find", second)).toMatchObject({ revision: 2 });
    expect(await saved(server, "Find", second)).toMatchObject({ revision: 2 });
    expect(await kept()).toMatchObject([{ askedMinor: 12_000, revision: 2 }]);
  });

  test("that clashes with a newer row is stale, with both values, and nothing is lost", async () => {
    const { id } = await saved(server, "Find", written);
    await saved(server, "Find", { id, revision: 1, notes: "Has its fellow too" });
    const late = await save(server, "Find", { ...written, notes: "One half only" });
    expect(late).toMatchObject({
      __typename: "StaleRow",
      revision: 2,
      differences: [{ field: "notes", theirs: "Has its fellow too", yours: "One half only" }],
    });
    expect(await kept()).toMatchObject([{ notes: "Has its fellow too" }]);
  });

  test("with faults is refused by field", async () => {
    const result = await save(server, "Find", { ...written, what: " ", foundOn: "2027-02-30", askedMinor: -1 });
    expect(result.faults.map(({ field, code }) => [field, code]).sort()).toEqual([
      ["askedMinor", "NEGATIVE"],
      ["foundOn", "NOT_A_DATE"],
      ["what", "REQUIRED"],
    ]);
  });

  test("that is removed comes back by undo, and stands in the lists of restoration and part", async () => {
    const { id } = await saved(server, "Find", written);
    const gone = await remove(server, "FIND", id, 1);
    expect(await kept()).toEqual([]);
    await undo(server, gone.change.id);
    const { data } = await server.query(
      `query ($id: ID!, $part: ID!) {
        restoration(id: $id) { finds(open: true) { totalCount edges { node { what asked { minor currency } part { code } } } } }
        part(id: $part) { finds { clientKey } } }`,
      { id: rows.restoration, part: rows.casing },
    );
    expect(data).toMatchObject({
      restoration: { finds: { totalCount: 1, edges: [{ node: { asked: { minor: 14_000, currency: "GBP" } } }] } },
      part: { finds: [{ clientKey: "meet-1" }] },
    });
  });
});

describe("a find that becomes a quote", () => {
  const become = (find: string, revision: number, more: Record<string, unknown> = {}) =>
    call(server, "findBecomesQuote", "$find: ID!, $revision: Int!, $part: ID, $supplier: ID, $unitPriceMinor: Minor", {
      find,
      revision,
      ...more,
    });

  test("is one change: a quote of its part, a supplier of the seller's name, and the find that names it", async () => {
    const { id } = await saved(server, "Find", written);
    const result = await become(id, 1);
    expect(result.__typename).toBe("Saved");
    const quote = await server.store.quote.findUniqueOrThrow({ where: { id: result.id }, include: { supplier: true } });
    expect(quote).toMatchObject({
      partId: rows.casing,
      provenance: "ORIGINAL",
      condition: "REPAIRABLE",
      unitPriceMinor: 14_000,
      currency: "GBP",
      leadDays: 0,
      supplier: { name: "Row F" },
    });
    expect(await kept()).toMatchObject([{ quoteId: quote.id, revision: 2 }]);
    expect(await become(id, 2)).toMatchObject({ __typename: "Refused", code: "IN_USE" });
    await undo(server, result.change.id);
    expect(await server.store.quote.findUnique({ where: { id: quote.id } })).toBeNull();
    expect(await server.store.supplier.count({ where: { name: "Row F" } })).toBe(0);
    expect(await kept()).toMatchObject([{ quoteId: null }]);
  });

  test("that was changed since is stale", async () => {
    const { id } = await saved(server, "Find", written);
    await saved(server, "Find", { id, revision: 1, askedMinor: 1 });
    expect((await become(id, 1)).__typename).toBe("StaleRow");
  });

  test("needs a part, a price and somebody who sells it; nothing of it is kept otherwise", async () => {
    const { id } = await saved(server, "Find", {
      restoration: rows.restoration,
      clientKey: "meet-2",
      what: "A casing?",
      foundOn: "2027-01-03",
    });
    const result = await become(id, 1);
    expect(result.faults.map(({ field }) => field).sort()).toEqual([
      "part",
      "provenance",
      "supplier",
      "unitPriceMinor",
    ]);
    expect(await kept()).toMatchObject([{ quoteId: null, revision: 1 }]);
  });
});
