/** Shared sources: what is told of them and of whom, and how they are found. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type TestStore, testStore } from "../support/store.ts";
import { type ClubInTest, clubOn, orderOf, type Person } from "./clubPeople.ts";

interface SourceRead {
  id: string;
  revision: number;
  code: string;
  part: string;
  own: boolean;
  member: { name: string };
  price: { minor: number; currency: string } | null;
  delivery: { promisedDays: number; takenDays: number; fitRating: number | null } | null;
  failed: boolean;
  record: { deliveries: number; late: number; failed: number; fitRating: number | null };
}

let open: TestStore;
let club: ClubInTest;
let restorer: Person;
let member: Person;

const FIELDS = `id revision code part own member { name } price { minor currency } failed
  delivery { promisedDays takenDays fitRating } record { deliveries late failed fitRating }`;

async function sources(who: Person, args = ""): Promise<SourceRead[]> {
  const { clubSources } = await who.ask<{ clubSources: { edges: { node: SourceRead }[] } }>(
    `{ clubSources${args} { edges { node { ${FIELDS} } } } }`,
  );
  return clubSources.edges.map(({ node }) => node);
}
const found = async (words: string, more = "") =>
  (await sources(member, `(search: ${JSON.stringify(words)}${more})`)).map(({ part }) => part);
const share = (who: Person, input: object) =>
  who.call("saveClubSource", "$input: ClubSourceInput!", { input: { provenance: "REMADE", ...input } });
async function shared(who: Person, input: object): Promise<SourceRead> {
  const { id, __typename, message } = await share(who, input);
  expect(`${__typename} ${message ?? ""}`).toBe("ClubSaved ");
  return (await sources(who)).find((one) => one.id === id)!;
}

beforeAll(async () => {
  open = await testStore();
  club = await clubOn(open.store);
  restorer = await club.person("E. Wimbersedge, member 41", "RESTORER");
  member = await club.person("Ambrose Pell");
});
afterAll(() => open.close());

describe("what is told of a source", () => {
  test("its price only where the sharer gives one, in the currency given or the club's", async () => {
    await shared(member, { supplier: "Ferrelune Joints", part: "Gasket set" });
    await shared(member, { supplier: "Ferrelune Joints", part: "Gasket set, copper", priceMinor: 4_400 });
    await shared(member, { supplier: "Zwirbelin Kolben", part: "Piston", priceMinor: 19_700, currency: "CHF" });
    const told = new Map((await sources(restorer)).map(({ part, price }) => [part, price]));
    expect(told.get("Gasket set")).toBeNull();
    expect(told.get("Gasket set, copper")).toEqual({ minor: 4_400, currency: "GBP" });
    expect(told.get("Piston")).toEqual({ minor: 19_700, currency: "CHF" });
  });

  test("is found by its number, with its noun or without, before what the words are found in", async () => {
    const codes = async (words: string) => {
      const { clubSources } = await member.ask<{ clubSources: { edges: { node: { code: string } }[] } }>(
        `{ clubSources(search: ${JSON.stringify(words)}) { edges { node { code } } } }`,
      );
      return clubSources.edges.map(({ node }) => node.code);
    };
    await shared(member, { supplier: "Ferrelune Joints", part: "Gasket 2, exhaust" });
    expect((await codes("source 2"))[0]).toBe("2");
    expect((await codes("Source 3"))[0]).toBe("3");
    expect((await codes("2"))[0]).toBe("2");
  });

  test("its delivery and fit from the sharer's own accepted order with that supplier, and from nothing else", async () => {
    const accepted = await orderOf(open.store, restorer, { supplier: "Spracklewell Gearcutting", fitRating: 4 });
    const row = await shared(restorer, { supplier: "Spracklewell Gearcutting", part: "Crankpin", order: accepted });
    // 1 June to 3 July promised, to 1 July taken.
    expect(row.delivery).toEqual({ promisedDays: 32, takenDays: 30, fitRating: 4 });

    const without = await shared(restorer, { supplier: "Spracklewell Gearcutting", part: "King pin" });
    expect(without.delivery).toBeNull();

    const placed = await orderOf(open.store, restorer, {
      supplier: "Spracklewell Gearcutting",
      state: "PLACED",
      promisedOn: "2027-02-01",
      arrivedOn: null,
    });
    expect(await share(restorer, { supplier: "Spracklewell Gearcutting", part: "Shaft", order: placed })).toMatchObject(
      {
        code: "NO_ORDER",
      },
    );
    expect(await share(restorer, { supplier: "Bündrist Zahnradwerk", part: "Shaft", order: accepted })).toMatchObject({
      faults: [{ field: "order", code: "UNKNOWN_ROW" }],
    });
    expect(await share(member, { supplier: "Spracklewell Gearcutting", part: "Shaft", order: accepted })).toMatchObject(
      {
        faults: [{ field: "order", code: "UNKNOWN_ROW" }],
      },
    );
  });

  test("an order's record does not go with the row to another supplier's name", async () => {
    const order = await orderOf(open.store, restorer, { supplier: "Coldharrock Springs" });
    const { id, revision } = await shared(restorer, { supplier: "Coldharrock Springs", part: "Leaf spring", order });
    expect(await share(restorer, { id, revision, supplier: "Brindlewick Foundry" })).toMatchObject({
      faults: [{ field: "order", code: "UNKNOWN_ROW" }],
    });
    expect(await share(restorer, { id, revision, supplier: "Brindlewick Foundry", order: null })).toMatchObject({
      __typename: "ClubSaved",
    });
    expect((await sources(member)).find((one) => one.id === id)!.delivery).toBeNull();
  });

  test("that a maker failed to deliver only with the order that failed, and no longer once it was accepted", async () => {
    const input = { supplier: "Garance-Aubrol Carburation", part: "Carburettor", failed: true };
    expect(await share(restorer, input)).toMatchObject({ code: "NO_ORDER" });
    expect(await share(member, input)).toMatchObject({ code: "NO_ORDER" });
    const { supplier } = input;
    const delivered = await orderOf(open.store, restorer, { supplier });
    expect(await share(restorer, { ...input, order: delivered })).toMatchObject({ code: "NO_ORDER" });
    // Promised for the day the club's figures are for, 23 November 2026: not late yet.
    const due = { supplier, state: "PLACED", promisedOn: "2026-11-23", arrivedOn: null } as const;
    expect(await share(restorer, { ...input, order: await orderOf(open.store, restorer, due) })).toMatchObject({
      code: "NO_ORDER",
    });
    const late = await orderOf(open.store, restorer, { ...due, promisedOn: "2026-11-22" });
    const sentBack = await orderOf(open.store, restorer, { supplier, state: "SENT_BACK", fitRating: 1 });
    const first = await shared(restorer, { ...input, order: late });
    const second = await shared(restorer, { ...input, order: sentBack });
    expect([first.failed, second.failed, second.delivery]).toEqual([true, true, null]);
    expect(second.record).toEqual({ deliveries: 0, late: 0, failed: 2, fitRating: null });
    await open.store.order.update({ where: { id: late }, data: { state: "ACCEPTED", arrivedOn: "2026-11-30" } });
    const after = (await sources(member)).find(({ id }) => id === first.id)!;
    expect(after.failed).toBe(false);
    expect(after.record).toEqual({ deliveries: 1, late: 1, failed: 1, fitRating: 5 });
    await open.store.order.delete({ where: { id: sentBack } });
    expect((await sources(member)).find(({ id }) => id === second.id)!).toMatchObject({
      failed: false,
      delivery: null,
    });
  });

  test("a supplier's record counts an order once, however often it is shared, and withheld rows not at all", async () => {
    const supplier = "Hobblethwick Wire Wheels";
    const [early, late] = [
      await orderOf(open.store, restorer, { supplier, fitRating: 5 }),
      await orderOf(open.store, restorer, { supplier, arrivedOn: "2026-07-20", fitRating: 2 }),
    ];
    await shared(restorer, { supplier, part: "Rim", order: early });
    await shared(restorer, { supplier, part: "Rims, pair", order: early });
    const row = await shared(restorer, { supplier, part: "Spokes", order: late });
    expect(row.record).toEqual({ deliveries: 2, late: 1, failed: 0, fitRating: 3.5 });
    await open.store.clubSource.update({ where: { id: row.id }, data: { withheldReason: "Not a maker's work" } });
    const [still] = (await sources(member)).filter(({ part }) => part === "Rim");
    expect(still!.record).toEqual({ deliveries: 1, late: 0, failed: 0, fitRating: 5 });
  });
});

describe("sources are found", () => {
  beforeAll(async () => {
    const maker = { supplier: "Glimmerhulme Brass" };
    await shared(member, {
      ...maker,
      part: "Petrol tap",
      machine: "1921 Hexgrave Ten light car",
      references: "HX/165",
    });
    await shared(member, { ...maker, part: "Bulb horn", machine: "Pellifer", references: "P14-401, 88.12" });
    await shared(member, { ...maker, part: "Phaeton lamp bracket", machine: "Corbrook 9 h.p.", references: "C9-388" });
  });
  test("by reference number, with or without its dashes and points", async () => {
    for (const number of ["HX/165", "HX165", "hx-165", "HX 165"]) expect(await found(number)).toContain("Petrol tap");
    expect(await found("8812")).toContain("Bulb horn");
    expect(await found("HX/166")).not.toContain("Petrol tap");
  });
  test("by machine and by supplier", async () => {
    expect(await found("hexgrave")).toEqual(["Petrol tap"]);
    expect(await found("Hexgrave tap")).toEqual(["Petrol tap"]);
    expect((await found("Glimmerhulme")).sort()).toEqual(["Bulb horn", "Petrol tap", "Phaeton lamp bracket"]);
  });
  test("by wording that is misspelt, without accents, or begun", async () => {
    expect(await found("petroll")).toEqual(["Petrol tap"]);
    expect(await found("phaetan braket")).toEqual(["Phaeton lamp bracket"]);
    expect(await found("phaet")).toEqual(["Phaeton lamp bracket"]);
    await shared(member, { supplier: "Bündrist Zahnradwerk", part: "Crown wheel" });
    expect(await found("Bundrist")).toContain("Crown wheel");
  });
  test("in one field alone, of one provenance alone, and not where a word is missing", async () => {
    expect(await found("Pellifer", ", in: [MACHINE]")).toEqual(["Bulb horn"]);
    expect(await found("Pellifer", ", in: [PART]")).toEqual([]);
    expect(await found("Pellifer", ", in: null")).toEqual(["Bulb horn"]);
    expect(await found("horn", ", provenance: ORIGINAL")).toEqual([]);
    expect(await found("horn tyre")).toEqual([]);
  });
  test("as they stand now: after a change, a removal and its undo", async () => {
    const row = await shared(member, { supplier: "Skelderbeck Tanks & Ducts", part: "Scuttle tank" });
    const changed = await share(member, { id: row.id, revision: row.revision, part: "Saddle tank" });
    expect(await found("scuttle")).toEqual([]);
    expect(await found("saddle")).toEqual(["Saddle tank"]);
    const args = "$id: ID!, $revision: Int!";
    const gone = await member.call("removeClubSource", args, { id: row.id, revision: changed.revision });
    expect(await found("saddle")).toEqual([]);
    await member.call("undo", "$change: ID!", { change: gone.clubChange.id });
    expect(await found("saddle")).toEqual(["Saddle tank"]);
  });
});

describe("a source is its member's", () => {
  test("to change and to remove; others are refused, and a stale revision is told with both values", async () => {
    const { id, revision } = await shared(member, { supplier: "Nibthistle Trimmings", part: "Duck" });
    expect(await share(restorer, { id, revision, part: "Drake" })).toMatchObject({ code: "NOT_ALLOWED" });
    expect(await restorer.call("removeClubSource", "$id: ID!, $revision: Int!", { id, revision })).toMatchObject({
      code: "NOT_ALLOWED",
    });
    await share(member, { id, revision, notes: "By the yard" });
    expect(await share(member, { id, revision, notes: "By the metre" })).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "notes", theirs: "By the yard", yours: "By the metre" }],
    });
  });
  test("every broken rule is told by field", async () => {
    const { faults } = await share(member, {
      supplier: "",
      part: " ",
      country: "gbr",
      priceMinor: -1,
      currency: "XXQ",
    });
    expect(faults.map(({ field }) => field).sort()).toEqual(["country", "currency", "part", "priceMinor", "supplier"]);
  });
});
