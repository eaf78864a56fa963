/** When a machine will be finished, how sure that is and what holds it: the same on each sheet, to whoever reads it. */
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { furtherFigures } from "../../server/api/odds/oddsWork.ts";
import { addDays } from "../../server/engine/time/date.ts";
import { summaryMessage } from "../../server/mail/summaryMessage.ts";
import { planOf } from "../../server/plan/cache.ts";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { calendarEvents } from "../../server/plan/days/calendarEvents.ts";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { daySummary } from "../../server/plan/days/daySummary.ts";
import { dateInWords, oddsInWords } from "../../server/plan/days/summaryWords.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { odds as oddsOnScreen } from "../../web/shared/format.ts";
import { type Workshops, workshops } from "./workshops.ts";

let all: Workshops;
beforeAll(async () => {
  all = await workshops();
});
afterAll(() => all.server.close());

const each = async (check: (id: string) => Promise<void>): Promise<void> => {
  expect(all.ids.length).toBeGreaterThan(5);
  for (const id of all.ids) await check(id);
};

interface Ends {
  holdUps: {
    completion: { open: boolean; dateWithOpenInHand: string; daysLate: number | null; targetDate: string | null };
    ladder: { edges: { node: { id: string; open: boolean; title: string } }[] };
  };
  odds: {
    evenOdds: string | null;
    fourInFive: string | null;
    onTarget: number | null;
    condition: string | null;
    endlessHunts: string | null;
  };
}
const ENDS = `query ($id: ID!) {
  holdUps(restoration: $id) {
    completion { open dateWithOpenInHand daysLate targetDate }
    ladder(first: 100) { edges { node { id open title } } }
  }
  odds(restoration: $id) { evenOdds fourInFive onTarget condition endlessHunts }
}`;

describe("the same", () => {
  test("end, hold-ups and odds stand on Hold-ups and in the owner's report", () =>
    each(async (id) => {
      expect(await all.asked<Ends>(id, ENDS, "OWNER")).toEqual(await all.asked<Ends>(id, ENDS));
    }));

  test("end stands on Hold-ups, on Choices as the plan in force, and with the kept day", () =>
    each(async (id) => {
      const { store } = all.server;
      const { completion } = (await all.asked<Ends>(id, ENDS)).holdUps;
      expect(choiceProblem(await loadExposureRows(store, id, undefined)).inForce.date).toBe(
        completion.dateWithOpenInHand,
      );
      await keepDay(store, id);
      const kept = await store.dayFigures.findFirstOrThrow({ where: { restorationId: id }, orderBy: { day: "desc" } });
      expect(kept).toMatchObject({ open: completion.open, completion: completion.dateWithOpenInHand });
    }));

  test("first hold-up stands on the ladder, on Today and in the mail", () =>
    each(async (id) => {
      const { holdUps } = await all.asked<Ends>(id, ENDS);
      const summary = await daySummary(all.server.store, id, false);
      const { text } = summaryMessage({
        to: "",
        name: "",
        accountId: "",
        day: summary.day,
        address: undefined,
        summaries: [summary],
      });
      expect(text).toContain(summary.sentence);
      const titles = holdUps.ladder.edges.map(({ node }) => node.title);
      if (titles[0] !== undefined) expect(summary.sentence).toContain(titles[0]);
    }));

  test("odds, and the chance of the target in words, stand on Hold-ups, with the kept day, on Today and in the mail", () =>
    each(async (id) => {
      const { store } = all.server;
      const { evenOdds, fourInFive, onTarget } = (await all.asked<Ends>(id, ENDS)).odds;
      await keepDay(store, id, furtherFigures(store));
      const { days } = (
        await all.asked<{ restoration: { days: { edges: { node: object }[] } } }>(
          id,
          "query ($id: ID!) { restoration(id: $id) { days(first: 100) { edges { node { evenOdds fourInFive targetOdds } } } } }",
        )
      ).restoration;
      expect(days.edges.at(-1)!.node).toEqual({ evenOdds, fourInFive, targetOdds: onTarget });
      const { since } = await daySummary(store, id, false);
      if (onTarget === 0) expect(since).toContain("No run keeps the target");
      else if (onTarget === 1) expect(since).toContain("Every run keeps the target");
      else if (onTarget !== null) expect(since).toContain(`keeping the target are ${oddsOnScreen(onTarget)}`);
    }));

  test("words say a chance on the screens and in what the server words", () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (p) => oddsInWords(p) === oddsOnScreen(p)));
    for (let of = 1; of <= 400; of++)
      for (let ins = 0; ins <= of; ins++) expect(oddsInWords(ins / of)).toBe(oddsOnScreen(ins / of));
  });

  test("number of parts not in hand stands in the list of restorations and as states of the parts", () =>
    each(async (id) => {
      const plan = await planOf(all.server.store, id);
      // What has come and is still to be tried is at the shop.
      const outstanding = [...plan.parts.values()].filter(
        ({ state }) => !["IN_HAND", "ARRIVED"].includes(state),
      ).length;
      const { restorations } = await all.asked<{ restorations: { edges: { node: Listed }[] } }>(
        id,
        `query { restorations(first: 100) { edges { node { id targetDate parts(first: 1) { totalCount }
          wanted: parts(first: 1, state: [NO_SOURCE, HUNTED, UNDECIDED, TO_ORDER, ORDERED, LATE]) { totalCount }
        } } } }`,
      );
      const { node } = restorations.edges.find((edge) => edge.node.id === id)!;
      expect(node.wanted.totalCount).toBe(outstanding);
      expect(node.parts.totalCount).toBe(plan.parts.size);
      expect(node.targetDate).toBe(plan.completion.targetDate);
    }));

  test("date to decide by on a hunt stands on its sheet, in the calendar and on Today, for every hunt", async () => {
    let decided = 0;
    await each(async (id) => {
      const { store } = all.server;
      const { figuresFor } = await planOf(store, id);
      // A target that can be kept: far off, with what is looked for without end in hand.
      await store.part.updateMany({
        where: { restorationId: id, hunt: { stopDate: null } },
        data: { stateOnHand: "IN_HAND" },
      });
      await store.restoration.update({
        where: { id },
        data: { targetDate: addDays(figuresFor, 700), planRevision: { increment: 1 } },
      });
      const events = new Map((await calendarEvents(store, id)).map(({ uid, date }) => [uid, date]));
      const { sections } = await daySummary(store, id, false);
      const lines = sections.find(({ kind }) => kind === "HUNT")!.lines;
      for (const hunt of await store.hunt.findMany({ where: { restorationId: id } })) {
        const { outlook } = (await all.asked<Sheet>(id, `{ hunt(id: "${hunt.id}") { outlook { odds { decideBy } } } }`))
          .hunt;
        const decideBy = outlook?.odds?.decideBy ?? null;
        expect(events.get(`decide-${hunt.id}@lastbolt`) ?? hunt.stopDate).toBe(decideBy ?? hunt.stopDate);
        const said = lines.find(({ partId }) => partId === hunt.partId)?.words ?? "";
        if (said.startsWith("decide by")) expect(said).toContain(`decide by ${dateInWords(decideBy!)}, `);
        if (decideBy !== null && decideBy >= figuresFor) decided += 1;
      }
    });
    expect(decided).toBeGreaterThan(0);
  });
});

interface Sheet {
  hunt: { outlook: { odds: { decideBy: string | null } | null } | null };
}

interface Listed {
  id: string;
  targetDate: string | null;
  parts: { totalCount: number };
  wanted: { totalCount: number };
}
