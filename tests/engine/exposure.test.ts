import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { amountQuantile, contingency } from "../../server/engine/money/contingency.ts";
import {
  BUCKETS,
  type ExposureInput,
  type ExposureSum,
  exposure,
  movedMinor,
  type OrderEntry,
  owedOf,
  type PaymentEntry,
  type PaymentKind,
} from "../../server/engine/money/exposure.ts";
import { byCurrency, byGroup, byMonth } from "../../server/engine/money/exposureGroups.ts";
import { ratioOf } from "../../server/engine/money/ratio.ts";

const POUND = { code: "GBP", decimals: 2 };
const FRANC = { code: "CHF", decimals: 2 };
const YEN = { code: "JPY", decimals: 0 };
const DINAR = { code: "KWD", decimals: 3 };
const one = ratioOf("1")!;

const nothing: ExposureInput = {
  currency: POUND,
  capMinor: null,
  capCoversLabour: false,
  orders: [],
  ahead: [],
  labourDone: [],
  labourToGo: [],
  owner: [],
};
const order: OrderEntry = {
  id: "casing",
  group: "Transmission",
  currency: POUND,
  totalMinor: 95_160,
  sentBack: false,
  late: false,
  dueOn: "2027-02-19",
  rate: one,
  payments: [],
};
const pay = (id: string, kind: PaymentKind, amountMinor: number, day = "2026-07-06"): PaymentEntry => ({
  id,
  kind,
  day,
  amountMinor,
  currency: POUND,
  rate: one,
});
const exact = (amount: number): ExposureSum => ({ low: amount, planned: amount, high: amount, unknown: 0 });

describe("an order's account", () => {
  it("owes what was not paid: £951.60 ordered, £300.00 and £240.00 paid, £411.60 owed", () => {
    const payments = [pay("a", "DEPOSIT", 30_000), pay("b", "PART_PAYMENT", 24_000, "2026-08-24")];
    const { buckets, total } = exposure({ ...nothing, orders: [{ ...order, payments }] });
    expect(buckets.PAID).toEqual(exact(54_000));
    expect(buckets.OWED).toEqual(exact(41_160));
    expect(total).toEqual(exact(95_160));
  });

  it.each<[string, PaymentKind, number, number]>([
    ["a refund is paid less and owed more", "REFUND", 90_000 - 10_000, 5_160 + 10_000],
    ["a credit is owed less", "CREDIT", 90_000, 5_160 - 10_000],
    ["goods that went back are owed less, until their price is refunded", "RETURN", 90_000, 5_160 - 10_000],
    ["a core charge is paid on top of the price", "CORE_CHARGE", 90_000 + 10_000, 5_160],
    ["a core charge comes back without a word of the price", "CORE_RETURN", 90_000 - 10_000, 5_160],
  ])("%s", (_what, kind, paid, owed) => {
    const payments = [pay("a", "BALANCE", 90_000), pay("b", kind, 10_000)];
    const { buckets } = exposure({ ...nothing, orders: [{ ...order, payments }] });
    expect([buckets.PAID.planned, buckets.OWED.planned]).toEqual([paid, owed]);
  });

  it("of one that was sent back owes nothing more, and what was not refunded stays spent", () => {
    const payments = [pay("a", "BALANCE", 41_055), pay("b", "REFUND", 38_592)];
    const { total, buckets } = exposure({
      ...nothing,
      orders: [{ ...order, totalMinor: 41_055, sentBack: true, payments }],
    });
    expect(buckets.PAID.planned).toBe(2_463);
    expect(total).toEqual(exact(2_463));
  });

  it("an entry and the one that takes it back leave nothing, at any rate", () => {
    fc.assert(
      fc.property(
        fc.constantFrom<PaymentKind>("DEPOSIT", "REFUND", "CREDIT", "RETURN", "CORE_CHARGE", "CORE_RETURN"),
        fc.integer({ min: 1, max: 2 ** 31 }),
        fc.integer({ min: 1, max: 10 ** 9 }),
        (kind, amount, millionths) => {
          const rate = { top: BigInt(millionths), bottom: 1_000_000n };
          const back = [amount, -amount].map((a, i) => ({ ...pay(`${i}`, kind, a), currency: YEN, rate }));
          const { buckets } = exposure({ ...nothing, orders: [{ ...order, currency: YEN, rate, payments: back }] });
          expect(buckets.PAID.planned).toBe(0);
          expect(owedOf({ ...order, payments: back })).toBe(order.totalMinor);
        },
      ),
    );
  });
});

