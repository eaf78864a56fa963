/** Batches: names that are never lost or oversold, money that adds up, and the quotes that follow them. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { settleDue } from "../../server/plan/club/batch.ts";
import { exposureOf } from "../../server/plan/money/exposure.ts";
import { moneyOf } from "../../server/plan/money/exposureKept.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { type ClubInTest, clubOn, type Person } from "./clubPeople.ts";

interface Amount {
  minor: number;
}
interface NameDownRead {
  memberName: string;
  price: Amount;
  deposit: Amount | null;
  stages: Amount[];
}
interface BatchRead {
  batch: {
    outlook: { putDown: number; needed: number; now: { total: Amount } };
    namesDown: { edges: { node: NameDownRead }[] };
  };
}

let open: TestStore;
let club: ClubInTest;
let organiser: Person;
let people: Person[];
let batch: string;

const TERMS = {
  part: "Gearbox casing, both halves",
  machine: "Tallow & Wren",
  maker: "Brindlewick Foundry",
  patternMinor: 60_000,
  setUpMinor: 12_000,
  unitMinor: 6_500,
  smallest: 6,
  most: 8,
  closesOn: "2027-03-01",
  leadDays: 56,
  stages: [
    { title: "Sample approved", percent: 40 },
    { title: "On delivery", percent: 60 },
  ],
};

const save = (who: Person, input: object) => who.call("saveBatch", "$input: BatchInput!", { input });
const putDown = (who: Person, quantity = 1) =>
  who.call("putNameDown", "$batch: ID!, $quantity: Int!", { batch, quantity });
const takeOff = (who: Person) => who.call("takeNameOff", "$batch: ID!", { batch });
const row = () => open.store.batch.findUniqueOrThrow({ where: { id: batch } });

beforeAll(async () => {
  open = await testStore();
  club = await clubOn(open.store, 100_000);
  organiser = await club.person("Organiser");
  people = await Promise.all(
    Array.from({ length: 12 }, (_, i) => club.person(`Member ${i}`, i === 0 ? "RESTORER" : "MEMBER")),
  );
});
afterAll(() => open.close());
beforeEach(async () => {
  const made = await save(organiser, TERMS);
  expect(made.__typename).toBe("ClubSaved");
  batch = made.id;
});

describe("names put down", () => {
  test("of many members at once never take more than the maker makes, and none is lost", async () => {
    const results = await Promise.all(people.map((who) => putDown(who)));
    const taken = results.filter(({ __typename }) => __typename === ("ClubSaved" as never));
    expect(taken).toHaveLength(8);
    expect(results.filter(({ code }) => code === "BATCH_FULL")).toHaveLength(4);
    expect(await open.store.nameDown.count({ where: { batchId: batch, takenOff: false } })).toBe(8);
    expect((await row()).putDown).toBe(8);
  });

  test("and taken off in any order at once leave what was counted by hand", async () => {
    const first = people.slice(0, 5);
    for (const who of first) await putDown(who);
    const results = await Promise.all([
      ...first.slice(0, 3).map((who) => takeOff(who)),
      ...people.slice(5).map((who) => putDown(who, 2)),
    ]);
    const kept = await open.store.nameDown.findMany({ where: { batchId: batch, takenOff: false } });
    const pieces = kept.reduce((sum, { quantity }) => sum + quantity, 0);
    expect(pieces).toBe((await row()).putDown);
    expect(pieces).toBeLessThanOrEqual(8);
    const came = results.slice(3).filter(({ code }) => code !== "BATCH_FULL").length;
    expect(pieces).toBe(2 + 2 * came);
    const back = await open.store.nameDown.findMany({ where: { batchId: batch, takenOff: true } });
    expect(back.map(({ depositState }) => depositState)).toEqual(["RETURNED", "RETURNED", "RETURNED"]);
  });

  test("pay what the batch costs to the penny, in deposit and stages", async () => {
    for (const who of people.slice(0, 5)) await putDown(who);
    await putDown(people[5]!, 2);
    const { batch: read } = await organiser.ask<BatchRead>(
      `query ($id: ID!) { batch(id: $id) { outlook { putDown needed now { total { minor } } }
        namesDown(first: 50) { totalCount edges { node { price { minor } deposit { minor } stages { minor } } } } } }`,
      { id: batch },
    );
    // 7 pieces, 8 castings: 720.00 + 520.00.
    expect(read.outlook).toMatchObject({ putDown: 7, needed: 0, now: { total: { minor: 124_000 } } });
    const nodes = read.namesDown.edges.map(({ node }) => node);
    expect(nodes.reduce((sum, one) => sum + one.price.minor, 0)).toBe(124_000);
    for (const one of nodes)
      expect(one.deposit!.minor + one.stages.reduce((sum, stage) => sum + stage.minor, 0)).toBe(one.price.minor);
  });

  test("show deposit and stages to their member and the organiser alone", async () => {
    await putDown(people[1]!);
    const read = (who: Person) =>
      who.ask<BatchRead>(
        `query ($id: ID!) { batch(id: $id) { namesDown { edges { node { memberName deposit { minor } stages { minor } } } } } }`,
        { id: batch },
      );
    expect((await read(people[2]!)).batch.namesDown.edges[0]!.node).toEqual({
      memberName: "Member 1",
      deposit: null,
      stages: [],
    });
    expect((await read(people[1]!)).batch.namesDown.edges[0]!.node.deposit).not.toBeNull();
  });

  test("are taken back by undo, and undo is refused where others have taken the room since", async () => {
    const mine = await putDown(people[1]!, 3);
    const undo = (who: Person, change: string) => who.call("undo", "$change: ID!", { change });
    const out = await takeOff(people[1]!);
    await putDown(people[2]!, 7);
    expect(await undo(people[1]!, out.clubChange.id)).toMatchObject({ code: "BATCH_FULL" });
    expect((await row()).putDown).toBe(7);
    expect(await undo(people[2]!, mine.clubChange.id)).toMatchObject({ code: "NOT_ALLOWED" });
  });

  test("fix the terms for which they were put down", async () => {
    await putDown(people[1]!);
    const { revision } = await row();
    expect(await save(organiser, { id: batch, revision, unitMinor: 9_000 })).toMatchObject({ code: "IN_USE" });
    expect(await save(people[1]!, { id: batch, revision, notes: "mine" })).toMatchObject({ code: "NOT_ALLOWED" });
    expect(await save(organiser, { id: batch, revision, notes: "Two originals lent" })).toMatchObject({
      revision: revision + 1,
    });
  });
});

describe("a closing date", () => {
  test("passed short leaves the batch unfilled and returns the deposits; passed filled it goes ahead and spends them", async () => {
    await putDown(people[1]!, 5);
    await settleDue(open.store, club.id, "2027-03-01");
    expect((await row()).state).toBe("TAKING_NAMES");
    await settleDue(open.store, club.id, "2027-03-02");
    expect((await row()).state).toBe("NOT_FILLED");
    expect((await open.store.nameDown.findFirstOrThrow({ where: { batchId: batch } })).depositState).toBe("RETURNED");
    expect(await putDown(people[2]!)).toMatchObject({ code: "BATCH_SETTLED" });

    batch = (await save(organiser, TERMS)).id;
    await putDown(people[1]!, 6);
    await settleDue(open.store, club.id, "2027-03-02");
    expect((await row()).state).toBe("GOES_AHEAD");
    expect((await open.store.nameDown.findFirstOrThrow({ where: { batchId: batch } })).depositState).toBe("SPENT");
  });

  test("is brought forward by the organiser of a filled batch alone", async () => {
    await putDown(people[1]!, 5);
    const close = (who: Person, revision: number) =>
      who.call("closeBatch", "$batch: ID!, $revision: Int!", { batch, revision });
    expect(await close(organiser, (await row()).revision)).toMatchObject({ code: "NOT_ALLOWED" });
    await putDown(people[2]!);
    expect(await close(people[1]!, (await row()).revision)).toMatchObject({ code: "NOT_ALLOWED" });
    expect((await close(organiser, (await row()).revision)).__typename).toBe("ClubSaved");
    expect(await row()).toMatchObject({ state: "GOES_AHEAD", closesOn: "2026-11-23" });
  });
});

test("a batch planned for a part is a quote that follows every name put down, and raises the plan's revision", async () => {
  const restorer = people[0]!;
  const restoration = await open.store.restoration.create({
    data: { workshopId: restorer.workshop, machine: "Tallow & Wren" },
  });
  const part = await open.store.part.create({
    data: { restorationId: restoration.id, code: "P1", name: "Gearbox casing" },
  });
  const planned = await restorer.call("planBatch", "$batch: ID!, $part: ID!", { batch, part: part.id });
  expect(planned.__typename).toBe("Saved");
  const quote = () => open.store.quote.findUniqueOrThrow({ where: { id: planned.id } });
  const before = await quote();
  // At the smallest size: 6 pieces, 7 castings: 720.00 + 455.00 = 1175.00, 195.84 each at most.
  expect(before).toMatchObject({
    batchId: batch,
    unitPriceMinor: 19_584,
    orderFrom: "2027-03-01",
    leadDays: 56,
    ruledOut: false,
  });
  const revision = async () =>
    (await open.store.restoration.findUniqueOrThrow({ where: { id: restoration.id } })).planRevision;
  const at = await revision();
  await putDown(people[1]!, 4);
  const after = await quote();
  expect(after.failureChance).toBeLessThan(before.failureChance);
  expect(await revision()).toBe(at + 1);
  await putDown(people[2]!, 2);
  expect(await quote()).toMatchObject({ failureChance: 0 });
  expect(await restorer.call("planBatch", "$batch: ID!, $part: ID!", { batch, part: part.id })).toMatchObject({
    code: "IN_USE",
  });
  await settleDue(open.store, club.id, "2027-03-05");
  expect(await quote()).toMatchObject({ ruledOut: true });
});

test("the deposit for a batch that is planned for a part is in Paid until it is given back, and the quote costs so much less", async () => {
  const restorer = people[0]!;
  const { id: restorationId } = await open.store.restoration.create({
    data: { workshopId: restorer.workshop, machine: "Tallow & Wren", currency: "GBP" },
  });
  const part = await open.store.part.create({ data: { restorationId, code: "P1", name: "Gearbox casing" } });
  const { id: chosenQuoteId } = await restorer.call("planBatch", "$batch: ID!, $part: ID!", {
    batch,
    part: part.id,
  });
  await open.store.part.update({ where: { id: part.id }, data: { chosenQuoteId } });
  const sums = async () => {
    const { exposure, rows } = await moneyOf(open.store, restorationId);
    const quote = rows.quotes.get(chosenQuoteId)!;
    const option = choiceProblem(rows).subjects[0]!.options.find(({ quoteId }) => quoteId === chosenQuoteId);
    const { PAID, CHOSEN } = exposure.buckets;
    return { paid: PAID.planned, chosen: CHOSEN.planned, left: option?.costMinor, price: quote.unitPriceMinor };
  };
  const before = await sums();
  expect(before).toEqual({ paid: 0, chosen: before.price, left: before.price, price: before.price });
  await putDown(restorer, 1);
  const { depositMinor } = await open.store.nameDown.findFirstOrThrow({ where: { batchId: batch } });
  expect(depositMinor).toBeGreaterThan(0);
  const held = await sums();
  expect(held).toMatchObject({
    paid: depositMinor,
    chosen: held.price - depositMinor,
    left: held.price - depositMinor,
  });
  await takeOff(restorer);
  expect(await sums()).toMatchObject({ paid: 0, chosen: held.price });
  // Ordered: the deposit stands on the order, unless a deposit was entered there.
  await putDown(restorer, 1);
  const placed = { placedOn: "2027-01-02", promisedOn: "2027-03-02", totalMinor: 20_000, currency: "GBP" };
  const order = await open.store.order.create({
    data: { restorationId, partId: part.id, quoteId: chosenQuoteId, code: "O1", ...placed },
  });
  const orderSums = async () => {
    const { PAID, OWED } = exposureOf(await loadExposureRows(open.store, restorationId, undefined)).buckets;
    return [PAID.planned, OWED.planned];
  };
  expect(await orderSums()).toEqual([depositMinor, 20_000 - depositMinor]);
  const own = { kind: "DEPOSIT", paidOn: "2027-01-02", amountMinor: 7_000, currency: "GBP" } as const;
  await open.store.payment.create({ data: { restorationId, orderId: order.id, ...own } });
  expect(await orderSums()).toEqual([7_000, 13_000]);
});
