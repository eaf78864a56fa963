/** Work that was sent out, and remedies of snags: paid without an order, and put right like any payment. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const paidAndOwed = async (): Promise<[number, number]> => {
  const { data } = await server.query<{
    restoration: { exposure: { buckets: { paid: { planned: number }; owed: { planned: number } } } };
  }>(`query ($id: ID!) { restoration(id: $id) { exposure { buckets { paid { planned } owed { planned } } } } }`, {
    id: rows.restoration,
  });
  const { paid, owed } = data!.restoration.exposure.buckets;
  return [paid.planned, owed.planned];
};
const correct = (payment: string, input: object | null): Promise<Result> =>
  call(server, "correctPayment", "$payment: ID!, $input: PaymentInput", { payment, input });

describe("a payment of which some has come back", () => {
  it("is corrected to no less than came back, as no more comes back than was paid", async () => {
    const way = await saved(server, "OperationWay", { operation: rows.strip, title: "Plated", priceMinor: 20_000 });
    const on = (input: object) => save(server, "Payment", { paidOn: "2027-01-04", way: way.id, ...input });
    const paid = await on({ kind: "PART_PAYMENT", amountMinor: 10_000 });
    const back = await on({ kind: "REFUND", amountMinor: 8_000 });
    for (const input of [null, { amountMinor: 7_999 }])
      expect(await correct(paid.id, input)).toMatchObject({
        __typename: "InvalidInput",
        faults: [{ code: "OUT_OF_RANGE", field: "amountMinor" }],
      });
    // Nothing of it was written.
    expect(await server.store.payment.count({ where: { wayId: way.id } })).toBe(2);
    const right = await correct(paid.id, { amountMinor: 8_000 });
    expect(right).toMatchObject({ __typename: "Saved" });
    expect(await correct(back.id, null)).toMatchObject({ __typename: "Saved" });
    expect(await correct(right.id, null)).toMatchObject({ __typename: "Saved" });
  });

  it("is not taken back by undo below what came back, nor is what came back raised again above what stands paid", async () => {
    const way = await saved(server, "OperationWay", { operation: rows.strip, title: "Blued", priceMinor: 20_000 });
    const on = (input: object) => save(server, "Payment", { paidOn: "2027-01-04", way: way.id, ...input });
    const paid = await on({ kind: "PART_PAYMENT", amountMinor: 10_000 });
    const back = await on({ kind: "REFUND", amountMinor: 8_000 });
    const refused = (minor: string) => ({
      __typename: "Refused",
      code: "NOT_ALLOWED",
      message: `Taking this back would leave £${minor} less paid than has come back: correct what came back first.`,
    });
    expect(await undo(server, paid.change.id)).toMatchObject(refused("80.00"));
    const less = await correct(back.id, { amountMinor: 1_000 });
    const lower = await correct(paid.id, { amountMinor: 2_000 });
    expect(await undo(server, less.change.id)).toMatchObject(refused("60.00"));
    for (const { change } of [lower, less])
      expect(await undo(server, change.id)).toMatchObject({ __typename: "Saved" });
    await on({ kind: "REFUND", amountMinor: 2_000 });
  });
});

describe("work that was sent out, and a remedy", () => {
  it("are paid on their own, put right, and keep their way and remedy from being removed", async () => {
    const way = await saved(server, "OperationWay", {
      operation: rows.strip,
      title: "Sent to the machine shop",
      priceMinor: 30_000,
    });
    const operation = await server.store.operation.findUniqueOrThrow({ where: { id: rows.strip } });
    const chosen = { operation: rows.strip, way: way.id, revision: operation.revision };
    await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", chosen);
    await saved(server, "Operation", {
      id: rows.strip,
      revision: operation.revision + 1,
      state: "DONE",
      startedOn: "2026-12-28",
      finishedOn: "2026-12-29",
    });
    const snag = await saved(server, "Snag", { operation: rows.assemble, title: "Cracked lug" });
    const remedy = await saved(server, "Remedy", { snag: snag.id, title: "Stitch it", priceMinor: 9_000 });
    await call(server, "chooseRemedy", "$snag: ID!, $remedy: ID, $revision: Int!", {
      snag: snag.id,
      remedy: remedy.id,
      revision: 1,
    });
    await saved(server, "Snag", { id: snag.id, revision: 2, clearedOn: "2027-01-03" });
    const [paid, owed] = await paidAndOwed();
    const on = (input: object) => save(server, "Payment", { kind: "PART_PAYMENT", paidOn: "2027-01-04", ...input });
    const first = await on({ way: way.id, amountMinor: 20_000 });
    expect(first.__typename).toBe("Saved");
    await on({ remedy: remedy.id, amountMinor: 9_000, kind: "BALANCE" });
    expect(await paidAndOwed()).toEqual([paid + 29_000, owed - 29_000]);
    await on({ way: way.id, amountMinor: 1_000, kind: "CREDIT" });
    expect(await paidAndOwed()).toEqual([paid + 29_000, owed - 30_000]);
    expect(await correct(first.id, { amountMinor: 18_000 })).toMatchObject({ __typename: "Saved" });
    expect(await paidAndOwed()).toEqual([paid + 27_000, owed - 28_000]);
    const { data } = await server.query<{ restoration: { exposure: { paidDirectly: { edges: object[] } } } }>(
      `query ($id: ID!) { restoration(id: $id) { exposure { paidDirectly { edges { node {
        way remedy operation snag price { minor } paid { minor } left { minor } owed inForce } } } } } }`,
      { id: rows.restoration },
    );
    const none = { way: null, remedy: null, operation: null, snag: null, owed: true, inForce: true };
    expect(data!.restoration.exposure.paidDirectly.edges).toEqual([
      {
        node: {
          ...none,
          remedy: remedy.id,
          snag: snag.id,
          price: { minor: 9_000 },
          paid: { minor: 9_000 },
          left: { minor: 0 },
        },
      },
      {
        node: {
          ...none,
          way: way.id,
          operation: rows.strip,
          price: { minor: 30_000 },
          paid: { minor: 18_000 },
          left: { minor: 11_000 },
        },
      },
    ]);
    const refused = { __typename: "Refused", code: "HAS_PAYMENTS" };
    expect(await remove(server, "OPERATION_WAY", way.id, 1)).toMatchObject(refused);
    expect(await remove(server, "REMEDY", remedy.id, 1)).toMatchObject(refused);
    expect((await on({ way: way.id, remedy: remedy.id, amountMinor: 1 })).faults).toMatchObject([
      { code: "NOT_A_CHOICE", field: "order" },
    ]);
    expect((await on({ amountMinor: 1 })).faults[0]).toMatchObject({ code: "REQUIRED", field: "order" });
    expect((await on({ way: "nowhere", amountMinor: 1 })).faults[0]).toMatchObject({
      code: "UNKNOWN_ROW",
      field: "way",
    });
  });

  it("are listed until they are refunded once another way is chosen, and cost what is still to be paid wherever they are compared", async () => {
    const way = await saved(server, "OperationWay", {
      operation: rows.assemble,
      title: "Assembled by the maker",
      priceMinor: 24_000,
    });
    const other = await saved(server, "OperationWay", {
      operation: rows.assemble,
      title: "Assembled next door",
      priceMinor: 36_000,
    });
    const choose = async (id: string) => {
      const { revision } = await server.store.operation.findUniqueOrThrow({ where: { id: rows.assemble } });
      const args = { operation: rows.assemble, way: id, revision };
      expect(await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", args)).toMatchObject({
        __typename: "Saved",
      });
    };
    const pay = (amountMinor: number, kind = "PART_PAYMENT") =>
      saved(server, "Payment", { way: way.id, kind, paidOn: "2027-01-04", amountMinor });
    const listed = async () => {
      const { data } = await server.query<{
        restoration: { exposure: { paidDirectly: { edges: { node: { id: string } }[] } } };
      }>(
        `query ($id: ID!) { restoration(id: $id) { exposure { paidDirectly { edges { node {
          id paid { minor } left { minor } inForce } } } } } }`,
        { id: rows.restoration },
      );
      return data!.restoration.exposure.paidDirectly.edges.map(({ node }) => node).filter(({ id }) => id === way.id);
    };
    await choose(way.id);
    await pay(20_000);
    expect(await listed()).toEqual([{ id: way.id, paid: { minor: 20_000 }, left: { minor: 4_000 }, inForce: true }]);
    await choose(other.id);
    expect(await listed()).toEqual([{ id: way.id, paid: { minor: 20_000 }, left: { minor: 0 }, inForce: false }]);
    const { data } = await server.query<{
      operation: { ways: { id: string; cost: { landed: { minor: number } } }[] };
    }>("query ($id: ID!) { operation(id: $id) { ways { id cost { landed { minor } } } } }", { id: rows.assemble });
    const { subjects } = choiceProblem(await loadExposureRows(server.store, rows.restoration, undefined));
    const { options } = subjects.find(({ rowId }) => rowId === rows.assemble)!;
    const onPage = new Map(data!.operation.ways.map(({ id, cost }) => [id, cost.landed.minor]));
    // 240.00 less 200.00 against 360.00: it saves 320.00, and not 120.00.
    expect([onPage.get(way.id), onPage.get(other.id)]).toEqual([4_000, 36_000]);
    for (const { wayId, landedMinor } of options) if (wayId !== null) expect(onPage.get(wayId)).toBe(landedMinor);
    await pay(20_000, "REFUND");
    expect(await listed()).toEqual([]);
  });
});

describe("a rate that no two currencies have", () => {
  it("is refused, and where one is kept from before Money still answers, with what is unknown", async () => {
    const quote = await saved(server, "Quote", {
      part: rows.casing,
      supplier: rows.foundry,
      provenance: "REMADE",
      unitPriceMinor: 100_000,
      currency: "EUR",
      leadDays: 5,
    });
    const order = await saved(server, "Order", { quote: quote.id, placedOn: "2027-01-04" });
    const input = { order: order.id, kind: "PART_PAYMENT", paidOn: "2027-01-04", amountMinor: 100_000 };
    const refused = await save(server, "Payment", { ...input, rate: "117000000000" });
    expect(refused.faults).toMatchObject([{ field: "rate", code: "OUT_OF_RANGE" }]);
    const { id } = await saved(server, "Payment", { ...input, rate: "1.17" });
    await server.store.payment.update({ where: { id }, data: { rate: "117000000000" } });
    await server.store.restoration.update({
      where: { id: rows.restoration },
      data: { planRevision: { increment: 1 } },
    });
    const { data, errors } = await server.query<{
      restoration: {
        ledger: { edges: { node: { amount: { minor: number } | null; home: { minor: number } | null } }[] };
      };
    }>(
      `query ($id: ID!) { restoration(id: $id) { exposure { total { planned } }
        ledger(first: 50) { edges { node { amount { minor } home { minor } } } } } }`,
      { id: rows.restoration },
    );
    expect(errors).toBeUndefined();
    expect(data!.restoration.ledger.edges.map(({ node }) => node)).toContainEqual({
      amount: { minor: 100_000 },
      home: null,
    });
    await server.store.payment.update({ where: { id }, data: { rate: "1.17" } });
  });
});

describe("a payment", () => {
  const on = (input: object) => save(server, "Payment", { kind: "PART_PAYMENT", paidOn: "2027-01-04", ...input });
  const faults = async (input: object) => (await on(input)).faults?.map(({ code, field }) => [field, code]);

  it("is for the day of the figures or before, in its own money at a rate of one, and no more comes back than was paid", async () => {
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    const way = await saved(server, "OperationWay", { operation: rows.strip, title: "Blasted", priceMinor: 9_000 });
    for (const of of [{ order: order.id }, { way: way.id }]) {
      expect(await faults({ ...of, amountMinor: 5_000, paidOn: "2027-01-05" })).toEqual([["paidOn", "OUT_OF_RANGE"]]);
      expect(await faults({ ...of, amountMinor: 5_000, rate: "1.2" })).toEqual([["rate", "OUT_OF_RANGE"]]);
      expect(await faults({ ...of, amountMinor: 1, kind: "REFUND" })).toEqual([["amountMinor", "OUT_OF_RANGE"]]);
      const paid = await on({ ...of, amountMinor: 5_000, rate: "1.00" });
      expect(paid.__typename).toBe("Saved");
      const more = await on({ ...of, amountMinor: 5_001, kind: "REFUND" });
      expect(more.faults).toMatchObject([{ field: "amountMinor", code: "OUT_OF_RANGE", value: "5001" }]);
      expect(more.faults[0]!.message).toBe(
        "amount must not be more than the £50.00 that was paid and has not come back.",
      );
      expect((await on({ ...of, amountMinor: 2_000, kind: "REFUND" })).__typename).toBe("Saved");
      expect(await faults({ ...of, amountMinor: 3_001, kind: "REFUND" })).toEqual([["amountMinor", "OUT_OF_RANGE"]]);
      expect((await on({ ...of, amountMinor: 3_000, kind: "REFUND" })).__typename).toBe("Saved");
    }
  });

  it("that names nothing it was for says just that", async () => {
    const { faults: found } = await on({ amountMinor: 5_000 });
    expect(found).toMatchObject([{ code: "REQUIRED", field: "order" }]);
    expect(found[0]!.message).toBe("What it was paid for is needed: an order, a way or a remedy.");
    const unknown = await on({ order: "nowhere", amountMinor: 5_000 });
    expect(unknown.faults.map(({ field }) => field)).toEqual(["order"]);
  });
});

it("a decision, an order, a quote and a hunt that hang on nothing are not asked for a currency either", async () => {
  for (const [noun, input] of [
    ["Order", { placedOn: "2027-01-04", promisedOn: "2027-01-04", totalMinor: 1 }],
    ["Quote", { provenance: "REMADE", unitPriceMinor: 1, leadDays: 1 }],
    ["Hunt", { begunOn: "2027-01-04", chancePerWeek: 0.1 }],
    ["Remedy", { title: "Braze it" }],
  ] as const)
    expect((await save(server, noun, input)).faults.map(({ field }) => field)).not.toContain("currency");
});
