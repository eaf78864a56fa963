/** Restorations of every shape the schema allows, with odd texts in every field, written straight into the store. */
import fc from "fast-check";
import { today } from "../../server/plan/days/today.ts";
import { comesBack } from "../../server/plan/money/payment.ts";
import type { Store } from "../../server/store/client.ts";
import {
  CONDITIONS,
  CUSTOMS_BASES,
  DIMENSION_NATURES,
  HUNT_STATES,
  INCOTERMS,
  OPERATION_STATES,
  ORDER_STATES,
  PAYMENT_KINDS,
  PROVENANCES,
  STATES_ON_HAND,
  SUPPLIER_KINDS,
} from "../../server/store/rules.ts";
import { asText } from "../../server/store/texts.ts";

const odd = (maxLength: number) =>
  fc
    .oneof(
      fc.string({ maxLength: maxLength / 4 }),
      fc.string({ unit: "binary", maxLength: maxLength / 4 }),
      fc.string({
        unit: fc.constantFrom('"', "'", ",", ";", "\t", "\r", "\n", "\uFEFF", "=", "+", "-", "@", " ", "1", "é"),
        maxLength: maxLength / 4,
      }),
      fc.constantFrom("", "=code", "'=1", "-5", "1,5", "=SUM(A1)", "\r\n", '"', " x "),
    )
    .map((text) => text.replaceAll("\0", ""));
/** The same on one line, as all but notes and descriptions are. */
const line = (maxLength: number) =>
  odd(maxLength).map((text) => text.replace(/[\p{Cc}\p{Zl}\p{Zp}\u202d\u202e]/gu, ""));
const name = (maxLength: number) => line(maxLength).map((text) => (text.trim() === "" ? "name" : text));
/** Codes differ from one another whatever spaces stand around them. */
const codes = (count: number) =>
  fc.uniqueArray(
    name(40).map((text) => text.trim()),
    { minLength: count, maxLength: count },
  );
const date = fc
  .integer({ min: 0, max: 20_000 })
  .map((day) => new Date(Date.UTC(2000, 0, 1 + day)).toISOString().slice(0, 10));
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: null });
const hours = fc.double({ min: 0, max: 1000, noNaN: true }).map((h) => h + 0);
const rate = fc.oneof(
  fc.double({ min: 0, max: 1, noNaN: true }).map((r) => r + 0),
  fc.constantFrom(0.07, 0.175, 0.29),
);
const minor = fc.integer({ min: 0, max: 2 ** 31 - 1 });
const currency = fc.constantFrom("GBP", "JPY", "KWD", "EUR");
const rising = <T extends number | string>(arbitrary: fc.Arbitrary<T>, count: number) =>
  fc
    .array(arbitrary, { minLength: count, maxLength: count })
    .map((all) => all.sort((a, b) => (a < b ? -1 : a > b ? 1 : 0)));

const COUNT = 4;
const each = <T>(arbitrary: fc.Arbitrary<T>) => fc.array(arbitrary, { minLength: COUNT, maxLength: COUNT });

