import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { planOf } from "../../server/plan/cache.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import { patchRows } from "../../server/plan/rows/patch.ts";
import { type Entry, onCommit, record } from "../../server/store/journal.ts";
import { PROVENANCES } from "../../server/store/rules.ts";
import { undo } from "../../server/store/undo.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { type TestStore, testStore } from "../support/store.ts";

let database: TestStore;
let restorationId: string;
let accountId: string;
let written: readonly Entry[] = [];

beforeAll(async () => {
  database = await testStore();
  restorationId = (await largeRestoration(database.store, { parts: 12, operations: 15 })).id;
  const { workshopId } = await database.store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
  accountId = (await database.store.account.create({ data: { workshopId, name: "Quill Lane" } })).id;
  onCommit(database.store, (commit) => {
    written = commit.entries;
  });
});
afterAll(() => database.close());

let added = 0;

const TABLES = [
  "tradeRate",
  "operation",
  "operationWay",
  "part",
  "ruledOut",
  "link",
  "need",
  "quote",
  "knockOn",
] as const;
type Table = (typeof TABLES)[number];
interface Step {
  table: Table;
  act: string;
  pick: number;
  number: number;
}
const step: fc.Arbitrary<Step> = fc.record({
  table: fc.constantFrom(...TABLES),
  act: fc.constantFrom("add", "change", "remove", "take back"),
  pick: fc.nat(),
  number: fc.integer({ min: 1, max: 90 }),
});

/** One recorded change of one row, whichever the step picks. */
async function change({ table, act, pick, number }: Step): Promise<void> {
  const { store } = database;
  const one = async (name: Table) => {
    const below = name === "ruledOut" ? "part" : name === "knockOn" ? "quote" : null;
    const rows = await (store[name] as typeof store.operation).findMany({
      where: below === null ? { restorationId } : { [below]: { restorationId } },
      orderBy: { id: "asc" },
    });
    return rows[pick % Math.max(1, rows.length)];
  };
  if (act === "take back") {
    const last = await store.change.findFirst({
      where: { restorationId, undoneBy: null },
      orderBy: [{ at: "desc" }, { id: "desc" }],
    });
    if (last !== null) await undo(store, last, accountId);
    return;
  }
  const row = await one(table);
  const [operation, part, quote] = [await one("operation"), await one("part"), await one("quote")];
  await record(store, { restorationId, accountId, summary: `${act} ${table}` }, async (journal) => {
    const code = `new-${++added}`;
    if (act === "add" || row === undefined) {
      if (table === "operation")
        await journal.create("operation", { restorationId, code, title: code, hoursLikely: number });
      if (table === "part") await journal.create("part", { restorationId, code, name: code });
      if (table === "tradeRate") await journal.create("tradeRate", { restorationId, trade: code });
      if (table === "operationWay" && operation !== undefined)
        await journal.create("operationWay", {
          restorationId,
          code,
          title: code,
          operationId: operation.id,
          currency: "GBP",
          hours: number,
        });
      if (table === "ruledOut" && part !== undefined)
        await journal.create("ruledOut", { partId: part.id, provenance: PROVENANCES[number % PROVENANCES.length]! });
      if (table === "knockOn" && quote !== undefined)
        await journal.create("knockOn", { quoteId: quote.id, title: code, currency: "GBP", hours: number });
    } else if (act === "change") {
      if (table === "operation")
        await journal.update("operation", row.id, row.revision, { hoursLikely: number, code, hands: number });
      if (table === "tradeRate") await journal.update("tradeRate", row.id, row.revision, { rateMinor: number });
      if (table === "part") await journal.update("part", row.id, row.revision, { stateOnHand: "IN_HAND" });
      if (table === "operationWay") {
        const { operationId } = row as unknown as { operationId: string };
        const of = await journal.tx.operation.findUniqueOrThrow({ where: { id: operationId } });
        await journal.update("operation", of.id, of.revision, {
          chosenWayId: of.chosenWayId === row.id ? null : row.id,
        });
        await journal.update("operationWay", row.id, row.revision, { days: number });
      }
      if (table === "knockOn") await journal.update("knockOn", row.id, row.revision, { hours: number });
      if (table === "link") await journal.update("link", row.id, row.revision, { lag: number });
      if (table === "quote") await journal.update("quote", row.id, row.revision, { leadDays: number });
    } else await journal.remove(table, row.id, row.revision);
  });
}

