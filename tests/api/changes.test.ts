/** The record of changes: told for one row and what hangs on it, in pages, and never altered or taken out. */
import { getNamedType, isEnumType, isLeafType } from "graphql";
import { afterAll, beforeAll, expect, test } from "vitest";
import { schema } from "../../server/api/schema.ts";
import { exampleOf } from "../support/everyField.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, remove, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let ours: Shop;

beforeAll(async () => {
  server = await startServer();
  ours = await shop(server);
});
afterAll(() => server.close());

interface Changes {
  changes: {
    totalCount: number;
    pageInfo: { hasNextPage: boolean; endCursor: string | null };
    edges: { node: { summary: string; undone: boolean; account: { name: string } } }[];
  };
}

async function changesOf(row: string, id: string, first = 50, after: string | null = null) {
  const { data, errors } = await server.query<Changes>(
    `query ($row: RowKind!, $id: ID!, $first: Int, $after: String) {
      changes(row: $row, id: $id, first: $first, after: $after) {
        totalCount pageInfo { hasNextPage endCursor } edges { node { summary undone account { name } } }
      }
    }`,
    { row, id, first, after },
  );
  expect(errors).toBeUndefined();
  return data!.changes;
}

const record = () => server.store.change.findMany({ orderBy: { id: "asc" } });

test("a part's record holds its own changes and those of its quotes and needs, the newest first, with who made them", async () => {
  const before = (await changesOf("PART", ours.casing)).totalCount;
  const { revision } = await saved(server, "Part", { id: ours.casing, revision: 1, notes: "Ask the foundry" });
  const change = await saved(server, "Quote", { id: ours.quote, revision: 1, leadDays: 70 });
  const { totalCount, edges } = await changesOf("PART", ours.casing);
  expect(totalCount).toBe(before + 2);
  expect(edges[0]!.node).toMatchObject({
    summary: change.change.summary,
    undone: false,
    account: { name: "Quill Lane" },
  });
  expect((await changesOf("QUOTE", ours.quote)).edges[0]!.node.summary).toBe(change.change.summary);
  expect(JSON.stringify(await changesOf("PART", ours.drum))).not.toContain(change.change.summary);
  expect(revision).toBe(2);
});

test("what is undone stays in the record, marked, under the entry that took it back", async () => {
  const { change } = await saved(server, "Operation", { id: ours.strip, revision: 1, title: "Strip it" });
  const back = await undo(server, change.id);
  const { edges } = await changesOf("OPERATION", ours.strip);
  expect(edges.slice(0, 2).map(({ node }) => [node.summary, node.undone])).toEqual([
    [back.change.summary, false],
    [change.summary, true],
  ]);
});

test("says which change is never taken back: the owner's answer and question, and not what was asked of them", async () => {
  const asked = await call(server, "askDecision", "$input: DecisionInput!", {
    input: { restoration: ours.restoration, title: "New casing", amountMinor: 64_000 },
  });
  await call(server, "askBack", "$decision: ID!, $name: String!, $question: String!", {
    decision: asked.id,
    name: "Odile Farrant",
    question: "Can the old one be welded?",
  });
  await call(server, "answerDecision", "$decision: ID!, $approve: Boolean!, $name: String!", {
    decision: asked.id,
    approve: true,
    name: "Odile Farrant",
  });
  const { data } = await server.query<{
    restoration: { changes: { edges: { node: { id: string; final: boolean } }[] } };
  }>(`query ($id: ID!) { restoration(id: $id) { changes(first: 3) { edges { node { id final } } } } }`, {
    id: ours.restoration,
  });
  const [answer, question, first] = data!.restoration.changes.edges.map(({ node }) => node);
  expect([answer!.final, question!.final, first!.final]).toEqual([true, true, false]);
  for (const { id } of [answer!, question!])
    expect(await undo(server, id)).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
  expect(await server.store.decision.findUnique({ where: { id: asked.id } })).toMatchObject({ state: "APPROVED" });
});

test("comes in pages", async () => {
  const { totalCount } = await changesOf("PART", ours.casing);
  const summaries: string[] = [];
  let after: string | null = null;
  do {
    const page: Changes["changes"] = await changesOf("PART", ours.casing, 2, after);
    summaries.push(...page.edges.map(({ node }) => node.summary));
    after = page.pageInfo.hasNextPage ? page.pageInfo.endCursor : null;
  } while (after !== null);
  expect(summaries).toHaveLength(totalCount);
  expect(totalCount).toBeGreaterThan(2);
});

test("no kind of row that can be removed is an entry of the record", () => {
  const kinds = schema.getType("RowKind");
  expect(isEnumType(kinds) && kinds.getValues().map(({ name }) => name)).not.toContain("CHANGE");
});

test.each(Object.values(schema.getMutationType()!.getFields()).map((field) => [field.name, field] as const))(
  "%s neither alters an entry nor takes one out",
  async (_name, field) => {
    const before = await record();
    const entry = before.at(-1)!.id;
    const rows: Record<string, string> = { ...ours, supplier: ours.foundry, operation: ours.strip, part: ours.casing };
    // Once with the entry's own id wherever a row is named, and once with rows that are there.
    for (const named of [() => entry, (name: string) => rows[name] ?? entry]) {
      const variables = Object.fromEntries(field.args.map((arg) => [arg.name, exampleOf(arg, named)]));
      const head = field.args.map((arg) => `$${arg.name}: ${String(arg.type)}`).join(", ");
      const passed = field.args.map((arg) => `${arg.name}: $${arg.name}`).join(", ");
      await server.query(
        `mutation ${head && `(${head})`} { ${field.name}${passed && `(${passed})`} ${isLeafType(getNamedType(field.type)) ? "" : "{ __typename }"} }`,
        variables,
      );
    }
    const after = new Map((await record()).map((row) => [row.id, row]));
    expect(before.map(({ id }) => after.get(id))).toEqual(before);
  },
);

test("a restoration that was removed comes back with its record", async () => {
  const other = await saved(server, "Restoration", { machine: "Stationary engine" });
  await saved(server, "Part", { restoration: other.id, name: "Governor" });
  const before = (await record()).filter(({ restorationId }) => restorationId === other.id);
  const gone = await remove(server, "RESTORATION", other.id, other.revision);
  expect(gone.__typename).toBe("Saved");
  await undo(server, gone.change.id);
  expect((await record()).filter(({ restorationId }) => restorationId === other.id)).toEqual(before);
});

test("a report marked as given is told as that, and not as a change of the machine", async () => {
  const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: ours.restoration } });
  const marked = await saved(server, "Restoration", { id: ours.restoration, revision, reportedOn: "2027-03-01" });
  expect(marked.change.summary).toBe("Marked the report of 1 Mar 2027 as given");
  const both = {
    id: ours.restoration,
    revision: marked.revision,
    reportedOn: "2027-03-02",
    owner: "Odile Farrant's heirs",
  };
  expect((await saved(server, "Restoration", both)).change.summary).toContain("Changed restoration");
});