/** What one restoration is made of. */
export const restorationSeed = fc.record({
  figuresFor: maybe(date),
  restoration: fc.record({
    machine: name(200),
    owner: line(200),
    description: odd(400),
    targetName: line(200),
    targetDate: maybe(date),
    currency,
    capMinor: maybe(minor),
    confidence: maybe(fc.double({ min: 0.01, max: 0.99, noNaN: true })),
    pricePerDayMinor: maybe(minor),
    pricePerPointMinor: maybe(minor),
    pointStep: maybe(fc.double({ min: 0.01, max: 100, noNaN: true })),
    customsBasis: fc.constantFrom(...CUSTOMS_BASES),
    carriageTaxed: fc.boolean(),
  }),
  week: fc.array(fc.double({ min: 0.5, max: 24, noNaN: true }), { minLength: 7, maxLength: 7 }),
  closed: fc.uniqueArray(date, { maxLength: 3 }),
  reason: line(200),
  trades: fc.uniqueArray(name(80), { maxLength: 2, selector: (text) => text.trim() }),
  sections: fc.uniqueArray(name(80), { maxLength: 3, selector: (text) => text.trim() }),
  lines: fc.array(
    fc.record({
      title: name(200),
      maximum: hours,
      mandatory: fc.boolean(),
      disqualifying: fc.boolean(),
      position: fc.integer({ min: 0, max: 9 }),
    }),
    { maxLength: 3 },
  ),
  caps: each(maybe(hours)),
  deductions: fc.uniqueArray(fc.record({ provenance: fc.constantFrom(...PROVENANCES), points: hours }), {
    maxLength: 3,
    selector: ({ provenance }) => provenance,
  }),
  hands: fc.uniqueArray(
    fc.record({
      name: name(150),
      people: fc.integer({ min: 1, max: 9 }),
      trades: fc.uniqueArray(name(100), { minLength: 1, maxLength: 3 }).map(asText),
      monday: fc.double({ min: 0, max: 24, noNaN: true }).map((h) => h + 0),
      span: rising(date, 2),
      stays: fc.boolean(),
      askSame: fc.boolean(),
      absences: fc.uniqueArray(rising(date, 2), { maxLength: 3, selector: (days) => days.join() }),
    }),
    { maxLength: 3, selector: ({ name: one }) => one.trim() },
  ),
  operationCodes: codes(COUNT),
  wayCodes: codes(COUNT),
  findKeys: codes(COUNT),
  partCodes: codes(COUNT),
  supplierCodes: codes(COUNT),
  quoteCodes: codes(COUNT),
  orderCodes: codes(COUNT),
  snagCodes: codes(COUNT),
  remedyCodes: codes(COUNT),
  operations: each(
    fc.record({
      title: name(200),
      trade: line(100),
      group: line(100),
      three: maybe(rising(hours, 3)),
      likely: hours,
      state: fc.constantFrom(...OPERATION_STATES),
      span: rising(date, 2),
      remainingHours: maybe(hours),
      hands: fc.integer({ min: 1, max: 9 }),
      alsoTrades: fc.array(name(100), { maxLength: 3 }).map(asText),
      first: fc.boolean(),
      mayBePutDown: fc.boolean(),
      notBefore: maybe(date),
      line: maybe(fc.nat(2)),
      notes: odd(400),
    }),
  ),
  lags: each(
    fc.record({
      lag: fc.double({ min: -50, max: 50, noNaN: true }).map((h) => h + 0),
      lagUnit: fc.constantFrom("HOURS" as const, "DAYS" as const),
    }),
  ),
  ways: each(
    fc.record({
      operation: fc.nat(COUNT - 1),
      supplier: maybe(fc.nat(COUNT - 1)),
      title: name(200),
      hours,
      days: fc.nat(500),
      priceMinor: minor,
      currency,
      points: hours,
      chosen: fc.boolean(),
    }),
  ),
  ruledOut: fc.uniqueArray(fc.record({ part: fc.nat(COUNT - 1), provenance: fc.constantFrom(...PROVENANCES) }), {
    maxLength: 4,
    selector: (ban) => `${ban.part} ${ban.provenance}`,
  }),
  parts: each(
    fc.record({
      kept: fc.boolean(),
      visible: fc.boolean(),
      judged: maybe(fc.nat(2)),
      line: maybe(fc.nat(2)),
      name: name(200),
      group: line(100),
      quantity: fc.integer({ min: 1, max: 99 }),
      stateOnHand: fc.constantFrom(...STATES_ON_HAND),
      estimateMinor: maybe(minor),
      notes: odd(400),
      chosen: fc.boolean(),
    }),
  ),
  references: fc.array(fc.record({ part: fc.nat(COUNT - 1), book: line(100), number: name(100) }), { maxLength: 5 }),
  dimensions: fc.array(
    fc.record({
      part: fc.nat(COUNT - 1),
      dimension: name(100),
      nominal: hours,
      unit: fc.constantFrom("MM" as const, "IN" as const),
      minus: hours,
      plus: hours,
      nature: fc.constantFrom(...DIMENSION_NATURES),
      note: line(100),
    }),
    { maxLength: 5 },
  ),
  suppliers: each(
    fc.record({
      name: name(200),
      kind: fc.constantFrom(...SUPPLIER_KINDS),
      country: fc.constantFrom("", "GB", "DE"),
      email: line(200),
      phone: line(100),
      website: line(300),
      currency,
      carriageMinor: fc.constantFrom(0, 0, 1_140),
      minimumMinor: fc.constantFrom(0, 0, 18_000),
      shareBy: fc.constantFrom("VALUE" as const, "WEIGHT" as const),
      notes: odd(400),
    }),
  ),
  quotes: each(
    fc.record({
      part: fc.nat(COUNT - 1),
      supplier: fc.nat(COUNT - 1),
      provenance: fc.constantFrom(...PROVENANCES),
      unitPriceMinor: minor,
      currency,
      minimumQuantity: fc.integer({ min: 1, max: 50 }),
      carriageMinor: minor,
      insuranceMinor: minor,
      dutyRate: rate,
      taxRate: rate,
      incoterm: fc.constantFrom(...INCOTERMS),
      depositMinor: minor,
      leadDays: fc.nat(900),
      leads: maybe(rising(fc.nat(900), 3)),
      orderFrom: maybe(date),
      validUntil: maybe(date),
      preparationHours: hours,
      pointsByHand: hours,
      ruledOut: fc.boolean(),
      fallback: fc.boolean(),
      condition: fc.constantFrom(...CONDITIONS),
      coreChargeMinor: minor,
      coreReturned: fc.boolean(),
      weightGrams: fc.constantFrom(null, 1, 2_400),
      notes: odd(400),
    }),
  ),
  knockOns: fc.array(
    fc.record({ quote: fc.nat(COUNT - 1), title: name(200), priceMinor: minor, currency, hours, points: hours }),
    { maxLength: 4 },
  ),
  stated: fc.uniqueArray(
    fc.record({
      quote: fc.nat(COUNT - 1),
      dimension: name(100),
      value: hours,
      unit: fc.constantFrom("MM" as const, "IN" as const),
    }),
    { maxLength: 4, selector: (row) => `${row.quote} ${row.dimension.trim()}` },
  ),
  finds: each(
    fc.record({
      part: maybe(fc.nat(COUNT - 1)),
      quote: maybe(fc.nat(COUNT - 1)),
      what: name(400),
      seller: line(200),
      askedMinor: maybe(minor),
      currency,
      provenance: maybe(fc.constantFrom(...PROVENANCES)),
      condition: maybe(fc.constantFrom(...CONDITIONS)),
      notes: odd(400),
      foundOn: date,
    }),
  ),
  rates: fc.array(
    fc.record({
      date,
      counter: fc.constantFrom("GBP", "JPY", "KWD", "CHF"),
      rate: fc.constantFrom("0.85123", "163.40", "0.000012", "1"),
    }),
    { maxLength: 3 },
  ),
  breaks: fc.uniqueArray(
    fc.record({ quote: fc.nat(COUNT - 1), quantity: fc.integer({ min: 1, max: 9 }), unitPriceMinor: minor }),
    { maxLength: 4, selector: (b) => `${b.quote} ${b.quantity}` },
  ),
  orders: fc.array(
    fc.record({
      quote: fc.nat(COUNT - 1),
      quantity: fc.integer({ min: 1, max: 9 }),
      state: fc.constantFrom(...ORDER_STATES),
      span: rising(date, 2),
      expectedOn: maybe(date),
      fitRating: maybe(fc.integer({ min: 1, max: 5 })),
      totalMinor: minor,
      currency,
      notes: odd(400),
    }),
    { maxLength: COUNT },
  ),
  payments: fc.array(
    fc.record({
      kind: fc.constantFrom(...PAYMENT_KINDS),
      paidOn: date,
      amountMinor: fc.integer({ min: 1, max: 5 }),
      currency,
      notes: odd(200),
    }),
    { maxLength: 4 },
  ),
  hunts: fc.uniqueArray(
    fc.record({
      part: fc.nat(COUNT - 1),
      state: fc.constantFrom(...HUNT_STATES),
      span: rising(date, 2),
      stops: fc.boolean(),
      chancePerWeek: fc.oneof(fc.double({ min: 1e-6, max: 0.999, noNaN: true }), fc.constantFrom(0.07, 0.029)),
      beliefWeeks: fc.double({ min: 0.01, max: 5200, noNaN: true }),
      priceMinor: maybe(minor),
      currency,
      provenance: fc.constantFrom(...PROVENANCES),
      leadDays: fc.nat(900),
      preparationHours: hours,
      notes: odd(400),
      events: fc.array(fc.record({ date, title: name(200), chance: rate }), { maxLength: 3 }),
    }),
    { maxLength: 3, selector: ({ part }) => part },
  ),
  snags: each(
    fc.record({
      operation: fc.nat(COUNT - 1),
      title: name(200),
      description: odd(400),
      span: rising(date, 2),
      cleared: fc.boolean(),
      chosen: fc.boolean(),
    }),
  ),
  remedies: each(
    fc.record({
      snag: fc.nat(COUNT - 1),
      supplier: maybe(fc.nat(COUNT - 1)),
      title: name(200),
      priceMinor: minor,
      currency,
      days: fc.nat(500),
      hours,
      points: hours,
      notes: odd(400),
    }),
  ),
  inspections: fc.array(
    fc.record({
      part: fc.nat(COUNT - 1),
      operation: maybe(fc.nat(COUNT - 1)),
      inspector: name(200),
      inspectedOn: date,
      what: name(400),
    }),
    { maxLength: 3 },
  ),
});

