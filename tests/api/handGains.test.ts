/** What more hands would gain: what is told of each change is the plan as it is once the change is really made. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { daysBetween } from "../../server/engine/time/date.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, lookAt, type Result, saved, undo } from "./shop.ts";

let server: TestServer;
let restoration: string;
const hands = new Map<string, Result>();
const operations = new Map<string, Result>();
let way: string;

const WEEK = { monday: 8, tuesday: 8, wednesday: 8, thursday: 8, friday: 8, saturday: 0, sunday: 0 };

interface Gain {
  kind: "ONE_MORE" | "HOUR_MORE" | "SATURDAYS" | "SENT_OUT";
  trades: string[];
  operation: { id: string } | null;
  way: { id: string } | null;
  completionDate: string;
  daysGained: number | null;
  moneyGained: { minor: number; currency: string };
  hours: number | null;
  wages: { minor: number } | null;
}
interface Mark {
  kind: "FIRST" | "NOT_BEFORE";
  operation: { id: string };
  completionDate: string;
  daysCost: number;
}

async function read(): Promise<{ end: string; total: number; gains: Gain[]; marks: Mark[] }> {
  const { data, errors } = await server.query<{
    holdUps: { completion: { dateWithOpenInHand: string } };
    restoration: {
      exposure: { total: { planned: number } };
      handGains: { edges: { node: Gain }[] };
      orderMarks: { edges: { node: Mark }[] };
    };
  }>(
    `query ($id: ID!) {
      holdUps(restoration: $id) { completion { dateWithOpenInHand } }
      restoration(id: $id) {
        exposure { total { planned } }
        handGains { edges { node {
          kind trades operation { id } way { id } completionDate daysGained moneyGained { minor currency }
          hours wages { minor }
        } } }
        orderMarks { edges { node { kind operation { id } completionDate daysCost } } }
      }
    }`,
    { id: restoration },
  );
  expect(errors).toBeUndefined();
  const { exposure, handGains, orderMarks } = data!.restoration;
  return {
    end: data!.holdUps.completion.dateWithOpenInHand,
    total: exposure.total.planned,
    gains: handGains.edges.map(({ node }) => node),
    marks: orderMarks.edges.map(({ node }) => node),
  };
}

/** Money that a day past the target comes to. */
const PER_DAY = 1_800;
const TARGET = "2027-01-15";
const late = (end: string) => Math.max(0, daysBetween(TARGET, end));

beforeAll(async () => {
  server = await startServer();
  restoration = (
    await saved(server, "Restoration", {
      machine: "Stationary engine",
      targetDate: TARGET,
      currency: "GBP",
      pricePerDayMinor: PER_DAY,
      hourlyRateMinor: 3_800,
    })
  ).id;
  await lookAt(server, "2027-01-04");
  const work = async (title: string, trade: string, hoursLikely: number, more: object = {}) =>
    operations.set(title, await saved(server, "Operation", { restoration, title, trade, hoursLikely, ...more }));
  for (const title of ["Bore", "Hone", "Grind", "Lap"]) await work(title, "engine", 40);
  await work("Panel", "body", 12);
  await work("Line", "paint", 4, { notBefore: "2027-01-06" });
  way = (
    await saved(server, "OperationWay", {
      operation: operations.get("Grind")!.id,
      title: "Sent to the grinder",
      hours: 1,
      days: 9,
      priceMinor: 20_000,
    })
  ).id;
  await saved(server, "OperationWay", {
    operation: operations.get("Panel")!.id,
    title: "At our bench",
    hours: 12,
    days: 0,
    priceMinor: 0,
  });
  for (const [name, trades] of [
    ["Hester", ["body", "paint"]],
    ["Wat", ["engine"]],
  ] as const)
    hands.set(name, await saved(server, "Hand", { name, trades, ...WEEK }));
});
afterAll(() => server.close());

