/** The owner's money is kept while nothing has changed; what it rests on shows at once when it does. */
import { afterAll, beforeAll, expect, it } from "vitest";
import { moneyOf } from "../../server/plan/money/exposureKept.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let order: string;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  await saved(server, "ExchangeRate", { date: "2027-01-02", base: "CHF", counter: "GBP", rate: "0.88" });
  const placed = { quote: rows.quote, placedOn: "2027-01-01", promisedOn: "2027-01-02", totalMinor: 64_000 };
  order = (await saved(server, "Order", placed)).id;
});
afterAll(() => server.close());

interface Shown {
  paid: number;
  invoiced: number;
  received: number;
  done: number;
  cap: number | null;
  late: string[];
  who: string[];
}
interface Answered {
  exposure: {
    buckets: { paid: { planned: number }; labourDone: { planned: number } };
    invoiced: { minor: number };
    received: { minor: number };
    capLeft: { minor: number } | null;
    atRisk: { edges: { node: { supplierName: string } }[] };
  };
  ledger: { edges: { node: { who: string } }[] };
}
async function shown(): Promise<Shown> {
  const { data, errors } = await server.query<{ restoration: Answered }>(
    `query ($id: ID!) { restoration(id: $id) {
      exposure { buckets { paid { planned } labourDone { planned } } invoiced { minor } received { minor } capLeft { minor } atRisk { edges { node { supplierName } } } }
      ledger { edges { node { who } } }
    } }`,
    { id: rows.restoration },
  );
  if (errors) throw new Error(JSON.stringify(errors));
  const { exposure, ledger } = data!.restoration;
  return {
    paid: exposure.buckets.paid.planned,
    invoiced: exposure.invoiced.minor,
    received: exposure.received.minor,
    done: exposure.buckets.labourDone.planned,
    cap: exposure.capLeft?.minor ?? null,
    late: exposure.atRisk.edges.map(({ node }) => node.supplierName),
    who: ledger.edges.map(({ node }) => node.who),
  };
}
const restorationRow = () => server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });

it("reads and works out nothing again while nothing has changed", async () => {
  const first = await moneyOf(server.store, rows.restoration);
  const again = await moneyOf(server.store, rows.restoration);
  expect(again).toBe(first);
  expect(again.exposure).toBe(first.exposure);
});

it("shows a payment, and an undo of it, at once", async () => {
  const deposit = { order, kind: "DEPOSIT", paidOn: "2027-01-03", amountMinor: 10_000 };
  expect((await shown()).paid).toBe(0);
  const payment = await saved(server, "Payment", deposit);
  expect((await shown()).paid).toBe(10_000);
  await undo(server, payment.change.id);
  expect((await shown()).paid).toBe(0);
  await saved(server, "Payment", deposit);
  expect((await shown()).paid).toBe(10_000);
});

it("shows a new rate of exchange at once, which belongs to the workshop and not to the restoration", async () => {
  const francs = { kind: "RECEIPT", day: "2027-01-04", amountMinor: 100_000, currency: "CHF" };
  await saved(server, "Invoice", { restoration: rows.restoration, ...francs });
  expect((await shown()).received).toBe(88_000);
  await saved(server, "ExchangeRate", { date: "2027-01-03", base: "CHF", counter: "GBP", rate: "0.9" });
  expect((await shown()).received).toBe(90_000);
});

it("shows hours, an invoice, a rate of labour and a cap at once", async () => {
  const { revision } = await restorationRow();
  await saved(server, "Restoration", { id: rows.restoration, revision, capMinor: 100_000, hourlyRateMinor: 4_000 });
  const before = await shown();
  expect(before.cap).not.toBeNull();
  await server.query(`mutation ($input: HoursInput!) { bookHours(input: $input) { __typename } }`, {
    input: { operation: rows.strip, clientKey: "bench-1", workedOn: "2027-01-04", hours: 2 },
  });
  expect((await shown()).done).toBe(before.done + 8_000);
  await saved(server, "Invoice", { restoration: rows.restoration, day: "2027-01-04", amountMinor: 50_000 });
  expect((await shown()).invoiced).toBe(50_000);
});

it("tells a supplier by the new name at once, as often as it changes", async () => {
  expect((await shown()).late).toEqual(["Lower Mill Foundry"]);
  const { revision } = await server.store.supplier.findUniqueOrThrow({ where: { id: rows.foundry } });
  await saved(server, "Supplier", { id: rows.foundry, revision, name: "Upper Mill Foundry" });
  const { late, who } = await shown();
  expect(late).toEqual(["Upper Mill Foundry"]);
  expect(who).toContain("Upper Mill Foundry");
  // A name by which entries are told raises the plan revision of every restoration of the workshop.
  const again = await server.store.supplier.findUniqueOrThrow({ where: { id: rows.foundry } });
  await saved(server, "Supplier", { id: rows.foundry, revision: again.revision, name: "Mill Foundry" });
  expect((await shown()).late).toEqual(["Mill Foundry"]);
});
