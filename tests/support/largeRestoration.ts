/** A generated restoration of any size, written straight to the store: for the benchmark and for tests of many rows. */

import { addDays } from "../../server/engine/time/date.ts";
import type { Store } from "../../server/store/client.ts";
import { seeded } from "./networks.ts";

export interface LargeRestoration {
  id: string;
  operations: number;
  parts: number;
}

/** Three quotes a part, two links and a need and a half an operation, one lag in fifty in calendar days. */
export async function largeRestoration(
  store: Store,
  { parts = 1_000, operations = 1_500, seed = 11 }: { parts?: number; operations?: number; seed?: number } = {},
): Promise<LargeRestoration> {
  const random = seeded(seed);
  const pick = (n: number): number => Math.floor(random() * n);
  const workshop =
    (await store.workshop.findFirst()) ?? (await store.workshop.create({ data: { name: "Quill Lane Workshop" } }));
  const hours = { monday: 7.5, tuesday: 7.5, wednesday: 7.5, thursday: 7.5, friday: 7.5 };
  const calendar = { workshopId: workshop.id, ...hours, figuresFor: "2026-11-23" };
  await store.shopCalendar.upsert({ where: { workshopId: workshop.id }, update: calendar, create: calendar });
  const { id } = await store.restoration.create({
    data: {
      workshopId: workshop.id,
      machine: "Generated machine",
      targetDate: "2028-06-17",
      currency: "GBP",
    },
  });
  const row = (kind: string, i: number): string => `${id}-${kind}-${i}`;
  const suppliers = Array.from({ length: 40 }, (_, i) => ({
    id: row("supplier", i),
    workshopId: workshop.id,
    code: `${id}-${i}`,
    name: `Supplier ${i}`,
    country: "GB",
  }));
  await store.supplier.createMany({ data: suppliers });
  await store.operation.createMany({
    data: Array.from({ length: operations }, (_, i) => ({
      id: row("operation", i),
      restorationId: id,
      code: String(i + 1),
      title: `Operation ${i}`,
      trade: ["engine", "body", "paint", "trim", "machining"][i % 5]!,
      hoursLikely: 1 + pick(24),
    })),
  });
  const links = new Map<string, { beforeId: string; afterId: string; lag: number; lagUnit: "DAYS" | "HOURS" }>();
  for (let i = 1; i < operations; i++) {
    for (let k = 0; k < 2; k++) {
      const before = Math.max(0, i - 1 - pick(30));
      const inDays = random() < 0.02;
      links.set(`${before} ${i}`, {
        beforeId: row("operation", before),
        afterId: row("operation", i),
        lag: inDays ? 1 + pick(4) : 0,
        lagUnit: inDays ? "DAYS" : "HOURS",
      });
    }
  }
  await store.link.createMany({ data: [...links.values()].map((link) => ({ ...link, restorationId: id })) });
  await store.part.createMany({
    data: Array.from({ length: parts }, (_, i) => ({
      id: row("part", i),
      restorationId: id,
      code: String(i + 1),
      name: `Part ${i}`,
      group: ["engine", "frame", "body", "electrics"][i % 4]!,
      stateOnHand: i % 5 === 0 ? ("IN_HAND" as const) : ("MISSING" as const),
    })),
  });
  await store.quote.createMany({
    data: Array.from({ length: parts * 3 }, (_, q) => ({
      id: row("quote", q),
      restorationId: id,
      partId: row("part", Math.floor(q / 3)),
      supplierId: suppliers[pick(suppliers.length)]!.id,
      code: String(q + 1),
      provenance: "REPRODUCTION" as const,
      unitPriceMinor: 1_000 + pick(50_000),
      currency: "GBP",
      leadDays: 7 + pick(900),
      validUntil: addDays("2026-11-23", 30 + pick(200)),
    })),
  });
  for (let i = 0; i < parts; i += 2)
    await store.part.update({ where: { id: row("part", i) }, data: { chosenQuoteId: row("quote", 3 * i + pick(3)) } });
  const needs = new Map<string, { operationId: string; partId: string }>();
  for (let i = 0; i < parts * 1.5; i++) {
    const partIndex = i % parts;
    const operation = Math.min(operations - 1, Math.floor((partIndex / parts) * operations) + pick(20));
    needs.set(`${operation} ${partIndex}`, {
      operationId: row("operation", operation),
      partId: row("part", partIndex),
    });
  }
  await store.need.createMany({ data: [...needs.values()].map((need) => ({ ...need, restorationId: id })) });
  return { id, operations, parts };
}