describe("currencies", () => {
  it("are turned at each entry's own rate and rounded once: CHF 168.00 at 0.8990 is £151.03, what is owed at today's", () => {
    const payments = [{ ...pay("a", "DEPOSIT", 16_800), currency: FRANC, rate: ratioOf("0.8990")! }];
    const { buckets, lines } = exposure({
      ...nothing,
      orders: [{ ...order, currency: FRANC, totalMinor: 41_960, rate: ratioOf("0.8963")!, payments }],
    });
    // 168.00 × 0.8990 = 151.032; (419.60 − 168.00) × 0.8963 = 225.50908
    expect(buckets.PAID).toEqual(exact(15_103));
    expect(buckets.OWED).toEqual(exact(22_551));
    expect(byCurrency(lines)).toMatchObject([{ key: "CHF", paidOwnMinor: 16_800, owedOwnMinor: 25_160 }]);
  });

  it("round half a penny to the even one, whichever way the money goes: ¥1 at 0.005 and at 0.015", () => {
    const at = (rate: string, kind: PaymentKind) =>
      exposure({
        ...nothing,
        orders: [
          { ...order, sentBack: true, payments: [{ ...pay("a", kind, 1), currency: YEN, rate: ratioOf(rate)! }] },
        ],
      }).total.planned;
    expect([at("0.005", "BALANCE"), at("0.015", "BALANCE")]).toEqual([0, 2]);
    expect([at("0.005", "REFUND"), at("0.015", "REFUND")]).toEqual([0, -2]);
  });

  it("of three decimals: KD 1.005 at 2.55 is £2.56", () => {
    const paid = { ...pay("a", "BALANCE", 1_005), currency: DINAR, rate: ratioOf("2.55")! };
    expect(exposure({ ...nothing, orders: [{ ...order, sentBack: true, payments: [paid] }] }).total.planned).toBe(256);
  });

  it("without a rate are not counted as zero: the total is at least so much, and says which entry", () => {
    const payments = [pay("a", "DEPOSIT", 100), { ...pay("b", "BALANCE", 100), currency: FRANC, rate: null }];
    const { total, withoutRate } = exposure({ ...nothing, orders: [{ ...order, sentBack: true, payments }] });
    expect(total).toEqual({ ...exact(100), unknown: 1 });
    expect(withoutRate).toEqual(["b"]);
  });

  it("paid in another than the order's leave what is owed unknown until there is a rate between them", () => {
    const franc = { ...pay("a", "BALANCE", 100), currency: FRANC, rate: one };
    expect(owedOf({ ...order, payments: [{ ...franc, inOrderMinor: 90 }] })).toBe(95_070);
    const unknown = { ...order, payments: [{ ...franc, inOrderMinor: null }] };
    expect(owedOf(unknown)).toBe(null);
    expect(exposure({ ...nothing, orders: [unknown] }).buckets.OWED).toEqual({ ...exact(0), unknown: 1 });
  });
});

describe("what lies ahead", () => {
  const ahead = (bucket: "CHOSEN" | "UNDECIDED" | "UNSOURCED", low: number, planned: number, high: number) => ({
    id: bucket,
    bucket,
    group: "",
    dueOn: null,
    currency: null,
    low,
    planned,
    high,
    unknown: false,
  });

  it("runs from the lowest to the highest feasible quote, and a part without a figure is never zero", () => {
    const { total, buckets, capLeftMinor } = exposure({
      ...nothing,
      capMinor: 50_000,
      ahead: [
        ahead("CHOSEN", 20_000, 20_000, 20_000),
        ahead("UNDECIDED", 3_000, 4_500, 9_000),
        ahead("UNSOURCED", 24_000, 24_000, 24_000),
        { ...ahead("UNSOURCED", 0, 0, 0), unknown: true },
      ],
    });
    expect(buckets.UNSOURCED).toEqual({ ...exact(24_000), unknown: 1 });
    expect(total).toEqual({ low: 47_000, planned: 48_500, high: 53_000, unknown: 1 });
    expect(capLeftMinor).toBe(1_500);
  });

  it("counts labour against the cap only where the cap covers it: 7.25 hours at £38.50 done, 10 to 16 to go", () => {
    const input: ExposureInput = {
      ...nothing,
      capMinor: 100_000,
      labourDone: [
        { id: "h", group: "", day: "2026-11-02", hours: 7.25, rateMinor: 3_850, currency: POUND, rate: one },
      ],
      labourToGo: [{ id: "w", group: "", day: null, hours: { low: 10, planned: 12, high: 16 }, rateMinor: 3_850 }],
    };
    const { buckets, capLeftMinor } = exposure(input);
    // 7.25 × 38.50 = 279.125: half a penny goes to the even one
    expect(buckets.LABOUR_DONE).toEqual(exact(27_912));
    expect(buckets.LABOUR_TO_GO).toEqual({ low: 38_500, planned: 46_200, high: 61_600, unknown: 0 });
    expect(capLeftMinor).toBe(100_000);
    expect(exposure({ ...input, capCoversLabour: true }).capLeftMinor).toBe(100_000 - 27_912 - 46_200);
    const unrated = exposure({ ...input, labourToGo: [{ ...input.labourToGo[0]!, rateMinor: null }] });
    expect(unrated.buckets.LABOUR_TO_GO).toEqual({ ...exact(0), unknown: 1 });
  });

  it("puts at risk what a late maker holds, net of what came back", () => {
    const payments = [pay("a", "DEPOSIT", 30_000), pay("b", "REFUND", 5_000)];
    const late = { ...order, late: true, payments };
    const { atRisk } = exposure({ ...nothing, orders: [late, { ...order, id: "in time", payments }] });
    expect(atRisk).toEqual([{ orderId: "casing", ownMinor: 25_000, amountMinor: 25_000, unknown: false }]);
  });
});

