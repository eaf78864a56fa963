import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { firstLink } from "../../server/access/invitation.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let restoration: string;
let admin: string;

const RESULT =
  "__typename ... on AccountSaved { id link } ... on Refused { code } ... on InvalidInput { faults { field code } }";
const PASSWORD = "eleven crates";

interface Answered {
  __typename: string;
  id: string;
  link: string;
  code: string;
  faults: { field: string; code: string }[];
}

/** Sends one mutation as a browser would; gives its answer and the cookie that was set. */
async function post(document: string, variables: object = {}, headers: Record<string, string> = {}) {
  const response = await fetch(`${server.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json", ...headers },
    body: JSON.stringify({ query: document, variables }),
  });
  const { data, errors } = (await response.json()) as {
    data?: Record<string, Answered>;
    errors?: { extensions?: { code?: string } }[];
  };
  const set = response.headers.get("set-cookie") ?? "";
  return {
    status: response.status,
    answer: Object.values(data ?? {})[0],
    error: errors?.[0]?.extensions?.code,
    set,
    cookie: set.split(";")[0] ?? "",
  };
}

const secretOf = (link: string) => link.replace("/join#", "");
const join = (link: string, email: string) =>
  post(
    `mutation ($secret: String!, $email: String!, $password: String!) {
      takeUpInvitation(secret: $secret, name: "Somebody", email: $email, password: $password) { ${RESULT} }
    }`,
    { secret: secretOf(link), email, password: PASSWORD },
  );
const signIn = (email: string, password: string, headers = {}) =>
  post(
    `mutation ($email: String!, $password: String!) { signIn(email: $email, password: $password) { ${RESULT} } }`,
    { email, password },
    headers,
  );
const invite = (input: object, cookie = admin) =>
  post(`mutation ($input: InviteInput!) { invite(input: $input) { ${RESULT} } }`, { input }, { cookie });
const me = (cookie: string) => post("{ me { id name } }", {}, { cookie });

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      const workshop = await store.workshop.create({ data: { name: "Quill Lane Workshop", calendar: { create: {} } } });
      const row = { workshopId: workshop.id, machine: "1913 Tallow & Wren" };
      restoration = (await store.restoration.create({ data: row })).id;
    },
  });
  const link = await firstLink(server.store);
  admin = (await join(`/join#${link}`, "Admin@example.org")).cookie;
});
afterAll(() => server.close());

describe("a workshop that is no demo", () => {
  test("shows nothing to somebody who is not signed in", async () => {
    for (const document of ["{ me { id } }", "{ restorations { totalCount } }", "{ currencies { code } }"])
      expect((await post(document)).error).toBe("NOT_SIGNED_IN");
    expect((await fetch(`${server.address}/export/${restoration}.zip`)).status).toBe(401);
    expect(
      (
        await fetch(`${server.address}/import`, {
          method: "POST",
          headers: { "content-type": "application/zip" },
          body: "x",
        })
      ).status,
    ).toBe(401);
  });

  test("lets nobody take on one of its people", async () => {
    const { id } = await server.store.account.findFirstOrThrow();
    const { answer, set } = await post(`mutation ($id: ID!) { actAs(account: $id) { ${RESULT} } }`, { id });
    expect([answer?.code, set]).toEqual(["NOT_ALLOWED", ""]);
  });

  test("gives no first link once its admin has joined", async () => {
    expect(await firstLink(server.store)).toBeNull();
  });
});

