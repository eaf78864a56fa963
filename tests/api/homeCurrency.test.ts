/** A restoration's own currency: what is in it never turns into as much of another. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { exportZip } from "../../server/io/export.ts";
import { readZip } from "../../server/io/folder.ts";
import { prepareImport } from "../../server/io/import.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const now = () => server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
const set = async (input: object): Promise<Result> => {
  const { id, revision } = await now();
  return save(server, "Restoration", { id, revision, ...input });
};
const told = ({ faults }: Result) => faults.map(({ code, field, message }) => [code, field, message]);

it("is another only where each amount is said again in the same step, or cleared", async () => {
  await set({ capMinor: 1_450_000, hourlyRateMinor: 3_800 });
  const silent = await set({ currency: "EUR", capMinor: 1_700_000 });
  expect(told(silent)).toEqual([
    ["REQUIRED", "hourlyRateMinor", "hourly rate must be given in EUR too, or cleared: it was said in GBP."],
  ]);
  expect(await now()).toMatchObject({ currency: "GBP", capMinor: 1_450_000 });
  const moved = await set({ currency: "EUR", capMinor: 1_450_000, hourlyRateMinor: null });
  expect(moved).toMatchObject({ __typename: "Saved" });
  expect(await now()).toMatchObject({ currency: "EUR", capMinor: 1_450_000, hourlyRateMinor: null });
  expect(await undo(server, moved.change.id)).toMatchObject({ __typename: "Saved" });
  expect(await now()).toMatchObject({ currency: "GBP", capMinor: 1_450_000, hourlyRateMinor: 3_800 });
});

it("stays while a trade has a rate or a part an estimate in it, which are named", async () => {
  const ofTrade = await saved(server, "TradeRate", {
    restoration: rows.restoration,
    trade: "engine",
    rateMinor: 4_000,
  });
  const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.drum } });
  const estimated = await saved(server, "Part", { id: part.id, revision: part.revision, estimateMinor: 9_000 });
  const kept = await set({ currency: "EUR", capMinor: null, hourlyRateMinor: null });
  expect(told(kept)).toEqual([
    [
      "REFUSED",
      "currency",
      `currency must stay GBP while these have a rate or an estimate in it: trade rate engine, part ${part.code}. Clear those, and give them again in EUR.`,
    ],
  ]);
  await undo(server, estimated.change.id);
  const removed = await remove(server, "TRADE_RATE", ofTrade.id, ofTrade.revision);
  const moved = await set({ currency: "EUR", capMinor: null, hourlyRateMinor: null });
  expect(moved).toMatchObject({ __typename: "Saved" });
  // What was taken out in pounds does not come back in euros, and an estimate in euros does not turn into pounds.
  const refused = await undo(server, removed.change.id);
  expect(refused).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
  expect(refused.message).toContain("was said in GBP, and the restoration is kept in EUR now");
  const { revision } = await server.store.part.findUniqueOrThrow({ where: { id: part.id } });
  const inEuros = await saved(server, "Part", { id: part.id, revision, estimateMinor: 10_000 });
  expect((await undo(server, moved.change.id)).message).toContain("The currency must stay EUR while these");
  await undo(server, inEuros.change.id);
  expect(await undo(server, moved.change.id)).toMatchObject({ __typename: "Saved" });
  expect(await undo(server, removed.change.id)).toMatchObject({ __typename: "Saved" });
});

it("stays once something is in the ledger, by the API, by a file and by undo; and what is exported reads back in", async () => {
  const { store } = server;
  const ofTrade = await store.tradeRate.findFirstOrThrow({
    where: { restorationId: rows.restoration, trade: "engine" },
  });
  await remove(server, "TRADE_RATE", ofTrade.id, ofTrade.revision);
  const moved = await set({ currency: "EUR", capMinor: null, hourlyRateMinor: null });
  const order = (await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04", totalMinor: 64_000 })).id;
  await saved(server, "Payment", { order, kind: "DEPOSIT", paidOn: "2027-01-04", amountMinor: 100, rate: "1.17" });
  const kept = await set({ currency: "GBP" });
  expect(told(kept)).toMatchObject([["LEDGER", "currency", expect.stringContaining("the ledger has an entry in it")]]);
  expect(told(kept)[0]![2]).toContain("bring the others in as a new restoration");
  expect(await undo(server, moved.change.id)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
  const { workshopId, id } = await now();
  const { id: accountId } = await store.account.findFirstOrThrow();
  const exported = await readZip(await exportZip(store, workshopId, id));
  const faultsOf = async (restorationId: string | null) =>
    (await prepareImport(store, exported, { workshopId, accountId, restorationId })).preview.faults.map(
      ({ code, file, field }) => [code, file, field],
    );
  expect(await faultsOf(id)).toEqual([]);
  expect(await faultsOf(null)).toEqual([]);
  const text = new TextDecoder().decode(exported.files.get("restoration.json")!);
  exported.files.set("restoration.json", new TextEncoder().encode(text.replace('"EUR"', '"GBP"')));
  expect(await faultsOf(id)).toEqual([["LEDGER", "restoration.json", "currency"]]);
});
