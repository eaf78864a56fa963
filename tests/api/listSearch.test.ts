/** What the lists of parts, operations and suppliers find: the letters that are typed, whatever they are. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let own: Shop;

beforeAll(async () => {
  server = await startServer();
  own = await shop(server);
  const { restoration } = own;
  await saved(server, "Part", { restoration, name: "Solder, 60 % tin" });
  await saved(server, "Part", { restoration, name: "Rod_end" });
  await saved(server, "Operation", { restoration, title: "Flush with 5% soda", hoursLikely: 1 });
  await saved(server, "Supplier", { name: "Fifty_fifty Metals" });
});
afterAll(() => server.close());

type Named = { edges: { node: { name: string } }[] };

async function listed(search: string) {
  const { data, errors } = await server.query<{
    restoration: { parts: Named; operations: Named };
    suppliers: Named;
  }>(
    `query ($id: ID!, $search: String!) {
      restoration(id: $id) {
        parts(search: $search) { edges { node { name } } }
        operations(search: $search) { edges { node { name: title } } }
      }
      suppliers(search: $search) { edges { node { name } } }
    }`,
    { id: own.restoration, search },
  );
  expect(errors).toBeUndefined();
  const { restoration, suppliers } = data!;
  return [restoration.parts, restoration.operations, suppliers].flatMap(({ edges }) =>
    edges.map(({ node }) => node.name),
  );
}

test("per cent signs and underscores are letters as all others", async () => {
  expect(await listed("%")).toEqual(["Solder, 60 % tin", "Flush with 5% soda"]);
  expect(await listed("_")).toEqual(["Rod_end", "Fifty_fifty Metals"]);
  expect(await listed("ROD_END")).toEqual(["Rod_end"]);
  expect(await listed("5%")).toEqual(["Flush with 5% soda"]);
});

test("of a text too long the first letters are read", async () => {
  expect(await listed("z".repeat(60_000))).toEqual([]);
  expect(await listed(`${"%".repeat(60_000)}`)).toEqual([]);
});
