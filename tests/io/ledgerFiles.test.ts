import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { exportFiles } from "../../server/io/export.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import type { Store } from "../../server/store/client.ts";
import { testStore } from "../support/store.ts";

let store: Store;
let close: () => Promise<void>;
let workshopId: string;
let accountId: string;
let demo: string;

/** The demo with a payment, an invoice and hours that were each put right. */
beforeAll(async () => {
  ({ store, close } = await testStore());
  await seedDemo(store);
  ({ id: accountId, workshopId } = await store.account.findFirstOrThrow());
  ({ id: demo } = await store.restoration.findFirstOrThrow());
  const paid = await store.payment.findFirstOrThrow({ where: { order: { code: "QL-107" } } });
  const { id: _, revision: __, ...rest } = paid;
  const back = await store.payment.create({ data: { ...rest, amountMinor: -paid.amountMinor, correctsId: paid.id } });
  await store.payment.create({ data: { ...rest, amountMinor: paid.amountMinor, correctsId: back.id } });
  const invoice = await store.invoice.findFirstOrThrow({ where: { code: "QL/113/2" } });
  const { id: _i, revision: _r, ...asked } = invoice;
  await store.invoice.create({
    data: { ...asked, code: "A back", amountMinor: -invoice.amountMinor, correctsId: invoice.id },
  });
  const operation = await store.operation.findFirstOrThrow({ where: { code: "HUBS" } });
  // Work sent out and a remedy, paid without an order; one of the payments put right.
  const priced = { restorationId: demo, currency: "GBP" };
  const sent = await store.operationWay.create({
    data: { ...priced, operationId: operation.id, code: "Y-OUT", title: "Sent out", priceMinor: 9_000 },
  });
  const remedy = await store.remedy.findFirstOrThrow({ where: { restorationId: demo }, orderBy: { code: "asc" } });
  const cash = { ...priced, kind: "PART_PAYMENT", paidOn: "2026-11-20", amountMinor: 4_000 } as const;
  const wrong = await store.payment.create({ data: { ...cash, wayId: sent.id } });
  await store.payment.create({ data: { ...cash, wayId: sent.id, amountMinor: -4_000, correctsId: wrong.id } });
  await store.payment.create({ data: { ...cash, remedyId: remedy.id } });
  const work = { restorationId: demo, operationId: operation.id, accountId, currency: "GBP", workedOn: "2026-11-09" };
  const booked = await store.hoursBooked.create({ data: { ...work, clientKey: "z", hours: 7.25, rateMinor: 3_800 } });
  await store.hoursBooked.create({ data: { ...work, clientKey: "a", hours: -1.5, correctsId: booked.id } });
});
afterAll(() => close());

const files = async (id: string) => exportFiles(store, workshopId, id);
const setOf = (texts: ReadonlyMap<string, string>) => ({
  files: new Map([...texts].map(([name, text]) => [name, new TextEncoder().encode(text)])),
  notices: [],
});
const prepare = (texts: ReadonlyMap<string, string>, restorationId: string | null) =>
  prepareImport(store, setOf(texts), { workshopId, accountId, restorationId });

describe("the ledger in files", () => {
  it("goes out and comes back in without a change", async () => {
    const { preview } = await prepare(await files(demo), demo);
    expect(preview.faults).toEqual([]);
    expect(preview.counts.filter(({ added, changed }) => added + changed > 0)).toEqual([]);
  });

  it("makes another restoration whose files are the same, corrections and all", async () => {
    const out = await files(demo);
    const { restorationId } = await applyImport(store, await prepare(out, null));
    const again = await files(restorationId);
    for (const file of ["payments.csv", "invoices.csv", "hours.csv", "restoration.json"])
      expect(again.get(file)).toBe(out.get(file));
    const taken = await store.payment.findMany({ where: { restorationId, correctsId: { not: null } } });
    expect(taken.length).toBe(3);
    const direct = await store.payment.findMany({ where: { restorationId, orderId: null }, include: { remedy: true } });
    expect(direct.filter(({ wayId }) => wayId !== null)).toHaveLength(2);
    expect(direct.filter(({ remedy }) => remedy !== null)).toHaveLength(1);
  });

  it("refuses a file that would change an entry, and one that takes back what is not there", async () => {
    const out = await files(demo);
    const altered = (name: string, from: string, to: string) => {
      expect(out.get(name)).toContain(from);
      return new Map([[name, out.get(name)!.replace(from, to)]]);
    };
    const faults = async (texts: ReadonlyMap<string, string>) =>
      (await prepare(texts, demo)).preview.faults.map(({ code, file }) => [code, file]);
    expect(await faults(altered("invoices.csv", "4800.00", "4900.00"))).toEqual([["LEDGER", "invoices.csv"]]);
    expect(await faults(altered("hours.csv", "7.25", "7.5"))).toEqual([["LEDGER", "hours.csv"]]);
    const lost = "order,kind,paid_on,amount,corrects\r\nQL-101,balance,2026-08-17,-1.00,2026-08-17\r\n";
    expect(await faults(new Map([["payments.csv", lost]]))).toEqual([["UNKNOWN_ROW", "payments.csv"]]);
    const minus = "order,kind,paid_on,amount\r\nQL-101,balance,2026-08-17,-1.00\r\n";
    expect(await faults(new Map([["payments.csv", minus]]))).toEqual([["NEGATIVE", "payments.csv"]]);
    const forBoth = "order,way,kind,paid_on,amount\r\nQL-101,Y-OUT,balance,2026-08-17,1.00\r\n";
    expect(await faults(new Map([["payments.csv", forBoth]]))).toEqual([["NOT_A_CHOICE", "payments.csv"]]);
    const forNothing = "order,kind,paid_on,amount\r\n,balance,2026-08-17,1.00\r\n";
    expect(await faults(new Map([["payments.csv", forNothing]]))).toEqual([["REQUIRED", "payments.csv"]]);
  });
});
