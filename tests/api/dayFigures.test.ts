/** Each day's figures are kept, and what moved the end since one of them adds up. */
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { daysBetween } from "../../server/engine/time/date.ts";
import { keepDay, keepDays } from "../../server/plan/days/dayFigures.ts";
import { today } from "../../server/plan/days/today.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { lookAt, otherShop, remove, type Shop, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const revisionOf = async (table: "restoration" | "quote", id: string): Promise<number> =>
  table === "restoration"
    ? (await server.store.restoration.findUniqueOrThrow({ where: { id } })).revision
    : (await server.store.quote.findUniqueOrThrow({ where: { id } })).revision;

interface Answer {
  restoration: {
    days: { totalCount: number; edges: { node: { day: string; completion: string | null } }[] };
    movedSince: {
      since: { day: string; completion: string };
      days: number;
      opened: string[];
      closed: string[];
      moved: {
        totalCount: number;
        edges: { node: { id: string; title: string; days: number; from: string; to: string; part: { id: string } } }[];
      };
    } | null;
  };
  holdUps: { completion: { date: string | null } };
}

async function ask(day: string): Promise<Answer> {
  const answer = await server.query<Answer>(
    `query ($id: ID!, $day: Date!) {
      restoration(id: $id) {
        days { totalCount edges { node { day completion } } }
        movedSince(day: $day) {
          since { day completion } days opened closed
          moved { totalCount edges { node { id title days from to part { id } } } }
        }
      }
      holdUps(restoration: $id) { completion { date } }
    }`,
    { id: rows.restoration, day },
  );
  if (!answer.data) throw new Error(JSON.stringify(answer.errors));
  return answer.data;
}

describe("the figures of a day", () => {
  test("are kept once a day of figures, as they stood when it was last worked on", async () => {
    await keepDay(server.store, rows.restoration);
    await keepDay(server.store, rows.restoration);
    await lookAt(server, "2027-01-11");
    await keepDay(server.store, rows.restoration);
    const { restoration, holdUps } = await ask("2027-01-11");
    expect(restoration.days.edges.map(({ node }) => node.day)).toEqual(["2027-01-04", "2027-01-11"]);
    expect(restoration.days.edges[1]!.node.completion).toBe(holdUps.completion.date);
  });

  test("say what moved the end since, and the days add up", async () => {
    const { quote: id } = rows;
    await saved(server, "Quote", { id, revision: await revisionOf("quote", id), leadDays: 90 });
    const { restoration, holdUps } = await ask("2027-01-06");
    const moved = restoration.movedSince!;
    expect(moved.since.day).toBe("2027-01-04");
    expect(moved.days).toBe(daysBetween(moved.since.completion, holdUps.completion.date!));
    expect(moved.days).toBeGreaterThanOrEqual(30);
    expect(moved.moved.edges.map(({ node }) => [node.title, node.days])).toEqual([["Gearbox casing", moved.days]]);
    expect(moved.moved.edges[0]!.node.part.id).toBe(rows.casing);
    expect(moved.moved.edges[0]!.node.to).toBe(holdUps.completion.date);
  });

  test("are not compared with a day before the first that was kept", async () => {
    expect((await ask("2027-01-03")).restoration.movedSince).toBeNull();
  });

  test("name a part that has lost its source", async () => {
    const { quote: id } = rows;
    const quote = await server.store.quote.findUniqueOrThrow({ where: { id } });
    await saved(server, "Quote", { id, revision: quote.revision, ruledOut: true });
    const { restoration, holdUps } = await ask("2027-01-11");
    expect(restoration.movedSince!.since.day).toBe("2027-01-04");
    expect(holdUps.completion.date).toBeNull();
    expect(restoration.movedSince!.opened).toEqual(["Gearbox casing"]);
    await saved(server, "Quote", { id, revision: quote.revision + 1, ruledOut: false });
  });

  test("are those of days up to the one that is looked at, which is not compared with itself", async () => {
    await lookAt(server, "2027-01-08");
    const { restoration } = await ask("2027-01-11");
    expect(restoration.days.edges.map(({ node }) => node.day)).toEqual(["2027-01-04"]);
    expect(restoration.movedSince!.since.day).toBe("2027-01-04");
    await lookAt(server, "2027-01-11");
  });

  test("leave nothing behind once a day that was looked at is given up, and none is written for one that is past", async () => {
    const { id } = await saved(server, "Restoration", { machine: "Thornlow lighting plant" });
    await saved(server, "Operation", { restoration: id, title: "Strip it", hoursLikely: 8 });
    const kept = async () =>
      (await server.store.dayFigures.findMany({ where: { restorationId: id } })).map(({ day }) => day);
    // The demo stands at a day of its own.
    const keep = async (day: string | null) => {
      await lookAt(server, day);
      await server.store.workshop.updateMany({ data: { demo: false } });
      await keepDay(server.store, id);
      await server.store.workshop.updateMany({ data: { demo: true } });
    };
    await keep("2199-12-31");
    await keep("2026-01-05");
    expect(await kept()).toEqual(["2199-12-31"]);
    await keep(null);
    expect(await kept()).toEqual([today()]);
    await lookAt(server, "2027-01-11");
  });

  test("refuse a date that does not exist", async () => {
    const answer = await server.query(
      `query ($id: ID!) { restoration(id: $id) { movedSince(day: "2027-02-30") { days } } }`,
      { id: rows.restoration },
    );
    expect(answer.errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "day" });
  });

  test("are not kept where nothing is entered, and go with the last that was entered", async () => {
    const { id } = await saved(server, "Restoration", { machine: "Stationary engine" });
    const { figuresFor } = await server.store.shopCalendar.findFirstOrThrow();
    await lookAt(server, "2027-01-04");
    const kept = async () =>
      (await server.store.dayFigures.findMany({ where: { restorationId: id } })).map((one) => one.day);
    await keepDay(server.store, id);
    expect(await kept()).toEqual([]);
    const work = await saved(server, "Operation", { restoration: id, title: "Strip it", hoursLikely: 8 });
    await keepDay(server.store, id);
    expect(await kept()).toEqual(["2027-01-04"]);
    await lookAt(server, "2027-01-05");
    await keepDay(server.store, id);
    expect((await remove(server, "OPERATION", work.id, work.revision)).__typename).toBe("Saved");
    await keepDay(server.store, id);
    // The day on which there was work stays as it was.
    expect(await kept()).toEqual(["2027-01-04"]);
    await lookAt(server, figuresFor);
  });

  test("of another workshop are not found", async () => {
    const { restoration } = await otherShop(server.store);
    await keepDay(server.store, restoration!);
    const answer = await server.query(`query ($id: ID!) { restoration(id: $id) { days { totalCount } } }`, {
      id: restoration,
    });
    expect(answer.data?.["restoration"] ?? null).toBeNull();
    expect(answer.errors?.[0]?.extensions?.["code"]).toBe("NOT_FOUND");
  });
});

