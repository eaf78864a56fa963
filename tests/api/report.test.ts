/** What the owner's report tells beside the plan: how far invoices are paid, what was done since a day, and who sends it. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let id: string;
let owner: string;
beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
  ({ id } = await server.store.restoration.findFirstOrThrow());
  const account = await server.store.account.findFirstOrThrow({ where: { role: "OWNER" } });
  const response = await fetch(`${server.address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({
      query: "mutation ($account: ID!) { actAs(account: $account) { __typename } }",
      variables: { account: account.id },
    }),
  });
  owner = (response.headers.get("set-cookie") ?? "").split(";")[0]!;
});
afterAll(() => server.close());

interface Invoiced {
  restoration: {
    invoices: {
      edges: { node: { code: string; kind: string; paidOn: string | null; left: { minor: number } | null } }[];
    };
    exposure: { invoiced: { minor: number }; received: { minor: number } };
  };
}
const invoiced = async () => {
  const { data, errors } = await server.query<Invoiced>(
    `query ($id: ID!) { restoration(id: $id) {
      invoices(first: 100) { edges { node { code kind paidOn left { minor } } } }
      exposure { invoiced { minor } received { minor } } } }`,
    { id },
    owner,
  );
  expect(errors).toBeUndefined();
  const { invoices, exposure } = data!.restoration;
  const rows = invoices.edges.map(({ node }) => node);
  const left = rows.reduce((sum, row) => sum + (row.left?.minor ?? 0), 0);
  // What is outstanding of each adds up to what is outstanding of all.
  expect(left).toBe(Math.max(0, exposure.invoiced.minor - exposure.received.minor));
  return rows;
};
const enter = (input: object) =>
  server.query("mutation ($input: InvoiceInput!) { saveInvoice(input: $input) { __typename } }", {
    input: { restoration: id, ...input },
  });

it("what comes in goes to the oldest invoice, and each is paid on the day its last comes in", async () => {
  const before = await invoiced();
  expect(before.filter(({ kind }) => kind === "INVOICE").map(({ paidOn }) => paidOn)).toEqual([null, "2026-08-10"]);
  expect(before.filter(({ kind }) => kind === "RECEIPT")).toMatchObject([{ paidOn: null, left: null }]);
  await enter({ kind: "RECEIPT", day: "2026-11-10", amountMinor: 1_000_00 });
  expect((await invoiced())[1]).toMatchObject({ kind: "INVOICE", paidOn: null, left: { minor: 3_800_00 } });
  await enter({ kind: "RECEIPT", day: "2026-11-20", amountMinor: 4_000_00 });
  const paid = (await invoiced()).find(({ code }) => code === before[0]!.code);
  expect(paid).toMatchObject({ paidOn: "2026-11-20", left: { minor: 0 } });
  const wrong = await server.store.invoice.findFirstOrThrow({ where: { day: "2026-11-20" } });
  await server.query("mutation ($id: ID!) { correctInvoice(invoice: $id) { __typename } }", { id: wrong.id });
  expect((await invoiced()).find(({ code }) => code === before[0]!.code)).toMatchObject({
    paidOn: null,
    left: { minor: 3_800_00 },
  });
});

it("an owner reads what was finished and what came since a day, and how the end moved", async () => {
  const asked = (day: string) =>
    server.query<{
      restoration: {
        finishedSince: { edges: { node: { finishedOn: string } }[] };
        arrivedSince: { edges: { node: { arrivedOn: string; part: { name: string } } }[] };
        movedSince: { days: number } | null;
      };
    }>(
      `query ($id: ID!, $day: Date!) { restoration(id: $id) {
        finishedSince(day: $day) { edges { node { title finishedOn } } }
        arrivedSince(day: $day) { edges { node { arrivedOn part { name } } } }
        movedSince(day: $day) { days since { completion evenOdds cost { minor } } } } }`,
      { id, day },
      owner,
    );
  const { data, errors } = await asked("2026-07-01");
  expect(errors).toBeUndefined();
  const { finishedSince, arrivedSince } = data!.restoration;
  const [finished, come] = [
    finishedSince.edges.map(({ node }) => node.finishedOn),
    arrivedSince.edges.map(({ node }) => node.arrivedOn),
  ];
  for (const days of [finished, come]) {
    expect(days.length).toBeGreaterThan(1);
    expect(days).toEqual(days.toSorted().reverse());
    expect(days.at(-1)! >= "2026-07-01").toBe(true);
  }
  // The day itself counts, and the one after it not.
  expect((await asked(come[0]!)).data!.restoration.arrivedSince.edges.length).toBeGreaterThan(0);
  expect((await asked("2026-11-24")).data!.restoration.arrivedSince.edges).toEqual([]);
  expect((await asked("2026-10-24")).data!.restoration.movedSince).toMatchObject({ days: 27 });
});

it("the workshop says where it is and how to reply, and an owner reads that and changes nothing", async () => {
  const head = async (cookie?: string) =>
    (
      await server.query<{ me: { workshop: { revision: number } } }>(
        `{ me { workshop { name address replyTo ${cookie ? "" : "revision"} } } }`,
        {},
        cookie,
      )
    ).data!.me.workshop;
  const { revision } = await head();
  const save = (input: object, cookie?: string) =>
    server.query<{ saveWorkshop: object }>(
      "mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) { __typename ... on InvalidInput { faults { code field } } } }",
      { input },
      cookie,
    );
  expect((await save({ revision, address: "x".repeat(501) })).data!.saveWorkshop).toMatchObject({
    faults: [{ field: "address" }],
  });
  await save({ revision, address: " Mill Yard\nUpper Thornlow ", replyTo: "01632 960 001" });
  expect(await head(owner)).toEqual({
    name: "Quill Lane Workshop",
    address: "Mill Yard\nUpper Thornlow",
    replyTo: "01632 960 001",
  });
  expect((await save({ revision: revision + 1, address: "" }, owner)).errors?.[0]?.extensions).toMatchObject({
    code: "NOT_ALLOWED",
  });
});
