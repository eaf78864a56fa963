/** The day that figures are for: today where the workshop is, unless another day is looked at; a file pins none. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readFolder } from "../../server/io/folder.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { sendDue } from "../../server/mail/dailySummaries.ts";
import { daySummary } from "../../server/plan/days/daySummary.ts";
import { today } from "../../server/plan/days/today.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { lookAt, type Shop, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

/** A moment on which it is the 4th in London, the 5th in Auckland and the 3rd in Honolulu. */
const MOMENT = new Date("2027-01-04T09:30:00Z");

describe("today", () => {
  it("begins where the workshop is", () => {
    expect(today("Pacific/Auckland", new Date("2027-01-04T12:30:00Z"))).toBe("2027-01-05");
    expect(today("Europe/London", MOMENT)).toBe("2027-01-04");
    expect(today("Pacific/Honolulu", MOMENT)).toBe("2027-01-03");
  });

  it("is the workshop's, set by an admin under a name that there is", async () => {
    const { data } = await server.query<{ me: { workshop: { revision: number; timeZone: string | null } } }>(
      "{ me { workshop { revision timeZone } } }",
    );
    expect(data!.me.workshop.timeZone).toBe(null);
    const set = async (timeZone: string, revision: number) =>
      (
        await server.query<{ saveWorkshop: Record<string, unknown> }>(
          `mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) {
            __typename ... on InvalidInput { faults { code field value } } } }`,
          { input: { revision, timeZone } },
        )
      ).data!.saveWorkshop;
    expect(await set("Europe/Atlantis", data!.me.workshop.revision)).toMatchObject({
      faults: [{ code: "NOT_A_CHOICE", field: "timeZone", value: "Europe/Atlantis" }],
    });
    for (const zone of ["Pacific/Kiritimati", "Pacific/Pago_Pago"]) {
      const { revision } = await server.store.workshop.findFirstOrThrow();
      expect(await set(zone, revision)).toMatchObject({ __typename: "AccountSaved" });
      const { id } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
      await lookAt(server, null);
      const { data: read } = await server.query<{ restoration: { day: string }; holdUps: { figuresFor: string } }>(
        `query ($id: ID!) { restoration(id: $id) { day } holdUps(restoration: $id) { figuresFor } }`,
        { id },
      );
      // Twenty-five hours lie between the two: there is never one date in both.
      expect(read).toEqual({ restoration: { day: today(zone) }, holdUps: { figuresFor: today(zone) } });
    }
  });
});

it("another day that is looked at is never called today, and the mail is of the day on which it is sent", async () => {
  await lookAt(server, "2027-01-04");
  const looked = await daySummary(server.store, rows.restoration, false);
  expect(looked).toMatchObject({ day: "2027-01-04", isToday: false });
  expect(JSON.stringify(looked.sections)).not.toMatch(/\b(today|tomorrow|ago)\b/);
  expect(await daySummary(server.store, rows.restoration, false, "2027-01-06")).toMatchObject({
    day: "2027-01-06",
    isToday: true,
  });
});

it("the mail of the morning goes out after six where the workshop is", async () => {
  const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
  await server.store.account.updateMany({ where: { workshopId }, data: { email: "a@b.example", dailySummary: true } });
  const subjects: string[] = [];
  const mailer = { sends: true, send: async ({ id }: { id?: string }) => subjects.push(id ?? "") > 0, close() {} };
  const at = async (timeZone: string) => {
    await server.store.workshop.update({ where: { id: workshopId }, data: { timeZone } });
    return sendDue(server.store, { mailer, onProblem: () => {} }, new Date("2027-01-04T14:30:00Z"));
  };
  expect(await at("Pacific/Honolulu")).toBe(0); // 4:30 in the morning
  expect(await at("Pacific/Auckland")).toBe(0); // 3:30 in the morning of the 5th
  expect(await at("Europe/London")).toBe(1);
  expect(subjects).toMatchObject([expect.stringContaining("2027-01-04")]);
});

it("an import pins no day: whatever day its files are for, the one that the workshop looks at stays", async () => {
  const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
  const { id: accountId } = await server.store.account.findFirstOrThrow({ where: { workshopId } });
  const files = await readFolder("seed/cyclecar");
  const bring = async (restorationId: string | null) =>
    (
      await applyImport(
        server.store,
        await prepareImport(server.store, files, { workshopId, accountId, restorationId }),
      )
    ).restorationId;
  const dayOf = async () => (await server.store.shopCalendar.findUniqueOrThrow({ where: { workshopId } })).figuresFor;
  await lookAt(server, null);
  const id = await bring(null);
  expect(await dayOf()).toBe(null);
  await lookAt(server, "2027-02-01");
  await bring(id);
  expect(await dayOf()).toBe("2027-02-01");
});
