/** What a workshop is called: asked of whoever joins it first, and said otherwise by an admin afterwards. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { firstLink } from "../../server/access/invitation.ts";
import { type Answer, startServer, type TestServer } from "../support/server.ts";

const RESULT = "__typename ... on InvalidInput { faults { code field complaint } } ... on StaleRow { message }";

let server: TestServer;
let link: string;
beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      link = (await firstLink(store)) ?? "";
    },
  });
});
afterAll(() => server.close());

const takeUp = async (workshop?: string) => {
  const response = await fetch(`${server.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      query: `mutation ($secret: String!, $workshop: String) {
        takeUpInvitation(secret: $secret, name: "Wat", email: "wat@example.org", password: "eleven crates", workshop: $workshop) { ${RESULT} }
      }`,
      variables: { secret: link, workshop },
    }),
  });
  const { data } = (await response.json()) as Answer<{ takeUpInvitation: Record<string, unknown> }>;
  return { answer: data!.takeUpInvitation, cookie: (response.headers.get("set-cookie") ?? "").split(";")[0] ?? "" };
};

it("is asked of whoever joins first, and can be said otherwise", async () => {
  const seen = await server.query<{ invitation: { workshop: string } }>(
    "query ($secret: String!) { invitation(secret: $secret) { workshop } }",
    { secret: link },
  );
  expect(seen.data!.invitation.workshop).toBe("");
  for (const [given, complaint] of [
    [undefined, "must be given"],
    [" ", "must not be empty"],
  ] as const)
    expect((await takeUp(given)).answer).toMatchObject({
      faults: [{ code: "REQUIRED", field: "workshop", complaint }],
    });
  const { cookie } = await takeUp("Mill Yard Restorations");

  const workshop = async () =>
    (
      await server.query<{ me: { workshop: { name: string; revision: number; timeZone: string | null } } }>(
        "{ me { workshop { name revision timeZone } } }",
        {},
        cookie,
      )
    ).data!.me.workshop;
  expect(await workshop()).toMatchObject({ name: "Mill Yard Restorations", timeZone: null });
  const save = async (input: object) =>
    (
      await server.query<{ saveWorkshop: object }>(
        `mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) { ${RESULT} } }`,
        { input },
        cookie,
      )
    ).data!.saveWorkshop;
  const { revision } = await workshop();
  expect(await save({ revision, name: "" })).toMatchObject({ faults: [{ code: "REQUIRED", field: "name" }] });
  expect(await save({ revision, timeZone: "Europe/London" })).toMatchObject({ __typename: "AccountSaved" });
  expect(await save({ revision: revision + 1, name: "Mill Yard" })).toMatchObject({ __typename: "AccountSaved" });
  expect(await save({ revision, name: "Late" })).toMatchObject({ __typename: "StaleRow" });
  expect(await workshop()).toMatchObject({ name: "Mill Yard", timeZone: "Europe/London" });
});
