/** What a supplier charges on one order: shared over its quotes to be ordered, and the same wherever it is told. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let charged: string;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  // The casing at 640.00 is there; a lamp and a horn of the same foundry, and the horn of a dealer beside.
  const dealer = (await saved(server, "Supplier", { name: "Nettle Hill Stores" })).id;
  for (const [name, price, elsewhere] of [
    ["Lamp", 1_680, null],
    ["Horn", 5_400, 5_900],
  ] as const) {
    const part = (await saved(server, "Part", { restoration: rows.restoration, name })).id;
    await saved(server, "Need", { operation: rows.assemble, part });
    const quote = { part, provenance: "REMADE", leadDays: 20 };
    await saved(server, "Quote", { ...quote, supplier: rows.foundry, unitPriceMinor: price });
    if (elsewhere !== null)
      await saved(server, "Quote", { ...quote, supplier: dealer, unitPriceMinor: elsewhere, leadDays: 30 });
  }
  const foundry = { id: rows.foundry, revision: 1, currency: "GBP", carriageMinor: 1_140, minimumMinor: 80_000 };
  charged = (await saved(server, "Supplier", foundry)).change.id;
});
afterAll(() => server.close());

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

interface Landed {
  total: { minor: number };
  lines: { kind: string; words: string; amount: { minor: number } }[];
}

interface Quoted {
  id: string;
  supplier: { id: string };
  landed: Landed;
}

/** By part, and whose it is where it is not the foundry's. */
async function quotes(): Promise<Map<string, Quoted>> {
  const { restoration } = await ask<{
    restoration: { parts: { edges: { node: { name: string; quotes: Quoted[] } }[] } };
  }>(
    `query ($id: ID!) { restoration(id: $id) { parts(first: 10) { edges { node { name quotes { id supplier { id }
      landed { total { minor } lines { kind words amount { minor } } } } } } } } }`,
    { id: rows.restoration },
  );
  return new Map(
    restoration.parts.edges.flatMap(({ node }) =>
      node.quotes.map((quote) => [`${node.name}${quote.supplier.id === rows.foundry ? "" : ", dealer"}`, quote]),
    ),
  );
}

async function landed(): Promise<Map<string, Landed>> {
  return new Map([...(await quotes())].map(([name, quote]) => [name, quote.landed]));
}

const shareOf = ({ lines }: Landed, kind: string): number =>
  lines.filter((line) => line.kind === kind).reduce((sum, { amount }) => sum + amount.minor, 0);

async function money(): Promise<number> {
  const { restoration } = await ask<{
    restoration: { exposure: { buckets: Record<"chosen" | "undecided", { planned: number }> } };
  }>(
    "query ($id: ID!) { restoration(id: $id) { exposure { buckets { chosen { planned } undecided { planned } } } } }",
    { id: rows.restoration },
  );
  const { chosen, undecided } = restoration.exposure.buckets;
  return chosen.planned + undecided.planned;
}

interface Figures {
  cost: { minor: number };
  charged: { minor: number };
}

async function choices(): Promise<{ inForce: Figures; plans: Figures[] }> {
  const { startChoices } = await ask<{ startChoices: { id: string } }>(
    "mutation ($id: ID!) { startChoices(restoration: $id) { id } }",
    { id: rows.restoration },
  );
  for await (const _ of jobs.changes(startChoices.id, await server.store.account.findFirstOrThrow()));
  const { job } = await ask<{
    job: { choices: { inForce: Figures; plans: { edges: { node: Figures }[] } } };
  }>(
    `query ($id: ID!) { job(id: $id) { choices { inForce { cost { minor } charged { minor } }
      plans(first: 50) { edges { node { cost { minor } charged { minor } } } } } } }`,
    { id: startChoices.id },
  );
  return { inForce: job.choices.inForce, plans: job.choices.plans.edges.map(({ node }) => node) };
}

test("is shared on the quotes of the plan in force by value, and adds up to the penny", async () => {
  const all = await landed();
  const foundry = ["Gearbox casing", "Lamp", "Horn"].map((name) => all.get(name)!);
  // 11.40 over 640.00, 16.80 and 54.00: 10.266, 0.269 and 0.866. The goods of 710.80 fall 89.20 short of 800.00.
  expect(foundry.map((one) => shareOf(one, "ORDER_CARRIAGE"))).toEqual([1_026, 27, 87]);
  expect(foundry.map((one) => shareOf(one, "ORDER_MINIMUM")).reduce((sum, share) => sum + share)).toBe(8_920);
  expect(foundry.reduce((sum, { total }) => sum + total.minor, 0)).toBe(80_000 + 1_140);
  expect(foundry[1]!.lines.at(-2)!.words).toBe("The supplier's carriage, its share of an order of 3 parts");
  expect(all.get("Horn, dealer")!.total.minor).toBe(5_900);
});

test("comes to the same in Choices as in the owner's money, counted once", async () => {
  const { inForce, plans } = await choices();
  expect(inForce).toEqual({ cost: { minor: 81_140 }, charged: { minor: 1_140 + 8_920 } });
  expect(await money()).toBe(81_140);
  // The horn of the dealer would leave the order further short of its minimum: no plan takes it.
  expect(plans).toEqual([inForce]);
});

