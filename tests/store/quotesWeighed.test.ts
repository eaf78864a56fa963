/** The second migration keeps every row of a database written before it. */
import { cp, mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { createClient } from "@libsql/client";
import { afterAll, beforeAll, expect, it } from "vitest";
import { openStore } from "../../server/store/client.ts";
import { migrate } from "../../server/store/migrate.ts";

const MIGRATIONS = path.join(import.meta.dirname, "../../prisma/migrations");
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-old-"));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

it("a restoration written before keeps its rows and choices, and takes the new columns' defaults", async () => {
  const file = path.join(folder, "lastbolt.db");
  const [first = ""] = (await readdir(MIGRATIONS)).filter((name) => /^\d/.test(name)).sort();
  await cp(path.join(MIGRATIONS, first), path.join(folder, "migrations", first), { recursive: true });
  await migrate(file, { migrations: path.join(folder, "migrations") });
  const old = createClient({ url: `file:${file}` });
  await old.executeMultiple(`
    INSERT INTO "Workshop" (id, name) VALUES ('w', 'Quill Lane Workshop');
    INSERT INTO "Restoration" (id, workshopId, machine, planRevision) VALUES ('r', 'w', 'Cyclecar', 7);
    INSERT INTO "Operation" (id, restorationId, code, title, hoursLikely) VALUES ('o1', 'r', 'STRIP', 'Strip', 8), ('o2', 'r', 'FIT', 'Fit', 4);
    INSERT INTO "Link" (id, restorationId, beforeId, afterId) VALUES ('l', 'r', 'o1', 'o2');
    INSERT INTO "Part" (id, restorationId, code, name) VALUES ('p', 'r', 'P1', 'Magneto');
    INSERT INTO "SpecificationRow" (id, partId, dimension, nominal) VALUES ('s', 'p', 'Taper', 15);
    INSERT INTO "Need" (id, restorationId, operationId, partId) VALUES ('n', 'r', 'o2', 'p');
    INSERT INTO "Supplier" (id, workshopId, code, name) VALUES ('m', 'w', 'M', 'Maker');
    INSERT INTO "Quote" (id, restorationId, partId, supplierId, code, provenance, unitPriceMinor, currency, leadDays)
      VALUES ('q', 'r', 'p', 'm', 'Q1', 'ORIGINAL', 100, 'GBP', 9);
    INSERT INTO "PriceBreak" (id, quoteId, quantity, unitPriceMinor) VALUES ('b', 'q', 2, 90);
    UPDATE "Part" SET chosenQuoteId = 'q';
    INSERT INTO "Order" (id, restorationId, partId, quoteId, code, placedOn, promisedOn, totalMinor, currency)
      VALUES ('d', 'r', 'p', 'q', 'O1', '2026-11-01', '2026-11-10', 100, 'GBP');
    INSERT INTO "Payment" (id, orderId, kind, paidOn, amountMinor, currency) VALUES ('y', 'd', 'DEPOSIT', '2026-11-01', 50, 'GBP');
  `);
  old.close();
  expect((await migrate(file)).applied[0]).toMatch(/quotes_weighed$/);
  const store = await openStore(file);
  const restoration = await store.restoration.findUniqueOrThrow({
    where: { id: "r" },
    include: {
      operations: { orderBy: { code: "desc" } },
      links: true,
      needs: true,
      parts: { include: { specification: true } },
      quotes: { include: { priceBreaks: true } },
      orders: { include: { payments: true } },
    },
  });
  expect(restoration).toMatchObject({
    planRevision: 7,
    customsBasis: "CIF",
    carriageTaxed: true,
    pricePerDayMinor: null,
    operations: [
      { code: "STRIP", chosenWayId: null },
      { code: "FIT", chosenWayId: null },
    ],
    links: [{ beforeId: "o1", afterId: "o2" }],
    needs: [{ operationId: "o2", partId: "p" }],
    parts: [
      { chosenQuoteId: "q", visible: true, kept: false, specification: [{ dimension: "Taper", nature: "OUTSIDE" }] },
    ],
    quotes: [{ code: "Q1", ruledOut: false, condition: "SERVICEABLE", priceBreaks: [{ unitPriceMinor: 90 }] }],
    orders: [{ code: "O1", payments: [{ amountMinor: 50 }] }],
  });
  await store.$disconnect();
});
