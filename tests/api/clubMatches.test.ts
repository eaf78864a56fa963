/** Wants and spares: matches in both directions with their reason, messages, and the one step into a plan. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type TestStore, testStore } from "../support/store.ts";
import { type ClubInTest, clubOn, type Person } from "./clubPeople.ts";

interface MatchRead {
  reason: string | null;
  messageCount: number;
  want: { id: string; part: string; own: boolean };
  spare: { id: string; part: string; own: boolean };
  messages: { edges: { node: { text: string; member: { name: string; own: boolean } } }[] };
}

let open: TestStore;
let club: ClubInTest;
let looking: Person;
let having: Person;
let third: Person;

const MATCH = `reason messageCount want { id part own } spare { id part own }
  messages { edges { node { text member { name own } } } }`;
const matches = async (who: Person): Promise<MatchRead[]> => {
  const read = await who.ask<{ matches: { edges: { node: MatchRead }[] } }>(
    `{ matches { edges { node { ${MATCH} } } } }`,
  );
  return read.matches.edges.map(({ node }) => node);
};
const match = async (who: Person, want: string, spare: string): Promise<MatchRead> =>
  (
    await who.ask<{ match: MatchRead }>(
      `query ($want: ID!, $spare: ID!) { match(want: $want, spare: $spare) { ${MATCH} } }`,
      {
        want,
        spare,
      },
    )
  ).match;
const want = (who: Person, input: object) => who.call("saveWant", "$input: WantInput!", { input });
const spare = (who: Person, input: object) => who.call("saveSpare", "$input: SpareInput!", { input });
const write = (who: Person, about: { want: string; spare: string }, text: string) =>
  who.call("writeAboutMatch", "$want: ID!, $spare: ID!, $text: String!", { ...about, text });
const plan = (who: Person, variables: object) =>
  who.call("planSpare", "$spare: ID!, $part: ID!, $priceMinor: Minor, $leadDays: Int", {
    priceMinor: null,
    leadDays: null,
    ...variables,
  });

/** A part that is missing from a restoration of the person's own. */
async function missingPart(who: Person, name: string, number: string): Promise<string> {
  const { id } = await open.store.restoration.create({
    data: {
      workshopId: who.workshop,
      machine: "1913 Tallow & Wren 8 h.p. V-twin cyclecar",
      parts: { create: { code: "P1", name, quantity: 2, references: { create: { number } } } },
    },
    include: { parts: true },
  });
  return (await open.store.part.findFirstOrThrow({ where: { restorationId: id } })).id;
}

beforeAll(async () => {
  open = await testStore();
  club = await clubOn(open.store);
  looking = await club.person("Quill Lane", "RESTORER");
  having = await club.person("H. Drangevold, member 207");
  third = await club.person("Ambrose Pell");
});
afterAll(() => open.close());

