/** When the shop works and for which day figures are: one for all machines of a workshop, as the plan of each reads it. */

import { graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { asViewer } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { exportFiles } from "../../server/io/export.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { planOf } from "../../server/plan/cache.ts";
import { shopDays } from "../../server/plan/days/shopDays.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import { lookAt, remove, save, saved, undo } from "../api/shop.ts";
import { fileSet } from "../io/fileSet.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let car: string;
let pump: string;
let workshopId: string;
const figuresFor = "2027-01-04";
const WEEK = ["2027-01-11", "2027-01-12", "2027-01-13", "2027-01-14", "2027-01-15"];

beforeAll(async () => {
  server = await startServer();
  car = (await saved(server, "Restoration", { machine: "Car" })).id;
  pump = (await saved(server, "Restoration", { machine: "Pump" })).id;
  for (const restoration of [car, pump])
    await saved(server, "Operation", { restoration, title: "Bore", hoursLikely: 60, trade: "engine" });
  ({ workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: car } }));
  await lookAt(server, figuresFor);
}, 60_000);
afterAll(() => server.close());

const calendar = () => server.store.shopCalendar.findUniqueOrThrow({ where: { workshopId } });
const close = async (dates: readonly string[]) =>
  saved(server, "ShopCalendar", {
    revision: (await calendar()).revision,
    closedDates: dates.map((date) => ({ date, reason: "Boiler out" })),
  });
const ends = async () => Promise.all([car, pump].map(async (id) => (await planOf(server.store, id)).completion.date));
const revisions = async () =>
  (await server.store.restoration.findMany({ orderBy: { id: "asc" } })).map(({ planRevision }) => planRevision);

interface Told {
  figuresFor: string | null;
  day: string;
  calendar: { monday: number };
  closedDates: { edges: { node: { date: string } }[] };
  shopDays: { monday: number; saturday: number };
}
const FIELDS = `figuresFor day calendar { monday } closedDates(first: 100) { edges { node { date } } }
  shopDays { monday saturday }`;
async function told(id: string): Promise<Told> {
  const { data, errors } = await server.query<{ restoration: Told }>(
    `query ($id: ID!) { restoration(id: $id) { ${FIELDS} } }`,
    { id },
  );
  if (errors) throw new Error(JSON.stringify(errors));
  return data!.restoration;
}

