/** What a choice does, told before and after it: the same figures as the plan itself gives once it is made. */
import { afterAll, beforeAll, expect, test } from "vitest";
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
