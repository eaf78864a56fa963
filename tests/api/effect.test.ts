/** What a choice does, told before and after it: the same figures as the plan itself gives once it is made. */
import { afterAll, beforeAll, expect, test, vi } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
});
afterAll(() => server.close());

interface Standing {
  date: string;
  hours: number;
  pointsLost: number;
  cost: { minor: number } | null;
}
interface Effect {
  before: Standing;
  after: Standing;
}

const STANDING = "date hours pointsLost cost { minor }";

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data) throw new Error(JSON.stringify(errors));
  return data;
}

const effectsOf = async (kind: string, row: string) =>
  (
    await ask<{ choiceEffects: { option: string | null; effect: Effect }[] }>(
      `query ($kind: ChoiceKind!, $row: ID!) { choiceEffects(kind: $kind, row: $row) { option effect { before { ${STANDING} } after { ${STANDING} } } } }`,
      { kind, row },
    )
  ).choiceEffects;

const effectOfChange = async (change: string) =>
  (
    await ask<{ changeEffect: Effect | null }>(
      `query ($change: ID!) { changeEffect(change: $change) { before { ${STANDING} } after { ${STANDING} } } }`,
      { change },
    )
  ).changeEffect;

test("what each quote would do is what the plan says once it is chosen, and the undo does the opposite", async () => {
  const part = await server.store.part.findFirstOrThrow({ where: { code: "TR-02" }, include: { quotes: true } });
  const told = await effectsOf("PART", part.id);
  expect(new Set(told.map(({ option }) => option))).toEqual(new Set([null, ...part.quotes.map(({ id }) => id)]));
  const stays = told.find(({ option }) => option === part.chosenQuoteId)!.effect;
  expect(stays.after).toEqual(stays.before);
  const other = told.find(
    ({ option, effect }) => option !== null && effect.after.pointsLost !== effect.before.pointsLost,
  )!;
  expect(other.effect.after).not.toEqual(other.effect.before);

  const { chooseQuote } = await ask<{ chooseQuote: { change: { id: string } } }>(
    "mutation ($part: ID!, $quote: ID!, $revision: Int!) { chooseQuote(part: $part, quote: $quote, revision: $revision) { ... on Saved { change { id } } } }",
    { part: part.id, quote: other.option, revision: part.revision },
  );
  expect(await effectOfChange(chooseQuote.change.id)).toEqual(other.effect);
  const { holdUps } = await ask<{ holdUps: { completion: { dateWithOpenInHand: string } } }>(
    "query ($id: ID!) { holdUps(restoration: $id, confidence: null) { completion { dateWithOpenInHand } } }",
    { id: part.restorationId },
  );
  expect(holdUps.completion.dateWithOpenInHand).toBe(other.effect.after.date);

  const { undo } = await ask<{ undo: { change: { id: string } } }>(
    "mutation ($change: ID!) { undo(change: $change) { ... on Saved { change { id } } } }",
    { change: chooseQuote.change.id },
  );
  expect(await effectOfChange(undo.change.id)).toEqual({ before: other.effect.after, after: other.effect.before });
});

test("a change that chooses nothing has no such effect", async () => {
  const part = await server.store.part.findFirstOrThrow({ where: { code: "TR-02" } });
  const { savePart } = await ask<{ savePart: { change: { id: string } } }>(
    "mutation ($input: PartInput!) { savePart(input: $input) { ... on Saved { change { id } } } }",
    { input: { id: part.id, revision: part.revision, notes: "Teeth counted." } },
  );
  expect(await effectOfChange(savePart.change.id)).toBeNull();
});

test("ways of an operation and remedies of a snag are weighed by the same reckoning", async () => {
  const operation = await server.store.operation.findFirstOrThrow({
    where: { ways: { some: {} }, state: "NOT_STARTED" },
    include: { ways: true },
  });
  expect((await effectsOf("OPERATION", operation.id)).map(({ option }) => option).toSorted()).toEqual(
    [null, ...operation.ways.map(({ id }) => id)].toSorted(),
  );
  const snag = await server.store.snag.findFirstOrThrow({
    where: { remedies: { some: {} }, clearedOn: null },
    include: { remedies: true },
  });
  expect((await effectsOf("SNAG", snag.id)).map(({ option }) => option).toSorted()).toEqual(
    [null, ...snag.remedies.map(({ id }) => id)].toSorted(),
  );
});

const undo = (change: string) =>
  ask<{ undo: { change: { id: string } } }>(
    "mutation ($change: ID!) { undo(change: $change) { ... on Saved { change { id } } } }",
    { change },
  );
