/** All machines of the shop: ranked, with what that changes told before, and the order of their work looked for and kept. */
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { loadRows } from "../../server/plan/rows/load.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, lookAt, save, saved, undo } from "./shop.ts";

let server: TestServer;
let car: string;
let pump: string;
beforeAll(async () => {
  server = await startServer();
  car = (await saved(server, "Restoration", { machine: "Car" })).id;
  await lookAt(server, "2027-01-04");
  pump = (await saved(server, "Restoration", { machine: "Pump" })).id;
  await saved(server, "Hand", { name: "Wat", trades: ["engine"] });
}, 60_000);
afterAll(() => server.close());

const work = (restoration: string, title: string, hoursLikely: number, more: object = {}) =>
  saved(server, "Operation", { restoration, title, hoursLikely, trade: "engine", ...more });

interface Moved {
  restoration: { machine: string };
  before: string | null;
  after: string | null;
}
const MOVED = "restoration { machine } before after";

async function asked<T>(query: string, variables: Record<string, unknown> = {}): Promise<T> {
  const { data, errors } = await server.query<T>(query, variables);
  if (errors !== undefined) throw new Error(JSON.stringify(errors));
  return data!;
}
const ends = async () => {
  const { machines } = await asked<{
    machines: { edges: { node: { restoration: { machine: string }; completion: { date: string } | null } }[] };
  }>("{ machines { edges { node { restoration { machine } completion { date } } } } }");
  return machines.edges.map(({ node }) => [node.restoration.machine, node.completion?.date ?? null]);
};
const effect = async (order: string[]) =>
  (
    await asked<{ rankEffect: Moved[] }>(`query ($order: [ID!]!) { rankEffect(order: $order) { ${MOVED} } }`, { order })
  ).rankEffect.map(({ restoration, before, after }) => [restoration.machine, before, after]);
const rank = (order: string[]) => call(server, "rankMachines", "$order: [ID!]!", { order });

interface Found {
  state: string;
  orderOfWork: { ends: Moved[]; sooner: boolean; isKept: boolean; stale: boolean } | null;
}
async function look(restoration: string): Promise<{ id: string; found: NonNullable<Found["orderOfWork"]> }> {
  const { startOrderOfWork } = await asked<{ startOrderOfWork: { id: string } }>(
    "mutation ($restoration: ID!) { startOrderOfWork(restoration: $restoration) { id } }",
    { restoration },
  );
  const found = await vi.waitFor(
    async () => {
      const { job } = await asked<{ job: Found }>(
        `query ($id: ID!) { job(id: $id) { state orderOfWork { ends { ${MOVED} } sooner isKept stale } } }`,
        { id: startOrderOfWork.id },
      );
      expect(job.state).toBe("DONE");
      return job.orderOfWork!;
    },
    { timeout: 30_000, interval: 50 },
  );
  return { id: startOrderOfWork.id, found };
}
const keep = (job: string) => call(server, "keepOrderOfWork", "$job: ID!", { job });

describe("two machines and one hand", () => {
  test("are done in the order in which they were begun with, each by its own dates", async () => {
    await work(car, "Bore", 16);
    await work(pump, "Hone", 24);
    expect(await ends()).toEqual([
      ["Car", "2027-01-05"],
      ["Pump", "2027-01-08"],
    ]);
  });

  test("say what each gains and loses by another order before it is made, and it comes so", async () => {
    const before = await ends();
    expect(await effect([pump, car])).toEqual([
      ["Car", "2027-01-05", "2027-01-08"],
      ["Pump", "2027-01-08", "2027-01-06"],
    ]);
    expect(await ends()).toEqual(before);
    const { change } = await rank([pump, car]);
    expect(change.summary).toBe("Ranked the machines: Pump first");
    expect(await ends()).toEqual([
      ["Pump", "2027-01-06"],
      ["Car", "2027-01-08"],
    ]);
    // The change and its undo tell the same, forth and back.
    const did = async (id: string) =>
      (
        await asked<{ changeEnds: Moved[] }>(`query ($id: ID!) { changeEnds(change: $id) { ${MOVED} } }`, { id })
      ).changeEnds.map(({ restoration, before: from, after }) => [restoration.machine, from, after]);
    expect(await did(change.id)).toEqual([
      ["Pump", "2027-01-08", "2027-01-06"],
      ["Car", "2027-01-05", "2027-01-08"],
    ]);
    const undone = await undo(server, change.id);
    expect(await did(undone.change.id)).toEqual([
      ["Car", "2027-01-08", "2027-01-05"],
      ["Pump", "2027-01-06", "2027-01-08"],
    ]);
    expect(await ends()).toEqual(before);
  });

  test("have their new dates at once when the other's work changes", async () => {
    const { id } = await work(car, "Paint", 8);
    expect(await ends()).toEqual([
      ["Car", "2027-01-06"],
      ["Pump", "2027-01-11"],
    ]);
    await saved(server, "Operation", {
      id,
      revision: 1,
      state: "DONE",
      startedOn: "2027-01-01",
      finishedOn: "2027-01-02",
    });
    expect((await ends())[1]).toEqual(["Pump", "2027-01-08"]);
  });

  test("are not ranked by a list that leaves one out, names one twice, or one of another workshop", async () => {
    expect(await rank([car])).toMatchObject({ __typename: "Refused", code: "STALE" });
    expect(await rank([car, car])).toMatchObject({ __typename: "Refused", code: "STALE" });
    const { errors } = await server.query('mutation { rankMachines(order: ["none"]) { __typename } }');
    expect(errors?.[0]?.extensions?.["code"]).toBe("NOT_FOUND");
  });
});

