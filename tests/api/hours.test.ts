/** Hours booked at the bench: once however often they are sent, moving the plan, and put right by further entries. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Result, remove, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let key = 0;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());
beforeEach(async () => {
  // An entry that another corrects stays while that one does.
  while ((await server.store.hoursBooked.deleteMany({ where: { correctedBy: null } })).count > 0);
  await server.store.operation.update({
    where: { id: rows.strip },
    data: { state: "NOT_STARTED", startedOn: null, finishedOn: null, remainingHours: null },
  });
});

const book = (input: object): Promise<Result> =>
  call(server, "bookHours", "$input: HoursInput!", {
    input: { operation: rows.strip, clientKey: `bench-${key++}`, workedOn: "2027-01-04", hours: 3, ...input },
  });
const correct = (entry: string, input: object): Promise<Result> =>
  call(server, "correctHours", "$input: HoursCorrectionInput!", {
    input: { entry, clientKey: `desk-${key++}`, ...input },
  });
const strip = () => server.store.operation.findUniqueOrThrow({ where: { id: rows.strip } });
const entries = () => server.store.hoursBooked.findMany({ orderBy: { bookedAt: "asc" } });
const read = async () =>
  (
    await server.query<{
      operation: {
        totalHoursBooked: number;
        hoursLeft: number;
        schedule: { earlyFinishDate: string };
        hoursBooked: { totalCount: number; edges: { node: { hours: number; corrected: boolean } }[] };
      };
    }>(
      `query ($id: ID!) { operation(id: $id) { totalHoursBooked hoursLeft schedule { earlyFinishDate }
        hoursBooked(first: 2) { totalCount edges { node { hours corrected } } } } }`,
      { id: rows.strip },
    )
  ).data!.operation;

describe("hours booked", () => {
  test("were worked: a day to come is refused, by its field, and nothing is kept", async () => {
    expect(await book({ workedOn: "2099-01-01" })).toMatchObject({
      __typename: "InvalidInput",
      faults: [{ code: "OUT_OF_RANGE", field: "workedOn", value: "2099-01-01" }],
    });
    expect(await entries()).toEqual([]);
    expect(await strip()).toMatchObject({ state: "NOT_STARTED", startedOn: null });
  });

  test("put work under way from the day of the work, and leave what was likely less what was booked", async () => {
    expect(await book({ hours: 3 })).toMatchObject({
      __typename: "Saved",
      change: { summary: "Booked 3 h to ENG-1, Strip the gearbox" },
    });
    expect(await strip()).toMatchObject({ state: "UNDER_WAY", startedOn: "2027-01-04", remainingHours: 5 });
    await book({ hours: 0.1 });
    await book({ hours: 0.2 });
    expect(await read()).toMatchObject({ totalHoursBooked: 3.3, hoursLeft: 4.7 });
  });

  test("never leave less than nothing", async () => {
    await book({ hours: 11 });
    expect(await strip()).toMatchObject({ state: "UNDER_WAY", remainingHours: 0 });
  });

  test("move the plan at once by what is judged to be left", async () => {
    // Eight hours a day: 8 h from Monday 4 January end that day; 20 h end on the Wednesday.
    expect((await read()).schedule.earlyFinishDate).toBe("2027-01-04");
    await book({ hours: 2, remainingHours: 20 });
    expect((await read()).schedule.earlyFinishDate).toBe("2027-01-06");
  });

  test("sent twice, or at once, are booked once", async () => {
    const first = await book({ clientKey: "same" });
    expect(await book({ clientKey: "same" })).toMatchObject({ id: first.id, change: first.change });
    const many = await Promise.all([1, 2, 3].map(() => book({ clientKey: "at once" })));
    expect(new Set(many.map(({ id }) => id)).size).toBe(1);
    expect(await entries()).toHaveLength(2);
    expect((await strip()).remainingHours).toBe(2);
  });

  test("bear the rate of the trade, else that of the restoration, as it was on the day", async () => {
    await server.store.restoration.update({ where: { id: rows.restoration }, data: { hourlyRateMinor: 4_200 } });
    await book({ clientKey: "plain" });
    const ofTrade = await server.store.tradeRate.create({
      data: { restorationId: rows.restoration, trade: "engine", rateMinor: 5_500 },
    });
    await book({ clientKey: "engine" });
    await server.store.tradeRate.delete({ where: { id: ofTrade.id } });
    await server.store.restoration.update({ where: { id: rows.restoration }, data: { hourlyRateMinor: null } });
    await book({ clientKey: "none" });
    expect((await entries()).map(({ rateMinor, currency }) => [rateMinor, currency])).toEqual([
      [4_200, "GBP"],
      [5_500, "GBP"],
      [null, "GBP"],
    ]);
  });

  test("are refused on work that was finished meanwhile, and booked on it when that is asked", async () => {
    await server.store.operation.update({
      where: { id: rows.strip },
      data: { state: "DONE", finishedOn: "2027-01-04" },
    });
    expect(await book({})).toMatchObject({ __typename: "Refused", code: "OPERATION_DONE", rows: ["ENG-1"] });
    expect(await entries()).toEqual([]);
    expect((await book({ afterDone: true })).__typename).toBe("Saved");
    expect(await strip()).toMatchObject({ state: "DONE", finishedOn: "2027-01-04", remainingHours: null });
  });

  test("are refused, with the field, where the operation is gone or a value breaks a rule", async () => {
    const brazing = await saved(server, "Operation", {
      restoration: rows.restoration,
      title: "Braze the frame",
      hoursLikely: 2,
    });
    await remove(server, "OPERATION", brazing.id, brazing.revision);
    expect(await book({ operation: brazing.id })).toMatchObject({
      __typename: "InvalidInput",
      faults: [{ code: "UNKNOWN_ROW", field: "operation" }],
    });
    for (const [input, field] of [
      [{ hours: -1 }, "hours"],
      [{ hours: 0 }, "hours"],
      [{ hours: 25 }, "hours"],
      [{ workedOn: "2027-02-30" }, "workedOn"],
      [{ remainingHours: -1 }, "remainingHours"],
    ] as const)
      expect((await book(input)).faults, JSON.stringify(input)).toMatchObject([{ field }]);
    expect(await entries()).toEqual([]);
  });

  test("keep their operation from being removed", async () => {
    await book({});
    expect(await remove(server, "OPERATION", rows.strip, (await strip()).revision)).toMatchObject({
      __typename: "Refused",
      code: "HAS_HOURS",
    });
  });
});

describe("a mistake in hours booked", () => {
  test("is put right by the difference, again and again, and no entry is altered", async () => {
    const first = await book({ hours: 3 });
    expect((await correct(first.id, { hours: 2 })).__typename).toBe("Saved");
    expect((await strip()).remainingHours).toBe(6);
    await correct(first.id, { hours: 2.5 });
    expect((await entries()).map(({ hours }) => hours)).toEqual([3, -1, 0.5]);
    expect(await read()).toMatchObject({ totalHoursBooked: 2.5, hoursLeft: 5.5, hoursBooked: { totalCount: 3 } });
    await correct(first.id, { hours: 0 });
    expect(await read()).toMatchObject({ totalHoursBooked: 0, hoursLeft: 8 });
  });

  test("leaves alone what was judged to be left", async () => {
    const first = await book({ hours: 3, remainingHours: 12 });
    await correct(first.id, { hours: 1 });
    expect((await strip()).remainingHours).toBe(12);
    await correct(first.id, { hours: 1, remainingHours: 9 });
    expect((await strip()).remainingHours).toBe(9);
  });

  test("is none where nothing differs", async () => {
    const first = await book({ hours: 3 });
    expect((await correct(first.id, { hours: 3 })).faults).toMatchObject([{ field: "hours" }]);
    expect(await entries()).toHaveLength(1);
  });

  test("taken back by undo is answered by an entry against it, and the work stands as before", async () => {
    const first = await book({ hours: 3 });
    const back = await undo(server, first.change.id);
    expect(back.__typename).toBe("Saved");
    expect(await entries()).toMatchObject([{ hours: 3 }, { hours: -3, correctsId: first.id }]);
    expect(await strip()).toMatchObject({ state: "NOT_STARTED", startedOn: null, remainingHours: null });
    expect((await undo(server, back.change.id)).__typename).toBe("Saved");
    expect(await read()).toMatchObject({ totalHoursBooked: 3, hoursLeft: 5, hoursBooked: { totalCount: 3 } });
  });

  test("that was corrected since is not taken back by undo", async () => {
    const first = await book({ hours: 3, remainingHours: 5 });
    await correct(first.id, { hours: 2 });
    expect(await undo(server, first.change.id)).toMatchObject({ __typename: "Refused", code: "IN_USE" });
    expect(await entries()).toHaveLength(2);
  });

  test("goes with its restoration, and comes back with it", async () => {
    const other = await saved(server, "Restoration", { machine: "Stationary engine" });
    const work = await saved(server, "Operation", { restoration: other.id, title: "Strip", hoursLikely: 3 });
    const first = await book({ operation: work.id, workedOn: "2026-11-02" });
    await correct(first.id, { hours: 1 });
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: other.id } });
    const removed = await remove(server, "RESTORATION", other.id, revision);
    expect(removed.__typename).toBe("Saved");
    expect(await entries()).toEqual([]);
    expect((await undo(server, removed.change.id)).__typename).toBe("Saved");
    expect((await entries()).map(({ hours }) => hours)).toEqual([3, -2]);
  });
});
