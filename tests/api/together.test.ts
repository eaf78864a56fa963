/** Rows chosen in a list and changed or removed together: all of them or none, as one change. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { hashOf } from "../../server/access/secret.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, otherShop, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let other: Record<string, string>;

beforeAll(async () => {
  server = await startServer();
  other = await otherShop(server.store);
});
afterAll(() => server.close());
beforeEach(async () => {
  rows = await shop(server);
});

type Kind = "part" | "operation";
const found = async (kind: Kind, id: string) =>
  (await (server.store[kind] as typeof server.store.part).findUniqueOrThrow({ where: { id } })) as unknown as Record<
    string,
    unknown
  > & { id: string; revision: number; code: string };
const read = async (kind: Kind, ...ids: string[]) =>
  Promise.all(ids.map(async (id) => ({ id, revision: (await found(kind, id)).revision })));
const parts = (of: object[], input: object) =>
  call(server, "changeParts", "$rows: [ReadRow!]!, $input: PartsInput!", { rows: of, input });
const operations = (of: object[], input: object) =>
  call(server, "changeOperations", "$rows: [ReadRow!]!, $input: OperationsInput!", { rows: of, input });
const removed = (row: string, of: object[]) =>
  call(server, "removeSeveral", "$row: RowKind!, $rows: [ReadRow!]!", { row, rows: of });

/** All rows of parts and operations with what hangs on them, and how many changes there are. */
async function everything() {
  const { store } = server;
  const orderBy = { id: "asc" } as const;
  const all = await Promise.all([
    store.part.findMany({ orderBy }),
    store.operation.findMany({ orderBy }),
    store.link.findMany({ orderBy }),
    store.need.findMany({ orderBy }),
    store.quote.findMany({ orderBy }),
  ]);
  return { all, changes: await store.change.count() };
}
const withoutRevisions = ({ all }: Awaited<ReturnType<typeof everything>>) =>
  all.map((of) => of.map(({ revision: _r, ...content }) => content));

