/** The demo's club: who belongs to it, what it shares, and that nothing of the demo's own restoration moves by it. */
import { graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seedClub } from "../../seed/club.ts";
import { seedDemo } from "../../seed/load.ts";
import { firstLink } from "../../server/access/invitation.ts";
import { viewerOf } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { planOf } from "../../server/plan/cache.ts";
import { clubDelivery } from "../../server/plan/club/record.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import { CLUB_QUERIES } from "../support/clubQueries.ts";
import { type TestStore, testStore } from "../support/store.ts";

let open: TestStore;
let before: string;

async function ask<T>(source: string): Promise<T> {
  const contextValue = new Context(open.store, await viewerOf(open.store));
  const { data, errors } = await graphql({ schema, source, contextValue });
  if (errors !== undefined) throw errors[0]!;
  return data as T;
}

async function figures(): Promise<string> {
  const { id } = await open.store.restoration.findFirstOrThrow({ where: { workshop: { demo: true } } });
  // Read afresh, not from the plan that is kept.
  const rows = await loadRows(open.store, id);
  const { completion, ladder } = computePlan(rows, { figuresFor: await dayFor(open.store, id), confidence: null });
  return JSON.stringify({ completion, ladder });
}

beforeAll(async () => {
  open = await testStore();
  await seedDemo(open.store);
  before = await figures();
  await seedClub(open.store);
});
afterAll(() => open.close());

describe("the demo's club", () => {
  test("has forty members, three hundred rows shared and three batches: short by two, going ahead, failed", async () => {
    const { store } = open;
    expect(await store.clubMember.count()).toBe(40);
    expect((await store.clubSource.count()) + (await store.want.count()) + (await store.spare.count())).toBe(300);
    const batches = await store.batch.findMany({ orderBy: { code: "asc" } });
    expect(batches.map(({ state, smallest, putDown }) => [state, Math.max(0, smallest - putDown)])).toEqual([
      ["TAKING_NAMES", 2],
      ["GOES_AHEAD", 0],
      ["NOT_FILLED", 5],
    ]);
    expect(await store.restoration.count({ where: { workshop: { demo: false } } })).toBe(6);
  });

  test("is left as it is by a second start, and changes no figure of the demo's restoration", async () => {
    await seedClub(open.store);
    expect(await open.store.club.count()).toBe(1);
    expect(await figures()).toBe(before);
  });

  test("shows the demo's people none of the other workshops, and lets nobody into them", async () => {
    const seen = await ask<{ restorations: { totalCount: number }; visitor: { demoPeople: { name: string }[] } }>(
      "{ restorations { totalCount } visitor { demoPeople { name } } }",
    );
    expect(seen.restorations.totalCount).toBe(1);
    expect(seen.visitor.demoPeople.map(({ name }) => name)).toEqual(["Quill Lane", "Odile Farrant", "Ambrose Pell"]);
    expect(await firstLink(open.store)).toBeNull();
  });

  test("has restorations at six different stages, each with orders that were accepted", async () => {
    const rows = await open.store.restoration.findMany({
      where: { workshop: { demo: false } },
      include: { operations: true, orders: true },
    });
    const done = rows.map(({ operations }) => operations.filter(({ state }) => state === "DONE").length);
    expect(new Set(done).size).toBe(6);
    const withOrders = rows.filter(({ orders }) => orders.some(({ state }) => state === "ACCEPTED"));
    expect(withOrders.length).toBeGreaterThanOrEqual(5);
    for (const { id } of rows) expect((await planOf(open.store, id)).ladder.length).toBeGreaterThan(0);
  });

  test("tells delivery only of orders of the sharer's own workshop with the supplier that is named", async () => {
    const rows = await open.store.clubSource.findMany({
      where: { orderId: { not: null } },
      include: {
        member: { include: { account: true } },
        order: { include: { restoration: true, quote: { include: { supplier: true } } } },
      },
    });
    expect(rows.length).toBeGreaterThan(40);
    for (const { member, order, supplier, failed } of rows) {
      expect(order!.restoration.workshopId).toBe(member.account.workshopId);
      expect(order!.quote.supplier.name).toBe(supplier);
      expect(clubDelivery(order) === null).toBe(failed);
    }
  });

  test("makes a batch a quote in the plan of each member who is down for it and needs the part, with its day and its chance", async () => {
    const quotes = await open.store.quote.findMany({
      where: { batchId: { not: null } },
      include: {
        batch: true,
        restoration: { include: { workshop: { include: { accounts: { include: { member: true } } } } } },
      },
    });
    expect(quotes.map(({ batch }) => batch!.code).sort()).toEqual(["1", "2"]);
    for (const { batch, orderFrom, failureChance, restoration } of quotes) {
      expect(orderFrom).toBe(batch!.closesOn);
      if (batch!.state === "GOES_AHEAD") expect(failureChance).toBe(0);
      else expect(failureChance).toBeGreaterThan(0);
      const members = restoration.workshop.accounts.flatMap(({ member }) => member?.id ?? []);
      expect(await open.store.nameDown.count({ where: { batchId: batch!.id, memberId: { in: members } } })).toBe(1);
    }
  });

  test("has matches, messages and wants for the demo's restorer to begin with", async () => {
    const seen = await ask<{
      club: { memberName: string; steward: boolean; day: string };
      matches: { totalCount: number; edges: { node: { messageCount: number; want: { ownPart: object | null } } }[] };
      wants: { totalCount: number };
      clubComplaints: { totalCount: number };
    }>(`{ club { memberName steward day } matches { totalCount edges { node { messageCount want { ownPart { id } } } } }
        wants(own: true) { totalCount } clubComplaints(answered: false) { totalCount } }`);
    expect(seen.club).toEqual({ memberName: "Quill Lane Workshop", steward: true, day: "2026-11-23" });
    expect(seen.wants.totalCount).toBe(4);
    expect(seen.matches.totalCount).toBeGreaterThanOrEqual(4);
    expect(seen.matches.edges.some(({ node }) => node.messageCount === 2)).toBe(true);
    expect(seen.clubComplaints.totalCount).toBe(1);
  });
});

