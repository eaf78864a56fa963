import { afterAll, beforeAll, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";

let open: TestServer;
let closed: TestServer;

beforeAll(async () => {
  open = await startServer({ dist: "/nonexistent" });
  closed = await startServer({ introspection: false, dist: "/nonexistent" });
});
afterAll(async () => {
  await open.close();
  await closed.close();
});

const code = async (document: string) => (await open.query(document)).errors?.[0]?.extensions?.["code"];

test("a query that is too deep is refused before it reads anything", async () => {
  const nested = (levels: number): string => (levels === 0 ? "id" : `quotes { part { ${nested(levels - 1)} } }`);
  expect(await code(`{ part(id: "x") { ${nested(8)} } }`)).toBe("TOO_COMPLEX");
  expect(await code(`{ part(id: "x") { ${nested(2)} } }`)).toBe("NOT_FOUND");
});

test("a query that would bring too many rows is refused", async () => {
  const parts = "parts(first: 500) { edges { node { id code name quotes { id } needs { id } } } }";
  const document = `{ restorations(first: 500) { edges { node { ${parts} } } } }`;
  expect(await code(document)).toBe("TOO_COMPLEX");
});

test("a page of more than 500 rows is refused by name", async () => {
  const { errors } = await open.query("{ restorations(first: 501) { totalCount } }");
  expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "first" });
});

test("a document of too many words is not parsed to its end", async () => {
  const { errors } = await open.query(`{ ${"me { id } ".repeat(1100)} }`);
  expect(errors?.[0]?.message).toMatch(/4000 tokens/);
});

test("a body over 1 MiB is refused as such", async () => {
  const response = await fetch(`${open.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ query: "{ me { id } }", variables: { x: "x".repeat(1_100_000) } }),
  });
  expect(response.status).toBe(413);
  expect(await response.json()).toMatchObject({ code: "TOO_LARGE" });
});

test("a body that is not JSON is refused as such", async () => {
  const response = await fetch(`${open.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: "{",
  });
  expect(response.status).toBe(400);
  expect(await response.json()).toMatchObject({ code: "UNREADABLE" });
});

test("several operations in one body, and forms of other sites, are refused", async () => {
  const batch = await fetch(`${open.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify([{ query: "{ me { id } }" }, { query: "{ me { id } }" }]),
  });
  expect(batch.status).toBe(400);
  const form = await fetch(`${open.address}/graphql?query=${encodeURIComponent("{ me { id } }")}`, {
    headers: { "content-type": "text/plain" },
  });
  expect(form.status).toBe(400);
});

test("the schema can be asked for only where introspection is on", async () => {
  const document = "{ __schema { queryType { name } } }";
  expect((await open.query(document)).data).toEqual({ __schema: { queryType: { name: "Query" } } });
  const { errors } = await closed.query(document);
  expect(errors?.[0]?.message).toMatch(/introspection/);
  const page = await fetch(`${closed.address}/graphql`, { headers: { accept: "text/html" } });
  expect(page.status).toBeGreaterThanOrEqual(400);
  const tryIt = await fetch(`${open.address}/graphql`, { headers: { accept: "text/html" } });
  expect(tryIt.headers.get("content-security-policy")).not.toMatch(/http/);
  expect(await (await fetch(`${open.address}/schema.graphql`)).text()).toContain("type Query {");
  expect((await fetch(`${closed.address}/schema.graphql`)).headers.get("content-type")).not.toMatch(/^text\/plain/);
});

test("pages of the client load nothing from elsewhere and stand in nobody's frame", async () => {
  const response = await fetch(`${open.address}/templates.zip`);
  const policy = response.headers.get("content-security-policy");
  expect(policy).toMatch(/default-src 'self'/);
  expect(policy).toMatch(/frame-ancestors 'none'/);
  expect(policy).not.toMatch(/apollographql/);
  expect(response.headers.get("x-content-type-options")).toBe("nosniff");
  expect(response.headers.get("x-powered-by")).toBeNull();
});

test("the stream of events serves subscriptions and nothing else", async () => {
  const post = (query: string) =>
    fetch(`${open.address}/graphql/stream`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "text/event-stream" },
      body: JSON.stringify({ query }),
    });
  const query = await post("{ me { id } }");
  expect(query.status).toBe(400);
  const missing = await post(`subscription { job(id: "nothing") { id } }`);
  const text = await missing.text();
  expect(text).toMatch(/NOT_FOUND/);
  expect(text).not.toMatch(/at .*\.ts/);
});
