/** A hunt for a part that nobody quotes: what it does to the plan, how it fails, stops and ends in a find. */
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { oddsOfHunt } from "../../server/api/hunt/huntOdds.ts";
import { addDays } from "../../server/engine/time/date.ts";
import { threads } from "../../server/worker/threads.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Result, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let hunt: Result;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const partRevision = async (): Promise<number> =>
  (await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } })).revision;

interface Outlook {
  chanceNextWeek: number;
  weeksLooked: number;
  stops: { date: string; chanceFound: number; chanceOfTarget: number | null; fallbackArrival: string | null }[];
  lastOrderDate: string | null;
}

async function outlook(): Promise<Outlook> {
  const { data, errors } = await server.query<{ hunt: { outlook: Outlook } }>(
    `query ($id: ID!) { hunt(id: $id) { outlook {
      chanceNextWeek weeksLooked lastOrderDate
      stops { date chanceFound chanceOfTarget fallbackArrival } } } }`,
    { id: hunt.id },
  );
  if (!data) throw new Error(JSON.stringify(errors));
  return data.hunt.outlook;
}

async function state(): Promise<{ state: string; arrivalDate: string | null }> {
  const { data } = await server.query<{ part: { outlook: { state: string; arrivalDate: string | null } } }>(
    `query ($id: ID!) { part(id: $id) { outlook { state arrivalDate } } }`,
    { id: rows.casing },
  );
  return data!.part.outlook;
}