describe("joining and signing in", () => {
  test("the later of two edits of one account is told of the earlier one, and overwrites nothing", async () => {
    const read = await post("{ me { id name email } }", {}, { cookie: admin });
    const { id } = read.answer!;
    const stored = () => server.store.account.findUniqueOrThrow({ where: { id } });
    const { revision, name } = await stored();
    const edit = (input: object) =>
      post(
        `mutation ($input: AccountInput!) { saveAccount(input: $input) { ${RESULT} ... on StaleRow { revision differences { field theirs yours } } } }`,
        { input },
        { cookie: admin },
      );
    expect((await edit({ revision, name: "Hesper" })).answer?.__typename).toBe("AccountSaved");
    expect((await edit({ revision, name: "Nell", email: "admin@example.org" })).answer).toEqual({
      __typename: "StaleRow",
      revision: revision + 1,
      differences: [{ field: "name", theirs: "Hesper", yours: "Nell" }],
    });
    expect((await stored()).name).toBe("Hesper");
    expect((await edit({ revision: revision + 1, name })).answer?.__typename).toBe("AccountSaved");
    expect((await stored()).name).toBe(name);
  });

  test("an account that signs in by its e-mail is told that it needs one, and keeps it", async () => {
    const answered = await post(
      `mutation { saveAccount(input: { email: "  " }) { ${RESULT} } }`,
      {},
      { cookie: admin },
    );
    expect(answered.answer).toMatchObject({
      __typename: "InvalidInput",
      faults: [{ field: "email", code: "REQUIRED" }],
    });
    expect((await post("{ me { email } }", {}, { cookie: admin })).answer).toMatchObject({
      email: "admin@example.org",
    });
  });

  test("an invited restorer joins by the link, once, and signs in with any capitals of the e-mail", async () => {
    const { answer } = await invite({ name: "Nell Harrowby", role: "RESTORER" });
    const joined = await join(answer?.link ?? "", "nell@example.org");
    expect(joined.answer?.__typename).toBe("AccountSaved");
    expect((await me(joined.cookie)).answer).toMatchObject({ name: "Somebody" });
    expect((await join(answer?.link ?? "", "nell@example.org")).answer?.code).toBe("LINK_ENDED");
    const entered = await signIn("NELL@example.org", PASSWORD);
    expect(entered.set).toMatch(/^lastbolt=.+; Max-Age=\d+; Path=\/; HttpOnly; SameSite=Strict$/);
    const { cookie } = await signIn("nell@example.org", PASSWORD, { "x-forwarded-proto": "https" });
    expect(cookie).toMatch(/^__Host-lastbolt=/);
    expect(
      (await post(`mutation { signOutEverywhere { ${RESULT} } }`, {}, { cookie: entered.cookie })).error,
    ).toBeUndefined();
    for (const ended of [entered.cookie, joined.cookie]) expect((await me(ended)).error).toBe("NOT_SIGNED_IN");
  });

  test("neither secrets nor passwords stand in the database", async () => {
    const { store } = server;
    const rows = JSON.stringify([
      await store.account.findMany(),
      await store.signIn.findMany(),
      await store.invitation.findMany(),
    ]);
    expect(rows).not.toContain(admin.split("=")[1]);
    expect(rows).not.toContain(PASSWORD);
    expect(rows).toContain("$argon2id$");
  });

  test("a link that has ended is refused", async () => {
    const { answer } = await invite({ name: "Late", role: "MEMBER" });
    await server.store.invitation.updateMany({ where: { accountId: answer?.id ?? "" }, data: { endsAt: new Date(0) } });
    expect((await join(answer?.link ?? "", "late@example.org")).answer?.code).toBe("LINK_ENDED");
  });

  test("a short password and a taken e-mail are told by field", async () => {
    const { answer } = await invite({ name: "Short", role: "MEMBER" });
    const tried = await post(
      `mutation ($secret: String!) { takeUpInvitation(secret: $secret, email: "admin@example.org", password: "short") { ${RESULT} } }`,
      { secret: secretOf(answer?.link ?? "") },
    );
    expect(tried.answer?.faults.map(({ field }) => field).sort()).toEqual(["email", "password"]);
  });

  test("a reset link sets a new password and ends the sign-ins made with the old one", async () => {
    const { answer } = await invite({ name: "Forgetful", role: "RESTORER" });
    const { cookie } = await join(answer?.link ?? "", "forgetful@example.org");
    const reset = await post(
      `mutation ($id: ID!) { handOutReset(account: $id) { ${RESULT} } }`,
      { id: answer?.id },
      { cookie: admin },
    );
    await post(
      `mutation ($secret: String!) { takeUpInvitation(secret: $secret, password: "another password") { ${RESULT} } }`,
      { secret: secretOf(reset.answer?.link ?? "") },
    );
    expect((await me(cookie)).error).toBe("NOT_SIGNED_IN");
    expect((await signIn("forgetful@example.org", PASSWORD)).answer?.code).toBe("WRONG_PASSWORD");
    expect((await signIn("forgetful@example.org", "another password")).answer?.__typename).toBe("AccountSaved");
  });

  test("after five failures one address must wait for that account, and another address need not", async () => {
    const { answer } = await invite({ name: "Guessed at", role: "MEMBER" });
    await join(answer?.link ?? "", "guessed@example.org");
    for (let i = 0; i < 5; i += 1)
      expect((await signIn("guessed@example.org", "a wrong password")).answer?.code).toBe("WRONG_PASSWORD");
    expect((await signIn("guessed@example.org", PASSWORD)).answer?.code).toBe("TOO_MANY_TRIES");
    const elsewhere = { "x-forwarded-for": "192.0.2.7" };
    expect((await signIn("guessed@example.org", PASSWORD, elsewhere)).answer?.__typename).toBe("AccountSaved");
    expect((await signIn("nobody@example.org", PASSWORD)).answer?.code).toBe("WRONG_PASSWORD");
  });

  test("a closed account is signed out and stays out, and its record stays", async () => {
    const { answer } = await invite({ name: "Leaving", role: "RESTORER" });
    const { cookie } = await join(answer?.link ?? "", "leaving@example.org");
    await post(
      `mutation ($id: ID!) { closeAccount(account: $id, closed: true) { ${RESULT} } }`,
      { id: answer?.id },
      { cookie: admin },
    );
    expect((await me(cookie)).error).toBe("NOT_SIGNED_IN");
    expect((await signIn("leaving@example.org", PASSWORD)).answer?.code).toBe("WRONG_PASSWORD");
    const kinds = (await server.store.accountEvent.findMany({ where: { accountId: answer?.id ?? "" } })).map(
      ({ kind }) => kind,
    );
    expect(kinds.sort()).toEqual(["CLOSED", "INVITED", "JOINED", "SIGNED_IN"]);
  });

  test("the only admin can neither be closed nor stop being one", async () => {
    const { id } = await server.store.account.findFirstOrThrow({ where: { admin: true } });
    const closing = await post(
      `mutation ($id: ID!) { closeAccount(account: $id, closed: true) { ${RESULT} } }`,
      { id },
      { cookie: admin },
    );
    const changing = await post(
      `mutation ($id: ID!) { changeRole(account: $id, role: MEMBER) { ${RESULT} } }`,
      { id },
      { cookie: admin },
    );
    expect([closing.answer?.code, changing.answer?.code]).toEqual(["LAST_ADMIN", "LAST_ADMIN"]);
  });
});

