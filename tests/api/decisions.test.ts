import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { mayAnswer } from "../../server/access/rules.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, otherShop, type Result, type Shop, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const ask = (input: object = {}): Promise<Result> =>
  call(server, "askDecision", "$input: DecisionInput!", {
    input: { restoration: rows.restoration, title: "New casing", amountMinor: 64_000, ...input },
  });
const answer = (decision: string, approve: boolean, name = "Odile Farrant"): Promise<Result> =>
  call(server, "answerDecision", "$decision: ID!, $approve: Boolean!, $name: String!", { decision, approve, name });
const withdraw = (decision: string): Promise<Result> =>
  call(server, "withdrawDecision", "$decision: ID!", { decision });

describe("a decision that waits for the owner", () => {
  it("is asked with its sum and quote, and answered once with date and name", async () => {
    const asked = await ask({ quote: rows.quote, question: "The old one is past welding." });
    const row = await server.store.decision.findUniqueOrThrow({ where: { id: asked.id } });
    expect(row).toMatchObject({ state: "WAITING", askedOn: "2027-01-04", amountMinor: 64_000, currency: "GBP" });
    expect(await answer(asked.id, true)).toMatchObject({ __typename: "Saved" });
    const { data } = await server.query(
      `query ($id: ID!) { restoration(id: $id) { mayAnswer decisions(waiting: false) { edges { node {
        title state answeredAs answeredAt noted amount { minor currency } quote { id } } } } } }`,
      { id: rows.restoration },
    );
    expect(data).toMatchObject({
      restoration: {
        mayAnswer: true,
        decisions: {
          edges: [
            {
              node: {
                title: "New casing",
                state: "APPROVED",
                answeredAs: "Odile Farrant",
                answeredAt: expect.stringMatching(/^\d{4}-/),
                noted: true,
                amount: { minor: 64_000, currency: "GBP" },
                quote: { id: rows.quote },
              },
            },
          ],
        },
      },
    });
    expect(await answer(asked.id, false)).toMatchObject({ __typename: "Refused", code: "ALREADY_ANSWERED" });
    expect(await withdraw(asked.id)).toMatchObject({ code: "ALREADY_ANSWERED" });
  });

  it("keeps its answer: no undo takes it away", async () => {
    const asked = await ask();
    const declined = await answer(asked.id, false);
    expect(await undo(server, declined.change.id)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
    expect(await server.store.decision.findUnique({ where: { id: asked.id } })).toMatchObject({ state: "DECLINED" });
  });

  it("can be withdrawn while nobody answered, and asking can be undone", async () => {
    const asked = await ask();
    expect(await withdraw(asked.id)).toMatchObject({ __typename: "Saved" });
    expect(await answer(asked.id, true)).toMatchObject({ code: "ALREADY_ANSWERED" });
    const second = await ask();
    expect(await undo(server, second.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await server.store.decision.findUnique({ where: { id: second.id } })).toBe(null);
  });

  it("names what is wrong with it: no title, a quote of another restoration, an answer without a name", async () => {
    const theirs = await otherShop(server.store);
    expect((await ask({ title: " " })).faults).toMatchObject([{ field: "title", code: "REQUIRED" }]);
    expect((await ask({ quote: theirs["quote"] })).faults).toMatchObject([{ field: "quote", code: "UNKNOWN_ROW" }]);
    const asked = await ask();
    expect((await answer(asked.id, true, " ")).faults).toMatchObject([{ field: "name", code: "REQUIRED" }]);
  });

  it("of another workshop is not there to answer", async () => {
    const theirs = await server.store.restoration.findFirstOrThrow({ where: { id: { not: rows.restoration } } });
    const { id: askedById } = await server.store.account.findFirstOrThrow();
    const decision = await server.store.decision.create({
      data: {
        restorationId: theirs.id,
        kind: "SUM",
        title: "Theirs",
        currency: "GBP",
        askedOn: "2027-01-04",
        askedById,
      },
    });
    const { errors } = await server.query(
      `mutation ($id: ID!) { answerDecision(decision: $id, approve: true, name: "A") { __typename } }`,
      { id: decision.id },
    );
    expect(errors?.[0]?.extensions).toMatchObject({ code: "NOT_FOUND" });
    expect(await server.store.decision.findUnique({ where: { id: decision.id } })).toMatchObject({ state: "WAITING" });
  });

  it("is the owner's once the owner has an account: the restorer may ask, and not answer", async () => {
    const { id: askedBy, workshopId } = await server.store.account.findFirstOrThrow();
    const owner = await server.store.account.create({ data: { workshopId, name: "Odile Farrant", role: "OWNER" } });
    await server.store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: owner.id } });
    const asked = await ask();
    expect(await answer(asked.id, true)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
    const restoration = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    const viewer = { accountId: owner.id, workshopId, role: "OWNER" } as Parameters<typeof mayAnswer>[0];
    expect(() => mayAnswer(viewer, restoration)).not.toThrow();
    expect(() => mayAnswer({ ...viewer, accountId: askedBy }, restoration)).toThrow(/Only the owner/);
    expect(() => mayAnswer(viewer, { ownerAccountId: null })).toThrow(/Only the owner/);
  });
});
