/** Taking back a change of very many rows: all of them as they were, in statements that take many rows, and not one by one. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { StaleRow } from "../../server/store/fault.ts";
import { record } from "../../server/store/journal.ts";
import { undo } from "../../server/store/undo.ts";
import { type TestStore, testStore } from "../support/store.ts";

const MANY = 1_800;
let test: TestStore;
let restorationId: string;
let accountId: string;
beforeAll(async () => {
  test = await testStore();
  const { store } = test;
  const workshop = await store.workshop.create({ data: { name: "Workshop" } });
  accountId = (await store.account.create({ data: { workshopId: workshop.id, name: "Restorer", role: "RESTORER" } }))
    .id;
  const restoration = await store.restoration.create({
    data: { workshopId: workshop.id, machine: "Cyclecar" },
  });
  restorationId = restoration.id;
  await store.operation.createMany({
    data: Array.from({ length: MANY }, (_, i) => ({
      restorationId,
      code: `OP-${i}`,
      title: `Operation ${i}`,
      hoursLikely: 1,
      place: i % 3 === 0 ? null : i + 0.5,
    })),
  });
});
afterAll(() => test.close());

const places = () =>
  test.store.operation.findMany({ orderBy: { id: "asc" }, select: { id: true, place: true, title: true } });

/** Keeps another order of work, and says how long that took. */
async function keepOrder() {
  const began = performance.now();
  const rows = await test.store.operation.findMany();
  const occasion = { restorationId, accountId, summary: "Kept the order of work" };
  const change = await record(test.store, occasion, (journal) =>
    journal.updateMany(
      "operation",
      rows.map((before, i) => ({ before: before as never, data: { place: MANY - i } })),
    ),
  );
  return { change, took: performance.now() - began };
}

it("brings back every row of it, in about the time that the change took", async () => {
  const before = await places();
  const { change, took } = await keepOrder();
  expect(await places()).not.toEqual(before);
  const began = performance.now();
  const back = await undo(test.store, change, accountId);
  // Row by row it takes tens of times as long.
  expect(performance.now() - began).toBeLessThan(8 * took);
  expect(await places()).toEqual(before);
  const again = await undo(test.store, back, accountId);
  expect((await places()).map(({ place }) => place)).not.toContain(null);
  await undo(test.store, again, accountId);
  expect(await places()).toEqual(before);
});

it("takes nothing back where one row of them was changed since", async () => {
  const { change } = await keepOrder();
  const { id, revision } = await test.store.operation.findFirstOrThrow();
  await record(test.store, { restorationId, accountId, summary: "Changed a place" }, (journal) =>
    journal.update("operation", id, revision, { place: -1 }),
  );
  const before = await places();
  await expect(undo(test.store, change, accountId)).rejects.toThrow(StaleRow);
  expect(await places()).toEqual(before);
});
