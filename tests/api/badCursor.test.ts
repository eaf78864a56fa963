/**
 * Every list of the API asked for a page that there cannot be, by everybody, alone and in the rows of other lists: each
 * answers with an error that names the argument, and nothing of it is left for the process to stumble over.
 */
import { type GraphQLField, getNamedType, graphql, isNonNullType, isObjectType } from "graphql";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import { seedClub } from "../../seed/club.ts";
import { seedDemo } from "../../seed/load.ts";
import { readsField } from "../../server/access/fields.ts";
import { beginSignIn } from "../../server/access/signIn.ts";
import { viewerOf } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { documentAt, foundIn, OBJECT_TYPES, type Place, selectionOf } from "../support/everyField.ts";
import { startServer, type TestServer } from "../support/server.ts";

// A way to every list is found by asking for much at once.
vi.mock("../../server/api/core/limits.ts", async (load) => ({
  ...(await load<object>()),
  LIMITS: { depth: 100, breadth: 1_000_000, complexity: 1e12 },
  MOST_TOKENS: 10_000_000,
  MOST_BODY: 64 * 1024 * 1024,
}));
vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

type Field = GraphQLField<unknown, unknown>;

let server: TestServer;
const secrets: Record<string, string | null> = {};
/** The root's fields that need arguments, with some row of the demo. */
let roots: Record<string, readonly string[]>;
const matched: Record<string, string> = {};

beforeAll(async () => {
  server = await startServer({
    async fill(store) {
      await seedDemo(store);
      await seedClub(store);
    },
  });
  const { store } = server;
  const workshop = await store.workshop.findFirstOrThrow({ where: { demo: true } });
  const club = await store.club.findFirstOrThrow();
  const [spare, other] = await store.spare.findMany({ where: { gone: false, withheldReason: null }, take: 2 });
  /** An account that is signed in; in the club it has two matches, of which one was written about. */
  const enter = async (name: string, role: "RESTORER" | "MEMBER" | "OWNER", admin = false) => {
    const account = await store.account.create({ data: { workshopId: workshop.id, name, role, admin } });
    secrets[name] = await beginSignIn(store, account, "", "Signed in");
    if (role === "OWNER") return account.id;
    const { id: memberId } = await store.clubMember.create({
      data: { clubId: club.id, accountId: account.id, name, joinedOn: "2026-01-01", steward: admin },
    });
    for (const { id: spareId, part, machine, references } of [other!, spare!]) {
      const want = { clubId: club.id, memberId, code: `${name} ${part}`, part, machine, references };
      const correspondences = spareId === spare!.id ? { create: { spareId } } : {};
      const { id } = await store.want.create({ data: { ...want, correspondences } });
      matched[name] = `(want: "${id}", spare: "${spareId}")`;
    }
    return account.id;
  };
  secrets["nobody on the demo"] = null;
  await enter("restorer", "RESTORER");
  await enter("admin", "RESTORER", true);
  await enter("member", "MEMBER");
  const owner = await enter("owner", "OWNER");
  const restoration = await store.restoration.findFirstOrThrow({ where: { workshopId: workshop.id } });
  await store.restoration.update({ where: { id: restoration.id }, data: { ownerAccountId: owner } });
  const of = { where: { restorationId: restoration.id } };
  const row = (id: string) => [`(id: "${id}")`];
  roots = {
    restoration: row(restoration.id),
    holdUps: [`(restoration: "${restoration.id}")`],
    odds: [`(restoration: "${restoration.id}")`],
    ownWork: [`(restoration: "${restoration.id}")`],
    part: row(
      (await store.part.findFirstOrThrow({ where: { restorationId: restoration.id, quotes: { some: {} } } })).id,
    ),
    operation: row((await store.operation.findFirstOrThrow(of)).id),
    snag: row((await store.snag.findFirstOrThrow(of)).id),
    hunt: row((await store.hunt.findFirstOrThrow(of)).id),
    supplier: row((await store.supplier.findFirstOrThrow({ where: { workshopId: workshop.id } })).id),
    batch: row((await store.batch.findFirstOrThrow()).id),
    find: [`(restoration: "${restoration.id}", text: "casing")`],
    changes: [`(row: RESTORATION, id: "${restoration.id}")`],
    job: (await jobs(restoration.id)).map((id) => `(id: "${id}")`),
  };
});
afterAll(() => server.close());

/** Long work whose result has lists: the choices of a restoration, and its files read in again. */
async function jobs(restoration: string): Promise<string[]> {
  const asked = await server.query<{ startChoices: { id: string } }>(
    `mutation { startChoices(restoration: "${restoration}") { id } }`,
  );
  const files = await fetch(`${server.address}/export/${restoration}.zip`);
  const body = await files.arrayBuffer();
  const read = await fetch(`${server.address}/import`, {
    method: "POST",
    headers: { "content-type": "application/zip" },
    body,
  });
  const ids = [asked.data!.startChoices.id, ((await read.json()) as { job: string }).job];
  for (const id of ids)
    await vi.waitFor(
      async () => {
        const { data } = await server.query<{ job: { state: string } }>(`{ job(id: "${id}") { state } }`);
        expect(data?.job.state).toMatch(/DONE|READY/);
      },
      { timeout: 60_000, interval: 100 },
    );
  return ids;
}