describe("a match", () => {
  test("is told to both members, by number, by machine and words, by words alike, the surest first", async () => {
    const machine = "Tallow & Wren";
    for (const [part, references] of [
      ["Belt rim, rear", "T.W. 248"],
      ["Bonnet catch", ""],
      ["Speed indicator, six-inch dial", ""],
      ["Horn", "T.W. 390"],
    ])
      await want(looking, { part, references, machine });
    await spare(having, { part: "Rim with rivets", references: "TW248", machine: "1913 Tallow & Wren 8 h.p." });
    await spare(having, { part: "Bonnet catches", machine });
    await spare(having, { part: "Speed indicator dial", machine });
    // The same number on another machine is another part.
    await spare(having, { part: "Horn", references: "T.W. 390", machine: "Pellifer" });
    const told = (await matches(looking)).map((one) => [one.want.part, one.spare.part, one.reason]);
    expect(told).toEqual([
      ["Belt rim, rear", "Rim with rivets", "SAME_REFERENCE"],
      ["Bonnet catch", "Bonnet catches", "SAME_MACHINE_AND_WORDING"],
      ["Speed indicator, six-inch dial", "Speed indicator dial", "SAME_MACHINE_ALIKE_WORDING"],
    ]);
    const other = await matches(having);
    expect(other.map((one) => [one.want.part, one.spare.part, one.reason])).toEqual(told);
    expect(other.every((one) => one.spare.own && !one.want.own)).toBe(true);
    expect(await matches(third)).toEqual([]);
  });

  test("ends when the want is met or the spare is gone, and comes back by undo", async () => {
    const one = (await matches(looking)).find(({ want }) => want.part === "Bonnet catch")!;
    const { revision } = await open.store.spare.findUniqueOrThrow({ where: { id: one.spare.id } });
    const gone = await spare(having, { id: one.spare.id, revision, gone: true });
    expect((await matches(looking)).map(({ want }) => want.part)).not.toContain("Bonnet catch");
    expect((await match(looking, one.want.id, one.spare.id)).reason).toBeNull();
    await having.call("undo", "$change: ID!", { change: gone.clubChange.id });
    expect((await matches(looking)).map(({ want }) => want.part)).toContain("Bonnet catch");
  });

  test("is not made of one member's own want and spare", async () => {
    await want(third, { part: "Starting handle", machine: "Corbrook" });
    await spare(third, { part: "Starting handle", machine: "Corbrook" });
    expect(await matches(third)).toEqual([]);
  });

  test("is written about by the two alone, and each reads who wrote", async () => {
    const [one] = await matches(looking);
    const about = { want: one!.want.id, spare: one!.spare.id };
    expect((await write(looking, about, "Is the bead true?")).__typename).toBe("ClubSaved");
    expect((await write(having, about, "Within a twentieth.")).__typename).toBe("ClubSaved");
    const read = await match(looking, about.want, about.spare);
    expect(read.messages.edges.map(({ node }) => [node.member.own, node.text])).toEqual([
      [true, "Is the bead true?"],
      [false, "Within a twentieth."],
    ]);
    expect((await matches(having))[0]!.messageCount).toBe(2);
    expect(await write(third, about, "Me too")).toMatchObject({ code: "NOT_ALLOWED" });
    await expect(match(third, about.want, about.spare)).rejects.toThrow("That match is no longer there");
    expect(await write(looking, about, " ")).toMatchObject({ faults: [{ field: "text", code: "REQUIRED" }] });
  });

  test("that never was one is not written about", async () => {
    const wanted = (await matches(looking)).find(({ want }) => want.part === "Bonnet catch")!.want.id;
    const offered = await spare(having, { part: "Sparking plugs", machine: "Tarnbeck" });
    expect(await write(looking, { want: wanted, spare: offered.id }, "Any use?")).toMatchObject({
      code: "NOT_ALLOWED",
    });
  });

  test("keeps its want and its spare in the record once somebody has written", async () => {
    const [one] = await matches(looking);
    const { revision } = await open.store.want.findUniqueOrThrow({ where: { id: one!.want.id } });
    const args = { id: one!.want.id, revision };
    expect(await looking.call("removeWant", "$id: ID!, $revision: Int!", args)).toMatchObject({ code: "IN_USE" });
  });
});

describe("a want for a part of one's own restoration", () => {
  test("takes its wording, machine, numbers and quantity from the part", async () => {
    const part = await missingPart(looking, "Magneto drive coupling housing", "T.W. 173");
    const { id } = await want(looking, { ownPart: part });
    expect(await open.store.want.findUniqueOrThrow({ where: { id } })).toMatchObject({
      part: "Magneto drive coupling housing",
      machine: "1913 Tallow & Wren 8 h.p. V-twin cyclecar",
      references: "T.W. 173",
      quantity: 2,
    });
    const read = (who: Person) =>
      who.ask<{ wants: { edges: { node: { id: string; ownPart: { id: string } | null } }[] } }>(
        "{ wants { edges { node { id ownPart { id restoration name } } } } }",
      );
    const own = async (who: Person) => (await read(who)).wants.edges.find(({ node }) => node.id === id)!.node.ownPart;
    expect((await own(looking))!.id).toBe(part);
    expect(await own(having)).toBeNull();
  });
  test("is refused for a part of another workshop", async () => {
    const other = await club.person("Other shop", "RESTORER");
    const part = await missingPart(other, "Crankpin", "T.W. 105");
    expect(await want(looking, { ownPart: part, part: "Crankpin" })).toMatchObject({
      faults: [{ field: "ownPart", code: "UNKNOWN_ROW" }],
    });
  });
});

