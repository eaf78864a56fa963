/** Every line of a judging sheet counts, wherever points are shown. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let section: string;
let later: string;
const line = { plate: "", lamps: "", extinguisher: "" };

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const lines = [
    { title: "Casing of the right make", maximum: 6, mandatory: true },
    { title: "Lamps", maximum: 4 },
    { title: "Extinguisher", maximum: 0, disqualifying: true },
  ];
  const deductions = [{ provenance: "LATER_SUBSTITUTE", points: 1.25 }];
  section = (
    await saved(server, "JudgingSection", {
      restoration: rows.restoration,
      name: "Engine and drive",
      maximum: 60,
      lines,
      deductions,
    })
  ).id;
  await saved(server, "AwardFloor", { restoration: rows.restoration, award: "Gilt Dog Rose", points: 52 });
  await saved(server, "AwardFloor", { restoration: rows.restoration, award: "Green Leaf", points: 40 });
  const stored = await server.store.judgingLine.findMany({ orderBy: { position: "asc" } });
  [line.plate, line.lamps, line.extinguisher] = stored.map(({ id }) => id) as [string, string, string];
  const substitute = { part: rows.casing, supplier: rows.foundry, provenance: "LATER_SUBSTITUTE" };
  later = (await saved(server, "Quote", { ...substitute, unitPriceMinor: 30_000, leadDays: 5 })).id;
  await savePart({ judgingLine: line.plate });
  const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
  await choose(server, rows.casing, later, part.revision);
});
afterAll(() => server.close());

async function savePart(input: object): Promise<void> {
  const { revision } = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
  await saved(server, "Part", { id: rows.casing, revision, ...input });
}

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

interface Judged {
  pointsLost: number;
  award: string | null;
  disqualified: boolean;
}

/** What each place shows of the points of the plan in force: the quote, the sheet, the report of the owner, Choices. */
async function shown() {
  const { part, restoration } = await ask<{
    part: {
      quotes: { id: string; pointsLost: number }[];
      walkAway: { provenance: string; pointsDifference: number }[];
    };
    restoration: {
      pointsLost: { total: number; disqualifiedBy: string[]; floors: { award: string; met: boolean }[] };
    };
  }>(
    `query ($part: ID!, $id: ID!) {
      part(id: $part) { quotes { id pointsLost } walkAway { provenance pointsDifference } }
      restoration(id: $id) { pointsLost { total disqualifiedBy floors { award met } } } }`,
    { part: rows.casing, id: rows.restoration },
  );
  const { startChoices } = await ask<{ startChoices: { id: string } }>(
    "mutation ($id: ID!) { startChoices(restoration: $id) { id } }",
    { id: rows.restoration },
  );
  const owner = await server.store.account.findFirstOrThrow();
  for await (const _ of jobs.changes(startChoices.id, owner));
  const { job } = await ask<{
    job: { choices: { inForce: Judged; plans: { edges: { node: Judged & { changes: { totalCount: number } } }[] } } };
  }>(
    `query ($id: ID!) { job(id: $id) { choices { inForce { pointsLost award disqualified }
      plans(first: 100) { edges { node { pointsLost award disqualified changes: differences { totalCount } } } } } } }`,
    { id: startChoices.id },
  );
  const plans = job.choices.plans.edges.map(({ node }) => node);
  const { total, disqualifiedBy, floors } = restoration.pointsLost;
  return {
    quote: part.quotes.find(({ id }) => id === later)!.pointsLost,
    sheet: total,
    disqualifiedBy,
    met: floors.filter(({ met }) => met).map(({ award }) => award),
    inForce: job.choices.inForce,
    planInForce: plans.find(({ changes }) => changes.totalCount === 0),
    plans,
    walkAway: part.walkAway,
  };
}

