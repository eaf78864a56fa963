/** Parts that several members look for: told to all, and what anybody's quotes say to that member alone. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type TestStore, testStore } from "../support/store.ts";
import { type ClubInTest, clubOn, type Person } from "./clubPeople.ts";

interface Amount {
  minor: number;
  currency: string;
}
interface WantedRead {
  part: string;
  references: string;
  members: number;
  pieces: number;
  needed: number;
  own: boolean;
  batch: { code: string } | null;
  price: { size: number; piece: Amount; total: Amount; ownBest: Amount | null; ownSaving: Amount | null } | null;
  wants: { totalCount: number };
}

let open: TestStore;
let club: ClubInTest;
let restorer: Person;
let other: Person;
let people: Person[];

const FIELDS = `part references members pieces needed own batch { code } wants { totalCount }
  price(terms: $terms) { size piece { minor currency } total { minor currency } ownBest { minor currency } ownSaving { minor currency } }`;

async function wanted(who: Person, args = "", terms: object | null = null): Promise<WantedRead[]> {
  const { wantedParts } = await who.ask<{ wantedParts: { edges: { node: WantedRead }[] } }>(
    `query ($terms: WantedTerms) { wantedParts${args} { edges { node { ${FIELDS} } } } }`,
    { terms },
  );
  return wantedParts.edges.map(({ node }) => node);
}

const want = async (who: Person, input: object) => {
  const saved = await who.call("saveWant", "$input: WantInput!", { input: { machine: "Wraxholme", ...input } });
  expect(saved.__typename).toBe("ClubSaved");
  return saved.id;
};

/** A part of a restoration of the person's own, with quotes in pounds at the prices given. */
async function partOf(who: Person, quantity: number, prices: { unitPriceMinor: number; [field: string]: unknown }[]) {
  const { store } = open;
  const { id: restorationId } = await store.restoration.create({
    data: { workshopId: who.workshop, machine: "1912 Wraxholme" },
  });
  const { id: supplierId } = await store.supplier.create({
    data: { workshopId: who.workshop, code: `M${restorationId.slice(-6)}`, name: "Brindlewick Foundry" },
  });
  const part = await store.part.create({ data: { restorationId, code: "P1", name: "Cylinder barrel", quantity } });
  for (const [i, price] of prices.entries())
    await store.quote.create({
      data: {
        restorationId,
        partId: part.id,
        supplierId,
        code: `Q${i}`,
        provenance: "REMADE",
        currency: "GBP",
        leadDays: 60,
        ...price,
      },
    });
  return part.id;
}

beforeAll(async () => {
  open = await testStore();
  club = await clubOn(open.store);
  restorer = await club.person("Restorer", "RESTORER");
  other = await club.person("Other shop", "RESTORER");
  people = await Promise.all(Array.from({ length: 5 }, (_, i) => club.person(`Member ${i}`)));
  const mine = await partOf(restorer, 2, [
    { unitPriceMinor: 40_000, carriageMinor: 1_000 },
    { unitPriceMinor: 45_000 },
    // Cheaper, but not to be had: ruledOut, no longer valid.
    { unitPriceMinor: 10_000, ruledOut: true },
    { unitPriceMinor: 11_000, validUntil: "2026-11-01" },
  ]);
  const theirs = await partOf(other, 1, [{ unitPriceMinor: 23_456 }]);
  await want(restorer, { ownPart: mine, part: "Cylinder barrel", references: "W.119" });
  await want(other, {
    ownPart: theirs,
    part: "Barrel, cylinder",
    references: "W 119, 4471",
    machine: "1912 Wraxholme 6 h.p.",
  });
  await want(people[0]!, { part: "Cylinder, spare or cracked", references: "4471", quantity: 3, machine: "" });
  await want(people[1]!, { part: "Timing cover" });
  await want(people[2]!, { part: "Timing covers" });
  await want(people[3]!, { part: "Timing cover", machine: "Pellifer" });
  await want(people[4]!, { part: "Rear lamp" });
  await want(people[4]!, { part: "Rear lamp" });
});
afterAll(() => open.close());

