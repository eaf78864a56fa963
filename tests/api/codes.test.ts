/** The codes that the program gives, and how lists and searches go by them. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { compareCodes } from "../../server/store/codes.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { remove, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const quoted = (more: object = {}) =>
  saved(server, "Quote", {
    part: rows.casing,
    supplier: rows.foundry,
    provenance: "REMADE",
    unitPriceMinor: 100,
    leadDays: 5,
    ...more,
  });

const codeOf = async (table: "quote" | "operation" | "invoice" | "order" | "supplier", id: string): Promise<string> =>
  (await (server.store[table] as typeof server.store.quote).findUniqueOrThrow({ where: { id } })).code;

interface Listed {
  totalCount: number;
  pageInfo: { endCursor: string; hasNextPage: boolean };
  edges: { node: { code: string } }[];
}

async function list(field: string, args: string): Promise<Listed> {
  const { data } = await server.query<{ restoration: Record<string, Listed> }>(
    `query ($id: ID!) { restoration(id: $id) { ${field}(${args}) { totalCount pageInfo { endCursor hasNextPage } edges { node { code } } } } }`,
    { id: rows.restoration },
  );
  return data!.restoration[field]!;
}

const codes = ({ edges }: Listed): string[] => edges.map(({ node }) => node.code);

describe("a row without a code", () => {
  test("gets the next number of its register, whatever was typed beside", async () => {
    expect(await codeOf("quote", rows.quote)).toBe("1");
    await quoted({ code: "ENG-900" });
    await quoted({ code: "Quote 80" });
    expect(await codeOf("quote", (await quoted()).id)).toBe("2");
  });

  test("gets the next number though somebody typed the longest that there is", async () => {
    const { id: typed } = await quoted({ code: "999999999999999" });
    const [one, other] = [await codeOf("quote", (await quoted()).id), await codeOf("quote", (await quoted()).id)];
    expect([one, other]).toEqual(["3", "4"]);
    expect(await codeOf("quote", typed)).toBe("999999999999999");
  });

  test("gets the number after those that an earlier version made", async () => {
    await quoted({ code: "Q070" });
    expect(await codeOf("quote", (await quoted()).id)).toBe("71");
    expect(await codeOf("quote", (await quoted()).id)).toBe("72");
  });

  test("of the work gets its group's short form and ones, and a number where it has no group", async () => {
    const added = async (input: object) => {
      const operation = { restoration: rows.restoration, title: "Work", hoursLikely: 1, ...input };
      return codeOf("operation", (await saved(server, "Operation", operation)).id);
    };
    expect(await added({ group: "Engine", trade: "machining" })).toBe("ENG-3");
    expect(await added({ group: "Body" })).toBe("BODY-1");
    expect(await added({ group: "Body" })).toBe("BODY-2");
    expect(await added({})).toBe("1");
  });

  test("is told apart by its noun from one of another register with the same number", async () => {
    const supplier = await saved(server, "Supplier", { name: "Glimmerhulme Brass", kind: "MAKER" });
    expect(await codeOf("supplier", supplier.id)).toBe("2");
    expect(supplier.change.summary).toBe("Added supplier 2, Glimmerhulme Brass");
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    expect(order.change.summary).toBe("Added order 1 for Gearbox casing");
    expect((await remove(server, "ORDER", order.id, 1)).change.summary).toBe("Removed order 1 for Gearbox casing");
  });

  test("saved at once with another has another number", async () => {
    const both = await Promise.all([quoted(), quoted(), quoted()]);
    const given = await Promise.all(both.map(({ id }) => codeOf("quote", id)));
    expect(given.toSorted(compareCodes)).toEqual(["73", "74", "75"]);
  });

  test("that was removed comes back with its code and in its place", async () => {
    const { id } = await quoted({ code: "9" });
    const gone = await remove(server, "QUOTE", id, 1);
    await undo(server, gone.change.id);
    expect(await server.store.quote.findUniqueOrThrow({ where: { id } })).toMatchObject({
      code: "9",
      codeOrder: "019",
    });
  });
});

describe("a search", () => {
  test("finds a part by its number with the noun, and by its quotes and orders", async () => {
    expect(codes(await list("parts", `search: "part 2"`))).toEqual(["2"]);
    const { id: other } = await saved(server, "Part", {
      restoration: rows.restoration,
      name: "Spring",
      code: "ENG-12",
    });
    await quoted({ part: other, code: "170" });
    await quoted({ part: other, code: "Q169" });
    for (const words of ["quote 170", "Quote 170", "170", "Q169"])
      expect(codes(await list("parts", `search: "${words}"`))).toEqual(["ENG-12"]);
    expect(codes(await list("parts", `search: "order 170"`))).toEqual([]);
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04", code: "51" });
    expect(codes(await list("parts", `search: "order 51"`))).toEqual(["1"]);
    await remove(server, "ORDER", order.id, 1);
  });

  test("finds a supplier by number and noun", async () => {
    const { data } = await server.query<{ suppliers: Listed }>(
      `{ suppliers(search: "supplier 1") { edges { node { code } } } }`,
    );
    expect(codes(data!.suppliers)).toEqual(["1"]);
  });
});

test("a list of typed and given codes is in one order, and pages go through it once", async () => {
  const { id } = await server.store.restoration.findFirstOrThrow({ where: { id: rows.restoration } });
  const mixed = Array.from({ length: 120 }, (_, i) =>
    i % 3 === 0 ? String(i + 40) : i % 3 === 1 ? `ENG-${i + 20}` : `W${String(i * 10).padStart(3, "0")}`,
  );
  await server.store.operation.createMany({
    data: mixed.map((code) => ({ restorationId: id, code, title: code, hoursLikely: 1 })),
  });
  await server.store.part.createMany({ data: mixed.map((code) => ({ restorationId: id, code, name: code })) });
  for (const field of ["operations", "parts"]) {
    const read: string[] = [];
    let page = await list(field, "first: 50");
    for (;;) {
      read.push(...codes(page));
      if (!page.pageInfo.hasNextPage) break;
      page = await list(field, `first: 50, after: "${page.pageInfo.endCursor}"`);
    }
    expect(read).toHaveLength(page.totalCount);
    expect(new Set(read).size).toBe(read.length);
    expect(read).toEqual(read.toSorted(compareCodes));
    expect(read.indexOf("40")).toBeLessThan(read.indexOf("100"));
    expect(read.indexOf("ENG-21")).toBeLessThan(read.indexOf("ENG-120"));
  }
  const down = codes(await list("parts", "first: 100, sort: CODE, descending: true"));
  expect(down).toEqual(down.toSorted((one, other) => compareCodes(other, one)));
});
