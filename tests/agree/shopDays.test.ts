/** The days on which the shop is closed: told on each machine's sheet as the plan reads them, whichever machine they are entered with. */

import { graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { asViewer } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/context.ts";
import { schema } from "../../server/api/schema.ts";
import { prepareImport } from "../../server/io/import.ts";
import { loadRows } from "../../server/plan/load.ts";
import { shopDays } from "../../server/plan/shopDays.ts";
import { saved } from "../api/shop.ts";
import { fileSet } from "../io/fileSet.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let car: string;
let pump: string;
const figuresFor = "2027-01-04";
const WEEK = ["2027-01-11", "2027-01-12", "2027-01-13", "2027-01-14", "2027-01-15"];

beforeAll(async () => {
  server = await startServer();
  car = (await saved(server, "Restoration", { machine: "Car", figuresFor })).id;
  pump = (await saved(server, "Restoration", { machine: "Pump", figuresFor })).id;
  for (const restoration of [car, pump])
    await saved(server, "Operation", { restoration, title: "Bore", hoursLikely: 60, trade: "engine" });
  await close(car, [...WEEK, "2027-02-01"], "Boiler out");
  await close(pump, ["2027-02-01"], "Fair");
}, 60_000);
afterAll(() => server.close());

async function close(restoration: string, dates: readonly string[], reason: string): Promise<void> {
  const { revision } = await server.store.shopCalendar.findUniqueOrThrow({ where: { restorationId: restoration } });
  const closedDates = dates.map((date) => ({ date, reason }));
  await saved(server, "ShopCalendar", { restoration, revision, closedDates });
}

interface Days {
  monday: number;
  saturday: number;
  hoursOfOthers: number[];
  closedDates: { edges: { node: { date: string; reason: string; enteredWith: { machine: string } | null } }[] };
  handHours?: { name: string; hours: number }[];
}
async function daysOf(restoration: string, more = ""): Promise<Days> {
  const { data, errors } = await server.query<{ restoration: { shopDays: Days } }>(
    `query ($id: ID!) { restoration(id: $id) { shopDays {
      monday saturday hoursOfOthers closedDates(first: 100) { edges { node { date reason enteredWith { machine } } } } ${more}
    } } }`,
    { id: restoration },
  );
  if (errors) throw new Error(JSON.stringify(errors));
  return data!.restoration.shopDays;
}
const told = ({ closedDates }: Days) =>
  closedDates.edges.map(({ node }) => [node.date, node.reason, node.enteredWith?.machine ?? null]);
const planDays = async (restoration: string) => shopDays(await loadRows(server.store, restoration), figuresFor);

describe("a week closed with one of two machines", () => {
  test("closes it alone where nobody is entered", async () => {
    expect(told(await daysOf(pump))).toEqual([["2027-02-01", "Fair", "Pump"]]);
    expect((await daysOf(pump, 'handHours(from: "2027-01-01", to: "2027-01-31") { name hours }')).handHours).toEqual(
      [],
    );
  });

  test("is told on the other's sheet with the machine that it is entered with, and both sheets agree with the plan", async () => {
    await saved(server, "Hand", { name: "Wat", trades: ["engine"], saturday: 4 });
    expect(told(await daysOf(pump))).toEqual([
      ...WEEK.map((date) => [date, "Boiler out", "Car"]),
      ["2027-02-01", "Fair", "Pump"],
      ["2027-02-01", "Boiler out", "Car"],
    ]);
    for (const id of [car, pump]) {
      const days = await daysOf(id);
      const plan = await planDays(id);
      expect([...new Set(told(days).map(([date]) => date))]).toEqual(plan.closedDates);
      expect([days.monday, days.saturday]).toEqual([plan.weekdayHours[0], plan.weekdayHours[5]]);
      expect(days.saturday).toBe(4);
    }
  });

  test("is no part of what hands work, who are told by their own hours", async () => {
    const hours = 'handHours(from: "2027-01-11", to: "2027-01-24") { name hours }';
    for (const id of [car, pump]) expect((await daysOf(id, hours)).handHours).toEqual([{ name: "Wat", hours: 48 }]);
  });

  test("leaves the shop open as the hands and the other machine have it, whatever its own calendar says", async () => {
    const { id, revision } = await server.store.shopCalendar.findUniqueOrThrow({ where: { restorationId: pump } });
    await saved(server, "ShopCalendar", { restoration: pump, revision, sunday: 2 });
    expect((await daysOf(pump)).hoursOfOthers).toEqual([8, 8, 8, 8, 8, 4, 0]);
    expect((await daysOf(car)).hoursOfOthers).toEqual([8, 8, 8, 8, 8, 4, 2]);
    await server.store.shopCalendar.update({ where: { id }, data: { sunday: 0 } });
  });

  test("is to the owner of the other machine no more than closed, once a day", async () => {
    const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: pump } });
    const owner = await server.store.account.create({ data: { workshopId, name: "Odo", role: "OWNER" } });
    await server.store.restoration.update({ where: { id: pump }, data: { ownerAccountId: owner.id } });
    const context = new Context(server.store, asViewer(owner));
    const ask = async (source: string) =>
      graphql({ schema, source, variableValues: { id: pump }, contextValue: context });
    const { data } = await ask(
      "query ($id: ID!) { restoration(id: $id) { shopDays { closedDates { edges { node { date reason enteredWith { machine } } } } } } }",
    );
    expect(told((data as { restoration: { shopDays: Days } }).restoration.shopDays)).toEqual([
      ...WEEK.map((date) => [date, "", null]),
      ["2027-02-01", "Fair", "Pump"],
    ]);
    const { errors } = await ask(
      'query ($id: ID!) { restoration(id: $id) { shopDays { handHours(from: "2027-01-01", to: "2027-01-31") { name } } } }',
    );
    expect(errors?.[0]?.message).toMatch(/not for your account/);
  });

  test("that files bring is told before they are imported, unless it is known already", async () => {
    const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: pump } });
    const account = await server.store.account.findFirstOrThrow({ where: { workshopId, role: "RESTORER" } });
    const notices = async (closed: string[]) => {
      const files = {
        "restoration.json": JSON.stringify({ machine: "Pump", calendar: { closed: closed.map((date) => ({ date })) } }),
      };
      const to = { workshopId, accountId: account.id, restorationId: pump };
      return (await prepareImport(server.store, fileSet(files), to)).preview.notices.map(({ code, message }) => [
        code,
        message,
      ]);
    };
    expect(await notices(["2027-02-01", "2027-02-02"])).toEqual([
      ["CLOSES_SHOP", expect.stringContaining("close the shop for all machines that its hands have work on: Car too.")],
    ]);
    expect(await notices(["2027-02-01"])).toEqual([]);
  });
});
