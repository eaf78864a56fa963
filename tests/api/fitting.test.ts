import { afterAll, beforeAll, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

test("a safety-critical part is not fitted without an inspection on record, and the record then stays", async () => {
  const done = { id: rows.brake, state: "DONE", finishedOn: "2027-01-04" };
  expect(await save(server, "Operation", { ...done, revision: 1 })).toMatchObject({
    __typename: "Refused",
    code: "INSPECTION_MISSING",
    rows: ["2"],
  });
  const inspection = await saved(server, "Inspection", {
    part: rows.drum,
    operation: rows.brake,
    inspector: "A. Fitter",
    inspectedOn: "2027-01-04",
    what: "Crack test, dye",
  });
  await saved(server, "Operation", { ...done, revision: 1 });
  const refused = { __typename: "Refused", code: "INSPECTION_MISSING" };
  expect(await remove(server, "INSPECTION", inspection.id, 1)).toMatchObject(refused);
  expect(await undo(server, inspection.change.id)).toMatchObject(refused);
  expect(await save(server, "Inspection", { id: inspection.id, revision: 1, part: rows.casing })).toMatchObject(
    refused,
  );
  expect(await server.store.inspection.count({ where: { partId: rows.drum } })).toBe(1);
});

test("work that is done cannot come to need a safety-critical part that nobody inspected", async () => {
  const shoe = await saved(server, "Part", { restoration: rows.restoration, name: "Brake shoe", safetyCritical: true });
  expect(await save(server, "Need", { operation: rows.brake, part: shoe.id })).toMatchObject({
    __typename: "Refused",
    code: "INSPECTION_MISSING",
  });
});

test("an operation waits for its predecessors and for its snags", async () => {
  const done = { id: rows.assemble, state: "DONE" };
  expect(await save(server, "Operation", { ...done, revision: 1 })).toMatchObject({
    code: "PREDECESSOR_NOT_DONE",
    rows: ["ENG-1"],
  });
  await saved(server, "Operation", { id: rows.strip, revision: 1, state: "DONE" });
  const snag = await saved(server, "Snag", { operation: rows.assemble, title: "Cracked lug" });
  expect(await save(server, "Operation", { ...done, revision: 1 })).toMatchObject({ code: "OPEN_SNAG", rows: ["1"] });
  await saved(server, "Snag", { id: snag.id, revision: 1, clearedOn: "2027-01-04" });
  expect(await save(server, "Operation", { ...done, revision: 1 })).toMatchObject({ __typename: "Saved" });
});

test("a safety-critical part comes with its cautions, another part with none", async () => {
  const caution = async (id: string) =>
    (await server.query<{ part: { caution: string | null } }>("query ($id: ID!) { part(id: $id) { caution } }", { id }))
      .data?.part.caution;
  expect(await caution(rows.drum)).toMatch(/asbestos.*Local codes/);
  expect(await caution(rows.casing)).toBeNull();
});
