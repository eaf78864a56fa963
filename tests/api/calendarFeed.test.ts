/** The calendar of a restoration: read by whoever has its secret link, until that is revoked. */
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { otherShop, type Shop, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  await server.store.part.update({ where: { id: rows.casing }, data: { chosenQuoteId: rows.quote } });
  await server.store.restoration.update({ where: { id: rows.restoration }, data: { planRevision: { increment: 1 } } });
});
afterAll(() => server.close());

const make = async (restoration = rows.restoration) =>
  server.query<{ makeCalendarFeed: { path: string; feed: { id: string } } }>(
    "mutation ($restoration: ID!) { makeCalendarFeed(restoration: $restoration) { path feed { id } } }",
    { restoration },
  );
const made = async () => (await make()).data!.makeCalendarFeed;
const get = (path: string) => fetch(`${server.address}${path}`);

describe("a calendar link", () => {
  test("gives the target date, order-by dates, promised dates and the days of hunts", async () => {
    const part = await server.store.part.create({
      data: { restorationId: rows.restoration, code: "P090", name: "Horn bulb", stateOnHand: "IN_HAND" },
    });
    await server.store.hunt.create({
      data: {
        restorationId: rows.restoration,
        partId: part.id,
        begunOn: "2027-01-01",
        chancePerWeek: 0.05,
        stopDate: "2027-03-01",
        currency: "GBP",
        events: { create: { date: "2027-02-14", title: "Autojumble at the mill", chance: 0.2 } },
      },
    });
    const order = await server.store.order.create({
      data: {
        restorationId: rows.restoration,
        partId: part.id,
        quoteId: rows.quote,
        code: "O009",
        placedOn: "2027-01-02",
        promisedOn: "2027-01-20",
        totalMinor: 1,
        currency: "GBP",
      },
    });
    const { path } = await made();
    const answer = await get(path);
    expect(answer.status).toBe(200);
    expect(answer.headers.get("content-type")).toBe("text/calendar; charset=utf-8");
    expect(answer.headers.get("cache-control")).toContain("no-store");
    const text = await answer.text();
    const events = new ICAL.Component(ICAL.parse(text))
      .getAllSubcomponents("vevent")
      .map((one) => new ICAL.Event(one))
      .map((one) => [one.startDate.toString(), one.summary]);
    const { data } = await server.query<{
      holdUps: { ladder: { edges: { node: { title: string; orderBy: string | null } }[] } };
    }>("query ($r: ID!) { holdUps(restoration: $r) { ladder { edges { node { title orderBy } } } } }", {
      r: rows.restoration,
    });
    const rung = data!.holdUps.ladder.edges.map(({ node }) => node).find(({ title }) => title === "Gearbox casing");
    expect(rung?.orderBy).not.toBeNull();
    expect(events).toEqual(
      [
        ["2027-01-20", "Promised: Horn bulb"],
        ["2027-02-14", "Autojumble at the mill"],
        ["2027-03-01", "Last day to hunt: Horn bulb"],
        ["2027-06-19", "Midsummer Concours"],
        [rung!.orderBy!, "Last day to order: Gearbox casing"],
      ].sort(([a], [b]) => a!.localeCompare(b!)),
    );
    // The same things keep their names, so that a program changes its entries and adds none.
    const uids = (words: string) => words.match(/UID:.*/g);
    expect(uids(await (await get(path)).text())).toEqual(uids(text));
    await server.store.order.delete({ where: { id: order.id } });
  });

  test("gives what has days to spare too, and the day to begin a remedy at the own bench", async () => {
    const { store } = server;
    const { restorationId, operationId } = await store.operation
      .findFirstOrThrow({ where: { restorationId: rows.restoration } })
      .then(({ id, restorationId }) => ({ restorationId, operationId: id }));
    const snag = await store.snag.create({
      data: { restorationId, operationId, code: "S900", title: "Crack at the seat lug", foundOn: "2027-01-02" },
    });
    const bench = await store.remedy.create({
      data: { restorationId, snagId: snag.id, code: "R900", title: "Braze it", hours: 2, currency: "GBP" },
    });
    await store.snag.update({ where: { id: snag.id }, data: { chosenRemedyId: bench.id } });
    const part = await store.part.create({
      data: { restorationId, code: "P900", name: "Lamp glass", needs: { create: { restorationId, operationId } } },
    });
    const quote = await store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
    const { id: _, ...copied } = quote;
    const glass = await store.quote.create({ data: { ...copied, code: "Q900", partId: part.id, leadDays: 1 } });
    await store.part.update({ where: { id: part.id }, data: { chosenQuoteId: glass.id } });
    const restoration = { where: { id: restorationId }, data: { planRevision: { increment: 1 } } };
    await store.restoration.update(restoration);
    const text = await (await get((await made()).path)).text();
    const titles = new ICAL.Component(ICAL.parse(text))
      .getAllSubcomponents("vevent")
      .map((one) => new ICAL.Event(one).summary);
    expect(text.replaceAll("\r\n ", "")).toContain("P900\\, Lamp glass\\, has days to spare until then");
    expect(titles).toEqual(
      expect.arrayContaining(["Last day to order: Lamp glass", "Last day to begin the remedy: Crack at the seat lug"]),
    );
    // What the shop makes itself is begun and not ordered.
    const { id: maker, kind } = await store.supplier.findUniqueOrThrow({ where: { id: quote.supplierId } });
    await store.supplier.update({ where: { id: maker }, data: { kind: "SHOP" } });
    expect(await (await get((await made()).path)).text()).toContain("Last day to begin: Lamp glass");
    await store.supplier.update({ where: { id: maker }, data: { kind } });
    await store.part.update({ where: { id: part.id }, data: { chosenQuoteId: null } });
    await store.snag.delete({ where: { id: snag.id } });
    await store.part.delete({ where: { id: part.id } });
    await store.restoration.update(restoration);
  });

  test("gives the decide-by date that the hunt's own sheet gives", async () => {
    const { store } = server;
    await store.part.update({ where: { id: rows.casing }, data: { chosenQuoteId: null, fallbackQuoteId: rows.quote } });
    const hunt = await store.hunt.create({
      data: {
        restorationId: rows.restoration,
        partId: rows.casing,
        begunOn: "2027-01-01",
        chancePerWeek: 0.1,
        currency: "GBP",
      },
    });
    const restoration = { where: { id: rows.restoration }, data: { planRevision: { increment: 1 } } };
    await store.restoration.update(restoration);
    const { data, errors } = await server.query<{ part: { hunt: { outlook: { odds: { decideBy: string } } } } }>(
      "query ($id: ID!) { part(id: $id) { hunt { outlook { odds { decideBy } } } } }",
      { id: rows.casing },
    );
    expect(errors).toBeUndefined();
    const date = data!.part.hunt.outlook.odds.decideBy;
    const text = await (await get((await made()).path)).text();
    const decide = new ICAL.Component(ICAL.parse(text))
      .getAllSubcomponents("vevent")
      .map((one) => new ICAL.Event(one))
      .find(({ summary }) => summary === "Decide by: Gearbox casing");
    expect(decide?.startDate.toString()).toBe(date);
    await store.hunt.delete({ where: { id: hunt.id } });
    await store.part.update({ where: { id: rows.casing }, data: { chosenQuoteId: rows.quote } });
    await store.restoration.update(restoration);
  });

  test("says of a hunt's last day what is ordered then, and what speaks against it", async () => {
    const { store } = server;
    const { restoration, casing, quote } = rows;
    await store.part.update({ where: { id: casing }, data: { chosenQuoteId: null, fallbackQuoteId: quote } });
    const hunt = await store.hunt.create({
      data: {
        restorationId: restoration,
        partId: casing,
        begunOn: "2027-01-01",
        stopDate: "2027-02-01",
        chancePerWeek: 0.1,
        currency: "GBP",
      },
    });
    const said = async () => {
      await store.restoration.update({ where: { id: restoration }, data: { planRevision: { increment: 1 } } });
      const text = await (await get((await made()).path)).text();
      return new ICAL.Component(ICAL.parse(text))
        .getAllSubcomponents("vevent")
        .map((one) => new ICAL.Event(one))
        .find(({ summary }) => summary === "Last day to hunt: Gearbox casing")!.description;
    };
    expect(await said()).toMatch(/\. Then order its fallback from .+, 60 days from the order$/);
    await store.quote.update({ where: { id: quote }, data: { ruledOut: true } });
    expect(await said()).toMatch(/60 days from the order, which is ruled out$/);
    await store.quote.update({ where: { id: quote }, data: { ruledOut: false } });
    const { id: askedById } = await store.account.findFirstOrThrow();
    const decision = await store.decision.create({
      data: {
        restorationId: restoration,
        kind: "SUM",
        title: "Casing",
        currency: "GBP",
        quoteId: quote,
        askedOn: "2027-01-02",
        askedById,
        state: "DECLINED",
      },
    });
    expect(await said()).toMatch(/\. Its fallback was declined by the owner: choose another$/);
    await store.decision.delete({ where: { id: decision.id } });
    await store.part.update({ where: { id: casing }, data: { fallbackQuoteId: null } });
    expect(await said()).toMatch(/\. Nothing is chosen to order instead$/);
    await store.part.update({ where: { id: casing }, data: { chosenQuoteId: quote } });
    expect(await said()).toMatch(/\. It decides nothing any more: the part is in hand, ordered or chosen$/);
    await store.hunt.delete({ where: { id: hunt.id } });
    await store.restoration.update({ where: { id: restoration }, data: { planRevision: { increment: 1 } } });
  });

  test("is kept as a hash alone, and leads nowhere once revoked", async () => {
    const { path, feed } = await made();
    const secret = /calendar\/(.*)\.ics/.exec(path)![1]!;
    expect(JSON.stringify(await server.store.calendarFeed.findMany())).not.toContain(secret);
    expect((await get(path)).status).toBe(200);
    expect((await server.store.calendarFeed.findUniqueOrThrow({ where: { id: feed.id } })).readAt).not.toBeNull();
    const revoked = await server.query("mutation ($feed: ID!) { revokeCalendarFeed(feed: $feed) }", { feed: feed.id });
    expect(revoked.errors).toBeUndefined();
    expect((await get(path)).status).toBe(404);
  });

  test("cannot be guessed, and is nobody's for another workshop", async () => {
    for (const name of ["x.ics", `${"A".repeat(43)}.ics`, "..%2F.ics", `${"A".repeat(43)}`])
      expect((await get(`/calendar/${name}`)).status, name).toBe(404);
    const theirs = await otherShop(server.store);
    expect((await make(theirs.restoration)).errors?.[0]?.extensions?.code).toBe("NOT_FOUND");
  });

  test("leads nowhere while its maker may not make one: another role, a closed account, another workshop", async () => {
    const { path, feed } = await made();
    const { accountId } = await server.store.calendarFeed.findUniqueOrThrow({ where: { id: feed.id } });
    const { role, closed, workshopId } = await server.store.account.findUniqueOrThrow({ where: { id: accountId } });
    const other = await server.store.workshop.create({ data: { name: "Another" } });
    const lost = [{ role: "OWNER" }, { role: "MEMBER" }, { closed: true }, { workshopId: other.id }] as const;
    for (const change of lost) {
      await server.store.account.update({ where: { id: accountId }, data: change });
      expect((await get(path)).status, JSON.stringify(change)).toBe(404);
      await server.store.account.update({ where: { id: accountId }, data: { role, closed, workshopId } });
      expect((await get(path)).status).toBe(200);
    }
  });

  test("is one of at most twenty; the oldest goes", async () => {
    const first = await made();
    for (let count = 0; count < 20; count++) await made();
    expect(await server.store.calendarFeed.count()).toBe(20);
    expect((await get(first.path)).status).toBe(404);
  });
});
