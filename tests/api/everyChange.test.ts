/**
 * Every mutation, subscription and address of the server, tried by those who are not meant to use it: each is refused,
 * and no row of anybody else is other than it was.
 */
import { type GraphQLField, graphql, isNonNullType } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { readsField } from "../../server/access/fields.ts";
import { Context } from "../../server/api/core/context.ts";
import { createApp } from "../../server/api/http/server.ts";
import { schema } from "../../server/api/schema.ts";
import { callOf, mutations } from "../support/everyChange.ts";
import { type Marked, MODEL_NAMES, markedStore, rowsOf, viewerOf } from "../support/marked.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let marked: Marked;

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      marked = await markedStore(store);
    },
  });
});
afterAll(() => server.close());

const personOf = (asker: string) => marked.people[asker] ?? null;
const cookieOf = (asker: string) => personOf(asker)?.cookie ?? "lastbolt=signed-out";

async function attempt(asker: string, field: GraphQLField<unknown, unknown>, scope: string) {
  const { source, variableValues } = callOf(field, scope, "A.admin");
  const contextValue = new Context(server.store, viewerOf(personOf(asker)));
  const { data, errors } = await graphql({ schema, source, variableValues, contextValue });
  return {
    answer: data?.["asked"] ?? null,
    code: errors?.[0]?.extensions["code"] ?? codeOf(errors?.[0]?.originalError),
  };
}

const codeOf = (error: unknown): unknown => (error as { code?: unknown } | undefined)?.code;

/** Every row of the database by its id. */
async function everything(): Promise<Map<string, string>> {
  const rows = await Promise.all(
    MODEL_NAMES.map(async (model) =>
      (await rowsOf(server.store, model)).map((row) => [`${model} ${row.id}`, JSON.stringify(row)] as const),
    ),
  );
  return new Map(rows.flat());
}

/** What changed between two readings: rows added, changed and gone. */
const changedIn = (before: Map<string, string>, after: Map<string, string>): string[] =>
  [...new Set([...before.keys(), ...after.keys()])].filter((key) => before.get(key) !== after.get(key));

/** Rows that are the asker's own to change: the account with its record, and what a member posts in the club. */
const OWN: Record<string, RegExp> = {
  "A.owner1": /^(Account A\.owner1|SignIn A\.owner1\.SignIn|AccountEvent .*)$/,
  "A.member":
    /^(Account A\.member|SignIn A\.member\.SignIn|AccountEvent .*|ClubMember CM\..*|NameDown (?!C[AB]).*|Batch CB\.Batch|Club(Source|Change|Report) (?!C[AB]).*|(Want|Spare|Batch|BatchPrice|BatchStage) (?!C[AB]).*)$/,
  nobody: /^$/,
};

describe("accounts of a workshop", () => {
  const people = ["invite", "handOutReset", "closeAccount", "changeRole"];
  const fields = mutations.filter(({ name }) => people.includes(name));

  test.each(fields.map((field) => [field.name, field] as const))("%s is for an admin alone", async (_name, field) => {
    const before = await everything();
    expect((await attempt("A.restorer", field, "A1")).code).toBe("NOT_ALLOWED");
    expect(changedIn(before, await everything())).toEqual([]);
  });

  test.each(fields.filter(({ name }) => name !== "invite").map((field) => [field.name, field] as const))(
    "%s is not found by the admin of another workshop",
    async (_name, field) => {
      const before = await everything();
      expect((await attempt("B.admin", field, "A1")).code).toBe("NOT_FOUND");
      expect(changedIn(before, await everything())).toEqual([]);
    },
  );
});

test.each([
  ["A.owner1", "NOT_FOUND"],
  ["A.member", "NOT_ALLOWED"],
  ["B.admin", "NOT_FOUND"],
  ["nobody", "NOT_SIGNED_IN"],
])("%s follows no job that the workshop's restorer began: %s", async (asker, code) => {
  const begun = await server.query<{ startOdds: { id: string } }>(
    `mutation { startOdds(restoration: "A1.Restoration") { id } }`,
    {},
    cookieOf("A.restorer"),
  );
  const job = begun.data!.startOdds.id;
  for (const field of Object.values(schema.getSubscriptionType()!.getFields())) {
    const given = field.args.filter((arg) => isNonNullType(arg.type)).map((arg) => `${arg.name}: "${job}"`);
    const response = await fetch(`${server.address}/graphql/stream`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "text/event-stream", cookie: cookieOf(asker) },
      body: JSON.stringify({ query: `subscription { ${field.name}(${given.join(", ")}) { __typename } }` }),
    });
    expect(await response.text()).toContain(code);
  }
});

