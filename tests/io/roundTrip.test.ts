/** What goes out comes in again the same. */
import fc from "fast-check";
import { afterAll, beforeAll, expect, it } from "vitest";
import { exportFiles, exportZip } from "../../server/io/export.ts";
import { readZip } from "../../server/io/folder.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { plant, restorationSeed } from "./oddRestoration.ts";

let test: TestStore;
let workshopId: string;
let accountId: string;
let planted = 0;

beforeAll(async () => {
  test = await testStore();
  ({ id: workshopId } = await test.store.workshop.create({ data: { name: "Quill Lane Workshop" } }));
  ({ id: accountId } = await test.store.account.create({ data: { workshopId, name: "Restorer" } }));
});
afterAll(() => test.close());

it("a restoration that is exported and imported into itself is not changed, whatever texts it holds", async () => {
  await fc.assert(
    fc.asyncProperty(restorationSeed, async (seed) => {
      const { store } = test;
      planted += 1;
      const restorationId = await plant(store, workshopId, seed, `#${planted}`);
      const set = await readZip(await exportZip(store, workshopId, restorationId));
      const ready = await prepareImport(store, set, { workshopId, accountId, restorationId });
      expect(ready.preview.faults).toEqual([]);
      expect(ready.preview.notices).toEqual([]);
      for (const count of ready.preview.counts) expect(count).toMatchObject({ added: 0, changed: 0, same: count.rows });
      expect((await applyImport(store, ready)).changeId).toBeNull();
    }),
    { numRuns: 10, endOnFailure: true },
  );
}, 120_000);

it("a restoration that is exported, imported as a new one and exported again gives equal files", async () => {
  await fc.assert(
    fc.asyncProperty(restorationSeed, async (seed) => {
      const { store } = test;
      planted += 1;
      const restorationId = await plant(store, workshopId, seed, `#${planted}`);
      const first = await exportFiles(store, workshopId, restorationId);
      const set = await readZip(await exportZip(store, workshopId, restorationId));
      const ready = await prepareImport(store, set, { workshopId, accountId, restorationId: null });
      expect(ready.preview.faults).toEqual([]);
      const imported = await applyImport(store, ready);
      expect(imported.restorationId).not.toBe(restorationId);
      expect(await exportFiles(store, workshopId, imported.restorationId)).toEqual(first);
    }),
    { numRuns: 10, endOnFailure: true },
  );
}, 120_000);