describe("a part judged on a line", () => {
  test("where a loss is taken whole loses all of it, and each place shows the same", async () => {
    const { quote, sheet, met, inForce, planInForce } = await shown();
    expect([quote, sheet, inForce.pointsLost, planInForce?.pointsLost]).toEqual([6, 6, 6, 6]);
    expect(met).toEqual(["Gilt Dog Rose", "Green Leaf"]);
    expect([inForce.award, planInForce?.award]).toEqual(["Gilt Dog Rose", "Gilt Dog Rose"]);
  });

  test("is worth less by the whole line where it is a later substitute", async () => {
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", { id: rows.restoration, revision, pricePerPointMinor: 10_000 });
    const { part } = await ask<{ part: { walkAway: { provenance: string; price: { minor: number } }[] } }>(
      "query ($id: ID!) { part(id: $id) { walkAway { provenance price { minor } } } }",
      { id: rows.casing },
    );
    const priceOf = (one: string) => part.walkAway.find(({ provenance }) => provenance === one)!.price.minor;
    expect(priceOf("ORIGINAL") - priceOf("LATER_SUBSTITUTE")).toBe(6 * 10_000);
  });

  test("that is not taken whole loses its own points, in steps in the owner's favour where the sheet has them", async () => {
    await savePart({ judgingLine: line.lamps });
    expect((await shown()).sheet).toBe(1.25);
    const restoration = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", { id: rows.restoration, revision: restoration.revision, pointStep: 0.5 });
    const { quote, sheet, inForce, planInForce } = await shown();
    expect([quote, sheet, inForce.pointsLost, planInForce?.pointsLost]).toEqual([1, 1, 1, 1]);
  });

  test("that disqualifies has no award left anywhere, and a plan without it is not beaten by one that is cheaper", async () => {
    await savePart({ judgingLine: line.extinguisher });
    const { disqualifiedBy, met, inForce, planInForce, plans } = await shown();
    expect(disqualifiedBy).toEqual(["Extinguisher"]);
    expect(met).toEqual([]);
    for (const one of [inForce, planInForce!]) expect([one.award, one.disqualified]).toEqual([null, true]);
    expect(plans.filter(({ disqualified }) => !disqualified).map(({ award }) => award)).toContain("Gilt Dog Rose");
  });

  test("loses the same on the hunt's sheet, on the sheet of points and on Choices while it is looked for", async () => {
    const { store } = server;
    const revision = async () => (await store.part.findUniqueOrThrow({ where: { id: rows.casing } })).revision;
    const fallback = (quote: string | null, of: number) =>
      call(server, "chooseFallback", "$part: ID!, $quote: ID, $revision: Int!", {
        part: rows.casing,
        quote,
        revision: of,
      });
    await choose(server, rows.casing, null, await revision());
    await fallback(later, await revision());
    const hunt = await saved(server, "Hunt", {
      part: rows.casing,
      begunOn: "2026-12-07",
      chancePerWeek: 0.05,
      stopDate: "2027-02-01",
    });
    const outlook = async () =>
      (
        await ask<{
          hunt: {
            outlook: {
              atStop: { chanceFound: number; points: number };
              findDisqualifiedBy: string | null;
              fallbackDisqualifiedBy: string | null;
            };
          };
        }>(
          "query ($id: ID!) { hunt(id: $id) { outlook { atStop { chanceFound points } findDisqualifiedBy fallbackDisqualifiedBy } } }",
          { id: hunt.id },
        )
      ).hunt.outlook;
    for (const [on, of] of [
      [line.plate, 6],
      [line.lamps, 1.25],
      [line.extinguisher, 0],
    ] as const) {
      await savePart({ judgingLine: on });
      const { atStop, fallbackDisqualifiedBy, findDisqualifiedBy } = await outlook();
      const { sheet, disqualifiedBy, inForce, planInForce } = await shown();
      // Where going on looking saves no point, ordering at once beats it.
      expect(planInForce !== undefined).toBe(on === line.plate);
      const onChoices = [inForce, planInForce ?? inForce];
      for (const lost of [sheet, ...onChoices.map(({ pointsLost }) => pointsLost)]) expect(lost).toBe(atStop.points);
      // The mean of a find that loses nothing and a fallback that loses so much; on the lamps in steps of a half.
      const mean = (1 - atStop.chanceFound) * of;
      expect(atStop.points).toBeCloseTo(on === line.lamps ? Math.floor(mean * 2) / 2 : mean, 2);
      expect([findDisqualifiedBy, fallbackDisqualifiedBy]).toEqual([null, disqualifiedBy[0] ?? null]);
      for (const { disqualified } of onChoices) expect(disqualified).toBe(of === 0);
    }
    await store.hunt.delete({ where: { id: hunt.id } });
    await fallback(null, await revision());
    await choose(server, rows.casing, later, await revision());
  });

  test("stays on it when the line is called otherwise or moved, leaves it with the line, and comes back by undo", async () => {
    const stored = await server.store.judgingSection.findUniqueOrThrow({ where: { id: section } });
    const on = async () => (await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } })).judgingLineId;
    const lines = [
      { id: line.extinguisher, title: "Fire extinguisher", maximum: 0, disqualifying: true },
      { title: "Lamps", maximum: 4 },
    ];
    const changed = await saved(server, "JudgingSection", { id: section, revision: stored.revision, lines });
    expect(await on()).toBe(line.extinguisher);
    const left = await server.store.judgingLine.findMany({ orderBy: { position: "asc" } });
    expect(left.map(({ id, title }) => [id, title])).toEqual([
      [line.extinguisher, "Fire extinguisher"],
      [line.lamps, "Lamps"],
    ]);
    const gone = await saved(server, "JudgingSection", {
      id: section,
      revision: changed.revision,
      lines: [{ title: "Lamps", maximum: 4 }],
    });
    expect(await on()).toBeNull();
    await undo(server, gone.change!.id);
    expect(await on()).toBe(line.extinguisher);
  });
});

test("points of a way, a remedy or a quote that the owner declined are lost nowhere", async () => {
  await savePart({ judgingLine: null, judgingSection: section });
  const snag = (await saved(server, "Snag", { operation: rows.strip, title: "Stud sheared" })).id;
  const remedy = (await saved(server, "Remedy", { snag, title: "Braze it", hours: 1, points: 3 })).id;
  const way = (await saved(server, "OperationWay", { operation: rows.assemble, title: "Sent out", days: 9, points: 5 }))
    .id;
  for (const [table, id, data] of [
    ["snag", snag, { chosenRemedyId: remedy }],
    ["operation", rows.assemble, { chosenWayId: way }],
  ] as const)
    await (server.store[table] as unknown as { update: (of: object) => Promise<unknown> }).update({
      where: { id },
      data,
    });
  const bump = () =>
    server.store.restoration.update({ where: { id: rows.restoration }, data: { planRevision: { increment: 1 } } });
  await bump();
  const before = await shown();
  expect([before.sheet, before.inForce.pointsLost]).toEqual([9, 9]);
  for (const input of [{ remedy }, { way }, { quote: later }]) {
    const asked = await call(server, "askDecision", "$input: DecisionInput!", {
      input: { restoration: rows.restoration, title: "May we?", amountMinor: 100, ...input },
    });
    await call(server, "answerDecision", "$decision: ID!, $approve: Boolean!, $name: String!", {
      decision: asked.id,
      approve: false,
      name: "Odile Farrant",
    });
  }
  const after = await shown();
  expect([after.sheet, after.inForce.pointsLost, after.met]).toEqual([0, 0, ["Gilt Dog Rose", "Green Leaf"]]);
});