describe("addresses beside GraphQL", () => {
  /** Who gets what at each address. Whoever has a calendar's secret may read it; the templates are forms without rows. */
  const STATUS: Record<string, Record<string, number>> = {
    "GET /export/A1.Restoration.zip": {
      "A.restorer": 200,
      "A.owner1": 403,
      "A.member": 403,
      "B.admin": 404,
      nobody: 401,
    },
    "GET /ledger/A1.Restoration.csv": {
      "A.restorer": 200,
      "A.owner1": 403,
      "A.member": 403,
      "B.admin": 404,
      nobody: 401,
    },
    "POST /import?restoration=A1.Restoration": { "A.owner1": 403, "A.member": 403, "B.admin": 404, nobody: 401 },
    "GET /photographs/A1.Photograph/full": { "A.owner1": 404, "A.member": 404, "B.admin": 404, nobody: 401 },
    "GET /photographs/A1.Photograph/small": { "A.owner1": 404, "A.member": 404, "B.admin": 404, nobody: 401 },
    "POST /photographs?part=A1.Part": { "A.owner1": 403, "A.member": 403, nobody: 401 },
    "GET /club-export.zip": { "A.restorer": 200, "A.member": 200, "A.owner1": 403, nobody: 401 },
    "POST /club-import": { "A.member": 422, "A.owner1": 403, nobody: 401 },
    "GET /club-templates.zip": { "A.restorer": 200, nobody: 200 },
    "GET /templates.zip": { "A.restorer": 200, nobody: 200 },
  };

  const asked = Object.entries(STATUS).flatMap(([address, by]) =>
    Object.entries(by).map(([asker, status]) => [address, asker, status] as const),
  );

  test.each(asked)("%s by %s: %i", async (address, asker, status) => {
    const [method = "GET", path = "/"] = address.split(" ");
    const response = await fetch(server.address + path, {
      method,
      headers: { cookie: cookieOf(asker), ...(method === "POST" ? { "content-type": "application/zip" } : {}) },
      ...(method === "POST" ? { body: "x" } : {}),
    });
    expect(response.status).toBe(status);
    if (status !== 200) expect(marked.marksIn(await response.text())).toEqual([]);
  });

  test("a calendar is read by its secret, by whoever holds it, and tells of its restoration alone", async () => {
    const response = await fetch(`${server.address}/calendar/${marked.calendar}.ics`);
    expect(response.status).toBe(200);
    const scopes = new Set(marked.marksIn(await response.text()).map(({ scope }) => scope));
    expect([...scopes].filter((scope) => scope !== "A1" && scope !== "A")).toEqual([]);
    expect((await fetch(`${server.address}/calendar/${"y".repeat(43)}.ics`)).status).toBe(404);
  });

  test("are these and no others: a new one is to be tried above", async () => {
    const { app, stop } = await createApp(server.store, {
      introspection: false,
      dist: "dist",
      photographs: server.photographs,
    });
    await stop();
    expect([...new Set(pathsOf(app.router as unknown as Router))].sort()).toEqual(
      [
        "/calendar/:name",
        "/club-export.zip",
        "/club-import",
        "/club-templates.zip",
        "/export/:name",
        "/field-worker.js",
        "/graphql/stream",
        "/health",
        "/import",
        "/ledger/:name",
        "/photographs",
        "/photographs/:id/:size",
        "/templates.zip",
        "/{*splat}",
      ].sort(),
    );
  });
});

// Last, since signing out is among what is tried.
describe.each(["A.owner1", "A.member", "nobody"])("%s", (asker) => {
  test.each(mutations.map((field) => [field.name, field] as const))("%s", async (name, field) => {
    const open = readsField(viewerOf(personOf(asker)), "Mutation", name);
    const before = await everything();
    // What is refused is refused for the rows that may be read too; what is open must keep to the own ones.
    const { code } = await attempt(asker, field, open ? "A2" : "A1");
    if (!open) expect(code).toBe(asker === "nobody" ? "NOT_SIGNED_IN" : "NOT_ALLOWED");
    const changed = changedIn(before, await everything());
    expect(changed.filter((row) => !open || !OWN[asker]!.test(row))).toEqual([]);
  });
});

interface Router {
  stack: { route?: { path: string | string[] }; handle: Partial<Router> }[];
}

/** The paths of a router's routes, and of those mounted in it. */
const pathsOf = (router: Router): string[] =>
  router.stack.flatMap(({ route, handle }) =>
    route ? [route.path].flat() : handle.stack ? pathsOf(handle as Router) : [],
  );
