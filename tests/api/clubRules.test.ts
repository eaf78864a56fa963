/** What members may and may not: complaints, withholding, how many entries one may make, rows of others, and who has no part in it. */
import { graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { NOBODY } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { readClubIndexes } from "../../server/plan/club/index.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { type ClubInTest, clubOn, type Person } from "./clubPeople.ts";

interface ComplaintRead {
  id: string;
  revision: number;
  row: string;
  reason: string;
  answered: boolean;
  answer: string;
}
interface SpareRead {
  id: string;
  withheldReason: string | null;
}

let open: TestStore;
let club: ClubInTest;
let steward: Person;
let seller: Person;
let reader: Person;

const spare = (who: Person, input: object) => who.call("saveSpare", "$input: SpareInput!", { input });
const complain = (who: Person, kind: string, id: string, reason = "Sold already") =>
  who.call("sayWhatIsWrong", "$kind: ClubRowKind!, $id: ID!, $reason: String!", { kind, id, reason });
const withhold = (who: Person, kind: string, id: string, reason: string | null) =>
  who.call("withhold", "$kind: ClubRowKind!, $id: ID!, $reason: String", { kind, id, reason });
const complaints = async (who: Person): Promise<ComplaintRead[]> => {
  const read = await who.ask<{ clubComplaints: { edges: { node: ComplaintRead }[] } }>(
    "{ clubComplaints { edges { node { id revision row reason answered answer } } } }",
  );
  return read.clubComplaints.edges.map(({ node }) => node);
};
const spares = async (who: Person, args = ""): Promise<SpareRead[]> => {
  const read = await who.ask<{ spares: { edges: { node: SpareRead }[] } }>(
    `{ spares${args} { edges { node { id withheldReason } } } }`,
  );
  return read.spares.edges.map(({ node }) => node);
};

beforeAll(async () => {
  open = await testStore();
  club = await clubOn(open.store);
  steward = await club.person("Steward", "RESTORER", true);
  seller = await club.person("Seller");
  reader = await club.person("Reader");
});
afterAll(() => open.close());

describe("a complaint", () => {
  test("goes to the stewards with its reason and the row as it read; its member reads it, others do not", async () => {
    const { id } = await spare(seller, { part: "Horn" });
    expect((await complain(reader, "SPARE", id)).__typename).toBe("ClubSaved");
    expect(await complaints(reader)).toMatchObject([{ row: "1 Horn", reason: "Sold already", answered: false }]);
    expect(await complaints(steward)).toHaveLength(1);
    expect(await complaints(seller)).toEqual([]);
    expect(await complain(reader, "SPARE", id, "Again")).toMatchObject({ code: "NOT_ALLOWED" });
    expect(await complain(seller, "SPARE", id, "")).toMatchObject({ faults: [{ field: "reason", code: "REQUIRED" }] });
  });

  test("is answered by withholding the row, with the reason, which its member and the stewards then read alone", async () => {
    const [{ id }] = (await spares(reader)) as [SpareRead];
    expect(await withhold(reader, "SPARE", id, "Mine now")).toMatchObject({ code: "NOT_ALLOWED" });
    expect((await withhold(steward, "SPARE", id, "Sold in October")).__typename).toBe("ClubSaved");
    expect(await spares(reader)).toEqual([]);
    expect(await spares(seller, "(own: true)")).toEqual([{ id, withheldReason: "Sold in October" }]);
    expect((await spares(steward)).map((one) => one.id)).toEqual([id]);
    expect(await complaints(reader)).toMatchObject([{ answered: true, answer: "Withheld: Sold in October" }]);
    await expect(complain(reader, "SPARE", id)).rejects.toThrow("That spare is no longer there");
    await withhold(steward, "SPARE", id, null);
    expect((await spares(reader)).map((one) => one.id)).toEqual([id]);
  });

  test("is answered without withholding, by a steward alone", async () => {
    const [{ id }] = (await spares(reader)) as [SpareRead];
    await complain(reader, "SPARE", id, "Not original");
    const waiting = (await complaints(steward)).find(({ answered }) => !answered)!;
    const settle = (who: Person, answer: string) =>
      who.call("answerComplaint", "$id: ID!, $revision: Int!, $answer: String!", {
        id: waiting.id,
        revision: waiting.revision,
        answer,
      });
    expect(await settle(reader, "So be it")).toMatchObject({ code: "NOT_ALLOWED" });
    expect((await settle(steward, "The seller showed its number")).__typename).toBe("ClubSaved");
    expect((await spares(reader)).map((one) => one.id)).toEqual([id]);
  });

  test("about a message withholds its words from the other, and strangers cannot make one", async () => {
    const wanted = await reader.call("saveWant", "$input: WantInput!", {
      input: { part: "Lamp", machine: "Tarnbeck" },
    });
    const offered = await spare(seller, { part: "Lamp", machine: "Tarnbeck" });
    const about = { want: wanted.id, spare: offered.id };
    const args = "$want: ID!, $spare: ID!, $text: String!";
    const message = await seller.call("writeAboutMatch", args, { ...about, text: "Send money first" });
    const stranger = await club.person("Stranger");
    await expect(complain(stranger, "MESSAGE", message.id)).rejects.toThrow("That message is no longer there");
    await complain(reader, "MESSAGE", message.id, "Asks for money unseen");
    await withhold(steward, "MESSAGE", message.id, "No money before the part is seen");
    const read = await reader.ask<{ match: { messages: { edges: { node: object }[] } } }>(
      "query ($want: ID!, $spare: ID!) { match(want: $want, spare: $spare) { messages { edges { node { text withheldReason } } } } }",
      about,
    );
    expect(read.match.messages.edges.map(({ node }) => node)).toEqual([
      { text: "", withheldReason: "No money before the part is seen" },
    ]);
  });

  describe("a withheld want or spare", () => {
    const MATCH =
      "query ($want: ID!, $spare: ID!) { match(want: $want, spare: $spare) { want { part } spare { part } } }";
    const write = (who: Person, about: object, text: string) =>
      who.call("writeAboutMatch", "$want: ID!, $spare: ID!, $text: String!", { ...about, text });
    let about: { want: string; spare: string };
    let message: string;

    beforeAll(async () => {
      const input = { part: "Beaded rim", machine: "Hurdlow" };
      const wanted = await reader.call("saveWant", "$input: WantInput!", { input });
      about = { want: wanted.id, spare: (await spare(seller, input)).id };
      message = (await write(seller, about, "It is in the shed")).id;
    });

    test.each([
      ["SPARE", "spare", () => [reader, seller]],
      ["WANT", "want", () => [seller, reader]],
    ] as const)("is not read through a match: %s", async (kind, of, people) => {
      const [other, own] = people();
      expect(await other!.ask(MATCH, about)).toMatchObject({ match: { [of]: { part: "Beaded rim" } } });
      await withhold(steward, kind, about[of], "Not as it was described");
      await expect(other!.ask(MATCH, about)).rejects.toThrow("That match is no longer there");
      // Through one's own row that never matched it, too.
      const stray = { part: "Sidelamp", machine: "Hurdlow" };
      const { id } =
        of === "spare"
          ? await other!.call("saveWant", "$input: WantInput!", { input: stray })
          : await spare(other!, stray);
      const astray = of === "spare" ? { ...about, want: id } : { ...about, spare: id };
      await expect(other!.ask(MATCH, astray)).rejects.toThrow("That match is no longer there");
      expect(await own!.ask(MATCH, about)).toMatchObject({ match: { [of]: { part: "Beaded rim" } } });
      await expect(complain(other!, "MESSAGE", message)).rejects.toThrow("That message is no longer there");
      await expect(write(other!, about, "Still there?")).rejects.toThrow(`That ${of} is no longer there`);
      // Nor does its own member write on about what the other no longer sees.
      expect(await write(own!, about, "Read this")).toMatchObject({ code: "NOT_ALLOWED" });
      await withhold(steward, kind, about[of], null);
      expect((await write(own!, about, "All in order")).__typename).toBe("ClubSaved");
    });

    test("nor are withheld words, by complaining of them", async () => {
      await withhold(steward, "MESSAGE", message, "Rude");
      await expect(complain(reader, "MESSAGE", message)).rejects.toThrow("That message is no longer there");
      expect((await complaints(reader)).map(({ row }) => row)).not.toContain("It is in the shed");
    });
  });

  test("a withheld source and a withheld batch are found by nobody but their member and the stewards", async () => {
    const source = await seller.call("saveClubSource", "$input: ClubSourceInput!", {
      input: { supplier: "Mosslick Motor Breakers", part: "Dynamo", provenance: "ORIGINAL" },
    });
    const batch = await seller.call("saveBatch", "$input: BatchInput!", {
      input: {
        part: "Dynamo case",
        maker: "Brindlewick",
        unitMinor: 100,
        smallest: 2,
        closesOn: "2027-03-01",
        leadDays: 5,
      },
    });
    const seen = async (who: Person, own = false) => {
      const read = await who.ask<{
        clubSources: { totalCount: number };
        found: { totalCount: number };
        batches: { totalCount: number };
      }>(
        'query ($own: Boolean) { clubSources(own: $own) { totalCount } found: clubSources(search: "dynamo") { totalCount } batches(own: $own) { totalCount } }',
        { own },
      );
      return [read.clubSources.totalCount, read.found.totalCount, read.batches.totalCount];
    };
    expect(await seen(reader)).toEqual([1, 1, 1]);
    await withhold(steward, "SOURCE", source.id, "No maker");
    await withhold(steward, "BATCH", batch.id, "No maker");
    expect(await seen(reader)).toEqual([0, 0, 0]);
    expect(await seen(seller, true)).toEqual([1, 0, 1]);
    await expect(
      reader.call("putNameDown", "$batch: ID!, $quantity: Int!", { batch: batch.id, quantity: 1 }),
    ).rejects.toThrow("That batch is no longer there");
  });
});

describe("posting", () => {
  test("is limited over everything one member posts in 24 hours, and rows of other days do not count", async () => {
    const eager = await club.person("Eager");
    await open.store.club.update({ where: { id: club.id }, data: { entriesPerDay: 3 } });
    const want = () => eager.call("saveWant", "$input: WantInput!", { input: { part: "Hub" } });
    const first = await spare(eager, { part: "Hub cap" });
    await want();
    const last = await want();
    expect(last.__typename).toBe("ClubSaved");
    expect(await want()).toMatchObject({ code: "TOO_MANY_ENTRIES" });
    expect(await complain(eager, "SPARE", first.id)).toMatchObject({ code: "TOO_MANY_ENTRIES" });
    // Changing what stands is no post.
    expect((await spare(eager, { id: first.id, revision: first.revision, gone: true })).__typename).toBe("ClubSaved");
    await open.store.want.updateMany({
      where: { memberId: eager.member },
      data: { enteredAt: new Date(Date.now() - 25 * 3_600_000) },
    });
    expect((await want()).__typename).toBe("ClubSaved");
    await open.store.club.update({ where: { id: club.id }, data: { entriesPerDay: 200 } });
  });

  test("under another's name is not to be had: a new row is the asker's, and another's is not changed", async () => {
    const mine = await spare(seller, { part: "Magneto" });
    for (const who of [reader, steward]) {
      const input = { id: mine.id, revision: mine.revision, part: "Dynamo" };
      expect(await spare(who, input)).toMatchObject({ code: "NOT_ALLOWED" });
      const args = { id: mine.id, revision: mine.revision };
      expect(await who.call("removeSpare", "$id: ID!, $revision: Int!", args)).toMatchObject({ code: "NOT_ALLOWED" });
    }
    expect(await reader.call("undo", "$change: ID!", { change: mine.clubChange.id })).toMatchObject({
      code: "NOT_ALLOWED",
    });
    expect(await open.store.spare.findUniqueOrThrow({ where: { id: mine.id } })).toMatchObject({ part: "Magneto" });
  });
});

describe("the club is for its members", () => {
  const READ = [
    "clubSources { totalCount }",
    "wants { totalCount }",
    "spares { totalCount }",
    "matches { totalCount }",
    "wantedParts { totalCount }",
    "batches { totalCount }",
    "clubComplaints { totalCount }",
  ];
  const WRITE = [
    `joinClub(memberName: "Me")`,
    `saveSpare(input: { part: "Horn" })`,
    `saveWant(input: { part: "Horn" })`,
    `saveClubSource(input: { part: "Horn", supplier: "Mosslick", provenance: ORIGINAL })`,
    `sayWhatIsWrong(kind: SPARE, id: "x", reason: "y")`,
    `withhold(kind: SPARE, id: "x")`,
  ];
  const refusedFor = async (contextValue: Context, source: string): Promise<string> => {
    const { data, errors } = await graphql({ schema, source, contextValue });
    const [answer] = Object.values(data ?? {}) as ({ code?: string } | null)[];
    const original = errors?.[0]?.originalError as { code?: string } | undefined;
    return answer?.code ?? original?.code ?? "ALLOWED";
  };

  test("an owner and somebody who is not signed in read nothing and do nothing there", async () => {
    const { account, workshop } = await club.person("Owner", "OWNER");
    const owner = { accountId: account, workshopId: workshop, role: "OWNER", admin: false, everyJob: false } as const;
    for (const [viewer, code] of [
      [owner, "NOT_ALLOWED"],
      [NOBODY, "NOT_SIGNED_IN"],
    ] as const) {
      for (const field of READ)
        expect([field, await refusedFor(new Context(open.store, viewer), `{ ${field} }`)]).toEqual([field, code]);
      for (const field of WRITE)
        expect([
          field,
          await refusedFor(new Context(open.store, viewer), `mutation { ${field} { ... on Refused { code } } }`),
        ]).toEqual([field, code]);
    }
    expect(await open.store.spare.count({ where: { part: "Horn", memberId: { notIn: [seller.member] } } })).toBe(0);
  });

  test("an account that has not joined is told so, and joins under a name that is not taken", async () => {
    const { id: workshopId } = await open.store.workshop.create({ data: { name: "New shop" } });
    const { id: accountId } = await open.store.account.create({ data: { workshopId, name: "New", role: "RESTORER" } });
    const context = () =>
      new Context(open.store, { accountId, workshopId, role: "RESTORER", admin: false, everyJob: true });
    for (const field of READ) expect(await refusedFor(context(), `{ ${field} }`)).toBe("NOT_A_MEMBER");
    const join = async (name: string) => {
      const source = `mutation ($name: String!) { joinClub(memberName: $name) { __typename ... on InvalidInput { faults { code field } } } }`;
      const { data, errors } = await graphql({ schema, source, variableValues: { name }, contextValue: context() });
      expect(errors).toBeUndefined();
      return data!.joinClub as { __typename: string };
    };
    expect(await join("Reader")).toMatchObject({ faults: [{ code: "DUPLICATE" }] });
    expect((await join("New shop")).__typename).toBe("ClubSaved");
    expect(await refusedFor(context(), "{ spares { totalCount } }")).toBe("ALLOWED");
  });

  test("a member whose account is closed is none any more", async () => {
    const gone = await club.person("Gone");
    await open.store.account.update({ where: { id: gone.account }, data: { closed: true } });
    expect(await spare(gone, { part: "Horn" }).catch(({ code }: { code: string }) => ({ code }))).toMatchObject({
      code: "NOT_A_MEMBER",
    });
  });
});

describe("a steward of the club", () => {
  const setSteward = (who: Person, member: Person, steward: boolean, revision: number) =>
    who.call("setClubSteward", "$clubMember: ID!, $revision: Int!, $steward: Boolean!", {
      clubMember: member.member,
      revision,
      steward,
    });
  const isSteward = async (who: Person) =>
    (await who.ask<{ club: { steward: boolean } }>("{ club { steward } }")).club.steward;

  test("is not the admin of a workshop: only who was made one by a steward", async () => {
    const newcomer = await club.person("R. Tollemarsh, member 153", "RESTORER");
    await open.store.account.update({ where: { id: newcomer.account }, data: { admin: true } });
    expect(await isSteward(newcomer)).toBe(false);
    const { id } = await spare(seller, { part: "Lamp rim" });
    expect(await withhold(newcomer, "SPARE", id!, "Not mine to withhold")).toMatchObject({ code: "NOT_ALLOWED" });
    expect(await setSteward(newcomer, newcomer, true, 1)).toMatchObject({ code: "NOT_ALLOWED" });
    expect((await setSteward(steward, newcomer, true, 1)).__typename).toBe("ClubSaved");
    expect(await isSteward(newcomer)).toBe(true);
    expect((await withhold(newcomer, "SPARE", id!, "Asked by the seller")).__typename).toBe("ClubSaved");
  });

  test("always remains: the last does not step down, nor does undo take the last one away", async () => {
    const other = (await open.store.clubMember.findMany({ where: { clubId: club.id, steward: true } })).find(
      ({ id }) => id !== steward.member,
    )!;
    const stepping = { clubMember: other.id, revision: other.revision, steward: false };
    const args = "$clubMember: ID!, $revision: Int!, $steward: Boolean!";
    expect((await steward.call("setClubSteward", args, stepping)).__typename).toBe("ClubSaved");
    const { revision } = await open.store.clubMember.findUniqueOrThrow({ where: { id: steward.member } });
    expect(await setSteward(steward, steward, false, revision)).toMatchObject({ code: "NOT_ALLOWED" });
    expect(await isSteward(steward)).toBe(true);

    // Nor is its account closed, although the workshop has another admin.
    const { workshop: workshopId, account } = steward;
    await open.store.account.create({ data: { workshopId, name: "E. Ashcombe", role: "RESTORER", admin: true } });
    const { closeAccount } = await steward.ask<{ closeAccount: { code: string } }>(
      "mutation ($account: ID!) { closeAccount(account: $account, closed: true) { ... on Refused { code } } }",
      { account },
    );
    expect(closeAccount).toEqual({ code: "NOT_ALLOWED" });
    expect((await open.store.account.findUniqueOrThrow({ where: { id: account } })).closed).toBe(false);
  });

  test("reads the match behind a message complained about, and of no other", async () => {
    const two = [await club.person("N. Thornyhurst"), await club.person("V. Zellick")] as const;
    const wording = { part: "Gauge glass", machine: "Pellifer" };
    const want = (await two[0].call("saveWant", "$input: WantInput!", { input: wording })).id!;
    const offered = (await spare(two[1], wording)).id!;
    const about = { want, spare: offered };
    const read = () =>
      steward.ask<{ match: { messages: { edges: { node: { text: string } }[] } } }>(
        "query ($want: ID!, $spare: ID!) { match(want: $want, spare: $spare) { messages { edges { node { text } } } } }",
        about,
      );
    const message = await two[1].call("writeAboutMatch", "$want: ID!, $spare: ID!, $text: String!", {
      ...about,
      text: "Send the money first.",
    });
    await expect(read()).rejects.toThrow("That match is no longer there");
    await complain(two[0], "MESSAGE", message.id!, "Asks for money unseen");
    expect((await read()).match.messages.edges.map(({ node }) => node.text)).toEqual(["Send the money first."]);
    const told = await steward.ask<{ clubComplaints: { edges: { node: { rowWithheld: boolean; match: unknown } }[] } }>(
      "{ clubComplaints(answered: false) { edges { node { rowWithheld match { want spare } } } } }",
    );
    expect(told.clubComplaints.edges[0]!.node).toEqual({ rowWithheld: false, match: about });
    const writing = steward.call("writeAboutMatch", "$want: ID!, $spare: ID!, $text: String!", {
      ...about,
      text: "No.",
    });
    expect(await writing).toMatchObject({ code: "NOT_ALLOWED" });
  });

  test("is told of an answered complaint whether its row is withheld still", async () => {
    const { id } = await spare(seller, { part: "Oil cup" });
    await complain(reader, "SPARE", id!, "Broken");
    const stands = async () => {
      const { clubComplaints } = await steward.ask<{
        clubComplaints: { edges: { node: { rowId: string; rowWithheld: boolean } }[] };
      }>("{ clubComplaints { edges { node { rowId rowWithheld } } } }");
      return clubComplaints.edges.find(({ node }) => node.rowId === id)!.node.rowWithheld;
    };
    await withhold(steward, "SPARE", id!, "Broken");
    expect(await stands()).toBe(true);
    await withhold(steward, "SPARE", id!, null);
    expect(await stands()).toBe(false);
  });

  test("finds withheld sources by words; a member finds the own withheld ones, others none", async () => {
    const source = await seller.call("saveClubSource", "$input: ClubSourceInput!", {
      input: { supplier: "Brindlewick Foundry", part: "Trembler coil", provenance: "REMADE" },
    });
    const found = async (who: Person, args: string) =>
      (
        await who.ask<{ clubSources: { edges: { node: { id: string } }[] } }>(
          `{ clubSources(search: "trembler"${args}) { edges { node { id } } } }`,
        )
      ).clubSources.edges.map(({ node }) => node.id);
    expect(await found(steward, ", withheld: true")).toEqual([]);
    await withhold(steward, "SOURCE", source.id!, "An advertisement");
    expect(await found(steward, ", withheld: true")).toEqual([source.id]);
    expect(await found(seller, ", own: true")).toEqual([source.id]);
    expect(await found(seller, "")).toEqual([]);
    expect(await found(reader, ", withheld: true")).toEqual([]);
    await withhold(steward, "SOURCE", source.id!, null);
    expect(await found(steward, ", withheld: true")).toEqual([]);
    expect(await found(reader, "")).toEqual([source.id]);
  });
});

test("whoever begins a club is its steward, and who joins is not", async () => {
  const fresh = await testStore();
  try {
    const people: { accountId: string; workshopId: string; role: "RESTORER"; admin: boolean; everyJob: boolean }[] = [];
    for (const name of ["First", "Second"]) {
      const { id: workshopId } = await fresh.store.workshop.create({ data: { name } });
      const { id: accountId } = await fresh.store.account.create({ data: { workshopId, name, role: "RESTORER" } });
      people.push({ accountId, workshopId, role: "RESTORER", admin: false, everyJob: true });
    }
    const ask = (viewer: (typeof people)[number], source: string) =>
      graphql({ schema, source, contextValue: new Context(fresh.store, viewer) });
    await ask(people[0]!, `mutation { beginClub(name: "Register", memberName: "First") { __typename } }`);
    await ask(people[1]!, `mutation { joinClub(memberName: "Second") { __typename } }`);
    const { data } = await ask(people[1]!, "{ clubMembers { edges { node { name steward } } } }");
    expect(data).toEqual({
      clubMembers: {
        edges: [{ node: { name: "First", steward: true } }, { node: { name: "Second", steward: false } }],
      },
    });
  } finally {
    await fresh.close();
  }
});

test("the club's index is read in at the start, so that the first search reads no more than the rows it finds", async () => {
  const fresh = await testStore();
  try {
    const young = await clubOn(fresh.store);
    const member = await young.person("Ambrose Pell");
    await fresh.store.clubSource.create({
      data: {
        clubId: young.id,
        memberId: member.member,
        code: "S-1",
        supplier: "Brindlewick Foundry",
        part: "Hub cap",
        provenance: "REMADE",
        currency: "GBP",
        sharedOn: "2026-09-02",
      },
    });
    await readClubIndexes(fresh.store);
    // A row behind the journal's back is in no index that has been read already.
    await fresh.store.clubSource.create({
      data: {
        clubId: young.id,
        memberId: member.member,
        code: "S-2",
        supplier: "Brindlewick Foundry",
        part: "Hub cap",
        provenance: "REMADE",
        currency: "GBP",
        sharedOn: "2026-09-02",
      },
    });
    const { clubSources } = await member.ask<{ clubSources: { edges: { node: { code: string } }[] } }>(
      `{ clubSources(search: "hub") { edges { node { code } } } }`,
    );
    expect(clubSources.edges.map(({ node }) => node.code)).toEqual(["S-1"]);
  } finally {
    await fresh.close();
  }
});