test("an owner reads the own restoration, and neither its notes, its files, its record nor another's", async () => {
  const other = await server.store.restoration.create({
    data: {
      machine: "Another's",
      workshopId: (await server.store.workshop.findFirstOrThrow()).id,
    },
  });
  const { answer } = await invite({ name: "Odile Farrant", role: "OWNER", restoration });
  const { cookie } = await join(answer?.link ?? "", "odile@example.org");
  const read = (id: string, fields: string) =>
    post(`query ($id: ID!) { restoration(id: $id) { ${fields} } }`, { id }, { cookie });
  expect((await read(restoration, "machine cap { minor }")).answer).toMatchObject({ machine: "1913 Tallow & Wren" });
  expect((await read(other.id, "machine")).error).toBe("NOT_FOUND");
  for (const field of [
    "changes { totalCount }",
    "parts { totalCount }",
    "finds { totalCount }",
    "exchangeRates { totalCount }",
  ])
    expect((await read(restoration, field)).error).toBe("NOT_ALLOWED");
  expect((await post("{ people { totalCount } }", {}, { cookie })).error).toBe("NOT_ALLOWED");
  expect((await fetch(`${server.address}/export/${restoration}.zip`, { headers: { cookie } })).status).toBe(403);
  expect((await invite({ name: "X", role: "RESTORER" }, cookie)).error).toBe("NOT_ALLOWED");
});

const FOREIGN: Record<string, string>[] = [
  { origin: "https://elsewhere.example" },
  { origin: "null" },
  { "sec-fetch-site": "cross-site" },
];

test.each([
  ["/graphql", "POST"],
  ["/graphql/stream", "POST"],
  ["/import", "POST"],
  ["/export/x.zip", "GET"],
  ["/club-import", "POST"],
  ["/club-export.zip", "GET"],
])("%s refuses what another site's page sends", async (path, method) => {
  for (const headers of FOREIGN) {
    const response = await fetch(server.address + path, {
      method,
      headers: { cookie: admin, ...headers },
    });
    expect([response.status, ((await response.json()) as { code: string }).code]).toEqual([403, "CROSS_SITE"]);
  }
});
