/** The setting of nightly backups, and what is told of the newest: to the workshop's admin alone. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { beginSignIn } from "../../server/access/signIn.ts";
import type { BackupState } from "../../server/io/nightlyBackups.ts";
import { startServer, type TestServer } from "../support/server.ts";

let state: BackupState = { newest: null, failed: null };
let server: TestServer;

beforeAll(async () => {
  server = await startServer({ backups: { state: async () => state, stop: async () => {} } });
});
afterAll(() => server.close());

const READ = `{ backups { revision nightly kept newest { name madeAt photographs bytes wrong } failed { at why } } }`;
const SAVE = `mutation ($input: BackupsInput!) { saveBackups(input: $input) {
  __typename ... on StaleRow { revision differences { field theirs yours } } ... on InvalidInput { faults { code field } } } }`;

const read = async () => (await server.query<{ backups: Record<string, unknown> }>(READ)).data!.backups;
const save = async (input: Record<string, unknown>) =>
  (await server.query<{ saveBackups: Record<string, unknown> }>(SAVE, { input })).data!.saveBackups;

test("a workshop begins with them on, seven kept, and none there", async () => {
  expect(await read()).toEqual({ revision: 1, nightly: true, kept: 7, newest: null, failed: null });
});

test("the newest is told by its moment, photographs and size, larger than two thousand million bytes too; so is a failure", async () => {
  const madeAt = new Date("2027-01-04T03:00:00.000Z");
  state = {
    newest: { name: "nightly-20270104T030000000Z.zip", madeAt, photographs: 14, bytes: 3_000_000_000, wrong: 1 },
    failed: { at: madeAt, why: "There is no room left." },
  };
  expect(await read()).toMatchObject({
    newest: {
      name: "nightly-20270104T030000000Z.zip",
      madeAt: madeAt.toISOString(),
      photographs: 14,
      bytes: 3_000_000_000,
      wrong: 1,
    },
    failed: { at: madeAt.toISOString(), why: "There is no room left." },
  });
});

test("it is changed at the revision that was read, and not over a change made meanwhile", async () => {
  const { revision } = await read();
  expect(await save({ revision, nightly: false, kept: 3 })).toEqual({ __typename: "AccountSaved" });
  expect(await read()).toMatchObject({ nightly: false, kept: 3 });
  expect(await save({ revision, kept: 30 })).toMatchObject({
    __typename: "StaleRow",
    differences: [{ field: "backupsKept", theirs: "3", yours: "30" }],
  });
  expect(await read()).toMatchObject({ nightly: false, kept: 3 });
});

test.each([0, -1, 101])("%i kept is refused by field", async (kept) => {
  const { revision } = await read();
  expect(await save({ revision, kept })).toMatchObject({ __typename: "InvalidInput", faults: [{ field: "kept" }] });
});

test("a restorer who is no admin is told nothing and changes nothing", async () => {
  const { id: workshopId } = await server.store.workshop.findFirstOrThrow();
  const account = await server.store.account.create({ data: { workshopId, name: "Restorer", role: "RESTORER" } });
  const cookie = `lastbolt=${await beginSignIn(server.store, account, "", "Signed in")}`;
  for (const [document, variables] of [
    [READ, {}],
    [SAVE, { input: { revision: 1, nightly: true } }],
  ] as const) {
    const { errors } = await server.query(document, variables, cookie);
    expect(errors?.[0]?.extensions?.["code"]).toBe("NOT_ALLOWED");
  }
});