describe("keeping days", () => {
  test("writes a day after a change, and each restoration's at the start", async () => {
    await server.store.dayFigures.deleteMany();
    const keeping = keepDays(server.store, { quiet: 1 });
    const kept = () =>
      server.store.dayFigures.findUnique({
        where: { restorationId_day: { restorationId: rows.restoration, day: "2027-01-11" } },
      });
    await vi.waitFor(async () => expect(await kept()).not.toBeNull(), 10_000);
    const before = (await kept())!.completion;
    const { quote: id } = rows;
    await saved(server, "Quote", { id, revision: await revisionOf("quote", id), leadDays: 120 });
    await vi.waitFor(async () => expect((await kept())!.completion).not.toBe(before), 10_000);
    await keeping.stop();
  });

  test("keeps the further figures that it is given, and goes on after a failure", async () => {
    const problems: unknown[] = [];
    let calls = 0;
    const keeping = keepDays(server.store, {
      quiet: 1,
      onProblem: (error) => problems.push(error),
      further: async () => {
        calls += 1;
        if (calls === 1) throw new Error("the figures could not be worked out");
        return { evenOdds: "2027-05-01", fourInFive: "2027-05-20", targetOdds: 0.9, costMinor: 123_456 };
      },
    });
    await vi.waitFor(() => expect(problems).toHaveLength(1), 10_000);
    await lookAt(server, "2027-01-12");
    await vi.waitFor(async () => {
      const day = await server.store.dayFigures.findFirst({ where: { day: "2027-01-12" } });
      expect(day).toMatchObject({ fourInFive: "2027-05-20", targetOdds: 0.9, costMinor: 123_456 });
    }, 10_000);
    await keeping.stop();
  });
});
