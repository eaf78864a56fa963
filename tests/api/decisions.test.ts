import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { mayAnswer } from "../../server/access/rules.ts";
import { beginSignIn } from "../../server/access/signIn.ts";
import { today } from "../../server/plan/days/today.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, otherShop, type Result, remove, type Shop, saved, shop, undo } from "./shop.ts";

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
    expect(row).toMatchObject({ state: "WAITING", amountMinor: 64_000, currency: "GBP" });
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

  it("carries the real days on which it was asked, asked back and answered, where the workshop is, whatever day is looked at", async () => {
    const zone = "Pacific/Pago_Pago";
    const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await server.store.workshop.update({ where: { id: workshopId }, data: { timeZone: zone } });
    const before = today(zone);
    const asked = await ask({ title: "A new radiator" });
    await call(server, "askBack", "$decision: ID!, $name: String!, $question: String!", {
      decision: asked.id,
      name: "Odile Farrant",
      question: "Can the old one be mended?",
    });
    await answer(asked.id, true);
    const after = today(zone);
    const days = await server.query(
      `query ($id: ID!) { restoration(id: $id) { decisions(first: 20) { edges { node { id askedOn answeredOn questions { edges { node { askedOn answeredOn } } } } } } } }`,
      { id: rows.restoration },
    );
    await server.store.workshop.update({ where: { id: workshopId }, data: { timeZone: null } });
    const real = expect.toBeOneOf([before, after]);
    expect(days.data).toMatchObject({
      restoration: {
        decisions: {
          edges: expect.arrayContaining([
            {
              node: {
                id: asked.id,
                askedOn: real,
                answeredOn: real,
                questions: { edges: [{ node: { askedOn: real, answeredOn: null } }] },
              },
            },
          ]),
        },
      },
    });
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

describe("consent that is due", () => {
  const due = async () => {
    const { data } = await server.query<{
      restoration: { consentDue: { edges: { node: Record<string, unknown> }[] } };
    }>(
      `query ($id: ID!) { restoration(id: $id) { consentDue { edges { node { kind row amount { minor currency } quote { id } asked } } } } }`,
      { id: rows.restoration },
    );
    return data!.restoration.consentDue.edges.map(({ node }) => node);
  };

  /** What the rows by which one orders, on two sheets, say of the consent for a part. */
  const saidWhereOrdered = async (part: string) => {
    const { data } = await server.query<{
      holdUps: { toOrder: { edges: { node: { consent: string | null; part: { id: string } | null } }[] } };
      restoration: {
        daySummary: {
          sections: { kind: string; lines: { edges: { node: { words: string; part: { id: string } | null } }[] } }[];
        };
      };
    }>(
      `query ($id: ID!) {
        holdUps(restoration: $id) { toOrder { edges { node { consent part { id } } } } }
        restoration(id: $id) { daySummary { sections { kind lines { edges { node { words part { id } } } } } } }
      }`,
      { id: rows.restoration },
    );
    const row = data!.holdUps.toOrder.edges.find(({ node }) => node.part?.id === part)!.node;
    const order = data!.restoration.daySummary.sections.find(({ kind }) => kind === "ORDER")!;
    const { words } = order.lines.edges.find(({ node }) => node.part?.id === part)!.node;
    return [row.consent, /; (owner asked|over the limit).*$/.exec(words)?.[0].slice(2) ?? null];
  };

  it("is what is chosen, not ordered and over the limit; the newest decision about its quote says where it stands", async () => {
    const { store } = server;
    expect(await due()).toEqual([]);
    const part = await store.part.create({ data: { restorationId: rows.restoration, code: "CD", name: "Casing" } });
    const { supplierId } = await store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
    const quote = await store.quote.create({
      data: {
        restorationId: rows.restoration,
        partId: part.id,
        supplierId,
        code: "CDQ",
        provenance: "REMADE",
        unitPriceMinor: 50_000,
        currency: "GBP",
        leadDays: 30,
      },
    });
    const limit = (consentOverMinor: number | null) =>
      store.restoration.update({
        where: { id: rows.restoration },
        data: { consentOverMinor, planRevision: { increment: 1 } },
      });
    await limit(49_999);
    // Undecided as yet: the choice itself asks nobody.
    expect(await due()).toEqual([]);
    await choose(server, part.id, quote.id, 1);
    const casing = { kind: "PART", row: part.id, amount: { minor: 50_000, currency: "GBP" }, quote: { id: quote.id } };
    expect(await due()).toEqual([{ ...casing, asked: null }]);
    const notAsked = "over the limit, owner not asked";
    expect(await saidWhereOrdered(part.id)).toEqual([notAsked, notAsked]);
    const asked = await ask({ quote: quote.id });
    expect(await due()).toEqual([{ ...casing, asked: "WAITING" }]);
    const waits = "owner asked, no answer yet";
    expect(await saidWhereOrdered(part.id)).toEqual([waits, waits]);
    await store.decision.update({ where: { id: asked.id }, data: { state: "DECLINED" } });
    expect(await due()).toEqual([{ ...casing, asked: "DECLINED" }]);
    // A sum at the limit is not over it.
    await limit(50_000);
    expect(await due()).toEqual([]);
    await limit(null);
    expect(await due()).toEqual([]);
  });

  it("about a snag's remedy and about work sent out stands where the decision about just that one stands", async () => {
    const { store } = server;
    const restoration = await store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    const { id, revision } = restoration;
    await saved(server, "Restoration", { id, revision, consentOverMinor: 20_000 });
    const snag = (await saved(server, "Snag", { operation: rows.assemble, title: "Crack at the lug" })).id;
    const remedy = async (title: string, priceMinor: number) =>
      (await saved(server, "Remedy", { snag, title, priceMinor, days: 28, hours: 5 })).id;
    const stitch = await remedy("Cold stitching", 42_000);
    const weld = await remedy("Weld", 25_000);
    const cure = async (chosen: string) =>
      call(server, "chooseRemedy", "$snag: ID!, $remedy: ID, $revision: Int!", {
        snag,
        remedy: chosen,
        revision: (await store.snag.findUniqueOrThrow({ where: { id: snag } })).revision,
      });
    const way = (await saved(server, "OperationWay", { operation: rows.strip, title: "Sent out", priceMinor: 31_000 }))
      .id;
    await cure(stitch);
    await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", {
      operation: rows.strip,
      way,
      revision: (await store.operation.findUniqueOrThrow({ where: { id: rows.strip } })).revision,
    });
    const stands = async () =>
      (await due()).filter(({ kind }) => kind !== "PART").map(({ row, asked }) => ({ row, asked }));
    expect(await stands()).toEqual([
      { row: snag, asked: null },
      { row: rows.strip, asked: null },
    ]);
    const aboutCure = await ask({ remedy: stitch, amountMinor: 42_000 });
    const aboutWay = await ask({ way, amountMinor: 31_000 });
    await store.decision.update({ where: { id: aboutWay.id }, data: { state: "APPROVED" } });
    expect(await stands()).toEqual([
      { row: snag, asked: "WAITING" },
      { row: rows.strip, asked: "APPROVED" },
    ]);
    const { data } = await server.query(
      `query ($id: ID!) { restoration(id: $id) { decisions(first: 2) { edges { node {
        id quote { id } remedy { id title snag { title } } way { id title operation { id } } } } } } }`,
      { id },
    );
    const node = (of: string, about: object) => ({ node: { id: of, quote: null, remedy: null, way: null, ...about } });
    const { edges } = (data as { restoration: { decisions: { edges: object[] } } }).restoration.decisions;
    expect(edges).toHaveLength(2);
    expect(edges).toContainEqual(
      node(aboutCure.id, { remedy: { id: stitch, title: "Cold stitching", snag: { title: "Crack at the lug" } } }),
    );
    expect(edges).toContainEqual(
      node(aboutWay.id, { way: { id: way, title: "Sent out", operation: { id: rows.strip } } }),
    );
    // Another remedy was never asked about; the first one's answer does not stand for it.
    await cure(weld);
    expect(await stands()).toContainEqual({ row: snag, asked: null });
    // A remedy that goes takes no decision with it, and undo names it again.
    const { revision: now } = await store.remedy.findUniqueOrThrow({ where: { id: stitch } });
    const gone = await remove(server, "REMEDY", stitch, now);
    const kept = () => store.decision.findUniqueOrThrow({ where: { id: aboutCure.id } });
    expect((await kept()).remedyId).toBe(null);
    await undo(server, gone.change.id);
    expect((await kept()).remedyId).toBe(stitch);
  });

  it("is asked about one thing, and of the own restoration", async () => {
    const { store } = server;
    const theirs = { restorationId: { not: rows.restoration } };
    const [remedy, way] = [
      await store.remedy.findFirstOrThrow({ where: theirs }),
      await store.operationWay.findFirstOrThrow({ where: theirs }),
    ];
    expect((await ask({ remedy: remedy.id })).faults).toMatchObject([{ field: "remedy", code: "UNKNOWN_ROW" }]);
    expect((await ask({ way: way.id })).faults).toMatchObject([{ field: "way", code: "UNKNOWN_ROW" }]);
    const before = await store.decision.count();
    expect((await ask({ quote: rows.quote, remedy: remedy.id })).faults).toMatchObject([
      { field: "remedy", code: "NOT_A_CHOICE" },
    ]);
    expect(await store.decision.count()).toBe(before);
  });

  it("is told of a quote before it is ordered, and of the order for as long as it has no consent", async () => {
    const { store } = server;
    await saved(server, "Restoration", {
      id: rows.restoration,
      revision: (await store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } })).revision,
      consentOverMinor: 63_999,
    });
    await store.decision.deleteMany();
    const beforeOrder = async () => {
      const { data } = await server.query<{ part: { quotes: { consentDue: unknown }[] } }>(
        `query ($id: ID!) { part(id: $id) { quotes { consentDue { kind row amount { minor currency } asked } } } }`,
        { id: rows.casing },
      );
      return data!.part.quotes.map(({ consentDue }) => consentDue);
    };
    const sum = { amount: { minor: 64_000, currency: "GBP" } };
    expect(await beforeOrder()).toEqual([{ kind: "PART", row: rows.casing, ...sum, asked: null }]);
    // It bars nothing: the order is placed, and told of.
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    const placed = { kind: "ORDER", row: order.id, ...sum, quote: { id: rows.quote } };
    expect(await due()).toEqual([{ ...placed, asked: null }]);
    const asked = await ask({ quote: rows.quote });
    expect(await due()).toEqual([{ ...placed, asked: "WAITING" }]);
    await store.decision.update({ where: { id: asked.id }, data: { state: "APPROVED" } });
    expect(await due()).toEqual([]);
    expect(await beforeOrder()).toEqual([null]);
    await store.decision.update({ where: { id: asked.id }, data: { state: "DECLINED" } });
    expect(await beforeOrder()).toMatchObject([{ asked: "DECLINED" }]);
    // An order's total may leave out what the quote lands for: the more of the two is held against the limit.
    await saved(server, "Order", { id: order.id, revision: 1, totalMinor: 10_000 });
    expect(await due()).toMatchObject([{ row: order.id, ...sum }]);
    await saved(server, "Order", { id: order.id, revision: 2, state: "SENT_BACK", arrivedOn: "2027-01-04" });
    expect(await due()).toEqual([]);
  });
});