const rejections: unknown[] = [];
const count = (reason: unknown) => rejections.push(reason);
beforeEach(() => void process.on("unhandledRejection", count));
afterEach(() => void process.off("unhandledRejection", count));

const cookieOf = (asker: string): string | undefined => {
  const secret = secrets[asker];
  return secret == null ? undefined : `lastbolt=${secret}`;
};

/** Pages that no list has. */
const WRONG: Record<string, string> = { after: '"x"', before: '"x"', first: "-1", last: "501" };
const wrongOf = (field: Field): [name: string, value: string][] =>
  field.args.flatMap(({ name }) => (name in WRONG ? [[name, WRONG[name]!] as [string, string]] : []));

const isList = (field: Field): boolean => /Connection$/.test(getNamedType(field.type).name);
const listsOf = (type: string): Field[] => {
  const of = schema.getType(type);
  return isObjectType(of) ? Object.values(of.getFields()).filter(isList) : [];
};

/** A field of the root as it is asked for: with some row of the demo, or as it stands. */
const askedAs = (asker: string, field: Field): string[] => {
  const given = field.name === "match" ? [matched[asker] ?? ""].filter(Boolean) : roots[field.name];
  if (given !== undefined) return given.map((args) => field.name + args);
  if (field.args.some(({ type }) => isNonNullType(type))) return [];
  return [isList(field) ? `${field.name}(first: 3)` : field.name];
};

/** Several rows of each list are enough. */
const few = (document: string): string => document.replaceAll("first: 20", "first: 3");

const LISTS = [schema.getQueryType()!, ...OBJECT_TYPES].flatMap(({ name }) =>
  listsOf(name).map((list) => `${name}.${list.name}`),
);

describe.each(["nobody on the demo", "restorer", "owner", "member", "admin"])("%s", (asker) => {
  const met = new Set<string>();
  /** What did not answer as it should. */
  const odd: string[] = [];

  async function ask(document: string, argument: string): Promise<void> {
    const { errors = [] } = await server.query(document, {}, cookieOf(asker));
    const told = errors.filter(({ extensions: e }) => e?.["code"] === "INVALID_INPUT" && e["field"] === argument);
    if (told.length === 0 || told.length < errors.length) odd.push(`${document}: ${JSON.stringify(errors)}`);
  }

  test("is told which argument of a list is wrong, wherever the list stands", async () => {
    const viewer = await viewerOf(server.store, secrets[asker]);
    const may = (type: string, field: string) => readsField(viewer, type, field);
    for (const root of Object.values(schema.getQueryType()!.getFields()).filter(({ name }) => may("Query", name)))
      for (const asked of askedAs(asker, root)) {
        if (isList(root)) {
          met.add(`Query.${root.name}`);
          const given = /\((.*)\)/.exec(asked)![1]!.replace("first: 3", "");
          for (const [name, value] of wrongOf(root))
            await ask(`{ ${root.name}(${given} ${name}: ${value}) { totalCount } }`, name);
        }
        const all = `{ asked: ${asked} ${selectionOf(root.type, may, 1, new Set())} }`;
        const { data } = await server.query(few(all), {}, cookieOf(asker));
        const places = new Map<string, Place>();
        foundIn(data?.["asked"], [], places);
        for (const [type, place] of places)
          for (const list of listsOf(type).filter(({ name }) => may(type, name))) {
            const inRows = place.some(({ field }) => field === "edges") ? " in rows" : "";
            if (met.has(`${type}.${list.name}${inRows}`)) continue;
            met.add(`${type}.${list.name}`).add(`${type}.${list.name}${inRows}`);
            for (const [name, value] of wrongOf(list))
              await ask(few(documentAt(asked, place, type, list, `(${name}: ${value})`)), name);
          }
      }
    expect(odd).toEqual([]);
    await new Promise((resolve) => setImmediate(resolve));
    expect(rejections).toEqual([]);
    const missed = LISTS.filter((list) => !met.has(list) && may(...(list.split(".") as [string, string])));
    expect(missed).toEqual([]);
  });
});

test("a row whose value cannot be told is an error, and the rows before it are awaited all the same", async () => {
  rejections.length = 0;
  const row = { name: "", role: "RESTORER", admin: true, closed: false, email: null, passwordHash: null };
  const store = {
    account: {
      findMany: async () => [
        { ...row, id: "own", revision: 1 },
        { ...row, id: "other", revision: 1.5 },
      ],
    },
    signIn: { findMany: () => Promise.reject(new Error("The disk is gone.")) },
  };
  const viewer = { accountId: "own", workshopId: "", role: "RESTORER", admin: true, everyJob: true } as const;
  const { errors } = await graphql({
    schema,
    source: "{ people { edges { node { revision signIns { totalCount } } } } }",
    contextValue: new Context(store as never, viewer),
  });
  await new Promise((resolve) => setImmediate(resolve));
  expect(rejections).toEqual([]);
  expect(errors).toHaveLength(1);
});
