/** What the hand whose account asks does now and next, on all machines of the shop, in the order of the schedule. */
import { graphql } from "graphql";
import { afterAll, beforeAll, expect, test } from "vitest";
import { asViewer } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { lookAt, saved } from "./shop.ts";

let server: TestServer;
let car: string;
let pump: string;
let done: string;
const work = (restoration: string, title: string, more: object = {}) =>
  saved(server, "Operation", { restoration, title, hoursLikely: 16, trade: "engine", ...more });

beforeAll(async () => {
  server = await startServer();
  car = (await saved(server, "Restoration", { machine: "Car" })).id;
  await lookAt(server, "2027-01-04");
  pump = (await saved(server, "Restoration", { machine: "Pump" })).id;
  done = (await saved(server, "Restoration", { machine: "Done" })).id;
  await work(car, "Bore");
  await work(pump, "Hone");
  await work(pump, "Line", { trade: "paint" });
  await saved(server, "Hand", { name: "Ivy", trades: ["paint"] });
}, 60_000);
afterAll(() => server.close());

const OWN = `query ($id: ID!) { ownWork(restoration: $id) { edges { node {
  startDate finishDate work { title hours restoration { machine } }
} } } }`;
interface Own {
  ownWork: {
    edges: {
      node: {
        startDate: string;
        finishDate: string;
        work: { title: string; hours: number; restoration: { machine: string } };
      };
    }[];
  };
}
const own = async (id: string) =>
  (await server.query<Own>(OWN, { id })).data!.ownWork.edges.map(({ node: { startDate, finishDate, work: of } }) => [
    of.title,
    of.restoration.machine,
    of.hours,
    startDate,
    finishDate,
  ]);

test("an account that is no hand's has none", async () => {
  expect(await own(car)).toEqual([]);
});

test("a hand's account reads what that hand does, on every machine, whichever sheet it asks from", async () => {
  const { data } = await server.query<{ me: { id: string } }>("{ me { id } }");
  await saved(server, "Hand", { name: "Wat", trades: ["engine"], account: data!.me.id });
  const expected = [
    ["Bore", "Car", 16, "2027-01-04", "2027-01-05"],
    ["Hone", "Pump", 16, "2027-01-06", "2027-01-07"],
  ];
  for (const id of [car, pump, done]) expect(await own(id)).toEqual(expected);
});

test("an owner reads none of it", async () => {
  const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: pump } });
  const owner = await server.store.account.create({ data: { workshopId, name: "Odo", role: "OWNER" } });
  await server.store.restoration.update({ where: { id: pump }, data: { ownerAccountId: owner.id } });
  const contextValue = new Context(server.store, asViewer(owner));
  const { errors } = await graphql({ schema, source: OWN, variableValues: { id: pump }, contextValue });
  expect(errors?.[0]?.message).toMatch(/not for your account/);
});