const currency = fc.constantFrom(POUND, FRANC, YEN, DINAR);
const rate = fc.option(
  fc.integer({ min: 1, max: 10 ** 7 }).map((n) => ({ top: BigInt(n), bottom: 100_000n })),
  { freq: 6 },
);
const group = fc.constantFrom("", "Engine", "Body", "Wheels");
const day = fc.constantFrom("2026-10-31", "2026-11-01", "2026-11-30", "2027-02-28");
const KINDS: PaymentKind[] = [
  "DEPOSIT",
  "PART_PAYMENT",
  "BALANCE",
  "REFUND",
  "CREDIT",
  "RETURN",
  "CORE_CHARGE",
  "CORE_RETURN",
];
const signed = fc.integer({ min: -(10 ** 9), max: 10 ** 9 });
const band = fc.uniqueArray(fc.nat(10 ** 9), { minLength: 3, maxLength: 3 }).map((all) => all.sort((a, b) => a - b));
const anyInput: fc.Arbitrary<ExposureInput> = fc.record({
  currency,
  capMinor: fc.option(fc.nat(10 ** 9)),
  capCoversLabour: fc.boolean(),
  orders: fc.array(
    fc.record({
      id: fc.uuid(),
      group,
      currency,
      totalMinor: fc.nat(10 ** 9),
      sentBack: fc.boolean(),
      late: fc.boolean(),
      dueOn: fc.option(day),
      rate,
      payments: fc.array(
        fc.record({ id: fc.uuid(), kind: fc.constantFrom(...KINDS), day, amountMinor: signed, currency, rate }),
        { maxLength: 6 },
      ),
    }),
    { maxLength: 6 },
  ),
  ahead: fc.array(
    fc
      .record({
        id: fc.uuid(),
        bucket: fc.constantFrom("CHOSEN" as const, "UNDECIDED" as const, "UNSOURCED" as const),
        group,
        dueOn: fc.option(day),
        currency: fc.option(fc.constantFrom("GBP", "CHF")),
        unknown: fc.boolean(),
        band,
      })
      .map(({ band: [low, planned, high], ...rest }) => ({ ...rest, low: low!, planned: planned!, high: high! })),
    { maxLength: 6 },
  ),
  labourDone: fc.array(
    fc.record({
      id: fc.uuid(),
      group,
      day: fc.option(day),
      hours: fc.integer({ min: -4000, max: 4000 }).map((n) => n / 4),
      rateMinor: fc.option(fc.nat(9_999)),
      currency,
      rate,
    }),
    { maxLength: 6 },
  ),
  labourToGo: fc.array(
    fc.record({
      id: fc.uuid(),
      group,
      day: fc.option(day),
      hours: fc.record({ low: fc.nat(99), planned: fc.nat(99), high: fc.nat(99) }),
      rateMinor: fc.option(fc.nat(9_999)),
    }),
    { maxLength: 6 },
  ),
  owner: fc.array(
    fc.record({
      id: fc.uuid(),
      kind: fc.constantFrom("INVOICE" as const, "RECEIPT" as const),
      amountMinor: signed,
      currency,
      rate,
    }),
    { maxLength: 6 },
  ),
});

const added = (sums: readonly ExposureSum[]): ExposureSum =>
  sums.reduce(
    (a, b) => ({
      low: a.low + b.low,
      planned: a.planned + b.planned,
      high: a.high + b.high,
      unknown: a.unknown + b.unknown,
    }),
    exact(0),
  );

/** An amount in another currency, by whole-number arithmetic of its own. */
function turned(minor: number, from: typeof POUND, to: typeof POUND, by: { top: bigint; bottom: bigint }): number {
  if (from.code === to.code) return minor;
  const top = BigInt(minor) * by.top * 10n ** BigInt(to.decimals);
  const bottom = by.bottom * 10n ** BigInt(from.decimals);
  const size = top < 0n ? -top : top;
  const twice = 2n * size;
  let up = (twice + bottom) / (2n * bottom);
  if ((twice + bottom) % (2n * bottom) === 0n && up % 2n === 1n) up -= 1n;
  return Number(top < 0n ? -up : up) + 0;
}