describe("wanted parts", () => {
  test("are gathered by number, and by machine and wording, where two members or more look for one", async () => {
    const rows = await wanted(people[4]!, "(smallest: 4)");
    expect(rows.map(({ members, pieces, needed }) => ({ members, pieces, needed }))).toEqual([
      { members: 3, pieces: 6, needed: 0 },
      { members: 2, pieces: 2, needed: 2 },
    ]);
    expect(rows[0]!.references).toBe("W 119, 4471");
    expect(rows[0]!.wants.totalCount).toBe(3);
    expect(await wanted(people[4]!, "(smallest: 4, filled: true)")).toHaveLength(1);
    expect(await wanted(people[4]!, "(own: true)")).toEqual([]);
  });

  test("tell the asker what a batch would save against the best quote that can still be had, landed", async () => {
    // Six pieces, seven castings: 600.00 + 7 x 150.00 = 1650.00, so 275.00 each. Two of them against 2 x 400.00 + 10.00.
    const terms = { patternMinor: 60_000, unitMinor: 15_000 };
    const [row] = await wanted(restorer, "(own: true)", terms);
    expect(row!.own).toBe(true);
    expect(row!.price).toEqual({
      size: 6,
      piece: { minor: 27_500, currency: "GBP" },
      total: { minor: 165_000, currency: "GBP" },
      ownBest: { minor: 81_000, currency: "GBP" },
      ownSaving: { minor: 26_000, currency: "GBP" },
    });
    const [theirs] = await wanted(other, "(own: true)", terms);
    expect(theirs!.price).toMatchObject({ ownBest: { minor: 23_456 }, ownSaving: { minor: 23_456 - 27_500 } });
  });

  test("tell a member nothing of what other members' quotes say, whatever terms are tried", async () => {
    for (const unitMinor of [1, 10_000, 23_400, 23_456, 40_000, 1_000_000]) {
      const rows = await wanted(people[0]!, "", { unitMinor });
      expect(rows.map(({ price }) => [price!.ownBest, price!.ownSaving])).toEqual(rows.map(() => [null, null]));
      const order = rows.map(({ references, part }) => references || part);
      expect(order).toEqual((await wanted(people[0]!)).map(({ references, part }) => references || part));
    }
    expect(JSON.stringify(await wanted(people[0]!, "", { unitMinor: 5_000 }))).not.toContain("23456");
  });

  test("name the open batch that is for the part, and its terms are then those used", async () => {
    expect((await wanted(restorer, "(own: true)"))[0]!.price).toBeNull();
    const batch = await people[1]!.call("saveBatch", "$input: BatchInput!", {
      input: {
        part: "Cylinder barrel",
        machine: "Wraxholme",
        references: "W119",
        maker: "Brindlewick Foundry",
        unitMinor: 20_000,
        sparePercent: 0,
        smallest: 4,
        closesOn: "2027-03-01",
        leadDays: 90,
      },
    });
    expect(batch.__typename).toBe("ClubSaved");
    const [row] = await wanted(restorer, "(own: true)");
    expect(row!.batch!.code).toBe("1");
    expect(row!.price).toMatchObject({ piece: { minor: 20_000 }, ownSaving: { minor: 41_000 } });
    const { revision } = await open.store.batch.findUniqueOrThrow({ where: { id: batch.id } });
    await people[1]!.call("removeBatch", "$id: ID!, $revision: Int!", { id: batch.id, revision });
    expect((await wanted(restorer, "(own: true)"))[0]!.batch).toBeNull();
  });

  test("lose a want that is met, and come in pages", async () => {
    const id = await want(people[2]!, { part: "Starting handle" });
    await want(people[3]!, { part: "Starting handle" });
    const page = (after: string | null) =>
      people[0]!.ask<{
        wantedParts: { totalCount: number; pageInfo: { endCursor: string | null; hasNextPage: boolean } };
      }>(
        "query ($after: String) { wantedParts(first: 2, after: $after) { totalCount pageInfo { endCursor hasNextPage } } }",
        { after },
      );
    const { wantedParts: first } = await page(null);
    expect(first).toMatchObject({ totalCount: 3, pageInfo: { hasNextPage: true } });
    expect((await page(first.pageInfo.endCursor)).wantedParts.pageInfo.hasNextPage).toBe(false);
    await people[2]!.call("saveWant", "$input: WantInput!", { input: { id, revision: 1, met: true } });
    expect((await page(null)).wantedParts.totalCount).toBe(2);
  });

  test("refuse terms that are no terms, and are for members alone", async () => {
    await expect(wanted(restorer, "", { unitMinor: -1 })).rejects.toThrow("unitMinor must be between");
    await expect(wanted(restorer, "(smallest: 0)")).rejects.toThrow("smallest must be between");
    const owner = await club.person("Owner", "OWNER");
    await expect(wanted(owner)).rejects.toThrow("not for your account");
  });
});