/** Hours that somebody has to do. */
async function workOf(name: string): Promise<number> {
  const { data } = await server.query<{
    holdUps: { handLoad: { edges: { node: { name: string; weeks: { booked: number }[] } }[] } };
  }>(`query ($id: ID!) { holdUps(restoration: $id) { handLoad { edges { node { name weeks { booked } } } } } }`, {
    id: restoration,
  });
  const { weeks } = data!.holdUps.handLoad.edges.map(({ node }) => node).find((node) => node.name === name)!;
  return weeks.reduce((sum, { booked }) => sum + booked, 0);
}

/** Makes the change for good; gives what takes it back. */
async function make({ kind, trades, operation, way: out }: Gain): Promise<string[]> {
  const [name] = trades[0] === "engine" ? ["Wat"] : ["Hester"];
  const { id, revision } = hands.get(name)!;
  switch (kind) {
    case "ONE_MORE":
      return [(await saved(server, "Hand", { name: "Zeb", trades, ...WEEK })).change.id];
    case "HOUR_MORE": {
      const longer = { monday: 9, tuesday: 9, wednesday: 9, thursday: 9, friday: 9 };
      return [(await saved(server, "Hand", { id, revision, ...longer })).change.id];
    }
    case "SATURDAYS":
      return [(await saved(server, "Hand", { id, revision, saturday: 8 })).change.id];
    case "SENT_OUT": {
      const row = await server.store.operation.findUniqueOrThrow({ where: { id: operation!.id } });
      const args = { operation: row.id, way: out!.id, revision: row.revision };
      return [(await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", args)).change.id];
    }
  }
}

describe("what more hands would gain", () => {
  test("is named by the trade that is busy, best first, and none of it by a name", async () => {
    const { gains } = await read();
    expect(gains[0]).toMatchObject({ kind: "ONE_MORE", trades: ["engine"] });
    expect(gains.map(({ kind, trades }) => [kind, trades])).toEqual(
      expect.arrayContaining([
        ["HOUR_MORE", ["engine"]],
        ["SATURDAYS", ["engine"]],
        ["SENT_OUT", ["engine"]],
      ]),
    );
    // Neither the body nor the paint holds anything up.
    expect(gains.filter(({ trades }) => !trades.includes("engine"))).toEqual([]);
    expect(gains.map(({ daysGained }) => daysGained)).toEqual(
      gains.map(({ daysGained }) => daysGained).toSorted((a, b) => b! - a!),
    );
    expect(gains.find(({ kind }) => kind === "SENT_OUT")?.way?.id).toBe(way);
    expect(JSON.stringify(gains)).not.toMatch(/Wat|Hester/);
  });

  test("is the plan, and the money, once it is really so", async () => {
    const before = await read();
    expect(before.gains.length).toBeGreaterThanOrEqual(4);
    for (const gain of before.gains) {
      const changes = await make(gain);
      const after = await read();
      expect([gain.kind, after.end]).toEqual([gain.kind, gain.completionDate]);
      expect(gain.daysGained).toBe(daysBetween(after.end, before.end));
      const money = before.total - after.total + PER_DAY * (late(before.end) - late(after.end));
      expect([gain.kind, gain.moneyGained]).toEqual([gain.kind, { minor: money, currency: "GBP" }]);
      if (gain.kind === "ONE_MORE") expect(gain.hours).toBe(await workOf("Zeb"));
      expect(gain.wages?.minor).toBe(gain.hours === null ? undefined : gain.hours * 3_800);
      for (const change of changes) await undo(server, change);
      for (const [name, hand] of hands) {
        const { revision } = await server.store.hand.findUniqueOrThrow({ where: { id: hand.id } });
        hands.set(name, { ...hand, revision });
      }
    }
    expect((await read()).end).toBe(before.end);
  });

  test("of a trade that has nobody stands first: its work has no date until somebody does it", async () => {
    const { id } = await saved(server, "Operation", {
      restoration,
      title: "Line the seats",
      trade: "trim",
      hoursLikely: 2,
    });
    const { gains } = await read();
    expect(gains[0]).toMatchObject({ kind: "ONE_MORE", trades: ["trim"], daysGained: null });
    await server.store.operation.delete({ where: { id } });
    await saved(server, "Restoration", {
      id: restoration,
      revision: (await server.store.restoration.findUniqueOrThrow({ where: { id: restoration } })).revision,
      owner: "Odile Farrant",
    });
  });

  test("is followed as a job, one for all who ask, and one anew once something has changed", async () => {
    const start = async () => {
      const { data, errors } = await server.query<{ startHandGains: { id: string; state: string } }>(
        "mutation ($id: ID!) { startHandGains(restoration: $id) { id state } }",
        { id: restoration },
      );
      expect(errors).toBeUndefined();
      return data!.startHandGains.id;
    };
    const job = async (id: string) => {
      const { data } = await server.query<{ job: { state: string; stage: string; done: number; total: number } }>(
        "query ($id: ID!) { job(id: $id) { state stage done total } }",
        { id },
      );
      return data!.job;
    };
    const change = async (owner: string) => {
      const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: restoration } });
      await saved(server, "Restoration", { id: restoration, revision, owner });
    };
    await change("Odile Farrant, Quill Lane");
    const first = await start();
    await expect.poll(() => job(first), { timeout: 30_000 }).toMatchObject({ state: "DONE", done: 100, total: 100 });
    expect(await start()).toBe(first);
    await change("Odile Farrant, Quill Lane 2");
    const second = await start();
    expect(second).not.toBe(first);
    const { errors } = await server.query("mutation ($id: ID!) { stopJob(job: $id) { id } }", { id: second });
    expect(errors).toBeUndefined();
    await expect.poll(async () => (await job(second)).state, { timeout: 30_000 }).toMatch(/STOPPED|DONE/);
    // What was stopped is worked out for whoever asks next.
    expect((await read()).gains.length).toBeGreaterThan(0);
  });

  test("is nothing where nobody is entered", async () => {
    const taken = [];
    for (const { id } of hands.values()) {
      const { revision } = await server.store.hand.findUniqueOrThrow({ where: { id } });
      taken.push(
        (await call(server, "remove", "$row: RowKind!, $id: ID!, $revision: Int!", { row: "HAND", id, revision }))
          .change.id,
      );
    }
    expect((await read()).gains).toEqual([]);
    for (const change of taken.reverse()) await undo(server, change);
  });
});