describe("the calendar of a shop with two machines", () => {
  test("is one, whichever machine was added", async () => {
    expect(await server.store.shopCalendar.count()).toBe(1);
  });

  test("closes the shop for both, raises the plans of both, and is taken back in one step", async () => {
    const [before, then] = [await ends(), await revisions()];
    const { change } = await close(WEEK);
    expect(change.summary).toBe("Changed shop calendar");
    (await revisions()).forEach((revision, i) => {
      expect(revision).toBeGreaterThan(then[i]!);
    });
    const closed = await ends();
    closed.forEach((end, i) => {
      expect(end! > before[i]!).toBe(true);
    });
    for (const id of [car, pump]) {
      const { closedDates } = await told(id);
      expect(closedDates.edges.map(({ node }) => node)).toEqual(WEEK.map((date) => ({ date })));
      expect(shopDays(await loadRows(server.store, id), figuresFor).closedDates).toEqual(WEEK);
    }
    await undo(server, change.id);
    expect(await ends()).toEqual(before);
    expect((await told(pump)).closedDates.edges).toEqual([]);
  });

  test("keeps each closed date that stays, so that what was saved before can be taken back", async () => {
    const first = await close(["2027-03-01", "2027-03-03"]);
    const kept = () => server.store.closedDate.findMany({ orderBy: { date: "asc" } });
    const [monday, wednesday] = await kept();
    const second = await close(["2027-03-01", "2027-03-02", "2027-03-03"]);
    const now = await kept();
    expect(now).toMatchObject([monday, { date: "2027-03-02", revision: 1 }, wednesday]);
    const { revision } = await calendar();
    const same = now.map(({ date, reason }) => ({ date, reason }));
    expect(await save(server, "ShopCalendar", { revision: revision - 1, monday: 5, closedDates: same })).toMatchObject({
      differences: [{ field: "monday", theirs: "8", yours: "5" }],
    });
    await saved(server, "ShopCalendar", {
      revision: (await calendar()).revision,
      closedDates: [
        { date: "2027-03-01", reason: "Fair" },
        { date: "2027-03-02", reason: "Boiler out" },
      ],
    });
    expect(await kept()).toMatchObject([
      { ...monday, reason: "Fair", revision: 2 },
      { date: "2027-03-02", revision: 1 },
    ]);
    await undo(server, second.change.id);
    expect((await kept()).map(({ date }) => date)).toEqual(["2027-03-01"]);
    expect(await undo(server, first.change.id)).toMatchObject({ __typename: "StaleRow" });
    await close([]);
  });

  test("says that it was changed to whoever saves an older list of closed dates", async () => {
    await close(["2027-03-01"]);
    const { revision } = await calendar();
    const { id, revision: read } = await server.store.closedDate.findFirstOrThrow({ where: { date: "2027-03-01" } });
    const { change } = await remove(server, "CLOSED_DATE", id, read);
    const old = { revision, closedDates: [{ date: "2027-03-01", reason: "Boiler out" }] };
    expect(await save(server, "ShopCalendar", old)).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "closedDates", theirs: "", yours: "2027-03-01 Boiler out" }],
    });
    const then = (await calendar()).revision;
    await undo(server, change.id);
    expect(await save(server, "ShopCalendar", { revision: then, closedDates: [] })).toMatchObject({
      __typename: "StaleRow",
    });
    await close([]);
  });

  test("says of both for which day figures are, in the same record", async () => {
    const { change } = await lookAt(server, "2027-02-01");
    for (const id of [car, pump]) expect(await told(id)).toMatchObject({ figuresFor: "2027-02-01", day: "2027-02-01" });
    await undo(server, change.id);
    for (const id of [car, pump]) expect(await told(id)).toMatchObject({ figuresFor, day: figuresFor });
  });

  test("refuses a day that does not exist, by its field, and what was read before it changed", async () => {
    const { revision } = await calendar();
    expect(await save(server, "ShopCalendar", { revision, figuresFor: "2027-02-30" })).toMatchObject({
      faults: [{ code: "NOT_A_DATE", field: "figuresFor" }],
    });
    expect(await save(server, "ShopCalendar", { revision: revision - 1, monday: 5 })).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "monday", theirs: "8", yours: "5" }],
    });
  });

  test("is open for as long as anybody works, whose hours are told apart from its own", async () => {
    await close(WEEK);
    const { change } = await saved(server, "Hand", { name: "Wat", trades: ["engine"], saturday: 4 });
    for (const id of [car, pump]) {
      expect(await told(id)).toMatchObject({ shopDays: { monday: 8, saturday: 4 } });
      const { data } = await server.query(
        `query ($id: ID!) { restoration(id: $id) { shopDays { hoursOfHands
          handHours(from: "2027-01-11", to: "2027-01-24") { name hours } } } }`,
        { id },
      );
      expect(data).toEqual({
        restoration: { shopDays: { hoursOfHands: [8, 8, 8, 8, 8, 4, 0], handHours: [{ name: "Wat", hours: 48 }] } },
      });
    }
    await undo(server, change.id);
  });

  test("is read by an owner, who changes nothing of it and reads neither who works nor why it is closed", async () => {
    const owner = await server.store.account.create({ data: { workshopId, name: "Odo", role: "OWNER" } });
    await server.store.restoration.update({ where: { id: pump }, data: { ownerAccountId: owner.id } });
    const ask = (source: string) =>
      graphql({
        schema,
        source,
        variableValues: { id: pump },
        contextValue: new Context(server.store, asViewer(owner)),
      });
    const { data } = await ask(`query ($id: ID!) { restoration(id: $id) { ${FIELDS} } }`);
    expect(JSON.parse(JSON.stringify(data))).toEqual({ restoration: await told(pump) });
    const { revision } = await calendar();
    for (const refused of [
      "query ($id: ID!) { restoration(id: $id) { shopDays { hoursOfHands } } }",
      "query ($id: ID!) { restoration(id: $id) { closedDates { edges { node { reason } } } } }",
      `mutation { saveShopCalendar(input: { revision: ${revision}, monday: 1 }) { __typename } }`,
    ]) {
      const { errors, data: answer } = await ask(refused);
      expect(JSON.stringify([errors, answer])).toMatch(/not for your account|NOT_ALLOWED/);
    }
    expect((await calendar()).revision).toBe(revision);
  });

  test("is changed by files for both, which is told before they are imported, unless it is so already", async () => {
    const account = await server.store.account.findFirstOrThrow({ where: { workshopId, role: "RESTORER" } });
    const to = { workshopId, accountId: account.id, restorationId: pump };
    const prepared = (hours: object, closed: string[]) =>
      prepareImport(
        server.store,
        fileSet({ "restoration.json": JSON.stringify({ machine: "Pump", calendar: { hours, closed } }) }),
        to,
      );
    expect((await prepared({ monday: 8 }, WEEK)).preview.notices).toEqual([]);
    const ready = await prepared({ monday: 6 }, ["2027-02-02"]);
    expect(ready.preview.notices).toMatchObject([
      { code: "CHANGES_SHOP", message: "The calendar is the shop's, and these files change it: for Car too." },
    ]);
    const { revision } = await calendar();
    await applyImport(server.store, await prepared({}, ["2027-02-02"]));
    const old = WEEK.map((date) => ({ date, reason: "Boiler out" }));
    expect(await save(server, "ShopCalendar", { revision, closedDates: old })).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "closedDates" }],
    });
    await applyImport(server.store, ready);
    for (const id of [car, pump]) {
      const { calendar: week, closedDates } = await told(id);
      expect(week).toEqual({ monday: 6 });
      expect(closedDates.edges.map(({ node }) => node.date)).toEqual([...WEEK, "2027-02-02"]);
      const written = JSON.parse((await exportFiles(server.store, workshopId, id)).get("restoration.json")!);
      expect(written).toMatchObject({ figuresFor, calendar: { hours: { monday: 6 } } });
      expect(written.calendar.closed).toHaveLength(6);
    }
  });
});
