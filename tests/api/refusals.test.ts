/** Whatever is sent, an answer of 4xx says in JSON what is wrong; none of it is a mistake of the program. */
import { once } from "node:events";
import { createConnection } from "node:net";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
});
afterAll(() => server.close());

// What the program takes for its own mistake it logs.
const mistakes: unknown[] = [];
beforeEach(() => {
  mistakes.length = 0;
  vi.spyOn(console, "error").mockImplementation((mistake) => mistakes.push(mistake));
});
afterEach(() => expect(mistakes).toEqual([]));

const QUERY = '{"query":"{ me { id } }"}';

interface Sent {
  method?: string;
  headers?: Record<string, string>;
  body?: string;
}

/** Sends a request as it stands, without what a browser would mend in it. */
async function send(path: string, { method = "GET", headers = {}, body = "" }: Sent) {
  const socket = createConnection(Number(new URL(server.address).port), "127.0.0.1");
  const lines = {
    Host: "127.0.0.1",
    Connection: "close",
    ...(body === "" ? {} : { "Content-Length": String(Buffer.byteLength(body)) }),
    ...headers,
  };
  socket.write(
    `${method} ${path} HTTP/1.1\r\n${Object.entries(lines)
      .map(([name, value]) => `${name}: ${value}\r\n`)
      .join("")}\r\n${body}`,
  );
  let text = "";
  socket.on("data", (data) => {
    text += data.toString("latin1");
  });
  await once(socket, "close");
  const [head = "", ...rest] = text.split("\r\n\r\n");
  // A body that comes in pieces says how long each is.
  const json = /\{.*\}/s.exec(rest.join("\r\n\r\n"))?.[0] ?? "{}";
  const answer = JSON.parse(json) as {
    code?: string;
    message?: string;
    errors?: { message: string; extensions?: { code?: string } }[];
  };
  return {
    status: Number(head.split(" ")[1]),
    type: /^content-type: (.*)$/im.exec(head)?.[1]?.trim(),
    code: answer.code ?? answer.errors?.[0]?.extensions?.code,
    message: answer.message ?? answer.errors?.[0]?.message ?? "",
  };
}

const json = (headers: Record<string, string> = {}, body = QUERY): Sent => ({
  method: "POST",
  headers: { "Content-Type": "application/json", Accept: "text/event-stream, application/json", ...headers },
  body,
});
const stream = (body: string, headers: Record<string, string> = {}): Sent =>
  json({ Accept: "text/event-stream", ...headers }, body);

const gets = (...paths: string[]) => paths.map((path) => [path, {}] as const);

