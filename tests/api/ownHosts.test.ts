/** By which names the server answers: its own, and no other that somebody lets lead to it. */
import { request } from "node:http";
import { networkInterfaces } from "node:os";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { reachedAt } from "../../server/api/http/ownHosts.ts";
import { startServer, type TestServer } from "../support/server.ts";

const { address: own } = Object.values(networkInterfaces())
  .flatMap((addresses) => addresses ?? [])
  .find(({ family, internal }) => family === "IPv4" && !internal) ?? { address: null };

let here: TestServer;
let everywhere: TestServer;
let named: TestServer;

beforeAll(async () => {
  here = await startServer();
  everywhere = await startServer({ host: "0.0.0.0" });
  named = await startServer({ host: "192.0.2.7", address: "https://bench.example.org/lastbolt" });
});
afterAll(async () => {
  for (const server of [here, everywhere, named]) await server.close();
});

interface Answer {
  status: number;
  body: string;
}

/** Asks as a browser does that was told that `host` is at this address. */
const asks = (server: TestServer, host: string, path = "/graphql", headers: Record<string, string> = {}) =>
  new Promise<Answer>((resolve, reject) => {
    const body = JSON.stringify({ query: "{ restorations { totalCount } }" });
    const method = path === "/graphql" ? "POST" : "GET";
    const sent = request(
      `${server.address}${path}`,
      { method, headers: { host, "content-type": "application/json", ...headers } },
      (response) => {
        let text = "";
        response.setEncoding("utf8").on("data", (piece: string) => {
          text += piece;
        });
        response.on("end", () => resolve({ status: response.statusCode ?? 0, body: text }));
      },
    );
    sent.on("error", reject);
    sent.end(method === "POST" ? body : undefined);
  });

test.each(["localhost:4173", "LOCALHOST", "bench.localhost:80", "127.0.0.1", "127.0.0.2:4173", "[::1]:4173"])(
  "this machine's own name %s is answered",
  async (host) => {
    for (const server of [here, everywhere, named]) expect((await asks(server, host)).status).toBe(200);
  },
);

describe.each([
  "page.example:4173",
  "localhost.page.example",
  "127.0.0.1.page.example",
  "page.example@localhost",
  "localhost/page.example",
  "192.0.2.1",
  "[2001:db8::1]:4173",
])("the name %j", (host) => {
  test.each([
    "/graphql",
    "/",
    "/assets/x.js",
    "/templates.zip",
    "/calendar/x.ics",
    "/photographs/x",
    "/graphql/stream",
  ])("reads nothing from %s", async (path) => {
    for (const server of [here, everywhere, named]) {
      const { status, body } = await asks(server, host, path);
      expect(status).toBe(421);
      expect(body).not.toContain("totalCount");
      const { code, message } = JSON.parse(body) as { code: string; message: string };
      expect(code).toBe("UNKNOWN_HOST");
      expect(message).toMatch(/whoever runs this server .*DEVELOPERS\.md/);
    }
  });
});

test("what a page says of itself in X-Forwarded-Host changes nothing", async () => {
  const { status } = await asks(here, "page.example", "/graphql", { "x-forwarded-host": "localhost" });
  expect(status).toBe(421);
});

test("the address that it is known by is answered, and the one that it listens on", async () => {
  expect((await asks(named, "bench.example.org")).status).toBe(200);
  expect((await asks(named, "192.0.2.7:4173")).status).toBe(200);
  expect((await asks(here, "bench.example.org")).status).toBe(421);
});

describe.skipIf(own === null)("in the shop", () => {
  test("the machine's own address is answered and told, where every address is listened on", async () => {
    expect((await asks(everywhere, `${own}:4173`)).status).toBe(200);
    expect((await asks(here, `${own}:4173`)).status).toBe(421);
    expect(reachedAt("0.0.0.0", 4173)).toMatchObject({ here: "http://127.0.0.1:4173" });
    expect(reachedAt("0.0.0.0", 4173).inTheShop).toContain(`http://${own}:4173`);
  });
});

test("nothing is told of the shop where this machine alone is answered", () => {
  expect(reachedAt("127.0.0.1", 4173)).toEqual({ here: "http://127.0.0.1:4173", inTheShop: [] });
  expect(reachedAt("::1", 4173).here).toBe("http://[::1]:4173");
});