describe("several parts", () => {
  test("are changed as one change, which one undo takes back", async () => {
    const before = await everything();
    const result = await parts(await read("part", rows.casing, rows.drum), { stateOnHand: "NEEDS_WORK", quantity: 3 });
    expect(result).toMatchObject({ __typename: "Saved", id: rows.restoration });
    expect(result.change.summary).toBe("Changed 2 parts: quantity and state on hand");
    expect(await found("part", rows.casing)).toMatchObject({ stateOnHand: "NEEDS_WORK", quantity: 3, revision: 2 });
    expect(await found("part", rows.drum)).toMatchObject({ stateOnHand: "NEEDS_WORK", quantity: 3, group: "brakes" });
    expect(await server.store.change.count()).toBe(before.changes + 1);
    expect(await undo(server, result.change.id)).toMatchObject({ __typename: "Saved" });
    expect(withoutRevisions(await everything())).toEqual(withoutRevisions(before));
  });

  test("are told each fault by row and field, and none is changed", async () => {
    const before = await everything();
    const result = await parts(await read("part", rows.casing, rows.drum), { quantity: 0, group: "axle" });
    expect(result.__typename).toBe("InvalidInput");
    const codes = await Promise.all([rows.casing, rows.drum].map(async (id) => (await found("part", id)).code));
    expect(result.faults.map(({ row, field, code }) => [row, field, code])).toEqual(
      codes.map((code) => [code, "quantity", "OUT_OF_RANGE"]),
    );
    expect(await everything()).toEqual(before);
  });

  test("of which somebody changed one meanwhile are told that one, and none is changed", async () => {
    const of = await read("part", rows.casing, rows.drum);
    await saved(server, "Part", { id: rows.drum, revision: 1, group: "rear axle" });
    const before = await everything();
    const answer = await server.query<{ changeParts: object }>(
      `mutation ($rows: [ReadRow!]!) { changeParts(rows: $rows, input: { group: "engine" }) {
        ... on StaleRow { code id revision row differences { field theirs yours } } } }`,
      { rows: of },
    );
    expect(answer.data!.changeParts).toEqual({
      code: "STALE_ROW",
      id: rows.drum,
      revision: 2,
      row: `part ${(await found("part", rows.drum)).code}, Brake drum`,
      differences: [{ field: "group", theirs: "rear axle", yours: "engine" }],
    });
    expect(await everything()).toEqual(before);
  });

  test("are not changed where one is another workshop's, gone, of another restoration, or named twice", async () => {
    const [own] = await read("part", rows.casing);
    const further = await shop(server);
    const gone = (await saved(server, "Part", { restoration: rows.restoration, name: "Horn" })).id;
    await remove(server, "PART", gone, 1);
    const before = await everything();
    for (const [id, message] of [
      [other.part, /no longer there/],
      [gone, /no longer there/],
      [further.casing, /another restoration/],
    ] as const) {
      const result = await parts([own!, { id, revision: 1 }], { group: "engine" });
      expect(result.faults).toMatchObject([{ code: "UNKNOWN_ROW", field: "rows", value: id }]);
      expect(result.faults[0]!.message).toMatch(message);
      expect(await removed("PART", [own!, { id, revision: 1 }])).toMatchObject({ __typename: "InvalidInput" });
    }
    expect((await parts([own!, own!], { group: "engine" })).faults).toMatchObject([{ code: "DUPLICATE" }]);
    expect((await parts([], { group: "engine" })).faults).toMatchObject([{ code: "REQUIRED", field: "rows" }]);
    expect((await parts([own!], {})).faults).toMatchObject([{ code: "REQUIRED", field: "input" }]);
    const many = Array.from({ length: 201 }, (_, i) => ({ id: `${i}`, revision: 1 }));
    expect((await parts(many, { group: "engine" })).faults).toMatchObject([{ code: "TOO_LARGE", field: "rows" }]);
    expect(await everything()).toEqual(before);
  });

  test("are changed by nobody but a restorer", async () => {
    const { id: workshopId } = await server.store.workshop.findFirstOrThrow({ where: { demo: true } });
    const before = await everything();
    const [own] = await read("part", rows.casing);
    for (const role of ["OWNER", "MEMBER"] as const) {
      const secret = role.repeat(8);
      await server.store.account.create({
        data: {
          workshopId,
          name: role,
          role,
          signIns: { create: { secretHash: hashOf(secret), endsAt: new Date(Date.now() + 1e9) } },
        },
      });
      const { data, errors } = await server.query<Record<string, { code: string }>>(
        `mutation ($rows: [ReadRow!]!) {
          changeParts(rows: $rows, input: { group: "engine" }) { ... on Refused { code } }
        }`,
        { rows: [own] },
        `lastbolt=${secret}`,
      );
      expect(data?.["changeParts"]?.code ?? errors?.[0]?.extensions?.["code"]).toBe("NOT_ALLOWED");
    }
    expect(await everything()).toEqual(before);
  });

  test("are removed as one change with what hangs on them, and come back by one undo", async () => {
    const before = await everything();
    const result = await removed("PART", await read("part", rows.casing, rows.drum));
    expect(result.change.summary).toMatch(/^Removed 2 parts: .+ and .+$/);
    expect(await server.store.part.count({ where: { restorationId: rows.restoration } })).toBe(0);
    expect(await server.store.need.count({ where: { restorationId: rows.restoration } })).toBe(0);
    expect(await server.store.change.count()).toBe(before.changes + 1);
    await undo(server, result.change.id);
    expect(withoutRevisions(await everything())).toEqual(withoutRevisions(before));
  });

  test("of which one has an order are not removed, and it is said which", async () => {
    await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04", quantity: 1 });
    const before = await everything();
    const result = await removed("PART", await read("part", rows.drum, rows.casing));
    expect(result).toMatchObject({ __typename: "Refused", code: "HAS_ORDERS" });
    expect(result.message).toMatch(/^Part \d+, Gearbox casing: The part has orders placed/);
    expect(await everything()).toEqual(before);
    const stale = await removed("PART", [{ id: rows.drum, revision: 7 }, ...(await read("part", rows.casing))]);
    expect(stale.__typename).toBe("StaleRow");
    expect(await everything()).toEqual(before);
  });
});

