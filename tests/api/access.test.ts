import {
  type GraphQLArgument,
  type GraphQLInputType,
  getNamedType,
  getNullableType,
  isEnumType,
  isInputObjectType,
  isLeafType,
  isListType,
  isNonNullType,
} from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { schema } from "../../server/api/schema.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { otherShop, type Shop, shop } from "./shop.ts";

let server: TestServer;
let theirs: Record<string, string>;
let ours: Shop;

beforeAll(async () => {
  server = await startServer();
  ours = await shop(server);
  theirs = await otherShop(server.store);
});
afterAll(() => server.close());

const everything = async () => {
  const { store } = server;
  const where = { restorationId: theirs["restoration"] ?? "" };
  return JSON.stringify(
    await Promise.all([
      store.restoration.findMany({ where: { id: where.restorationId } }),
      store.supplier.findMany({ where: { id: theirs["supplier"] ?? "" } }),
      store.payment.findMany({ where: { id: theirs["payment"] ?? "" } }),
      store.operation.findMany({ where }),
      store.link.findMany({ where }),
      store.need.findMany({ where }),
      store.part.findMany({ where }),
      store.quote.findMany({ where }),
      store.order.findMany({ where }),
      store.snag.findMany({ where }),
      store.remedy.findMany({ where }),
      store.inspection.findMany({ where }),
      store.tradeRate.findMany({ where }),
      store.hand.findMany({ where: { id: theirs["hand"] ?? "" } }),
      store.absence.findMany({ where: { id: theirs["absence"] ?? "" } }),
      store.judgingSection.findMany({ where }),
      store.awardFloor.findMany({ where }),
      store.closedDate.findMany({ where: { id: theirs["closed"] ?? "" } }),
      store.change.findMany({ where }),
      store.operationWay.findMany({ where }),
      store.find.findMany({ where }),
      store.exchangeRate.findMany({ where: { id: theirs["exchangeRate"] ?? "" } }),
    ]),
  );
};

/** Which of the other workshop's rows an argument or field would name. */
function theirRow(field: string, name: string): string | undefined {
  if (name === "row") return theirs["part"];
  if (name !== "id") return theirs[name] ?? (name === "job" ? "00000000-0000-0000-0000-000000000000" : undefined);
  const noun = field.replace(/^save/, "");
  const key = noun.charAt(0).toLowerCase() + noun.slice(1);
  return theirs[{ judgingSection: "section", awardFloor: "floor" }[key] ?? key] ?? theirs["part"];
}

/** Rows of the club are refused before they are looked for: the viewer is no member, or names two things at once. */
const OF_THE_CLUB: Readonly<Record<string, string>> = {
  batch: "NOT_A_MEMBER",
  wants: "NOT_A_MEMBER",
  match: "INVALID_INPUT",
};

const kinds = {
  RESTORATION: "restoration",
  JUDGING_SECTION: "section",
  AWARD_FLOOR: "floor",
  CLOSED_DATE: "closed",
  OPERATION_WAY: "operationWay",
  EXCHANGE_RATE: "exchangeRate",
  TRADE_RATE: "tradeRate",
} as Record<string, string>;

function exampleOf(field: string, name: string, type: GraphQLInputType): unknown {
  const bare = getNullableType(type);
  const named = getNamedType(type);
  if (isListType(bare)) return named.name === "ID" ? [theirRow(field, name) ?? "none"] : [];
  if (named.name === "ID") return theirRow(field, name);
  if (isInputObjectType(named))
    return Object.fromEntries(
      Object.values(named.getFields())
        .map((inner) => [inner.name, exampleOf(field, inner.name, inner.type)] as const)
        .filter(([, value]) => value !== undefined),
    );
  if (isEnumType(named)) return named.getValues()[0]?.name;
  if (["Int", "Float", "Minor"].includes(named.name)) return 1;
  if (named.name === "Boolean") return true;
  if (named.name === "Date") return "2027-01-04";
  return "X";
}

const isId = (type: GraphQLInputType): boolean => getNamedType(type).name === "ID";

/** True where an argument, or a field of an input, names a row. */
const namesARow = (args: readonly GraphQLArgument[]): boolean =>
  args.some(({ type }) => {
    const named = getNamedType(type);
    return (
      isId(type) || (isInputObjectType(named) && Object.values(named.getFields()).some((field) => isId(field.type)))
    );
  });

const roots = [schema.getQueryType(), schema.getMutationType()].flatMap((root) =>
  Object.values(root?.getFields() ?? {})
    .filter((field) => namesARow(field.args))
    .map((field) => ({ kind: root?.name === "Query" ? "query" : "mutation", field })),
);

async function ask(kind: string, field: (typeof roots)[number]["field"], variables: Record<string, unknown>) {
  const used = field.args.filter((arg) => variables[arg.name] !== undefined || isNonNullType(arg.type));
  const head = used.map((arg) => `$${arg.name}: ${String(arg.type)}`).join(", ");
  const passed = used.map((arg) => `${arg.name}: $${arg.name}`).join(", ");
  return server.query<Record<string, { __typename: string }>>(
    `${kind} (${head}) { ${field.name}(${passed}) ${isLeafType(getNamedType(field.type)) ? "" : "{ __typename }"} }`,
    variables,
  );
}