export type RestorationSeed = typeof restorationSeed extends fc.Arbitrary<infer T> ? T : never;

/** Writes one restoration, and returns its id. Supplier codes carry `mark`, since the workshop's restorations share them. */
export async function plant(store: Store, workshopId: string, seed: RestorationSeed, mark: string): Promise<string> {
  const [monday, tuesday, wednesday, thursday, friday, saturday, sunday] = seed.week as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  // What is done is done by the day of the figures, or by today.
  const last = [seed.figuresFor ?? "", today()].sort().at(-1)!;
  const past = (day: string): string => (day > last ? last : day);
  const week = { monday, tuesday, wednesday, thursday, friday, saturday, sunday, figuresFor: seed.figuresFor };
  await store.shopCalendar.upsert({ where: { workshopId }, update: week, create: { workshopId, ...week } });
  const listed = await store.closedDate.findMany({ where: { workshopId }, select: { date: true } });
  const closed = seed.closed.filter((day) => !listed.some(({ date }) => date === day));
  await store.closedDate.createMany({ data: closed.map((day) => ({ workshopId, date: day, reason: seed.reason })) });
  const { id: restorationId } = await store.restoration.create({
    data: {
      workshopId,
      ...seed.restoration,
      tradeRates: { create: seed.trades.map((trade, i) => ({ trade, rateMinor: i })) },
      floors: { create: seed.sections.map((award, i) => ({ award, points: i * 2.5 })) },
    },
  });
  for (const { name: one, span, stays, absences, ...rest } of seed.hands)
    await store.hand.create({
      data: {
        workshopId,
        name: `${one}${mark}`,
        joinsOn: span[0]!,
        leavesOn: stays ? null : span[1]!,
        ...rest,
        absences: {
          create: absences.map(([fromDate, toDate]) => ({ workshopId, fromDate: fromDate!, toDate: toDate! })),
        },
      },
    });
  for (const [i, section] of seed.sections.entries())
    await store.judgingSection.create({
      data: {
        restorationId,
        name: section,
        maximum: i,
        cap: seed.caps[i]!,
        position: i * 3,
        lines: { create: seed.lines },
        deductions: { create: seed.deductions },
      },
    });
  const sections = await store.judgingSection.findMany({ where: { restorationId }, orderBy: { position: "asc" } });
  const every = await store.judgingLine.findMany({
    where: { section: { restorationId } },
    orderBy: [{ section: { position: "asc" } }, { id: "asc" }],
  });
  // A file names a line by its title, so of two that are called the same it means the first.
  const titled = (line: (typeof every)[number]): string => `${line.sectionId} ${line.title.trim()}`;
  const lines = every.filter((line) => every.filter((one) => titled(one) === titled(line)).length === 1);
  // The workshop's restorations share their rates: what stands there already stays.
  for (const row of seed.rates)
    await store.exchangeRate.upsert({
      where: {
        workshopId_base_counter_date: { workshopId, base: "EUR", counter: row.counter, date: row.date },
      },
      create: { ...row, workshopId, base: "EUR" },
      update: {},
    });
  const ids = (kind: string) => Array.from({ length: COUNT }, (_, i) => `${restorationId}-${kind}-${i}`);
  const [operation, part, supplier, quote, order, snag, remedy] = [
    "operation",
    "part",
    "supplier",
    "quote",
    "order",
    "snag",
    "remedy",
  ].map(ids) as [string[], string[], string[], string[], string[], string[], string[]];
  await store.operation.createMany({
    data: seed.operations.map(({ three, likely, span, line, ...rest }, i) => ({
      judgingLineId: line === null ? null : (lines[line]?.id ?? null),
      ...rest,
      id: operation[i]!,
      restorationId,
      code: seed.operationCodes[i]!,
      hoursLeast: three?.[0] ?? null,
      hoursLikely: three?.[1] ?? likely,
      hoursMost: three?.[2] ?? null,
      startedOn: past(span[0]!),
      finishedOn: past(span[1]!),
    })),
  });
  await store.link.createMany({
    data: seed.lags
      .slice(1)
      .map((lag, i) => ({ ...lag, restorationId, beforeId: operation[i]!, afterId: operation[i + 1]! })),
  });
  await store.part.createMany({
    data: seed.parts.map(({ chosen: _, judged, line, ...rest }, i) => ({
      judgingLineId: line === null ? null : (lines[line]?.id ?? null),
      ...rest,
      judgingSectionId: judged === null ? null : (sections[judged]?.id ?? null),
      id: part[i]!,
      restorationId,
      code: seed.partCodes[i]!,
    })),
  });
  await store.need.createMany({
    data: seed.parts.map(({ quantity }, i) => ({
      restorationId,
      quantity,
      operationId: operation[(i * 3) % COUNT]!,
      partId: part[i]!,
    })),
  });
  await store.partReference.createMany({
    data: seed.references.map(({ part: of, ...rest }) => ({ ...rest, partId: part[of]! })),
  });
  await store.specificationRow.createMany({
    data: seed.dimensions.map(({ part: of, ...rest }, position) => ({ ...rest, position, partId: part[of]! })),
  });
  await store.supplier.createMany({
    data: seed.suppliers.map((rest, i) => ({
      ...rest,
      id: supplier[i]!,
      workshopId,
      code: `${seed.supplierCodes[i]}${mark}`,
    })),
  });
  await store.ruledOut.createMany({
    data: seed.ruledOut.map(({ part: of, ...rest }) => ({ ...rest, partId: part[of]! })),
  });
  const way = ids("way");
  await store.operationWay.createMany({
    data: seed.ways.map(({ operation: of, supplier: by, chosen: _, ...rest }, i) => ({
      ...rest,
      id: way[i]!,
      restorationId,
      code: seed.wayCodes[i]!,
      operationId: operation[of]!,
      supplierId: by === null ? null : supplier[by]!,
    })),
  });
  for (const [i, { operation: of, chosen }] of seed.ways.entries())
    if (chosen) await store.operation.update({ where: { id: operation[of]! }, data: { chosenWayId: way[i]! } });
  await store.quote.createMany({
    data: seed.quotes.map(({ part: of, supplier: by, leads, fallback: _, ...rest }, i) => ({
      ...rest,
      id: quote[i]!,
      restorationId,
      code: seed.quoteCodes[i]!,
      partId: part[of]!,
      supplierId: supplier[by]!,
      leadLeast: leads?.[0] ?? null,
      leadLikely: leads?.[1] ?? null,
      leadMost: leads?.[2] ?? null,
    })),
  });
  for (const [i, { part: of }] of seed.quotes.entries())
    if (seed.parts[of]!.chosen)
      await store.part.update({ where: { id: part[of]! }, data: { chosenQuoteId: quote[i]! } });
  for (const [i, { part: of, fallback }] of seed.quotes.entries())
    if (fallback) await store.part.update({ where: { id: part[of]! }, data: { fallbackQuoteId: quote[i]! } });
  for (const { part: of, span, stops, events, ...rest } of seed.hunts)
    await store.hunt.create({
      data: {
        ...rest,
        restorationId,
        partId: part[of]!,
        begunOn: span[0]!,
        stopDate: stops ? span[1]! : null,
        events: { create: events },
      },
    });
  await store.priceBreak.createMany({
    data: seed.breaks.map(({ quote: of, ...rest }) => ({ ...rest, quoteId: quote[of]! })),
  });
  await store.knockOn.createMany({
    data: seed.knockOns.map(({ quote: of, ...rest }, position) => ({ ...rest, position, quoteId: quote[of]! })),
  });
  await store.statedDimension.createMany({
    data: seed.stated.map(({ quote: of, ...rest }, position) => ({ ...rest, position, quoteId: quote[of]! })),
  });
  await store.find.createMany({
    data: seed.finds.map(({ part: of, quote: became, ...rest }, i) => ({
      ...rest,
      restorationId,
      clientKey: seed.findKeys[i]!,
      partId: of === null ? null : part[of]!,
      quoteId: became === null ? null : quote[became]!,
    })),
  });
  await store.order.createMany({
    data: seed.orders.map(({ quote: of, span, ...rest }, i) => ({
      ...rest,
      id: order[i]!,
      restorationId,
      code: seed.orderCodes[i]!,
      quoteId: quote[of]!,
      partId: part[seed.quotes[of]!.part]!,
      placedOn: past(span[0]!),
      promisedOn: span[1]!,
      arrivedOn: rest.state === "PLACED" ? null : past(span[1]!),
    })),
  });
  if (seed.orders.length > 0)
    await store.payment.createMany({
      data: seed.payments.flatMap((rest) => {
        // Nothing was paid after the day that figures are for, and nothing comes back that was not paid.
        const day = seed.figuresFor ?? today();
        const [paidOn] = [rest.paidOn, day].sort();
        const payment = { ...rest, paidOn: paidOn!, restorationId, orderId: order[0]! };
        return comesBack(rest.kind) ? [{ ...payment, kind: "DEPOSIT" as const }, payment] : [payment];
      }),
    });
  await store.snag.createMany({
    data: seed.snags.map(({ operation: of, span, cleared, title, description }, i) => ({
      id: snag[i]!,
      restorationId,
      code: seed.snagCodes[i]!,
      title,
      description,
      operationId: operation[of]!,
      foundOn: span[0]!,
      clearedOn: cleared ? span[1]! : null,
    })),
  });
  await store.remedy.createMany({
    data: seed.remedies.map(({ snag: of, supplier: by, ...rest }, i) => ({
      ...rest,
      id: remedy[i]!,
      restorationId,
      code: seed.remedyCodes[i]!,
      snagId: snag[of]!,
      supplierId: by === null ? null : supplier[by]!,
    })),
  });
  for (const [i, { snag: of }] of seed.remedies.entries())
    if (seed.snags[of]!.chosen)
      await store.snag.update({ where: { id: snag[of]! }, data: { chosenRemedyId: remedy[i]! } });
  await store.inspection.createMany({
    data: seed.inspections.map(({ part: of, operation: at, ...rest }) => ({
      ...rest,
      restorationId,
      partId: part[of]!,
      operationId: at === null ? null : operation[at]!,
    })),
  });
  return restorationId;
}
