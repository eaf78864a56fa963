/** One figure, two places: what they show is the same, on the demo and on generated restorations. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { furtherFigures, oddsOfRestoration } from "../../server/api/odds/oddsWork.ts";
import { addDays, daysBetween } from "../../server/engine/time/date.ts";
import { planOf } from "../../server/plan/cache.ts";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { awardMet, hundredths, loadSheet, lossesOf, sheetLosses } from "../../server/plan/choice/points.ts";
import { calendarEvents } from "../../server/plan/days/calendarEvents.ts";
import { keepDay, keptEnd } from "../../server/plan/days/dayFigures.ts";
import { daySummary } from "../../server/plan/days/daySummary.ts";
import { dateInWords } from "../../server/plan/days/summaryWords.ts";
import { loadMakers, makerRecord } from "../../server/plan/makers/makerRecord.ts";
import { MakerRecords } from "../../server/plan/makers/makerWait.ts";
import { exposureOf } from "../../server/plan/money/exposure.ts";
import { consentOfQuote } from "../../server/plan/money/exposureConsent.ts";
import { moneyOf } from "../../server/plan/money/exposureKept.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { dateWith } from "../../server/plan/odds/odds.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import type { TestServer } from "../support/server.ts";
import { plansFor, type Workshops, workshops } from "./workshops.ts";

let server: TestServer;
let ids: readonly string[] = [];
let asked: Workshops["asked"];
beforeAll(async () => {
  ({ server, ids, asked } = await workshops());
});
afterAll(() => server.close());

const each = async (check: (id: string) => Promise<void>) => {
  expect(ids.length).toBeGreaterThan(3);
  for (const id of ids) await check(id);
};

describe("the same", () => {
  test("completion stands on Hold-ups, Today and in the mail", () =>
    each(async (id) => {
      const plan = await planOf(server.store, id);
      for (const today of [undefined, plan.figuresFor])
        expect((await daySummary(server.store, id, false, today)).sentence).toContain(
          `ready on ${dateInWords(plan.completion.dateWithOpenInHand)}`,
        );
    }));

  test("hours still to do are the same on Work and in the owner's money, with those that parts and remedies bring", () =>
    each(async (id) => {
      const rows = await loadExposureRows(server.store, id, undefined);
      const plan = await planOf(server.store, id);
      const { operations, brought } = plan.hoursToDo;
      const rate = 100;
      const money = exposureOf({
        ...rows,
        tradeRates: new Map(),
        money: { ...rows.money, hourlyRateMinor: rate, countOwnHours: true },
      });
      const each = rows.plan.operations.map(({ id: operation, handsNeeded }) => ({
        hours: plan.operations.get(operation)!.hoursToDo,
        hands: handsNeeded.reduce((sum, { hands }) => sum + hands, 0),
      }));
      expect(each.reduce((sum, { hours }) => sum + hours, 0)).toBeCloseTo(operations, 3);
      // Every hand that work takes is charged for all of its hours; what is looked for counts in money at what is expected of its hunt.
      const charged = each.reduce((sum, { hours, hands }) => sum + hours * hands, brought);
      if (rows.plan.hunts.length === 0) expect(money.buckets.LABOUR_TO_GO.planned / rate).toBeCloseTo(charged, 0);
    }));

  test("order-by date stands on the ladder, the part, Today and in the calendar", () =>
    each(async (id) => {
      const plan = await planOf(server.store, id);
      const events = new Map((await calendarEvents(server.store, id)).map(({ uid, date }) => [uid, date]));
      const { sections } = await daySummary(server.store, id, false);
      const lines = sections.find(({ kind }) => kind === "ORDER")!.lines;
      for (const { orderId, orderBy, kind, rowId, id: holdUp } of plan.ladder) {
        if (kind === "PART") expect(plan.parts.get(rowId)!.orderBy).toBe(orderBy);
        if (orderId === null && orderBy !== null)
          expect(events.get(`order-by-${holdUp.replace(":", "-")}@lastbolt`)).toBe(orderBy);
      }
      expect(lines.map(({ partId, snagId }) => partId ?? snagId)).toEqual(plan.toOrder.map(({ rowId }) => rowId));
      plan.toOrder.forEach(({ orderBy, id: holdUp }, at) => {
        expect(events.get(`order-by-${holdUp.replace(":", "-")}@lastbolt`)).toBe(orderBy ?? undefined);
        if (orderBy !== null) expect(lines[at]!.words).toContain(dateInWords(orderBy));
      });
    }));

  test("maker's record stands behind order-by dates and on the supplier's page", () =>
    each(async (id) => {
      const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id } });
      const { figuresFor } = await planOf(server.store, id);
      const rows = await loadRows(server.store, id);
      const records = new MakerRecords(rows, figuresFor);
      const makers = await loadMakers(server.store, workshopId);
      for (const supplierId of new Set(rows.quotes.map((quote) => quote.supplierId))) {
        const [plan, page] = [records.of(supplierId), makerRecord(makers, supplierId, figuresFor).own];
        for (const key of ["mean", "scale", "meanScale", "degrees"] as const)
          expect(plan[key]).toBeCloseTo(page[key], 10);
      }
    }));

  test("end by even odds stands in the list of restorations, once it is kept, and on the restoration's own page", () =>
    each(async (id) => {
      const { store } = server;
      await keepDay(store, id, furtherFigures(store));
      const { planRevision } = await store.restoration.findUniqueOrThrow({ where: { id } });
      const { completion, figuresFor } = await planOf(store, id);
      const odds = await oddsOfRestoration(store, id, figuresFor, { account: "" });
      const kept = { open: completion.open, evenOdds: dateWith(odds, 0.5) };
      expect(await keptEnd(store, id, planRevision)).toEqual(completion.entered ? kept : null);
      expect(await keptEnd(store, id, planRevision + 1)).toBeNull();
    }));

  test("points lost and awards left stand on the restoration's page and on Choices, in force and plan by plan", () =>
    each(async (id) => {
      const sheet = await loadSheet(server.store, id);
      const plan = await planOf(server.store, id);
      const losses = await lossesOf(server.store, id, sheet, plan);
      const { total, disqualifiedBy, floors } = sheetLosses(sheet, losses);
      const problem = choiceProblem(await loadExposureRows(server.store, id, undefined));
      expect(problem.inForce).toMatchObject({ pointsLost: total, disqualified: disqualifiedBy.length > 0 });
      expect(awardMet(sheet, total, disqualifiedBy.length > 0)).toEqual(floors.find(({ met }) => met) ?? null);
      const found = await plansFor(problem);
      const width = found.choices.length;
      for (let at = 0; at < Math.min(found.end.length, 200); at++) {
        const chosen = problem.subjects.map(({ place, options }, choice) => {
          const { points, expected } = options[found.picks[at * width + choice]!]!;
          return { ...place, points, expected };
        });
        const judged = sheetLosses(sheet, chosen);
        expect(found.points[at]).toBe(hundredths(judged.total));
        expect(found.disqualified[at] === 1).toBe(judged.disqualifiedBy.length > 0);
      }
    }));

  test("landed cost stands with the quote and with what is over the owner's limit", () =>
    each(async (id) => {
      await server.store.restoration.update({
        where: { id },
        data: { consentOverMinor: 1, planRevision: { increment: 1 } },
      });
      const { rows } = await moneyOf(server.store, id);
      const { data } = await server.query<{
        restoration: {
          parts: { edges: { node: { quotes: { id: string; landed: { total: { minor: number } | null } }[] } }[] };
        };
      }>(
        `query ($id: ID!) { restoration(id: $id) { parts(first: 100) { edges { node {
          quotes { id landed { total { minor } } } } } } } }`,
        { id },
      );
      if (id === ids[0]) expect(data!.restoration.parts.edges.length).toBeGreaterThan(20);
      for (const { node } of data?.restoration.parts.edges ?? [])
        for (const quote of node.quotes)
          if (quote.landed.total !== null && quote.landed.total.minor > 1)
            expect(consentOfQuote(rows, quote.id)?.amountMinor).toBe(quote.landed.total.minor);
    }));

  test("what a part costs, and what all of it comes to, are the same to the penny for the owner and for the workshop", async () => {
    const document = `query ($id: ID!) {
      holdUps(restoration: $id) { toOrder(first: 200) { edges { node {
        id quote { landed { ordered total { minor currency } } } remedy { price { minor currency } } } } } }
      restoration(id: $id) {
        exposure { received { minor currency } total { planned unknown } contingency { amount { minor } total { minor currency } } }
        decisions(first: 100, waiting: true) { edges { node { amount { minor currency } quote { landed { total { minor currency } } } } } }
      }
    }`;
    interface Costs {
      holdUps: { toOrder: { edges: { node: { quote: { landed: object } | null } }[] } };
      restoration: {
        exposure: {
          total: { planned: number };
          contingency: { amount: { minor: number }; total: { minor: number; currency: string } } | null;
        };
        decisions: { edges: { node: { amount: object | null; quote: { landed: { total: object } } | null } }[] };
      };
    }
    let decided = 0;
    await each(async (id) => {
      const [workshop, owner] = [await asked<Costs>(id, document), await asked<Costs>(id, document, "OWNER")];
      expect(owner).toEqual(workshop);
      const { exposure, decisions } = owner.restoration;
      if (exposure.contingency)
        expect(exposure.contingency.total.minor).toBe(exposure.total.planned + exposure.contingency.amount.minor);
      for (const { node } of decisions.edges)
        if (node.amount && node.quote) {
          expect(node.quote.landed.total).toEqual(node.amount);
          decided++;
        }
    });
    expect(decided).toBeGreaterThan(0);
  });

  test("the end that order-by dates keep at 4 in 5 is the 4-in-5 date of the odds", () =>
    each(async (id) => {
      const { data, errors } = await server.query<{
        odds: { fourInFive: string | null };
        holdUps: { orderDays: { own: { held: boolean; heldEnd: string | null } } };
      }>(
        `query ($id: ID!) { odds(restoration: $id) { fourInFive }
          holdUps(restoration: $id, confidence: 0.8) { orderDays { own { held heldEnd } } } }`,
        { id },
      );
      // Restorations of other workshops are not the demo's to ask for.
      if (!data?.odds) return void expect(errors).toMatchObject([{ extensions: { code: "NOT_FOUND" } }]);
      const { held, heldEnd } = data.holdUps.orderDays.own;
      if (!held) expect(heldEnd).toBe(data.odds.fourInFive);
    }));

  test("an order day at a chance is never later than as promised, and the end that is held is kept by such days as often as asked", () =>
    each(async (id) => {
      const days = async (confidence: number | null) =>
        new Map((await planOf(server.store, id, { confidence })).toOrder.map((one) => [one.id, one]));
      // Of hours beyond any life, which others have entered, no day can be drawn.
      const { errors } = await server.query("query ($id: ID!) { restoration(id: $id) { id } }", { id });
      if (errors !== undefined) return;
      const promised = await days(null);
      for (const confidence of [0.5, 0.8, 0.95]) {
        const { orderDays } = await planOf(server.store, id, { confidence });
        for (const one of (await days(confidence)).values()) {
          if (one.orderBy === null) continue;
          const latest = promised.get(one.id)!.orderBy!;
          // What is already past its day is ordered today.
          if (latest >= one.orderOn!) expect(daysBetween(one.orderBy, latest)).toBeGreaterThanOrEqual(0);
        }
        // At the very end that ordering everything at once just holds, a hundredth is given up.
        const own = orderDays?.own;
        if (own?.chance != null) expect(own.chance).toBeGreaterThan(confidence - 0.03);
      }
    }));

  test("even odds and 4 in 5 stand on Hold-ups and, once the day is kept, on Today, on the same condition", () =>
    each(async (id) => {
      const { data } = await server.query<{
        odds: { evenOdds: string | null; fourInFive: string | null; condition: string | null } | null;
      }>("query ($id: ID!) { odds(restoration: $id) { evenOdds fourInFive condition } }", { id });
      if (!data?.odds) return;
      await keepDay(server.store, id, furtherFigures(server.store));
      const { evenOdds, fourInFive, condition } = data.odds;
      const { sentence } = await daySummary(server.store, id, false);
      if (evenOdds !== null)
        expect(sentence).toContain(
          `odds on ${dateInWords(evenOdds)}${fourInFive === null ? "" : `, 4 in 5 by ${dateInWords(fourInFive)}`}. As quoted`,
        );
      if (evenOdds !== null && condition !== null) expect(sentence.toLowerCase()).toContain(condition.toLowerCase());
    }));

  test("expected cost of a hunt stands on its sheet, in Choices and in the owner's money", async () => {
    const { store } = server;
    const hunts = await store.hunt.findMany({
      where: { restorationId: ids[0]!, stopDate: { not: null }, priceMinor: { not: null }, state: "SEARCHING" },
    });
    expect(hunts.length).toBeGreaterThan(0);
    const rows = await loadExposureRows(store, ids[0]!, undefined);
    const { subjects } = choiceProblem(rows);
    const { lines } = exposureOf(rows);
    for (const { id, partId } of hunts) {
      const { data } = await server.query<{ hunt: { outlook: { atStop: { cost: { minor: number } } } } }>(
        "query ($id: ID!) { hunt(id: $id) { outlook { atStop { cost { minor } } } } }",
        { id },
      );
      const { costMinor, labourMinor } = subjects.find(({ rowId }) => rowId === partId)!.inForce;
      expect(costMinor).toBe(data!.hunt.outlook.atStop.cost.minor);
      const planned = (bucket: string) =>
        lines.filter((line) => line.id === partId && line.bucket === bucket).map((line) => line.planned);
      expect(planned("LABOUR_TO_GO")).toEqual([labourMinor]);
      expect(planned("CHOSEN")).toEqual([costMinor! - (rows.money.countOwnHours ? labourMinor : 0)]);
    }
  });

  test("date to decide by on a hunt stands on its sheet, in the calendar, on Today and in the mail", async () => {
    const { store } = server;
    const where = { id: ids[0]! };
    // With the part that nobody quotes in hand, a find unlikely, and a fallback that takes nearly until the target.
    const [endless, decided] = await Promise.all(
      [null, { not: null }].map((stopDate) =>
        store.hunt.findFirstOrThrow({ where: { restorationId: where.id, stopDate }, include: { part: true } }),
      ),
    );
    const { figuresFor } = await planOf(store, where.id);
    const targetDate = addDays(figuresFor, 400);
    await store.part.update({ where: { id: endless!.partId }, data: { stateOnHand: "IN_HAND" } });
    await store.huntEvent.deleteMany({ where: { huntId: decided!.id } });
    await store.hunt.update({ where: { id: decided!.id }, data: { stopDate: null, chancePerWeek: 0.001 } });
    await store.quote.update({
      where: { id: decided!.part.fallbackQuoteId! },
      data: { leadDays: 370, leadLeast: 370, leadLikely: 370, leadMost: 370 },
    });
    await store.restoration.update({ where, data: { targetDate, planRevision: { increment: 1 } } });
    const { data, errors } = await server.query<{ hunt: { outlook: { odds: { decideBy: string } } } }>(
      "query ($id: ID!) { hunt(id: $id) { outlook { odds { decideBy } } } }",
      { id: decided!.id },
    );
    if (!data) throw new Error(JSON.stringify(errors));
    const { decideBy } = data.hunt.outlook.odds;
    expect(daysBetween(figuresFor, decideBy)).toBeLessThan(15);
    const events = new Map((await calendarEvents(store, where.id)).map(({ uid, date }) => [uid, date]));
    expect(events.get(`decide-${decided!.id}@lastbolt`)).toBe(decideBy);
    const { sections } = await daySummary(store, where.id, false);
    const { lines } = sections.find(({ kind }) => kind === "HUNT")!;
    expect(lines.map(({ words }) => words)).toEqual([expect.stringContaining(`decide by ${dateInWords(decideBy)}, `)]);
  });
});