describe("a find", () => {
  test("becomes a quote in the plan in one step, from the member as a supplier, and one undo takes both back", async () => {
    const part = await missingPart(looking, "Carburettor", "T.W. 156");
    const offered = await spare(having, {
      part: "Carburettor",
      machine: "Tallow & Wren",
      provenance: "ORIGINAL",
      condition: "REPAIRABLE",
      priceMinor: 21_000,
      notes: "Float missing",
    });
    const planned = await plan(looking, { spare: offered.id, part });
    expect(planned.__typename).toBe("Saved");
    const quote = await open.store.quote.findUniqueOrThrow({ where: { id: planned.id }, include: { supplier: true } });
    expect(quote).toMatchObject({
      partId: part,
      unitPriceMinor: 21_000,
      currency: "GBP",
      provenance: "ORIGINAL",
      condition: "REPAIRABLE",
      leadDays: 7,
      supplier: { name: "H. Drangevold, member 207", kind: "CLUB_MEMBER", workshopId: looking.workshop },
    });
    await looking.call("undo", "$change: ID!", { change: planned.change.id });
    expect(await open.store.quote.count({ where: { partId: part } })).toBe(0);

    // The member is a supplier once, however many finds come from there.
    await plan(looking, { spare: offered.id, part, priceMinor: 19_000, leadDays: 3 });
    const second = await spare(having, { part: "Carburettor", priceMinor: 21_000 });
    await plan(looking, { spare: second.id, part });
    const where = { workshopId: looking.workshop, name: "H. Drangevold, member 207" };
    expect(await open.store.supplier.count({ where })).toBe(1);
    const prices = await open.store.quote.findMany({ where: { partId: part }, orderBy: { unitPriceMinor: "asc" } });
    expect(prices.map(({ unitPriceMinor, leadDays }) => [unitPriceMinor, leadDays])).toEqual([
      [19_000, 3],
      [21_000, 7],
    ]);
  });

  test("is not planned twice for one part, nor for more parts than there are pieces; undo makes room", async () => {
    const offered = (await spare(having, { part: "Sump plug", priceMinor: 500, quantity: 2 })).id!;
    const parts = [];
    for (const name of ["Sump plug", "Drain plug", "Filler plug"]) parts.push(await missingPart(looking, name, "TW 9"));
    const [first, second, third] = parts;
    expect((await plan(looking, { spare: offered, part: first })).__typename).toBe("Saved");
    const { code, spareId } = await open.store.quote.findFirstOrThrow({ where: { partId: first! } });
    expect(spareId).toBe(offered);
    const again = await plan(looking, { spare: offered, part: first });
    expect(again).toMatchObject({ code: "IN_USE", rows: [code] });
    expect(again.message).toMatch(new RegExp(`is in your plan already: quote ${code} of .+ for Sump plug\\.$`));
    expect(await open.store.quote.count({ where: { partId: first! } })).toBe(1);
    const other = await plan(looking, { spare: offered, part: second });
    expect(other.__typename).toBe("Saved");
    expect(await plan(looking, { spare: offered, part: third })).toMatchObject({ code: "IN_USE" });
    await looking.call("undo", "$change: ID!", { change: (other as unknown as { change: { id: string } }).change.id });
    expect((await plan(looking, { spare: offered, part: third })).__typename).toBe("Saved");
  });

  test("without a price needs the one agreed; one's own, one gone, and another's part are refused", async () => {
    const part = await missingPart(looking, "Rear lamp", "T.W. 386");
    const offered = await spare(having, { part: "Rear lamp", machine: "Tallow & Wren" });
    expect(await plan(looking, { spare: offered.id, part })).toMatchObject({
      faults: [{ field: "priceMinor", code: "REQUIRED" }],
    });
    const mine = await spare(looking, { part: "Rear lamp", machine: "Tallow & Wren", priceMinor: 100 });
    expect(await plan(looking, { spare: mine.id, part })).toMatchObject({ code: "NOT_ALLOWED" });
    await spare(having, { id: offered.id, revision: offered.revision, gone: true });
    expect(await plan(looking, { spare: offered.id, part, priceMinor: 100 })).toMatchObject({ code: "NOT_ALLOWED" });
    const other = await club.person("Third shop", "RESTORER");
    const theirs = await missingPart(other, "Rear lamp", "T.W. 386");
    const again = await spare(having, { part: "Lamp", priceMinor: 500 });
    await expect(plan(looking, { spare: again.id, part: theirs })).rejects.toThrow("That part is no longer there");
  });
});