describe("several operations", () => {
  test("are done together though one comes before another, in whichever order they are named", async () => {
    const done = { state: "DONE", finishedOn: "2027-01-04" };
    const result = await operations(await read("operation", rows.assemble, rows.strip), done);
    expect(result.change.summary).toBe("Changed 2 operations: finished on and state");
    expect(await found("operation", rows.assemble)).toMatchObject(done);
    await undo(server, result.change.id);
    expect(await found("operation", rows.strip)).toMatchObject({ state: "NOT_STARTED", finishedOn: null });
  });

  test("of which some may not be done yet stay as they are, and each is told with what is missing", async () => {
    const before = await everything();
    const result = await operations(await read("operation", rows.assemble, rows.brake), { state: "DONE" });
    expect(result).toMatchObject({ __typename: "Refused", code: "PREDECESSOR_NOT_DONE" });
    const [strip, assemble, brake, drum] = await Promise.all([
      found("operation", rows.strip),
      found("operation", rows.assemble),
      found("operation", rows.brake),
      found("part", rows.drum),
    ]);
    expect(result.message).toBe(
      `Operation ${assemble.code}, Assemble the gearbox: These operations come first: ${strip.code}. ` +
        `Operation ${brake.code}, Fit the brake drum: Safety-critical parts are fitted only with an inspection on record: ${drum.code}.`,
    );
    expect(result.rows).toEqual([strip.code, drum.code]);
    expect(await everything()).toEqual(before);
    // One alone is refused the same.
    const alone = await save(server, "Operation", { id: rows.brake, revision: 1, state: "DONE" });
    expect(alone).toMatchObject({ __typename: "Refused", code: "INSPECTION_MISSING" });
  });

  test("of which many may not be done are told five reasons, and how many more there are", async () => {
    const add = async (title: string) =>
      (await saved(server, "Operation", { restoration: rows.restoration, title, hoursLikely: 1 })).id;
    const later: string[] = [];
    for (let i = 0; i < 7; i += 1) {
      const [before, after] = [await add(`Clean ${i}`), await add(`Paint ${i}`)];
      await saved(server, "Link", { before, after });
      later.push(after);
    }
    const result = await operations(await read("operation", ...later), { state: "DONE" });
    expect(result.message.match(/These operations come first/g)).toHaveLength(5);
    expect(result.message).toMatch(/ Others are refused too: 2 further reasons\.$/);
    expect(result.rows).toHaveLength(7);
  });

  test("of which one started after the day given, or on a day to come, are told so by row and field", async () => {
    await saved(server, "Operation", { id: rows.strip, revision: 1, state: "UNDER_WAY", startedOn: "2027-01-03" });
    const both = await read("operation", rows.strip, rows.brake);
    const early = await operations(both, { finishedOn: "2027-01-01" });
    const [strip, brake] = await Promise.all([found("operation", rows.strip), found("operation", rows.brake)]);
    expect(early.faults).toMatchObject([{ row: strip.code, field: "finishedOn", code: "ORDER_OF_VALUES" }]);
    const ahead = await operations(both, { startedOn: "2031-01-01" });
    expect(ahead.faults.map(({ row, field, code }) => [row, field, code])).toEqual([
      [strip.code, "startedOn", "OUT_OF_RANGE"],
      [brake.code, "startedOn", "OUT_OF_RANGE"],
    ]);
  });

  test("get a trade as it is spelt elsewhere, and spelt anew where all that have it are among them", async () => {
    const both = () => read("operation", rows.strip, rows.assemble);
    const further = await shop(server);
    await operations(await both(), { trade: " CHASSIS " });
    expect(await found("operation", rows.strip)).toMatchObject({ trade: "chassis" });
    await operations(await both(), { trade: "Pump", hands: 2 });
    await operations(await both(), { trade: "PUMP" });
    expect(await found("operation", rows.strip)).toMatchObject({ trade: "PUMP", hands: 2 });
    expect(await found("operation", further.strip)).toMatchObject({ trade: "engine" });
  });

  test("are removed together with the links between them, and come back", async () => {
    const before = await everything();
    const result = await removed("OPERATION", await read("operation", rows.strip, rows.assemble));
    expect(result.change.summary).toMatch(/^Removed 2 operations: .+ and .+$/);
    expect(await server.store.link.count({ where: { restorationId: rows.restoration } })).toBe(0);
    await undo(server, result.change.id);
    expect(withoutRevisions(await everything())).toEqual(withoutRevisions(before));
  });
});
