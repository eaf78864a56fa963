/** What the owner declines is heard wherever the part stands, and what the owner asks back is answered where both read it. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, type Result, type Shop, saved, shop, undo } from "./shop.ts";

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

describe("what the owner declined", () => {
  const read = async () => {
    const { data, errors } = await server.query<{
      restoration: {
        daySummary: { sections: { kind: string; lines: { edges: { node: { subject: string; words: string } }[] } }[] };
        declined: { edges: { node: Record<string, unknown> }[] };
      };
      holdUps: { toOrder: { edges: { node: { code: string } }[] } };
      part: { declined: { words: string; follows: string } | null; outlook: { state: string } };
    }>(
      `query ($id: ID!, $part: ID!) {
        restoration(id: $id) {
          daySummary { sections { kind lines(first: 50) { edges { node { subject words } } } } }
          declined(first: 10) { edges { node { title words follows pressing partId decision { state } } } }
        }
        holdUps(restoration: $id) { toOrder(first: 50) { edges { node { code } } } }
        part(id: $part) { declined { words follows } outlook { state } }
      }`,
      { id: rows.restoration, part: rows.casing },
    );
    expect(errors).toBe(undefined);
    const linesOf = (kind: string) =>
      data!.restoration.daySummary.sections
        .find((section) => section.kind === kind)
        ?.lines.edges.map(({ node }) => `${node.subject}: ${node.words}`) ?? [];
    return {
      toOrder: data!.holdUps.toOrder.edges.map(({ node }) => node.code),
      orderLines: linesOf("ORDER"),
      declinedLines: linesOf("DECLINED"),
      waitingLines: linesOf("DECISION"),
      declined: data!.restoration.declined.edges.map(({ node }) => node),
      part: data!.part,
    };
  };

  it("is told with the words and the day on Today, the part and the money, and is not to order", async () => {
    const { code } = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    const part = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    await choose(server, rows.casing, rows.quote, part.revision);
    const asked = await ask({ quote: rows.quote, title: "Casing from the foundry" });
    expect((await read()).toOrder).toContain(code);
    await call(server, "answerDecision", "$decision: ID!, $approve: Boolean!, $name: String!, $answer: String", {
      decision: asked.id,
      approve: false,
      name: "Odile Farrant",
      answer: "Too dear for what it is",
    });
    await server.store.decision.update({
      where: { id: asked.id },
      data: { answeredAt: new Date("2027-01-04T12:00:00Z") },
    });
    const now = await read();
    const words = "declined by Odile Farrant on 4 Jan 2027: “Too dear for what it is”";
    expect(now.toOrder).not.toContain(code);
    expect(now.orderLines.join()).not.toContain("Gearbox casing");
    expect(now.declinedLines).toMatchObject([expect.stringContaining(`Gearbox casing: ${words}; `)]);
    expect(now.declined).toMatchObject([
      { title: "Gearbox casing", words, partId: rows.casing, pressing: true, decision: { state: "DECLINED" } },
    ]);
    // It was the only quote: nothing stands in for it.
    expect(now.part).toMatchObject({
      outlook: { state: "NO_SOURCE" },
      declined: { words, follows: expect.stringContaining("no other quote is left") },
    });
  });

  it("and is ordered all the same, is told so where the owner reads the answer", async () => {
    const told = async () => {
      const { data } = await server.query<{
        restoration: { decisions: { edges: { node: { title: string; orderedAllTheSame: boolean } }[] } };
      }>(
        "query ($id: ID!) { restoration(id: $id) { decisions(waiting: false, first: 9) { edges { node { title orderedAllTheSame } } } } }",
        { id: rows.restoration },
      );
      return data!.restoration.decisions.edges.map(({ node }) => [node.title, node.orderedAllTheSame]);
    };
    expect(await told()).toEqual([["Casing from the foundry", false]]);
    const { change } = await saved(server, "Order", { quote: rows.quote, quantity: 1, placedOn: "2027-01-04" });
    expect(await told()).toEqual([["Casing from the foundry", true]]);
    await undo(server, change.id);
    expect(await told()).toEqual([["Casing from the foundry", false]]);
  });

  it("is settled by asking again: the plan counts on it while it waits", async () => {
    const again = await ask({ quote: rows.quote, title: "Casing once more" });
    const now = await read();
    expect(now.declined).toEqual([]);
    expect(now.part).toMatchObject({ outlook: { state: "TO_ORDER" }, declined: null });
    await withdraw(again.id);
    expect((await read()).declined).toHaveLength(1);
  });
});

describe("a question that the owner asks back", () => {
  const askBack = (decision: string, question: string, name = "Odile Farrant") =>
    call(server, "askBack", "$decision: ID!, $name: String!, $question: String!", { decision, question, name });
  const answerBack = (decisionQuestion: string, text: string) =>
    call(server, "answerBack", "$decisionQuestion: ID!, $answer: String!", { decisionQuestion, answer: text });

  it("waits for the restorer while the decision goes on waiting, and both read what was said", async () => {
    const asked = await ask({ title: "A new radiator" });
    const question = await askBack(asked.id, "Can the old one be mended?");
    expect(question).toMatchObject({ __typename: "Saved" });
    const read = async () =>
      (
        await server.query<{ restoration: { daySummary: { sections: { kind: string; lines: never }[] } } }>(
          `query ($id: ID!) { restoration(id: $id) {
            decisions(waiting: true, first: 1) { edges { node { state questions { edges { node { question askedAs answer answeredAt } } } } } }
            daySummary { sections { kind lines(first: 50) { edges { node { words pressing } } } } } } }`,
          { id: rows.restoration },
        )
      ).data!.restoration as unknown as Record<string, unknown>;
    const before = JSON.stringify(await read());
    expect(before).toContain('asked back: “Can the old one be mended?”","pressing":true');
    expect(before).toContain('"state":"WAITING"');
    expect(await answerBack(question.id, "  ")).toMatchObject({ faults: [{ field: "answer", code: "REQUIRED" }] });
    const told = await answerBack(question.id, "No: the core is gone");
    expect(told).toMatchObject({ __typename: "Saved" });
    const after = JSON.stringify(await read());
    expect(after).toContain('"answer":"No: the core is gone"');
    expect(after).not.toContain("asked back:");
    expect(await answerBack(question.id, "Yes")).toMatchObject({ code: "ALREADY_ANSWERED" });
    expect(await undo(server, told.change.id)).toMatchObject({ code: "NOT_ALLOWED" });
  });

  it("names what is wrong with it, and is refused once the decision is answered", async () => {
    const asked = await ask();
    expect((await askBack(asked.id, " ", " ")).faults).toMatchObject([{ field: "name" }, { field: "question" }]);
    await answer(asked.id, true);
    expect(await askBack(asked.id, "Why?")).toMatchObject({ code: "ALREADY_ANSWERED" });
  });

  it("is the owner's to ask once the owner has an account", async () => {
    const owner = await server.store.account.create({
      data: {
        workshopId: (await server.store.account.findFirstOrThrow()).workshopId,
        name: "Odile Farrant",
        role: "OWNER",
      },
    });
    await server.store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: owner.id } });
    const asked = await ask();
    expect(await askBack(asked.id, "Why?")).toMatchObject({ code: "NOT_ALLOWED" });
    await withdraw(asked.id);
  });
});