describe("is refused", () => {
  test.each<readonly [string, Sent, number, string]>([
    ...["zstd", "foo", "gzip, gzip"].flatMap((encoding) =>
      ["/graphql", "/graphql/stream"].map(
        (path) => [path, json({ "Content-Encoding": encoding }), 415, "UNREADABLE"] as const,
      ),
    ),
    ...["/import", "/club-import"].map(
      (path) =>
        [
          path,
          { method: "POST", headers: { "Content-Type": "application/zip", "Content-Encoding": "foo" }, body: "x" },
          415,
          "UNREADABLE",
        ] as const,
    ),
    ["/graphql", json({ "Content-Type": "application/json; charset=foo" }), 415, "UNREADABLE"],
    ["/graphql/stream", json({ "Content-Type": "application/json; charset=latin1" }), 415, "UNREADABLE"],
  ])("%s in an encoding that nobody reads here: %j", async (path, sent, status, code) => {
    expect(await send(path, sent)).toMatchObject({ status, code, message: expect.stringMatching(/\.$/) });
  });

  test.each(
    gets(
      "/assets/%00",
      "/assets/x%00.js",
      "/assets/%2e%2e",
      "/assets/%2e%2e/index.html",
      "/assets/..%2f..%2fpackage.json",
      "/assets/%",
      "/assets/%zz",
      "/assets/%c0%ae",
      "/assets/x",
      "/assets",
      "/assets/",
      "/%",
      "/calendar/%",
      "/export/%.zip",
      "/ledger/%ff.csv",
      "/photographs/%/full",
    ),
  )("%s, which leads to nothing", async (path, sent) => {
    const answer = await send(path, sent);
    expect([400, 403, 404]).toContain(answer.status);
    expect(answer).toMatchObject({
      type: "application/json; charset=utf-8",
      code: expect.stringMatching(/^(UNREADABLE|NOT_ALLOWED|NOT_FOUND)$/),
      message: expect.stringMatching(/\.$/),
    });
  });

  test.each([
    ["/", { Range: "bytes=999999999-" }, 416],
    ["/field-worker.js", { Range: "bytes=999999999-" }, 416],
    ["/", { "If-Match": '"another"' }, 412],
    ["/", { "If-Unmodified-Since": "Thu, 01 Jan 1970 00:00:00 GMT" }, 412],
  ])("%s with %j", async (path, headers, status) => {
    expect(await send(path, { headers })).toMatchObject({
      status,
      type: "application/json; charset=utf-8",
      code: "UNREADABLE",
    });
  });

  test.each(
    ["PUT", "DELETE", "PATCH", "TRACE", "PROPFIND"].flatMap((method) =>
      ["/", "/import", "/photographs", "/export/x.zip", "/calendar/x.ics"].map((path) => [method, path] as const),
    ),
  )("%s %s", async (method, path) => {
    expect(await send(path, { method })).toMatchObject({
      status: 404,
      type: "application/json; charset=utf-8",
      code: "NOT_FOUND",
    });
  });

  test("a request whose head is larger than the server reads", async () => {
    expect(await send("/graphql", json({ "X-Large": "x".repeat(100_000) }))).toMatchObject({
      status: 431,
      code: "TOO_LARGE",
    });
  });

  test("a request that is no HTTP", async () => {
    expect(await send("/", { headers: { "Content-Length": "-5" } })).toMatchObject({ status: 400, code: "UNREADABLE" });
  });

  test.each([
    ["a subscription", '{"query":"subscription { job(id: \\"x\\") { id } }"}', "BAD_REQUEST"],
    [
      "a kept query",
      '{"query":"{ me { id } }","extensions":{"persistedQuery":{"version":1,"sha256Hash":"x"}}}',
      "PERSISTED_QUERY_NOT_SUPPORTED",
    ],
    [
      "a kept query of no kind",
      '{"query":"{ me { id } }","extensions":{"persistedQuery":1}}',
      "PERSISTED_QUERY_NOT_SUPPORTED",
    ],
  ])("%s where questions and changes are answered", async (_what, body, code) => {
    const answer = await send("/graphql", json({}, body));
    expect(answer).toMatchObject({ code });
    expect(answer.message).not.toMatch(/in the program/);
  });

  test.each([
    ["nothing", "", "BAD_REQUEST"],
    ["a list", "[]", "BAD_REQUEST"],
    ["an empty object", "{}", "BAD_REQUEST"],
    ["a number", '{"query":1}', "BAD_REQUEST"],
    ["a name that is a number", '{"query":"subscription A { job(id: 1) { id } }","operationName":1}', "BAD_REQUEST"],
    ["variables that are a list", '{"query":"{ me { id } }","variables":[]}', "BAD_REQUEST"],
    ["an empty document", '{"query":""}', "GRAPHQL_PARSE_FAILED"],
    ["half a document", '{"query":"subscription {"}', "GRAPHQL_PARSE_FAILED"],
    ["a NUL", '{"query":"\\u0000"}', "GRAPHQL_PARSE_FAILED"],
    ["a field that is not there", '{"query":"subscription { other }"}', "GRAPHQL_VALIDATION_FAILED"],
    ["a query", QUERY, "BAD_REQUEST"],
  ])("%s where events are followed", async (_what, body, code) => {
    expect(await send("/graphql/stream", stream(body))).toMatchObject({ status: 400, code });
  });

  test("an event stream for somebody who cannot read one", async () => {
    expect(await send("/graphql/stream", stream(QUERY, { Accept: "text/html" }))).toMatchObject({
      status: 406,
      code: "BAD_REQUEST",
    });
  });
});

test.each(["lastbolt=%", "lastbolt=%00", "=;;;=", "__proto__=x", `lastbolt=${"x".repeat(5_000)}`, "lastbolt=\xff"])(
  "the cookie %j is nobody's",
  async (cookie) => {
    expect(await send("/graphql", json({ Cookie: cookie }))).toMatchObject({ status: 200, message: "" });
  },
);

test("an id that is empty names no row: nothing is added in its place", async () => {
  const before = await server.store.part.count();
  const saved = async (change: string) => {
    const { data, errors } = await server.query<Record<string, unknown>>(`mutation { ${change} { __typename } }`);
    return errors?.[0]?.extensions?.["code"] ?? data;
  };
  const { id } = await server.store.restoration.findFirstOrThrow();
  expect(await saved(`savePhotograph(input: { id: "", forOwner: true })`)).toBe("NOT_FOUND");
  expect(await saved(`savePart(input: { id: "", restoration: "${id}", name: "Magneto" })`)).toBe("NOT_FOUND");
  expect(await saved(`saveSupplier(input: { id: "", name: "Magnetos" })`)).toBe("NOT_FOUND");
  expect(await server.store.part.count()).toBe(before);
});

test("more wrong values in one request than are told are no mistake of the program", async () => {
  const { errors } = await server.query("mutation ($input: PartInput!) { savePart(input: $input) { __typename } }", {
    input: { references: Array.from({ length: 200 }, () => ({ number: 1 })) },
  });
  expect(new Set(errors?.map(({ extensions }) => extensions?.["code"]))).toEqual(
    new Set(["INVALID_INPUT", "BAD_USER_INPUT"]),
  );
});

test("a refusal does not send a long id back whole", async () => {
  const { errors } = await server.query(`{ part(id: "${"x".repeat(100_000)}") { id } }`);
  expect(errors?.[0]?.extensions?.["code"]).toBe("NOT_FOUND");
  expect(errors?.[0]?.message.length).toBeLessThan(200);
});