test("what more hands would gain is told of as many operations as there are, each counted once", async () => {
  await server.store.operation.createMany({
    data: Array.from({ length: 2_100 }, (_, i) => ({
      restorationId: restoration,
      code: `DONE-${i}`,
      title: `Cleaned ${i}`,
      hoursLikely: 1,
      state: "DONE" as const,
      startedOn: "2026-12-01",
      finishedOn: "2026-12-01",
    })),
  });
  const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: restoration } });
  await saved(server, "Restoration", { id: restoration, revision, owner: "Odile Farrant of Quill Lane" });
  expect((await read()).gains.length).toBeGreaterThan(0);
  await server.store.operation.deleteMany({ where: { code: { startsWith: "DONE-" } } });
});

describe("what is to be done first, and not before a day", () => {
  test("costs the days by which the end is earlier without it", async () => {
    const late = operations.get("Lap")!;
    const held = await saved(server, "Operation", {
      id: late.id,
      revision: late.revision,
      notBefore: "2027-03-01",
      first: true,
    });
    const { end, marks } = await read();
    const ofLap = marks.filter(({ operation }) => operation.id === late.id);
    expect(ofLap.map(({ kind }) => kind)).toEqual(["FIRST", "NOT_BEFORE"]);
    for (const { kind, completionDate, daysCost } of ofLap) {
      const { revision } = await server.store.operation.findUniqueOrThrow({ where: { id: late.id } });
      const lifted = kind === "FIRST" ? { first: false } : { notBefore: null };
      const { change } = await saved(server, "Operation", { id: late.id, revision, ...lifted });
      const after = await read();
      expect([kind, after.end]).toEqual([kind, completionDate]);
      expect(daysCost).toBe(daysBetween(after.end, end));
      await undo(server, change.id);
    }
    expect(ofLap.find(({ kind }) => kind === "NOT_BEFORE")!.daysCost).toBeGreaterThan(14);
    expect(marks.find(({ operation }) => operation.id === operations.get("Line")!.id)).toMatchObject({ daysCost: 0 });
    await undo(server, held.change.id);
  });
});