describe("the rows of another workshop", () => {
  test("are named by many queries and mutations", () => {
    expect(roots.length).toBeGreaterThan(25);
  });

  test.each(roots.map((root) => [root.field.name, root] as const))(
    "%s neither reads nor changes them",
    async (_name, { kind, field }) => {
      const before = await everything();
      const variables = Object.fromEntries(
        field.args.map((arg) => [arg.name, exampleOf(field.name, arg.name, arg.type)]),
      );
      const answer = await ask(kind, field, variables);
      const type = answer.data?.[field.name]?.__typename;
      if (answer.errors === undefined) expect(type).toMatch(/InvalidInput|Refused/);
      else
        expect(answer.errors[0]?.extensions).toMatchObject({
          code: OF_THE_CLUB[field.name] ?? expect.stringMatching(/^(NOT_FOUND|INVALID_INPUT)$/),
        });
      if (kind === "query")
        expect(answer.errors?.[0]?.extensions).toMatchObject({ code: OF_THE_CLUB[field.name] ?? "NOT_FOUND" });
      expect(await everything()).toBe(before);
    },
  );

  test.each([
    "OPERATION",
    "LINK",
    "NEED",
    "PART",
    "SUPPLIER",
    "QUOTE",
    "ORDER",
    "PAYMENT",
    "SNAG",
    "REMEDY",
    "INSPECTION",
    "TRADE_RATE",
    "HAND",
    "ABSENCE",
    "CLOSED_DATE",
    "JUDGING_SECTION",
    "AWARD_FLOOR",
    "OPERATION_WAY",
    "FIND",
    "EXCHANGE_RATE",
    "RESTORATION",
  ])("remove: %s is not found", async (row) => {
    const before = await everything();
    const id = theirs[kinds[row] ?? row.toLowerCase()];
    const { errors } = await server.query(
      "mutation ($row: RowKind!, $id: ID!) { remove(row: $row, id: $id, revision: 1) { __typename } }",
      { row, id },
    );
    expect(errors?.[0]?.extensions).toMatchObject({ code: "NOT_FOUND" });
    expect(await everything()).toBe(before);
  });

  test.each([
    [
      "saveQuote",
      { part: "casing", supplier: "supplier", provenance: "REMADE", unitPriceMinor: 1, leadDays: 1 },
      "supplier",
    ],
    ["saveNeed", { operation: "strip", part: "part" }, "part"],
    ["saveOperationWay", { operation: "strip", supplier: "supplier", title: "Sent out" }, "supplier"],
    ["saveFind", { restoration: "ours", clientKey: "k1", what: "Cam", foundOn: "2027-01-04", part: "part" }, "part"],
    ["savePart", { restoration: "ours", name: "Cam", judgingSection: "judgingSection" }, "judgingSection"],
    ["saveLink", { before: "strip", after: "operation" }, "after"],
    [
      "saveInspection",
      { part: "casing", operation: "operation", inspector: "x", inspectedOn: "2027-01-04", what: "x" },
      "operation",
    ],
  ])("%s does not tie own rows to theirs", async (mutation, input, field) => {
    const named = Object.fromEntries(
      Object.entries(input).map(([key, value]) => [
        key,
        value === "ours"
          ? ours[key as keyof Shop]
          : typeof value === "string"
            ? (theirs[value] ?? ours[value as keyof Shop] ?? value)
            : value,
      ]),
    );
    const noun = mutation.replace("save", "");
    const { data } = await server.query<Record<string, { faults: { field: string; code: string }[] }>>(
      `mutation ($input: ${noun}Input!) { ${mutation}(input: $input) { ... on InvalidInput { faults { field code } } } }`,
      { input: named },
    );
    expect(data?.[mutation]?.faults).toEqual([{ field, code: "UNKNOWN_ROW" }]);
  });

  test("do not stand in any list", async () => {
    const { data } = await server.query(
      "{ restorations { totalCount edges { node { machine } } } suppliers { totalCount edges { node { name } } } }",
    );
    expect(data).toEqual({
      restorations: { totalCount: 1, edges: [{ node: { machine: "1913 Tallow & Wren" } }] },
      suppliers: { totalCount: 1, edges: [{ node: { name: "Lower Mill Foundry" } }] },
    });
  });
});

test("an account without a role that may see them sees no restorations, and changes none", async () => {
  await server.store.account.updateMany({ data: { role: "MEMBER" } });
  for (const document of [
    `mutation ($id: ID!) { saveRestoration(input: { id: $id, revision: 1, machine: "x" }) { __typename } }`,
    "query ($id: ID!) { restorations { totalCount } restoration(id: $id) { id } }",
    "query ($id: ID!) { restoration(id: $id) { id } }",
  ]) {
    const { data, errors } = await server.query(document, { id: ours.restoration });
    expect(data ?? null).toBeNull();
    expect(errors?.[0]?.extensions).toMatchObject({ code: "NOT_ALLOWED" });
  }
  const { machine } = await server.store.restoration.findUniqueOrThrow({ where: { id: ours.restoration } });
  expect(machine).toBe("1913 Tallow & Wren");
  await server.store.account.updateMany({ data: { role: "RESTORER" } });
});