const ROWS = ["hands", "operations", "ways", "links", "needs", "parts", "ruledOut", "quotes", "knockOns"] as const;

describe("rows kept for the plan", () => {
  it("brought up to date by each change are the rows that the store then holds", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 6 }), async (steps) => {
        for (const each of steps) {
          const before = await loadRows(database.store, restorationId);
          written = [];
          try {
            await change(each);
          } catch (error) {
            // What is ruled out twice is refused, and what was changed since is not taken back: nothing is written.
            if (!["INVALID_INPUT", "STALE_ROW", "IN_USE"].includes((error as { code?: string }).code ?? ""))
              throw error;
          }
          const patched = patchRows(before, written);
          const after = await loadRows(database.store, restorationId);
          for (const list of ROWS) {
            const byId = (rows: readonly { id?: string }[]) => [...rows].sort((a, b) => (a.id! < b.id! ? -1 : 1));
            expect(byId(patched[list])).toMatchObject(byId(after[list]));
            expect(patched[list].length).toBe(after[list].length);
          }
          expect(patched.operations.map((o) => o.code)).toEqual(after.operations.map((o) => o.code));
          expect(patched.ways.map((w) => w.code)).toEqual(after.ways.map((w) => w.code));
        }
      }),
      { numRuns: 30 },
    );
  });

  it("show in the next plan what a change by another process did", async () => {
    const { store } = database;
    // Its own restoration: the drawn changes above can leave any operation done, and a done one's hours move nothing.
    const { id } = await largeRestoration(store, { parts: 12, operations: 15 });
    const before = await planOf(store, id);
    const operation = await store.operation.findFirstOrThrow({ where: { restorationId: id } });
    await store.operation.update({ where: { id: operation.id }, data: { hoursLikely: 5_000 } });
    await store.restoration.update({ where: { id }, data: { planRevision: { increment: 1 } } });
    const after = await planOf(store, id);
    expect(after.completion.hoursWithOpenInHand).toBeGreaterThan(before.completion.hoursWithOpenInHand);
  });

  it("take what a maker delivered to another restoration of the workshop into the makers' records at once", async () => {
    const { store } = database;
    const [here, there] = [
      await largeRestoration(store, { parts: 6, operations: 6 }),
      await largeRestoration(store, { parts: 6, operations: 6 }),
    ];
    const asked = { figuresFor: "2026-11-23", confidence: 0.8 };
    const orderBys = async () => (await planOf(store, here.id, asked)).ladder.map(({ id, orderBy }) => [id, orderBy]);
    const quote = await store.quote.findFirstOrThrow({ where: { restorationId: there.id } });
    const occasion = { restorationId: there.id, accountId, summary: "An order" };
    const placed = { placedOn: "2026-08-03", promisedOn: "2026-09-01", totalMinor: 8_400, currency: "GBP" };
    const { partId } = quote;
    let order = { id: "", revision: 0 };
    await record(store, occasion, async (journal) => {
      order = await journal.create("order", {
        ...{ restorationId: there.id, code: "O900", partId, quoteId: quote.id },
        ...placed,
      });
    });
    const before = await orderBys();
    await record(store, occasion, (journal) =>
      journal.update("order", order.id, order.revision, { state: "ARRIVED", arrivedOn: "2027-06-20" }),
    );
    const after = await orderBys();
    expect(after).not.toEqual(before);
    const fresh = computePlan(await loadRows(store, here.id), asked).ladder.map(({ id, orderBy }) => [id, orderBy]);
    expect(after).toEqual(fresh);
  });

  it("give the same plan while nothing has changed", async () =>
    expect(await planOf(database.store, restorationId)).toBe(await planOf(database.store, restorationId)));
});