describe("for any entries at any rates", () => {
  it("buckets, groups, months and currencies each add up to the total, to the minor unit", () => {
    fc.assert(
      fc.property(anyInput, (input) => {
        const { lines, buckets, total, counted } = exposure(input);
        expect(added(Object.values(buckets))).toEqual(total);
        for (const groups of [byGroup(lines), byMonth(lines), byCurrency(lines)]) {
          expect(added(groups.map((group) => group.total))).toEqual(total);
          for (const group of groups) expect(added(Object.values(group.buckets))).toEqual(group.total);
          for (const bucket of BUCKETS)
            expect(added(groups.map((group) => group.buckets[bucket]))).toEqual(buckets[bucket]);
        }
        const labour = added([buckets.LABOUR_DONE, buckets.LABOUR_TO_GO]);
        expect(input.capCoversLabour ? counted : added([counted, labour])).toEqual(total);
      }),
      { numRuns: 300 },
    );
  });

  it("what is paid and received is the sum of the entries, each turned and rounded on its own", () => {
    fc.assert(
      fc.property(anyInput, (input) => {
        const { buckets, invoicedMinor, receivedMinor } = exposure(input);
        let [paid, unknown] = [0, 0];
        for (const { payments } of input.orders)
          for (const payment of payments) {
            const moved = movedMinor(payment);
            if (moved === 0) continue;
            if (payment.rate === null && payment.currency.code !== input.currency.code) unknown++;
            else paid += turned(moved, payment.currency, input.currency, payment.rate ?? one);
          }
        expect(buckets.PAID).toEqual({ ...exact(paid), unknown });
        const owner = (kind: string) =>
          input.owner
            .filter((entry) => entry.kind === kind && (entry.rate ?? entry.currency.code === input.currency.code))
            .reduce(
              (sum, entry) => sum + turned(entry.amountMinor, entry.currency, input.currency, entry.rate ?? one),
              0,
            );
        expect([invoicedMinor, receivedMinor]).toEqual([owner("INVOICE"), owner("RECEIPT")]);
      }),
      { numRuns: 300 },
    );
  });

  it("in one currency, paid and owed are what was ordered, less credits and goods returned, and the cores that are out", () => {
    fc.assert(
      fc.property(fc.nat(10 ** 9), fc.array(fc.tuple(fc.constantFrom(...KINDS), signed)), (totalMinor, entries) => {
        const payments = entries.map(([kind, amount], i) => pay(`${i}`, kind, amount));
        const of = (kind: PaymentKind) => entries.reduce((sum, [k, amount]) => (k === kind ? sum + amount : sum), 0);
        const { total } = exposure({ ...nothing, orders: [{ ...order, totalMinor, payments }] });
        const cores = of("CORE_CHARGE") - of("CORE_RETURN");
        expect(total.planned).toBe(totalMinor - of("CREDIT") - of("RETURN") + cores);
      }),
    );
  });
});

describe("contingency", () => {
  // quantile(c(1000, 1100, 1250, 1300, 2000), c(0, .1, .5, .8, .9, 1)) of R, type 7: (n - 1) p interpolated by hand
  it.each([
    [0, 1000],
    [0.1, 1040],
    [0.5, 1250],
    [0.8, 1440],
    [0.9, 1720],
    [1, 2000],
  ])("the %d quantile by definition 7 is %d", (chance, expected) => {
    expect(amountQuantile([1300, 1000, 2000, 1250, 1100], chance)).toBe(expected);
  });

  it("is what the asked chance needs beyond the plan, and zero where the plan is dearer already", () => {
    const runs = [1000, 1100, 1250, 1300, 2000];
    expect(contingency(runs, 1200, 0.8)).toBe(240);
    expect(contingency(runs, 1500, 0.8)).toBe(0);
    expect(contingency([], 1200, 0.8)).toBe(undefined);
    expect(() => contingency(runs, 1200, 1.2)).toThrow(/between 0 and 1/);
  });

  it("rises with the chance and stays within the runs", () => {
    fc.assert(
      fc.property(
        fc.array(fc.nat(10 ** 9), { minLength: 1, maxLength: 60 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (runs, a, b) => {
          const [low, high] = [Math.min(a, b), Math.max(a, b)].map((chance) => amountQuantile(runs, chance)!);
          expect(low).toBeLessThanOrEqual(high!);
          expect(low).toBeGreaterThanOrEqual(Math.min(...runs));
          expect(high).toBeLessThanOrEqual(Math.max(...runs));
        },
      ),
    );
  });
});