const EFFECT = `before { ${STANDING} } after { ${STANDING} }`;

test("what a quote would do that is not saved is what it does once it is, and trying it leaves nothing behind", async () => {
  const part = await server.store.part.findFirstOrThrow({ where: { code: "TR-02" }, include: { quotes: true } });
  const [one] = part.quotes;
  const input = {
    part: part.id,
    supplier: one!.supplierId,
    provenance: "REPRODUCTION",
    currency: one!.currency,
    unitPriceMinor: one!.unitPriceMinor + 12_345,
    leadDays: one!.leadDays + 200,
    preparationHours: 7,
    taxRate: 0.2,
    priceBreaks: [{ quantity: 1, unitPriceMinor: one!.unitPriceMinor + 12_000 }],
    knockOns: [{ title: "Bushes", priceMinor: 900, currency: one!.currency, hours: 2, points: 1 }],
  };
  const weigh = async (more: object) =>
    (
      await ask<{ quoteEffect: Effect | null }>(
        `query ($input: QuoteInput!) { quoteEffect(input: $input) { ${EFFECT} } }`,
        { input: { ...input, ...more } },
      )
    ).quoteEffect;
  const [quotes, changes] = [await server.store.quote.count(), await server.store.change.count()];
  const { planRevision } = await server.store.restoration.findUniqueOrThrow({ where: { id: part.restorationId } });
  const told = await weigh({});
  expect(told!.after.date > told!.before.date).toBe(true);
  expect(await weigh({ leadDays: -1 })).toBeNull();
  expect(await weigh({ supplier: null })).toBeNull();
  expect([await server.store.quote.count(), await server.store.change.count()]).toEqual([quotes, changes]);
  expect(await server.store.restoration.findUniqueOrThrow({ where: { id: part.restorationId } })).toMatchObject({
    planRevision,
  });

  const { saveQuote } = await ask<{ saveQuote: { id: string; revision: number } }>(
    "mutation ($input: QuoteInput!) { saveQuote(input: $input) { ... on Saved { id revision } } }",
    { input },
  );
  const saved = (await effectsOf("PART", part.id)).find(({ option }) => option === saveQuote.id)!;
  expect(saved.effect).toEqual(told);
  // Of one that is there, only what is typed otherwise counts.
  const quicker = await weigh({ ...saveQuote, leadDays: 1 });
  expect(quicker!.after.date < told!.after.date).toBe(true);
  expect(quicker!.after.cost).toEqual(told!.after.cost);
});

test("what a plan would do, whole or in part, is what taking so much of it does", async () => {
  const { id } = await server.store.restoration.findFirstOrThrow({ where: { machine: { contains: "cyclecar" } } });
  const started = await ask<{ startChoices: { id: string } }>(
    "mutation ($id: ID!) { startChoices(restoration: $id) { id } }",
    { id },
  );
  const job = started.startChoices.id;
  await vi.waitFor(
    async () => expect(await ask(`{ job(id: "${job}") { state } }`, {})).toEqual({ job: { state: "DONE" } }),
    { timeout: 60_000, interval: 100 },
  );
  type Plan = {
    number: number;
    effect: Effect | null;
    date: string;
    differences: {
      totalCount: number;
      edges: { node: Record<"part" | "snag" | "operation", { id: string } | null> }[];
    };
  };
  const { job: found } = await ask<{ job: { choices: { plans: { edges: { node: Plan }[] } } } }>(
    `{ job(id: "${job}") { choices { plans(first: 20) { edges { node {
      number date differences(first: 50) { totalCount edges { node { part { id } snag { id } operation { id } } } }
    } } } } } }`,
    {},
  );
  const plan = found.choices.plans.edges.map(({ node }) => node).find((one) => one.differences.totalCount >= 3)!;
  const effectOf = async (only: string[] | null) =>
    (
      await ask<{ job: { choices: { plan: Plan } } }>(
        `query ($only: [ID!]) { job(id: "${job}") { choices { plan(number: ${plan.number}) { effect(only: $only) { ${EFFECT} } } } } }`,
        { only },
      )
    ).job.choices.plan.effect;
  const rows = plan.differences.edges.map(({ node }) => (node.part ?? node.snag ?? node.operation)!.id);
  expect((await effectOf(null))!.after.date).toBe(plan.date);
  expect(await effectOf(rows)).toEqual(await effectOf(null));
  const none = await effectOf([]);
  expect(none!.after).toEqual(none!.before);

  const taking = (only: string[]) =>
    ask<{ takePlan: { __typename: string; message?: string; change?: { id: string; summary: string } } }>(
      `mutation ($only: [ID!]) { takePlan(job: "${job}", plan: ${plan.number}, only: $only) {
        __typename ... on Saved { change { id summary } } ... on InvalidInput { message faults { field value } } ... on Refused { message } } }`,
      { only },
    );
  expect((await taking(["nobody"])).takePlan).toMatchObject({
    __typename: "InvalidInput",
    faults: [{ field: "only", value: "nobody" }],
  });
  expect((await taking([])).takePlan.__typename).toBe("Refused");
  const some = rows.slice(0, 2);
  expect(await effectOf(["nobody"])).toBeNull();
  const told = await effectOf(some);
  const { takePlan } = await taking(some);
  expect(takePlan.change!.summary).toMatch(/^Took part of plan \d+, 2 changed: /);
  expect(await effectOfChange(takePlan.change!.id)).toEqual(told);
  expect(await effectOf(null)).toBeNull();
  const back = (await undo(takePlan.change!.id)).undo.change.id;
  expect(await effectOfChange(back)).toEqual({ before: told!.after, after: told!.before });
});