describe("a hunt", () => {
  test("names what is wrong with it, and nothing is kept", async () => {
    const bad = await save(server, "Hunt", { part: rows.casing, begunOn: "2027-02-30", chancePerWeek: 1.5 });
    expect(bad.faults.map(({ field }) => field).toSorted()).toEqual(["begunOn", "chancePerWeek"]);
    expect(await server.store.hunt.count()).toBe(0);
  });

  test("with a stop date and a fallback is planned as the fallback ordered on the stop date", async () => {
    await call(server, "chooseFallback", "$part: ID!, $quote: ID, $revision: Int!", {
      part: rows.casing,
      quote: rows.quote,
      revision: await partRevision(),
    });
    hunt = await saved(server, "Hunt", {
      part: rows.casing,
      begunOn: "2026-12-07",
      chancePerWeek: 0.05,
      stopDate: "2027-02-01",
      events: [{ date: "2027-01-16", title: "Winter swap meet", chance: 0.2 }],
    });
    expect(await state()).toEqual({ state: "HUNTED", arrivalDate: addDays("2027-02-01", 60) });
  });

  test("is likelier to find the later it stops, and less likely to keep the target once the fallback comes too late", async () => {
    const { stops, lastOrderDate, chanceNextWeek, weeksLooked } = await outlook();
    expect(weeksLooked).toBe(4);
    // Four fruitless weeks have lowered the belief of 1 in 20.
    expect(chanceNextWeek).toBeLessThan(0.05);
    const found = stops.map((stop) => stop.chanceFound);
    expect(found).toEqual(found.toSorted((a, b) => a - b));
    for (const stop of stops)
      expect(stop.chanceOfTarget).toBeCloseTo(stop.date <= lastOrderDate! ? 1 : stop.chanceFound, 1);
  });

  test("believes less after a fruitless search, which cannot lie in the future", async () => {
    const args = "$hunt: ID!, $revision: Int!, $date: Date!, $title: String!";
    const early = await call(server, "recordFruitlessSearch", args, {
      hunt: hunt.id,
      revision: hunt.revision,
      date: "2027-01-16",
      title: "Winter swap meet",
    });
    expect(early.faults).toMatchObject([{ field: "date", code: "OUT_OF_RANGE" }]);
    const done = await call(server, "recordFruitlessSearch", args, {
      hunt: hunt.id,
      revision: hunt.revision,
      date: "2027-01-03",
      title: "Asked round the club",
    });
    expect(done.__typename).toBe("Saved");
    hunt = { ...hunt, revision: done.revision };
  });

  test("ends in a find that is in hand, and undo goes on looking", async () => {
    const args = "$hunt: ID!, $revision: Int!, $inHand: Boolean!";
    const found = await call(server, "huntFound", args, { hunt: hunt.id, revision: hunt.revision, inHand: true });
    expect(found.__typename).toBe("Saved");
    expect((await state()).state).toBe("IN_HAND");
    expect((await undo(server, found.change.id)).__typename).toBe("Saved");
    expect((await state()).state).toBe("HUNTED");
    hunt = { ...hunt, revision: (await server.store.hunt.findUniqueOrThrow({ where: { id: hunt.id } })).revision };
  });

  test("says the odds of the target for each listed stop date, from the plan's own runs", async () => {
    const { data, errors } = await server.query<{
      odds: { onTarget: number };
      hunt: {
        stopDate: string;
        outlook: {
          stops: { date: string; listed: boolean }[];
          odds: { inHand: number; stops: { date: string; onTarget: number }[]; decideBy: string | null };
        };
      };
    }>(
      `query ($id: ID!, $restoration: ID!) {
        odds(restoration: $restoration) { onTarget }
        hunt(id: $id) { stopDate outlook {
          stops { date listed } odds { inHand stops { date onTarget } decideBy } } } }`,
      { id: hunt.id, restoration: rows.restoration },
    );
    if (!data) throw new Error(JSON.stringify(errors));
    const { stops, odds } = data.hunt.outlook;
    expect(odds.stops.map(({ date }) => date)).toEqual(stops.filter(({ listed }) => listed).map(({ date }) => date));
    for (const { onTarget } of odds.stops) expect(onTarget).toBeLessThanOrEqual(odds.inHand);
    const own = odds.stops.find(({ date }) => date === data.hunt.stopDate)!;
    expect(own.onTarget).toBeCloseTo(data.odds.onTarget, 1);
  });

  test("says what each stop date comes to at the owner's prices, and which comes to least", async () => {
    interface Found {
      hunt: {
        outlook: {
          stops: { date: string; points: number; cost: { minor: number } }[];
          odds: {
            best: { date: string } | null;
            stops: { date: string; daysLate: number; total: { minor: number } | null }[];
          };
        };
      };
    }
    const ask = async () => {
      const { data, errors } = await server.query<Found>(
        `query ($id: ID!) { hunt(id: $id) { outlook { stops { date points cost { minor } }
          odds { best { date } stops { date daysLate total { minor } } } } } }`,
        { id: hunt.id },
      );
      if (!data) throw new Error(JSON.stringify(errors));
      return data.hunt.outlook;
    };
    expect((await ask()).odds.best).toBeNull();
    const where = { id: rows.restoration };
    const price = (pricePerDayMinor: number | null) =>
      server.store.restoration.update({ where, data: { pricePerDayMinor, planRevision: { increment: 1 } } });
    await server.store.hunt.update({ where: { id: hunt.id }, data: { priceMinor: 4_000 } });
    await price(1_000);
    const { stops, odds } = await ask();
    const costs = new Map(stops.map(({ date, cost }) => [date, cost.minor]));
    for (const { date, daysLate, total } of odds.stops)
      expect(total!.minor).toBe(Math.round(costs.get(date)! + 1_000 * daysLate));
    const totals = odds.stops.map(({ total }) => total!.minor);
    const least = Math.min(...totals);
    expect(Math.max(...totals)).toBeGreaterThan(least);
    expect(odds.best!.date).toBe(odds.stops[totals.lastIndexOf(least)]!.date);
    await server.store.hunt.update({ where: { id: hunt.id }, data: { priceMinor: null } });
    await price(null);
  });

  test("draws the whole curve once, in one thread, and gives up what is drawn of rows that have changed", async () => {
    const row = await server.store.hunt.findUniqueOrThrow({ where: { id: hunt.id } });
    const asked = { dates: ["2027-01-11", "2027-02-08", "2027-03-08"], confidence: 0.8, figuresFor: "2027-01-04" };
    const drawing = vi.spyOn(threads, "run");
    const revise = () =>
      server.store.restoration.update({ where: { id: rows.restoration }, data: { planRevision: { increment: 1 } } });
    await revise();
    const [first, second] = await Promise.all([
      oddsOfHunt(server.store, row, asked),
      oddsOfHunt(server.store, row, asked),
    ]);
    expect(second).toBe(first);
    expect(await oddsOfHunt(server.store, row, asked)).toBe(first);
    expect(drawing).toHaveBeenCalledTimes(1);
    await revise();
    const outdated = oddsOfHunt(server.store, row, asked);
    while (drawing.mock.calls.length < 2) await new Promise((resolve) => setImmediate(resolve));
    await revise();
    const newer = await oddsOfHunt(server.store, row, asked);
    expect(drawing.mock.calls.slice(1).map(([, following]) => following?.signal?.aborted)).toEqual([true, false]);
    // Whoever waited for the older rows is told what the newer ones say.
    expect(await outdated).toBe(newer);
    expect(newer).toEqual(first);
    drawing.mockRestore();
  });

  test("ends in a find to be bought, with its own price, supplier and provenance, and undo goes on looking", async () => {
    const found = await call(
      server,
      "huntFound",
      `$hunt: ID!, $revision: Int!, $inHand: Boolean!, $supplier: ID, $provenance: Provenance, $unitPriceMinor: Minor,
       $currency: String, $leadDays: Int, $preparationHours: Float, $notes: String`,
      {
        hunt: hunt.id,
        revision: hunt.revision,
        inHand: false,
        supplier: rows.foundry,
        provenance: "NEW_OLD_STOCK",
        unitPriceMinor: 12_345,
        currency: "EUR",
        leadDays: 3,
        preparationHours: 2.5,
        notes: "In a biscuit tin.",
      },
    );
    expect(found.__typename).toBe("Saved");
    const { chosenQuote } = await server.store.part.findUniqueOrThrow({
      where: { id: rows.casing },
      include: { chosenQuote: true },
    });
    expect(chosenQuote).toMatchObject({
      supplierId: rows.foundry,
      provenance: "NEW_OLD_STOCK",
      unitPriceMinor: 12_345,
      currency: "EUR",
      leadDays: 3,
      preparationHours: 2.5,
      notes: "In a biscuit tin.",
    });
    expect(await state()).toEqual({ state: "TO_ORDER", arrivalDate: "2027-01-07" });
    const unknown = await call(server, "huntFound", "$hunt: ID!, $revision: Int!, $inHand: Boolean!, $supplier: ID", {
      hunt: hunt.id,
      revision: hunt.revision,
      inHand: false,
      supplier: "nobody",
    });
    expect(unknown.__typename).not.toBe("Saved");
    expect((await undo(server, found.change.id)).__typename).toBe("Saved");
    expect((await state()).state).toBe("HUNTED");
    expect(await server.store.quote.count({ where: { unitPriceMinor: 12_345 } })).toBe(0);
    hunt = { ...hunt, revision: (await server.store.hunt.findUniqueOrThrow({ where: { id: hunt.id } })).revision };
  });

  describe("names its fallback", () => {
    const named = async () => {
      const { data, errors } = await server.query<{
        hunt: {
          fallbackDoubts: string[];
          outlook: { atStop: { cost: { minor: number } | null; fallbackArrival: string | null } } | null;
        };
        holdUps: { toOrder: { edges: { node: { code: string; huntedUntil: string; quoteDoubts: string[] } }[] } };
        restoration: { daySummary: { sections: { kind: string; lines: { edges: { node: { words: string } }[] } }[] } };
      }>(
        `query ($id: ID!, $r: ID!) {
          hunt(id: $id) { fallbackDoubts outlook { atStop { cost { minor } fallbackArrival } } }
          holdUps(restoration: $r) { toOrder(first: 9) { edges { node { code huntedUntil quoteDoubts } } } }
          restoration(id: $r) { daySummary { sections { kind lines(first: 9) { edges { node { words } } } } } }
        }`,
        { id: hunt.id, r: rows.restoration },
      );
      if (!data) throw new Error(JSON.stringify(errors));
      const lines = data.restoration.daySummary.sections.flatMap(({ kind, lines: of }) =>
        of.edges.map(({ node }) => `${kind}: ${node.words}`),
      );
      return { ...data.hunt, toOrder: data.holdUps.toOrder.edges.map(({ node }) => node), lines: lines.join("\n") };
    };
    const saveQuote = async (input: object) => {
      const { revision } = await server.store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
      await saved(server, "Quote", { id: rows.quote, revision, ...input });
    };

    test("with what speaks against it, on its own sheet, among what is to order and in the summary of the day", async () => {
      const own = await server.store.hunt.findUniqueOrThrow({ where: { id: hunt.id } });
      hunt = await saved(server, "Hunt", { id: hunt.id, revision: own.revision, stopDate: "2027-01-15" });
      expect((await named()).fallbackDoubts).toEqual([]);
      await saveQuote({ ruledOut: true, validUntil: "2027-01-14" });
      const { fallbackDoubts, outlook: found, toOrder, lines } = await named();
      const doubts = ["is ruled out", "ends on 14 Jan 2027, before it is ordered"];
      expect(fallbackDoubts).toEqual(doubts);
      expect(toOrder).toMatchObject([{ huntedUntil: "2027-01-15", quoteDoubts: doubts }]);
      // It is counted on all the same.
      expect(found!.atStop.fallbackArrival).toBe(addDays("2027-01-15", 60));
      expect(lines).toContain("which is ruled out, which ends on 14 Jan 2027, before it is ordered");
      expect(lines).toMatch(/ORDER: order its fallback from .+; that quote is ruled out; that quote ends on/);
      await saveQuote({ ruledOut: false, validUntil: null });
    });

    test("and prices none that the owner declined", async () => {
      expect((await named()).outlook!.atStop.cost).toBeNull();
      await server.store.hunt.update({ where: { id: hunt.id }, data: { priceMinor: 4_000 } });
      await server.store.restoration.update({
        where: { id: rows.restoration },
        data: { planRevision: { increment: 1 } },
      });
      expect((await named()).outlook!.atStop.cost).not.toBeNull();
      const asked = await call(server, "askDecision", "$input: DecisionInput!", {
        input: { restoration: rows.restoration, title: "The casing, if none is found", quote: rows.quote },
      });
      await call(server, "answerDecision", "$decision: ID!, $approve: Boolean!, $name: String!", {
        decision: asked.id,
        approve: false,
        name: "Odile Farrant",
      });
      const { fallbackDoubts, outlook: found, lines } = await named();
      expect(fallbackDoubts).toEqual(["was declined by the owner, and is not counted on"]);
      expect(found!.atStop).toEqual({ cost: null, fallbackArrival: null });
      expect(lines).toContain("its fallback was declined by the owner: choose another");
      await server.store.decision.delete({ where: { id: asked.id } });
      const where = { id: hunt.id };
      await server.store.hunt.update({ where, data: { priceMinor: null, stopDate: "2027-02-01" } });
      await server.store.restoration.update({
        where: { id: rows.restoration },
        data: { planRevision: { increment: 1 } },
      });
      hunt = { ...hunt, revision: (await server.store.hunt.findUniqueOrThrow({ where })).revision };
    });
  });

  test("that is stopped orders the fallback on the day of the figures", async () => {
    await saved(server, "Hunt", { id: hunt.id, revision: hunt.revision, state: "STOPPED" });
    expect(await state()).toEqual({ state: "TO_ORDER", arrivalDate: addDays("2027-01-04", 60) });
  });
});
