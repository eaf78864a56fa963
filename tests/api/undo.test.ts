import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { choose, type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

/** Everything of the restoration but what only counts changes. */
async function everything(): Promise<unknown> {
  const { store } = server;
  const tables = [
    store.restoration.findMany({ orderBy: { id: "asc" } }),
    store.shopCalendar.findMany({ orderBy: { id: "asc" } }),
    store.operation.findMany({ orderBy: { id: "asc" } }),
    store.link.findMany({ orderBy: { id: "asc" } }),
    store.need.findMany({ orderBy: { id: "asc" } }),
    store.part.findMany({ orderBy: { id: "asc" } }),
    store.partReference.findMany({ orderBy: { id: "asc" } }),
    store.supplier.findMany({ orderBy: { id: "asc" } }),
    store.quote.findMany({ orderBy: { id: "asc" } }),
    store.priceBreak.findMany({ orderBy: { id: "asc" } }),
    store.snag.findMany({ orderBy: { id: "asc" } }),
    store.remedy.findMany({ orderBy: { id: "asc" } }),
    store.inspection.findMany({ orderBy: { id: "asc" } }),
    store.order.findMany({ orderBy: { id: "asc" } }),
  ];
  const all = await Promise.all(tables.map((table) => table as Promise<Record<string, unknown>[]>));
  return all.map((found) => found.map(({ revision: _r, planRevision: _p, ...content }) => content));
}

const revisionOf = async (table: "part" | "operation" | "supplier" | "quote", id: string): Promise<number> =>
  (await (server.store[table] as typeof server.store.part).findUniqueOrThrow({ where: { id } })).revision;

describe("taking back", () => {
  test("a removed part comes back with its quotes, price breaks, needs, references and choice", async () => {
    await saved(server, "Part", { id: rows.casing, revision: 1, references: [{ book: "Parts book", number: "44" }] });
    await choose(server, rows.casing, rows.quote, 2);
    const before = await everything();
    const gone = await remove(server, "PART", rows.casing, 3);
    expect(gone.__typename).toBe("Saved");
    expect(await server.store.quote.count()).toBe(0);
    expect(await server.store.need.count()).toBe(1);
    expect(await undo(server, gone.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await everything()).toEqual(before);
  });

  test("a removed operation comes back with its links, needs and snags", async () => {
    await saved(server, "Snag", { operation: rows.assemble, title: "Sheared stud" });
    const before = await everything();
    const gone = await remove(server, "OPERATION", rows.assemble, 1);
    expect(await server.store.link.count()).toBe(0);
    await undo(server, gone.change.id);
    expect(await everything()).toEqual(before);
  });

  test("a removed supplier comes back with its quotes, and the plan knows", async () => {
    const before = await everything();
    const { planRevision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    const gone = await remove(server, "SUPPLIER", rows.foundry, 1);
    expect(await server.store.quote.count()).toBe(0);
    await undo(server, gone.change.id);
    expect(await everything()).toEqual(before);
    const after = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    expect(after.planRevision).toBe(planRevision + 2);
  });

  test("a change goes back to what the row held, and an undo can itself be taken back", async () => {
    const before = await everything();
    const changed = await saved(server, "Operation", {
      id: rows.brake,
      revision: 1,
      title: "Fit the drum",
      hoursLikely: 6,
    });
    const after = await everything();
    const back = await undo(server, changed.change.id);
    expect(back.change.summary).toBe("Took back: Changed operation CHA-1, Fit the drum");
    expect(await everything()).toEqual(before);
    const again = await undo(server, back.change.id);
    expect(again.change.summary).toBe("Brought back: Changed operation CHA-1, Fit the drum");
    expect(await everything()).toEqual(after);
    const thirdly = await undo(server, again.change.id);
    expect(thirdly.change.summary).toBe("Took back: Changed operation CHA-1, Fit the drum");
    expect(await everything()).toEqual(before);
    await undo(server, thirdly.change.id);
  });

  test("revisions go on rising, so that nobody writes over what was taken back unseen", async () => {
    const revision = await revisionOf("operation", rows.brake);
    const changed = await saved(server, "Operation", { id: rows.brake, revision, title: "Fit a drum" });
    await undo(server, changed.change.id);
    expect(await revisionOf("operation", rows.brake)).toBe(revision + 2);
  });

  test("an added row is taken out, unless other rows have come to hang on it", async () => {
    const before = await everything();
    const part = await saved(server, "Part", { restoration: rows.restoration, name: "Selector fork" });
    await undo(server, part.change.id);
    expect(await everything()).toEqual(before);

    const used = await saved(server, "Part", { restoration: rows.restoration, name: "Selector rod" });
    const need = await saved(server, "Need", { operation: rows.strip, part: used.id });
    expect(await undo(server, used.change.id)).toMatchObject({ __typename: "Refused", code: "IN_USE" });
    await undo(server, need.change.id);
    expect(await undo(server, used.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await everything()).toEqual(before);
  });

  test("a removed row does not come back while what it hung on is removed too, and says so", async () => {
    const part = await saved(server, "Part", { restoration: rows.restoration, name: "Kick-start quadrant" });
    const need = await saved(server, "Need", { operation: rows.strip, part: part.id });
    const gone = await remove(server, "NEED", need.id, 1);
    const away = await remove(server, "PART", part.id, await revisionOf("part", part.id));
    expect(await undo(server, gone.change.id)).toMatchObject({
      __typename: "Refused",
      code: "IN_USE",
      message: "The need belonged to something that has since been removed: bring that back first.",
    });
    await undo(server, away.change.id);
    expect(await undo(server, gone.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await server.store.need.count({ where: { partId: part.id } })).toBe(1);
  });

  test("a removed row whose code was given again comes back under the next free one, and says so", async () => {
    const { store } = server;
    const add = async (name: string) => (await saved(server, "Part", { restoration: rows.restoration, name })).id;
    const codeOf = async (id: string) => (await store.part.findUnique({ where: { id } }))?.code;
    const first = await add("Sleeve");
    const code = (await codeOf(first))!;
    const gone = await remove(server, "PART", first, 1);
    const second = await add("Sleeve, long");
    const third = await add("Sleeve, short");
    expect(await codeOf(second)).toBe(code);
    const next = String(Number(code) + 2);
    const back = await undo(server, gone.change.id);
    expect(back.change.summary).toBe(
      `Took back: Removed part ${code}, Sleeve; part ${code} is back as part ${next}, since ${code} was given again`,
    );
    expect(await codeOf(first)).toBe(next);
    // Both ways from there: it goes as it came, and comes again under the code that it has by now.
    const again = await undo(server, back.change.id);
    expect(again.change.summary).toBe(`Brought back: Removed part ${code}, Sleeve`);
    expect(await codeOf(first)).toBeUndefined();
    const thirdly = await undo(server, again.change.id);
    expect(thirdly.change.summary).toBe(`Took back: Removed part ${code}, Sleeve`);
    expect(await codeOf(first)).toBe(next);
    for (const id of [first, third, second]) await remove(server, "PART", id, await revisionOf("part", id));
  });

  test("of several that come back only the one whose code was given again has another", async () => {
    const { store } = server;
    const supplier = (await saved(server, "Supplier", { name: "Nether Forge" })).id;
    const quote = async (of: string) =>
      (
        await saved(server, "Quote", {
          part: rows.casing,
          supplier: of,
          provenance: "REMADE",
          unitPriceMinor: 1,
          leadDays: 1,
        })
      ).id;
    const [one, two] = [await quote(supplier), await quote(supplier)];
    const codeOf = async (id: string) => (await store.quote.findUniqueOrThrow({ where: { id } })).code;
    const [code, beside] = [await codeOf(one), await codeOf(two)];
    const gone = await remove(server, "SUPPLIER", supplier, 1);
    const taker = await quote(rows.foundry);
    expect(await codeOf(taker)).toBe(code);
    await undo(server, gone.change.id);
    expect(await codeOf(two)).toBe(beside);
    expect(Number(await codeOf(one))).toBeGreaterThan(Number(beside));
    await remove(server, "QUOTE", taker, 1);
    await remove(server, "SUPPLIER", supplier, await revisionOf("supplier", supplier));
  });

  test("a row without a code that was entered again does not come back beside it, and names what to do", async () => {
    const need = { operation: rows.strip, part: rows.drum };
    const first = await saved(server, "Need", need);
    const gone = await remove(server, "NEED", first.id, 1);
    const again = await saved(server, "Need", need);
    expect(await undo(server, gone.change.id)).toMatchObject({
      __typename: "Refused",
      code: "IN_USE",
      message:
        "The need cannot be as it was: There is one already with the same operation and part. Change or remove the other one first, and take this back then.",
    });
    await remove(server, "NEED", again.id, 1);
    expect(await undo(server, gone.change.id)).toMatchObject({ __typename: "Saved" });
    await remove(server, "NEED", first.id, 1);
  });

  test("a change is taken back once", async () => {
    const changed = await saved(server, "Part", { restoration: rows.restoration, name: "Layshaft" });
    await undo(server, changed.change.id);
    expect(await undo(server, changed.change.id)).toMatchObject({ __typename: "Refused", code: "ALREADY_UNDONE" });
    const { data } = await server.query<{ restoration: { changes: { edges: { node: object }[] } } }>(
      `query ($id: ID!) { restoration(id: $id) { changes(first: 2) { edges { node { summary undone undoOf account { name } } } } } }`,
      { id: rows.restoration },
    );
    expect(data?.restoration.changes.edges.map((edge) => edge.node)).toMatchObject([
      { undone: false, undoOf: changed.change.id, account: { name: "Quill Lane" } },
      { undone: true, undoOf: null },
    ]);
  });

  test("a row changed since is not overwritten: both values are told", async () => {
    const revision = await revisionOf("operation", rows.strip);
    const first = await saved(server, "Operation", { id: rows.strip, revision, title: "Strip the box" });
    await saved(server, "Operation", { id: rows.strip, revision: revision + 1, title: "Strip and wash" });
    const stale = await undo(server, first.change.id);
    expect(stale).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "title", theirs: "Strip and wash", yours: "Strip the gearbox" }],
    });
    expect(await server.store.operation.findUnique({ where: { id: rows.strip } })).toMatchObject({
      title: "Strip and wash",
    });
  });

  test("a whole restoration comes back with its record, from the record of another", async () => {
    const lone = await remove(server, "RESTORATION", rows.restoration, 1);
    expect(lone).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
    const other = await saved(server, "Restoration", { machine: "Motorcycle" });
    const before = await everything();
    const changes = await server.store.change.count({ where: { restorationId: rows.restoration } });
    const gone = await remove(server, "RESTORATION", rows.restoration, 1);
    expect(gone.__typename).toBe("Saved");
    expect(await server.store.operation.count()).toBe(0);
    expect(await server.store.change.count({ where: { restorationId: other.id } })).toBe(2);
    await undo(server, gone.change.id);
    expect(await everything()).toEqual(before);
    expect(await server.store.change.count({ where: { restorationId: rows.restoration } })).toBe(changes);
    expect(await undo(server, other.change.id)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
  });

  test("changes of one row are taken back the newest first, and done again the other way round", async () => {
    const { store } = server;
    const edits: [string, string, object, object][] = [
      ["Part", rows.drum, { name: "Drum, cast" }, { name: "Drum, pressed", notes: "10 inch" }],
      [
        "Quote",
        rows.quote,
        { unitPriceMinor: 61_000, priceBreaks: [{ quantity: 3, unitPriceMinor: 45_000 }] },
        { unitPriceMinor: 59_000, priceBreaks: [{ quantity: 4, unitPriceMinor: 44_000 }] },
      ],
      ["Operation", rows.strip, { hoursLikely: 9 }, { hoursLikely: 11, title: "Strip it all" }],
      ["Supplier", rows.foundry, { name: "Upper Mill" }, { name: "Middle Mill" }],
      ["Restoration", rows.restoration, { owner: "O. Farrant" }, { owner: "Odile F.", capMinor: 5 }],
    ];
    for (const [noun, id, first, then] of edits) {
      const table = (noun[0]!.toLowerCase() + noun.slice(1)) as "part";
      const state = async () => (await everything()) as unknown;
      const change = async (input: object) => {
        const { revision } = await store[table].findUniqueOrThrow({ where: { id } });
        return (await saved(server, noun, { id, revision, ...input })).change.id;
      };
      const before = await state();
      const one = await change(first);
      const between = await state();
      const two = await change(then);
      const after = await state();
      expect(await undo(server, one)).toMatchObject({ __typename: "StaleRow" });
      const back = [await undo(server, two), await undo(server, one)];
      expect(back).toMatchObject([{ __typename: "Saved" }, { __typename: "Saved" }]);
      expect(await state()).toEqual(before);
      expect(await undo(server, back[1]!.change.id)).toMatchObject({ __typename: "Saved" });
      expect(await state()).toEqual(between);
      expect(await undo(server, back[0]!.change.id)).toMatchObject({ __typename: "Saved" });
      expect(await state()).toEqual(after);
    }
  });

  test("of a list only what that change added is taken back, and what was added since stays", async () => {
    const { store } = server;
    const breaks = async (...quantities: number[]) => {
      const { revision } = await store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
      const priceBreaks = quantities.map((quantity) => ({ quantity, unitPriceMinor: 40_000 }));
      return (await saved(server, "Quote", { id: rows.quote, revision, priceBreaks })).change.id;
    };
    await breaks();
    const older = await breaks(5);
    const newer = await breaks(5, 6);
    expect(await undo(server, older)).toMatchObject({ __typename: "Saved" });
    const left = await store.priceBreak.findMany({ where: { quoteId: rows.quote } });
    expect(left.map(({ quantity }) => quantity)).toEqual([6]);
    expect(await undo(server, newer)).toMatchObject({ __typename: "Saved" });
  });

  test("a choice made twice is taken back twice, and a removal between changes of a row is no hindrance", async () => {
    const { store } = server;
    const part = (await saved(server, "Part", { restoration: rows.restoration, name: "Rocker" })).id;
    const quoted = { part, supplier: rows.foundry, provenance: "REMADE", unitPriceMinor: 1, leadDays: 1 };
    const [one, two] = [(await saved(server, "Quote", quoted)).id, (await saved(server, "Quote", quoted)).id];
    const pick = async (quote: string) => choose(server, part, quote, await revisionOf("part", part));
    const chosen = async () => (await store.part.findUniqueOrThrow({ where: { id: part } })).chosenQuoteId;
    const [first, second] = [await pick(one), await pick(two)];
    const gone = await remove(server, "QUOTE", two, await revisionOf("quote", two));
    expect(await chosen()).toBeNull();
    await undo(server, gone.change.id);
    expect(await chosen()).toBe(two);
    await undo(server, second.change.id);
    expect(await chosen()).toBe(one);
    expect(await undo(server, first.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await chosen()).toBeNull();
    await remove(server, "PART", part, await revisionOf("part", part));
  });
});

describe("two who write at once", () => {
  test("one is saved, the other is told both values, and nothing is lost", async () => {
    const revision = await revisionOf("part", rows.drum);
    const results = await Promise.all([
      save(server, "Part", { id: rows.drum, revision, name: "Drum, cast", notes: "10 inch" }),
      save(server, "Part", { id: rows.drum, revision, name: "Drum, pressed" }),
    ]);
    const kinds = results.map((result: Result) => result.__typename).sort();
    expect(kinds).toEqual(["Saved", "StaleRow"]);
    const stored = await server.store.part.findUniqueOrThrow({ where: { id: rows.drum } });
    const stale = results.find((result) => result.__typename === "StaleRow");
    expect(stale?.revision).toBe(revision + 1);
    expect(stored.revision).toBe(revision + 1);
    const name = stale?.differences.find((difference) => difference.field === "name");
    expect(new Set([name?.theirs, name?.yours])).toEqual(new Set(["Drum, cast", "Drum, pressed"]));
    expect(stored.name).toBe(name?.theirs);
  });

  test("a removal of a row changed since is stale", async () => {
    expect(await remove(server, "PART", rows.drum, 1)).toMatchObject({ __typename: "StaleRow" });
  });

  test("many who add at once each get a code of their own", async () => {
    const added = await Promise.all(
      Array.from({ length: 8 }, (_, i) => saved(server, "Part", { restoration: rows.restoration, name: `Bolt ${i}` })),
    );
    const parts = await server.store.part.findMany({ where: { id: { in: added.map((result) => result.id) } } });
    expect(new Set(parts.map((part) => part.code)).size).toBe(8);
  });
});