describe("an owner who answers", () => {
  it("may read the change that was made, and changes nothing where something else is asked of the answer", async () => {
    const { store } = server;
    const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    const owner = await store.account.create({ data: { workshopId, name: "Odile Farrant", role: "OWNER" } });
    await store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: owner.id } });
    const cookie = `lastbolt=${await beginSignIn(store, owner, "", "Signed in")}`;
    const asked = await ask({ title: "A new radiator" });
    const answering = (of: string) =>
      server.query<{ answerDecision: { change: { summary: string } } }>(
        `mutation ($id: ID!, $no: Boolean = false) {
          answerDecision(decision: $id, approve: true, name: "Odile Farrant") { __typename ...Made }
        }
        fragment Made on SaveResult { ... on Saved { id revision @include(if: $no) change { ${of} } } }`,
        { id: asked.id },
        cookie,
      );
    const state = async () => (await store.decision.findUniqueOrThrow({ where: { id: asked.id } })).state;
    const refused = await answering("summary account { name }");
    expect(refused.errors).toMatchObject([{ path: ["answerDecision"], extensions: { code: "NOT_ALLOWED" } }]);
    expect(await state()).toBe("WAITING");
    // What is left out is not asked for.
    const { data, errors } = await answering("summary account @include(if: $no) { name }");
    expect(errors).toBe(undefined);
    expect(data!.answerDecision.change.summary).toBe("Approved: A new radiator");
    expect(await state()).toBe("APPROVED");
    await store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: null } });
  });
});