test("is told before an order is placed: what it comes to by itself, and with what it would share", async () => {
  const { id } = (await quotes()).get("Lamp")!;
  const { restoration } = await ask<{
    restoration: { parts: { edges: { node: { quotes: { id: string; orderTotal: object }[] } }[] } };
  }>(
    `query ($id: ID!) { restoration(id: $id) { parts(first: 10) { edges { node { quotes { id
      orderTotal(quantity: 1, placedOn: "2027-01-04") { alone { minor } shared { minor } beside problem } } } } } } }`,
    { id: rows.restoration },
  );
  const found = restoration.parts.edges.flatMap(({ node }) => node.quotes).find((quote) => quote.id === id);
  // The order that is placed next, with everything left blank, comes to what is told here; the plan counts the share.
  expect(found!.orderTotal).toEqual({
    alone: { minor: 81_140 },
    shared: { minor: (await landed()).get("Lamp")!.total.minor },
    beside: ["Gearbox casing", "Horn"],
    problem: null,
  });
});

test("is the whole of it on an order of one part, and what is ordered shares nothing more", async () => {
  const lamp = (await quotes()).get("Lamp")!.id;
  const order = await saved(server, "Order", { quote: lamp, placedOn: "2027-01-04", notes: "" });
  // 16.80, made up to 800.00, and carriage.
  expect(await server.store.order.findUniqueOrThrow({ where: { id: order.id } })).toMatchObject({ totalMinor: 81_140 });
  const all = await landed();
  expect(all.get("Lamp")!.total.minor).toBe(81_140);
  const rest = ["Gearbox casing", "Horn"].map((name) => all.get(name)!);
  expect(rest.reduce((sum, { total }) => sum + total.minor, 0)).toBe(81_140);
  expect((await choices()).inForce.cost.minor).toBe(await money());
  await undo(server, order.change.id);
});

test("is shared by weight once that of every part is known, and till then by value, which is said", async () => {
  const { revision } = await server.store.supplier.findUniqueOrThrow({ where: { id: rows.foundry } });
  const foundry = { id: rows.foundry, revision, shareBy: "WEIGHT" };
  const changes = [(await saved(server, "Supplier", foundry)).change.id];
  const names = ["Gearbox casing", "Lamp", "Horn"];
  const carriage = async () => {
    const all = await landed();
    return names.map((name) => shareOf(all.get(name)!, "ORDER_CARRIAGE"));
  };
  const words = async () => (await landed()).get("Lamp")!.lines.at(-2)!.words;
  expect(await carriage()).toEqual([1_026, 27, 87]);
  expect(await words()).toBe(
    "The supplier's carriage, its share of an order of 3 parts by value, as not every part on it has its weight noted",
  );
  const all = await quotes();
  for (const [name, weightGrams] of [
    ["Gearbox casing", 9_000],
    ["Lamp", 800],
    ["Horn", 1_600],
  ] as const) {
    const row = await server.store.quote.findUniqueOrThrow({ where: { id: all.get(name)!.id } });
    changes.push((await saved(server, "Quote", { id: row.id, revision: row.revision, weightGrams })).change.id);
  }
  // 11.40 over 11.4 kg; and so much of the 89.20 that the goods fall short.
  expect(await carriage()).toEqual([900, 80, 160]);
  expect(await words()).toBe("The supplier's carriage, its share of an order of 3 parts by weight");
  expect(await money()).toBe(81_140);
  expect((await choices()).inForce).toEqual({ cost: { minor: 81_140 }, charged: { minor: 1_140 + 8_920 } });
  const lamp = await server.store.quote.findUniqueOrThrow({ where: { id: all.get("Lamp")!.id } });
  const refused = await save(server, "Quote", { id: lamp.id, revision: lamp.revision, weightGrams: 0 });
  expect(refused.faults).toMatchObject([{ field: "weightGrams" }]);
  for (const change of changes.reverse()) await undo(server, change);
  expect(await carriage()).toEqual([1_026, 27, 87]);
});

test("is not shared by the fallback of a hunt that has still to stop, on the quote as in the owner's money", async () => {
  const row = await server.store.quote.findUniqueOrThrow({ where: { id: (await quotes()).get("Lamp")!.id } });
  const part = await server.store.part.findUniqueOrThrow({ where: { id: row.partId } });
  const changes = [
    (
      await call(server, "chooseFallback", "$part: ID!, $quote: ID, $revision: Int!", {
        part: part.id,
        quote: row.id,
        revision: part.revision,
      })
    ).change.id,
    (
      await saved(server, "Hunt", {
        part: part.id,
        state: "SEARCHING",
        begunOn: "2026-10-01",
        stopDate: "2099-01-01",
        chancePerWeek: 1e-9,
        beliefWeeks: 8,
        leadDays: 7,
        provenance: "ORIGINAL",
      })
    ).change.id,
  ];
  const all = await landed();
  // 16.80, made up to 800.00, and carriage, on an order of its own; the other two share one.
  expect(all.get("Lamp")!.total.minor).toBe(81_140);
  expect(["Gearbox casing", "Horn"].reduce((sum, name) => sum + all.get(name)!.total.minor, 0)).toBe(81_140);
  expect(await money()).toBe(2 * 81_140);
  for (const change of changes.reverse()) await undo(server, change);
});

test("changes every figure that rests on it, and is refused below nothing", async () => {
  expect(await money()).toBe(81_140);
  await undo(server, charged);
  expect(await money()).toBe(64_000 + 1_680 + 5_400);
  expect((await choices()).inForce).toEqual({ cost: { minor: 71_080 }, charged: { minor: 0 } });
  const { revision } = await server.store.supplier.findUniqueOrThrow({ where: { id: rows.foundry } });
  const refused = await save(server, "Supplier", { id: rows.foundry, revision, carriageMinor: -1 });
  expect(refused.faults).toMatchObject([{ field: "carriageMinor" }]);
});
