/** E-mails of accounts: whose one is, is told to nobody of another workshop, by no answer and not by its time. */
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { newLink } from "../../server/access/invitation.ts";
import { hashPassword } from "../../server/access/password.ts";
import { beginSignIn } from "../../server/access/signIn.ts";
import type { Account } from "../../server/generated/prisma/client.ts";
import { startServer, type TestServer } from "../support/server.ts";

/** Passwords that were compared. */
const compared = vi.hoisted(() => ({ count: 0 }));
vi.mock("../../server/access/password.ts", async (load) => {
  const real = await load<typeof import("../../server/access/password.ts")>();
  const isPassword = (...given: Parameters<typeof real.isPassword>) => {
    compared.count++;
    return real.isPassword(...given);
  };
  return { ...real, isPassword };
});

let server: TestServer;
let here: string;
let elsewhere: string;
let theirs: Account;

const EMAIL = "odile@sheds.example";
const account = async (workshopId: string, email: string | null, password: string | null, admin = false) =>
  server.store.account.create({
    data: {
      workshopId,
      name: "Odile",
      role: "RESTORER",
      admin,
      email,
      passwordHash: password === null ? null : await hashPassword(password),
    },
  });

interface Answer {
  __typename: string;
  id: string;
  code: string;
  faults: { field: string; code: string }[];
}
const RESULT =
  "__typename ... on AccountSaved { id } ... on Refused { code } ... on InvalidInput { faults { field code } }";

async function change(mutation: string, cookie?: string): Promise<Answer> {
  const { data, errors } = await server.query<{ answer: Answer }>(
    `mutation { answer: ${mutation} { ${RESULT} } }`,
    {},
    cookie,
  );
  expect(errors).toBeUndefined();
  return data!.answer;
}
const cookieOf = async (of: Account) => `lastbolt=${await beginSignIn(server.store, of, "", "Signed in")}`;
const signIn = (email: string, password: string) => change(`signIn(email: "${email}", password: "${password}")`);

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      here = (await store.workshop.create({ data: { name: "Quill Lane Workshop" } })).id;
      elsewhere = (await store.workshop.create({ data: { name: "Mosslick Motor Breakers" } })).id;
    },
  });
  theirs = await account(elsewhere, EMAIL, "of the other workshop");
});
afterAll(() => server.close());

describe("an e-mail that another workshop's account has", () => {
  let own: Account;

  test("is taken as any other: in one's own account, in an invitation, and by whoever takes one up", async () => {
    own = await account(here, "first@sheds.example", "of this workshop", true);
    const cookie = await cookieOf(own);
    expect(await change(`saveAccount(input: { email: "${EMAIL}" })`, cookie)).toMatchObject({ id: own.id });
    await change(`saveAccount(input: { email: "first@sheds.example" })`, cookie);
    const invited = await change(`invite(input: { name: "Odile", role: RESTORER, email: "${EMAIL}" })`, cookie);
    expect(invited.__typename).toBe("AccountSaved");
    await server.store.account.update({ where: { id: invited.id }, data: { email: null } });
    const link = await newLink(server.store, invited.id, "JOIN");
    const joined = await change(
      `takeUpInvitation(secret: "${link}", name: "Odile", email: "${EMAIL}", password: "of this workshop")`,
    );
    expect(joined.id).toBe(invited.id);
  });

  test("signs each in by their own password", async () => {
    const joined = await server.store.account.findFirstOrThrow({ where: { workshopId: here, email: EMAIL } });
    expect(await signIn(EMAIL, "of this workshop")).toMatchObject({ id: joined.id });
    expect(await signIn(EMAIL, "of the other workshop")).toMatchObject({ id: theirs.id });
    expect(await signIn(EMAIL, "of neither of them")).toMatchObject({ code: "WRONG_PASSWORD" });
    await server.store.account.update({ where: { id: theirs.id }, data: { closed: true } });
    expect(await signIn(EMAIL, "of the other workshop")).toMatchObject({ code: "WRONG_PASSWORD" });
    await server.store.account.update({ where: { id: theirs.id }, data: { closed: false } });
  });

  test("is refused with as much work as one that nobody has, and one that is one account's", async () => {
    const work: number[] = [];
    for (const email of [EMAIL, "first@sheds.example", "nobody@sheds.example"]) {
      compared.count = 0;
      expect(await signIn(email, "of none of them")).toMatchObject({ code: "WRONG_PASSWORD" });
      work.push(compared.count);
    }
    expect(work).toEqual([2, 2, 2]);
  });
});

test("an e-mail of the own workshop is another account's, and cannot be tried out", async () => {
  const owner = await cookieOf(await account(here, null, null));
  const tried = [];
  for (let i = 0; i < 6; i++) tried.push(await change(`saveAccount(input: { email: "first@sheds.example" })`, owner));
  expect(tried[0]).toMatchObject({ faults: [{ field: "email", code: "DUPLICATE" }] });
  expect(tried[5]).toMatchObject({ code: "TOO_MANY_TRIES" });
});
