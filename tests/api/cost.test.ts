/** What a query costs: the work that it begins counts, and the schema's description, so that one request holds nobody up. */
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import {
  type DocumentNode,
  type FragmentDefinitionNode,
  type GraphQLInputType,
  getIntrospectionQuery,
  Kind,
  type OperationDefinitionNode,
  parse,
  print,
  typeFromAST,
  visit,
} from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { schema } from "../../server/api/schema.ts";
import { planOf } from "../../server/plan/cache.ts";
import { exampleOf } from "../support/everyField.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { type Shop, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const times = (count: number, field: (n: number) => string): string =>
  Array.from({ length: count }, (_, n) => `a${n}: ${field(n)}`).join(" ");
const day = (n: number): string => new Date(Date.UTC(2027, 0, 1 + n)).toISOString().slice(0, 10);
const code = async (document: string): Promise<unknown> =>
  (await server.query(document)).errors?.[0]?.extensions?.["code"];

const holdUps = (n: number) => `holdUps(restoration: "${rows.restoration}", figuresFor: "${day(n)}") { figuresFor }`;
const odds = (n: number) => `odds(restoration: "${rows.restoration}", figuresFor: "${day(n)}") { runs }`;
const started = (kind: string) => (n: number) =>
  `${kind}(restoration: "${rows.restoration}", figuresFor: "${day(n)}") { id }`;

describe("work that is not kept", () => {
  test("of a few days is begun by one request", async () => {
    const { data, errors } = await server.query(`{ ${times(3, holdUps)} }`);
    expect(errors).toBeUndefined();
    expect(Object.keys(data!)).toHaveLength(3);
  });

  test.each([
    ["plans", () => `{ ${times(199, holdUps)} }`],
    ["plans, in fragments", () => `{ ...Some } fragment Some on Query { ${times(30, holdUps)} }`],
    ["odds", () => `{ ${times(30, odds)} }`],
    ["runs", () => `mutation { ${times(30, started("startOdds"))} }`],
    ["weighings", () => `mutation { ${times(30, started("startChoices"))} }`],
    [
      "days compared",
      () =>
        `{ restoration(id: "${rows.restoration}") { ${times(30, (n) => `movedSince(day: "${day(n)}") { __typename }`)} } }`,
    ],
    ["prices of many restorations", () => "{ restorations { edges { node { walkAways { totalCount } } } } }"],
    [
      "prices of many parts",
      () => `{ restoration(id: "${rows.restoration}") { parts { edges { node { walkAway { words } } } } } }`,
    ],
  ])("is refused where it is many: %s", async (_what, document) => {
    expect(await code(document())).toBe("TOO_COMPLEX");
  });

  test("is not begun by a request that is refused", async () => {
    const known = await planOf(server.store, rows.restoration, { figuresFor: day(150) });
    await code(`{ ${times(199, holdUps)} }`);
    // Plans of eight days are kept: had any of these been computed, it would not be the same one.
    expect(await planOf(server.store, rows.restoration, { figuresFor: day(150) })).toBe(known);
  });
});

describe("the schema's description", () => {
  test("is given once to whoever asks for all of it", async () => {
    const { data, errors } = await server.query(getIntrospectionQuery({ inputValueDeprecation: true }));
    expect(errors).toBeUndefined();
    expect(data).toHaveProperty("__schema.types");
  });

  const whole = "{ types { name description fields { name description } } }";
  test.each([
    ["under many names", `{ ${times(60, () => `__schema ${whole}`)} }`],
    [
      "in a fragment",
      `{ ...Many } fragment Many on Query { ${times(60, () => "__schema { ...Whole }")} } fragment Whole on __Schema ${whole}`,
    ],
    ["under many names within", `{ __schema { ${times(60, () => "types { name fields { name description } }")} } }`],
    [
      "type by type",
      `{ ${times(300, () => '__type(name: "Mutation") { ...Of }')} } fragment Of on __Type { fields { name description args { name } } }`,
    ],
  ])("counts: %s", async (_how, document) => {
    const { data, errors } = await server.query(document);
    expect(data).toBeFalsy();
    expect(errors?.[0]?.extensions?.["code"]).toBe("TOO_COMPLEX");
  });

  test("counts with what else is asked", async () => {
    const rest = "parts(first: 500) { edges { node { id code name quotes { id } needs { id } } } }";
    const restoration = (n: number) => `r${n}: restoration(id: "${rows.restoration}") { ${rest} }`;
    const asked = Array.from({ length: 14 }, (_, n) => restoration(n)).join(" ");
    const schemas = times(8, () => `__schema ${whole}`);
    expect(await code(`{ ${asked} }`)).toBeUndefined();
    expect(await code(`{ ${schemas} }`)).toBeUndefined();
    expect(await code(`{ ${asked} ${schemas} }`)).toBe("TOO_COMPLEX");
  });
});

const web = fileURLToPath(new URL("../../web", import.meta.url));

/** The client's own documents, each with the fragments that it needs. */
function documents(): { name: string; document: DocumentNode }[] {
  const texts = readdirSync(web, { recursive: true, encoding: "utf8" })
    .filter((file) => /\.tsx?$/.test(file))
    .flatMap((file) => [...readFileSync(path.join(web, file), "utf8").matchAll(/graphql\(\s*`([^`]*)`/g)])
    .map(([, text]) => parse(text!.replaceAll("@_unmask", "")));
  const definitions = texts.flatMap((document) => document.definitions);
  const fragments = new Map(
    definitions.flatMap((one) => (one.kind === Kind.FRAGMENT_DEFINITION ? [[one.name.value, one] as const] : [])),
  );
  const needed = (node: OperationDefinitionNode | FragmentDefinitionNode, all: Set<FragmentDefinitionNode>) => {
    visit(node, {
      FragmentSpread({ name }) {
        const fragment = fragments.get(name.value);
        if (fragment === undefined || all.has(fragment)) return;
        all.add(fragment);
        needed(fragment, all);
      },
    });
    return all;
  };
  return definitions.flatMap((one) =>
    one.kind === Kind.OPERATION_DEFINITION && one.operation !== "subscription"
      ? [
          {
            name: one.name?.value ?? "",
            document: { kind: Kind.DOCUMENT, definitions: [one, ...needed(one, new Set())] },
          },
        ]
      : [],
  );
}

test("none of the client's own documents is refused", async () => {
  const refused: string[] = [];
  const all = documents();
  expect(all.length).toBeGreaterThan(100);
  for (const { name, document } of all) {
    const [operation] = document.definitions as [OperationDefinitionNode];
    const variables = Object.fromEntries(
      (operation.variableDefinitions ?? []).map(({ variable, type }) => {
        const given = { name: variable.name.value, type: typeFromAST(schema, type as never) as GraphQLInputType };
        return [given.name, /^(first|last)$/.test(given.name) ? 500 : exampleOf(given, () => "none")];
      }),
    );
    const { errors = [] } = await server.query(print(document), variables);
    for (const { message, extensions } of errors)
      if (extensions?.["code"] === "TOO_COMPLEX" || extensions?.["code"] === "GRAPHQL_VALIDATION_FAILED")
        refused.push(`${name}: ${message}`);
  }
  expect(refused).toEqual([]);
});
