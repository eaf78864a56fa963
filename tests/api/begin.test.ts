/** How a workshop begins: a machine and what is first known of it, in one change or not at all. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
});
afterAll(() => server.close());

const begin = async (input: Record<string, unknown>) =>
  (
    await server.query<{ begin: Record<string, unknown> & { faults?: { field: string; message: string }[] } }>(
      `mutation ($input: BeginInput!) {
        begin(input: $input) {
          __typename ... on Saved { id change { final } } ... on InvalidInput { faults { field message } }
        }
      }`,
      { input },
    )
  ).data!.begin;

const FIRST = {
  machine: "1911 tricar",
  currency: "EUR",
  hourlyRateMinor: 4250,
  hand: "Hesper Quill",
  trades: ["lining", "fitting"],
  saturday: 4,
  part: "Brake shoe, rear",
  operation: "Line the brakes",
  hoursLikely: 6,
  supplier: "Thornlow Castings",
  unitPriceMinor: 11800,
  leadDays: 30,
};

const rows = async () => {
  const { restoration, hand, part, operation, supplier, quote, change } = server.store;
  return Promise.all(
    [restoration, hand, part, operation, supplier, quote, change].map((table) => (table as typeof part).count()),
  );
};

test("what one row refuses leaves none of the others, and every fault goes by the field that was filled in", async () => {
  const before = await rows();
  const refused = await begin({ ...FIRST, unitPriceMinor: -1, hoursLikely: -2, part: "x".repeat(201), monday: 30 });
  expect(refused.faults!.map(({ field }) => field).sort()).toEqual(["hoursLikely", "monday", "part"]);
  expect((await begin({ ...FIRST, unitPriceMinor: -1 })).faults).toMatchObject([{ field: "unitPriceMinor" }]);
  expect((await begin({ ...FIRST, machine: " ", supplier: "" })).faults!.map(({ message }) => message)).toEqual([
    "machine must be given.",
    "supplier must be given.",
  ]);
  expect(await rows()).toEqual(before);
});

test("all of it is one change, with a day by which to order, and the same supplier the next time", async () => {
  const saved = await begin(FIRST);
  expect(saved).toMatchObject({ __typename: "Saved", change: { final: true } });
  const read = await server.query<{ holdUps: { toOrder: { edges: { node: object }[] } }; hands: { edges: object[] } }>(
    `query ($id: ID!) {
      holdUps(restoration: $id) { toOrder { edges { node { part { name } orderBy quote { chosen supplier { name } unitPrice { minor currency } } } } } }
      hands { edges { node { name trades monday saturday } } }
      restoration(id: $id) { operations { edges { node { title trade needs { part { name } } } } } }
    }`,
    { id: saved["id"] },
  );
  expect(read.errors).toBeUndefined();
  expect(read.data).toMatchObject({
    holdUps: {
      toOrder: {
        edges: [
          {
            node: {
              part: { name: "Brake shoe, rear" },
              orderBy: expect.stringMatching(/^\d{4}-\d\d-\d\d$/),
              quote: {
                chosen: true,
                supplier: { name: "Thornlow Castings" },
                unitPrice: { minor: 11800, currency: "EUR" },
              },
            },
          },
        ],
      },
    },
    hands: { edges: [{ node: { name: "Hesper Quill", trades: ["lining", "fitting"], monday: 8, saturday: 4 } }] },
    restoration: {
      operations: {
        edges: [
          { node: { title: "Line the brakes", trade: "lining", needs: [{ part: { name: "Brake shoe, rear" } }] } },
        ],
      },
    },
  });
  expect(await begin({ ...FIRST, hand: "", trades: [] })).toMatchObject({ __typename: "Saved" });
  expect(await server.store.supplier.count()).toBe(1);
});

test("the machine alone is enough", async () => {
  expect(await begin({ machine: "1908 stationary engine" })).toMatchObject({ __typename: "Saved" });
});