describe("a search of the demo's club", () => {
  const NODES = "{ edges { node { part } } }";
  const first = (list: string, words: string) =>
    `${list}(first: 5, search: ${JSON.stringify(words)}) ${NODES} near: ${list}(first: 5, nearest: true, search: ${JSON.stringify(words)}) ${NODES}`;
  async function found(list: string, words: string): Promise<{ found: string[]; near: string[] }> {
    const read = await ask<Record<string, { edges: { node: { part: string } }[] }>>(`{ ${first(list, words)} }`);
    const parts = (name: string) => read[name]!.edges.map(({ node }) => node.part);
    return { found: parts(list), near: parts("near") };
  }

  test("finds at least 38 of 40 parts that people misspell or call otherwise, among its first five answers", async () => {
    const missed: string[] = [];
    for (const [typed, meant] of CLUB_QUERIES) {
      const { found: fit, near } = await found("clubSources", typed);
      expect(fit.length === 0 || near.length === 0, typed).toBe(true);
      if (![...fit, ...near].includes(meant)) missed.push(typed);
    }
    expect(missed.length, missed.join(", ")).toBeLessThanOrEqual(2);
  });
  test("looks in wants and in spares too, and in what was entered since", async () => {
    expect((await found("wants", "carburator barell")).found).toContain("Carburettor, barrel type");
    expect((await found("spares", "petrol cock")).found).toContain("Petrol tap and filter");
    expect((await found("wants", "rear mudgard lamp")).near).toContain("Rear lamp, oil");
    const [spare] = await open.store.spare.findMany({ where: { code: "4" } });
    expect(spare!.part).toBe("Hub caps");
    expect((await found("spares", "spare 4")).found[0]).toBe("Hub caps");
  });
  test("a spare and a batch propose the own part that they are for; what is for none proposes none", async () => {
    const { spares } = await ask<{
      spares: { edges: { node: { part: string; machine: string; ownPart: { name: string } | null } }[] };
    }>("{ spares(first: 100) { edges { node { part machine ownPart { name } } } } }");
    const of = (part: string, machine: string) =>
      spares.edges.find(({ node }) => node.part === part && node.machine === machine)!.node.ownPart?.name;
    expect(of("Rear belt rim", "Tallow & Wren")).toBe("Rear belt rims");
    expect(of("Hand-brake lever", "Pellifer")).toBeUndefined();
  });
});