test("a machine whose work is done is planned alone, whoever asks", async () => {
  const done = (await saved(server, "Restoration", { machine: "Done" })).id;
  await work(done, "Finished", 4, { state: "DONE", startedOn: "2026-12-01", finishedOn: "2026-12-01" });
  const rows = await loadRows(server.store, done);
  expect(rows.machines).toEqual([]);
  expect((await loadRows(server.store, pump)).machines.map(({ restoration }) => restoration.machine)).toEqual([
    "Car",
    "Pump",
  ]);
});

describe("an order of work", () => {
  test("is looked for, says what keeping it changes, is kept, and taken back", async () => {
    const { id, found } = await look(car);
    expect(found).toMatchObject({ sooner: false, isKept: false, stale: false });
    expect(found.ends.map(({ restoration, before, after }) => [restoration.machine, before, after])).toEqual([
      ["Car", "2027-01-05", "2027-01-05"],
      ["Pump", "2027-01-08", "2027-01-08"],
    ]);
    const { change } = await keep(id);
    expect(change.summary).toBe("Kept an order of work");
    const placed = await server.store.operation.findMany({
      where: { place: { not: null } },
      orderBy: { place: "asc" },
      select: { title: true },
    });
    expect(placed).toEqual([{ title: "Bore" }, { title: "Hone" }]);
    expect((await look(car)).found.isKept).toBe(true);
    await undo(server, change.id);
    expect(await server.store.operation.count({ where: { place: { not: null } } })).toBe(0);
  });

  test("is let go, whatever has changed since it was kept", async () => {
    const { id } = await look(car);
    await keep(id);
    const bore = await server.store.operation.findFirstOrThrow({ where: { title: "Bore" } });
    await saved(server, "Operation", { id: bore.id, revision: bore.revision, title: "Bore it" });
    const answer = await asked<{ dropOrderOfWork: { __typename: string } }>(
      "mutation { dropOrderOfWork { __typename } }",
    );
    expect(answer.dropOrderOfWork.__typename).toBe("Saved");
    expect(await server.store.operation.count({ where: { place: { not: null } } })).toBe(0);
  });

  test("that was looked for before a change is not kept", async () => {
    const { id } = await look(pump);
    await work(pump, "Rings", 4);
    expect(await keep(id)).toMatchObject({ __typename: "Refused", code: "STALE" });
    const { errors } = await server.query('mutation { keepOrderOfWork(job: "none") { __typename } }');
    expect(errors?.[0]?.extensions?.["code"]).toBe("NOT_FOUND");
  });

  test("is looked for once where two ask at the same time", async () => {
    const begin = () =>
      asked<{ startOrderOfWork: { id: string } }>(
        "mutation ($restoration: ID!) { startOrderOfWork(restoration: $restoration) { id } }",
        { restoration: car },
      );
    const [one, other] = await Promise.all([begin(), begin()]);
    expect(one.startOrderOfWork.id).toBe(other.startOrderOfWork.id);
  });

  test("is not looked for where nobody works, or all work is done", async () => {
    const empty = (await saved(server, "Restoration", { machine: "Lathe" })).id;
    const { errors } = await server.query("mutation ($id: ID!) { startOrderOfWork(restoration: $id) { id } }", {
      id: empty,
    });
    expect(errors?.[0]?.extensions?.["code"]).toBe("NOT_ALLOWED");
  });

  test("has places that are whole numbers from 1, unlike what a form could send", async () => {
    const result = await save(server, "Operation", {
      restoration: pump,
      title: "Odd",
      hoursLikely: 1,
      place: 0,
    } as object).catch((error: Error) => error.message);
    expect(String(result)).toContain("place");
  });
});