test("what another stop date would do is what the plan says once it is saved", async () => {
  const hunt = await server.store.hunt.findFirstOrThrow({
    where: { state: "SEARCHING", stopDate: { not: null }, part: { fallbackQuoteId: { not: null } } },
  });
  const on = "2028-03-01";
  const { hunt: told } = await ask<{ hunt: { stopEffect: Effect } }>(
    `query ($id: ID!, $on: Date) { hunt(id: $id) { stopEffect(on: $on) { ${EFFECT} } } }`,
    { id: hunt.id, on },
  );
  expect(told.stopEffect.after.date > told.stopEffect.before.date).toBe(true);
  const { saveHunt } = await ask<{ saveHunt: { change: { id: string } } }>(
    "mutation ($input: HuntInput!) { saveHunt(input: $input) { ... on Saved { change { id } } } }",
    { input: { id: hunt.id, revision: hunt.revision, stopDate: on } },
  );
  expect(await effectOfChange(saveHunt.change.id)).toEqual(told.stopEffect);
  await undo(saveHunt.change.id);
});

test("no stop date that does not exist, or before the hunt, has an effect", async () => {
  const hunt = await server.store.hunt.findFirstOrThrow({ where: { state: "SEARCHING" } });
  const stopping = (on: string) =>
    server.query<{ hunt: { stopEffect: Effect | null } | null }>(
      `query ($id: ID!, $on: Date) { hunt(id: $id) { stopEffect(on: $on) { ${EFFECT} } } }`,
      { id: hunt.id, on },
    );
  for (const on of ["garbage", "2027-02-30", "2027-13-01", "20270101", "x2027-01-01"]) {
    const { errors } = await stopping(on);
    expect(errors?.[0]?.message, on).toMatch(/^on must be a date that exists/);
  }
  expect((await stopping("1999-01-01")).data!.hunt!.stopEffect).toBeNull();
});

test("what another remedy of a snag that is cleared would do to the money is what it does to the owner's", async () => {
  const snag = await server.store.snag.findFirstOrThrow({
    where: { clearedOn: { not: null }, remedies: { some: {} } },
    include: { remedies: true },
  });
  const total = async () =>
    (
      await ask<{ restoration: { exposure: { total: { planned: number } } } }>(
        "query ($id: ID!) { restoration(id: $id) { exposure { total { planned } } } }",
        { id: snag.restorationId },
      )
    ).restoration.exposure.total.planned;
  const before = await total();
  const moved: number[] = [];
  for (const { option, effect } of await effectsOf("SNAG", snag.id)) {
    if (option === snag.chosenRemedyId) continue;
    const { revision } = await server.store.snag.findUniqueOrThrow({ where: { id: snag.id } });
    const { chooseRemedy } = await ask<{ chooseRemedy: { change: { id: string } } }>(
      `mutation ($snag: ID!, $remedy: ID, $revision: Int!) {
        chooseRemedy(snag: $snag, remedy: $remedy, revision: $revision) { ... on Saved { change { id } } } }`,
      { snag: snag.id, remedy: option, revision },
    );
    moved.push(effect.after.cost!.minor - effect.before.cost!.minor);
    expect((await total()) - before, String(option)).toBe(moved.at(-1));
    expect(await effectOfChange(chooseRemedy.change.id)).toEqual(effect);
    await undo(chooseRemedy.change.id);
  }
  expect(moved.some((minor) => minor !== 0)).toBe(true);
});
