import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import type { Solver } from "../../server/engine/choice/programme.ts";
import { walkAwayPrices } from "../../server/engine/choice/walkAway.ts";
import { daysBetween } from "../../server/engine/time/date.ts";
import {
  answersOf,
  type ChoicePlan,
  type Choices,
  differencesOf,
  figuresOf,
  plansOf,
  splitOf,
} from "../../server/plan/choice/choices.ts";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import type { Priced, WeighedQuote } from "../../server/plan/choice/load.ts";
import { choicesOn } from "../../server/plan/choice/onHands.ts";
import { placeOf, pointsLost, type Sheet, sheetLosses } from "../../server/plan/choice/points.ts";
import { type WalkAway, walkAwayProblem, walkAwaysOn } from "../../server/plan/choice/walkAway.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { Rates } from "../../server/plan/money/exchange.ts";
import { exposureOf } from "../../server/plan/money/exposure.ts";
import type { ExposureRows, OrderAccount } from "../../server/plan/money/exposureLoad.ts";
import { costOfRuns } from "../../server/plan/money/exposureRuns.ts";
import type { PlanRows, QuoteRow } from "../../server/plan/rows/rows.ts";
import { highs } from "../../server/worker/solver.ts";
import {
  hand,
  hunt,
  link,
  MONDAY,
  operation,
  order,
  part,
  quote,
  remedy,
  rowsOf,
  snag,
  way,
} from "../support/planRows.ts";

interface Shop {
  rows: Partial<PlanRows>;
  /** Points that the user puts to a quote. */
  points?: Record<string, number>;
  currency?: Record<string, string>;
  kept?: string[];
  prices?: Record<string, number>;
  cap?: number;
  capCoversLabour?: boolean;
  /** What an hour is charged at, and of the engine's trade where it differs; unsaid: nothing. */
  hour?: number;
  engineHour?: number;
  ownHours?: boolean;
  perDay?: number;
  perPoint?: number;
  sheet?: Sheet;
  /** What a supplier charges on one order. */
  suppliers?: Record<string, { carriageMinor?: number; minimumMinor?: number; shareBy?: "VALUE" | "WEIGHT" }>;
  /** Of a piece, by quote. */
  grams?: Record<string, number>;
  /** Line of the sheet on which everything is judged. */
  line?: string;
}

let solve: Solver;
beforeAll(async () => {
  solve = await highs();
});

const NO_SHEET: Sheet = { sections: [], floors: [], step: null };
const priced = (shop: Shop, id: string): Priced => ({
  priceMinor: shop.prices?.[id] ?? 0,
  currency: "GBP",
  points: shop.points?.[id] ?? 0,
});

function choiceRows(shop: Shop): ExposureRows {
  const plan = rowsOf(shop.rows);
  const weighed = (q: QuoteRow): WeighedQuote => ({
    provenance: q.provenance,
    pointsByHand: shop.points?.[q.id] ?? 0,
    currency: shop.currency?.[q.id] ?? "GBP",
    unitPriceMinor: q.unitPriceMinor,
    depositMinor: 0,
    minimumQuantity: 1,
    priceBreaks: [],
    carriageMinor: 0,
    insuranceMinor: 0,
    dutyRate: 0,
    taxRate: 0,
    incoterm: "EXW",
    coreChargeMinor: 0,
    coreReturned: false,
    weightGrams: shop.grams?.[q.id] ?? null,
    knockOns: [],
    supplier: {
      name: "Lower Mill Foundry",
      currency: "GBP",
      carriageMinor: 0,
      minimumMinor: 0,
      shareBy: "VALUE",
      ...shop.suppliers?.[q.supplierId],
    },
  });
  return {
    plan,
    figuresFor: MONDAY,
    planRevision: 1,
    restoration: {
      currency: "GBP",
      customsBasis: "CIF",
      carriageTaxed: true,
      capMinor: shop.cap ?? null,
      pricePerDayMinor: shop.perDay ?? null,
      pricePerPointMinor: shop.perPoint ?? null,
    },
    rates: new Rates([], MONDAY),
    sheet: shop.sheet ?? NO_SHEET,
    parts: new Map(
      plan.parts.map(({ id }) => [
        id,
        {
          quantity: 1,
          estimateMinor: null,
          kept: shop.kept?.includes(id) ?? false,
          group: "Engine",
          visible: true,
          judgingSectionId: null,
          judgingLineId: shop.line ?? null,
        },
      ]),
    ),
    quotes: new Map(plan.quotes.map((q) => [q.id, weighed(q)])),
    remedies: new Map(plan.remedies.map((r) => [r.id, { ...priced(shop, r.id), code: r.code, title: r.code }])),
    ways: new Map(plan.ways.map((w) => [w.id, priced(shop, w.id)])),
    groups: new Map(plan.operations.map(({ id }) => [id, "Engine"])),
    workLines: new Map(plan.operations.map(({ id }) => [id, shop.line ?? null])),
    money: {
      capCoversLabour: shop.capCoversLabour ?? false,
      hourlyRateMinor: shop.hour ?? null,
      countOwnHours: shop.ownHours ?? true,
      consentOverMinor: null,
      confidence: null,
    },
    tradeRates: new Map(shop.engineHour === undefined ? [] : [["engine", shop.engineHour]]),
    accounts: plan.orders.map(
      (o): OrderAccount => ({
        ...o,
        restorationId: "r",
        code: o.id,
        codeOrder: o.id,
        quantity: 1,
        fitRating: null,
        totalMinor: shop.prices?.[o.id] ?? 0,
        currency: "GBP",
        notes: "",
        revision: 1,
        payments: [],
        part: { code: o.partId, name: o.partId, group: "Engine" },
        quote: { supplier: { id: "maker", name: "Lower Mill Foundry" } },
      }),
    ),
    paid: new Map(),
    hours: [],
    invoices: [],
    ratesOn: (day) => new Rates([], day),
  };
}

function choose(shop: Shop): Choices {
  const problem = choiceProblem(choiceRows(shop));
  return { problem, found: choicesOn(problem.asked, () => false, solve) };
}

function walkAways(shop: Shop): Map<string, readonly WalkAway[]> {
  const asked = walkAwayProblem(choiceRows(shop));
  const prices = walkAwayPrices(asked.problem.work, asked.worth, asked.offers, () => false, solve);
  return new Map(walkAwaysOn(asked, prices).map(({ partId, walkAways }) => [partId, walkAways]));
}

const priceOf = (shop: Shop, partId: string, provenance = "ORIGINAL"): number | null =>
  walkAways(shop)
    .get(partId)!
    .find((one) => one.provenance === provenance)!.priceMinor;

interface Figure {
  date: string;
  cost: number;
  /** Without the hours, and what these come to. */
  landed: number;
  labour: number;
  points: number;
  disqualified: boolean;
}

/** What the suppliers of quotes charge on an order each: the larger of minimum and goods, and carriage, less the goods. */
function charged(shop: Shop, quoteIds: readonly string[]): number {
  const chosen = rowsOf(shop.rows).quotes.filter(({ id }) => quoteIds.includes(id));
  return Object.entries(shop.suppliers ?? {}).reduce((sum, [supplier, { carriageMinor = 0, minimumMinor = 0 }]) => {
    const theirs = chosen.filter(({ supplierId }) => supplierId === supplier);
    if (theirs.length === 0) return sum;
    const goods = theirs.reduce((total, { unitPriceMinor }) => total + unitPriceMinor, 0);
    return sum + Math.max(minimumMinor, goods) - goods + carriageMinor;
  }, 0);
}

/** The figures of every choice there is, each by a plan of its own in which it is chosen. */
function everyPlan(shop: Shop): Figure[] {
  const rows = choiceRows(shop);
  const { plan } = rows;
  const sheet = shop.sheet ?? NO_SHEET;
  const place = placeOf(sheet, { group: "Engine", judgingLineId: shop.line ?? null });
  let all: { part: string[]; snag: string[]; way: (string | null)[] }[] = [{ part: [], snag: [], way: [] }];
  for (const { id } of plan.parts)
    all = all.flatMap((one) =>
      plan.quotes.filter((q) => q.partId === id).map((q) => ({ ...one, part: [...one.part, q.id] })),
    );
  for (const { id } of plan.snags)
    all = all.flatMap((one) =>
      plan.remedies.filter((r) => r.snagId === id).map((r) => ({ ...one, snag: [...one.snag, r.id] })),
    );
  for (const { id } of plan.operations)
    all = all.flatMap((one) =>
      [null, ...plan.ways.filter((w) => w.operationId === id).map((w) => w.id)].map((w) => ({
        ...one,
        way: [...one.way, w],
      })),
    );
  return all.map((picks) => {
    const chosen = computePlan(
      {
        ...plan,
        parts: plan.parts.map((p, i) => ({ ...p, chosenQuoteId: picks.part[i]! })),
        snags: plan.snags.map((s, i) => ({ ...s, chosenRemedyId: picks.snag[i]! })),
        operations: plan.operations.map((o, i) => ({ ...o, chosenWayId: picks.way[i]! })),
      },
      { figuresFor: MONDAY, confidence: null },
    );
    const judged = rows.parts.get(plan.parts[0]?.id ?? "")!;
    const others = [
      ...picks.snag.map((id) => rows.remedies.get(id)!),
      ...picks.way.flatMap((id) => (id === null ? [] : [rows.ways.get(id)!])),
    ];
    const losses = [
      ...picks.part.map((id) => pointsLost(sheet, judged, rows.quotes.get(id)!)),
      ...others.map(({ points }) => points),
    ].map((points) => ({ ...place, points }));
    const landed =
      picks.part.reduce((sum, id) => sum + rows.quotes.get(id)!.unitPriceMinor, 0) +
      charged(shop, picks.part) +
      others.reduce((sum, { priceMinor }) => sum + priceMinor, 0);
    // Whole hours at whole rates: preparing and curing at the restoration's, an operation that has ways at its trade's.
    const prepared = [
      ...picks.part.map((id) => plan.quotes.find((q) => q.id === id)!.preparationHours),
      ...picks.snag.map((id) => plan.remedies.find((r) => r.id === id)!.hours),
    ];
    const done = plan.operations.flatMap((o, i) =>
      plan.ways.some((w) => w.operationId === o.id)
        ? [plan.ways.find((w) => w.id === picks.way[i])?.hours ?? o.hoursLikely]
        : [],
    );
    const hours = (all: readonly number[]): number => all.reduce((sum, one) => sum + one, 0);
    const labour = hours(prepared) * (shop.hour ?? 0) + hours(done) * (shop.engineHour ?? shop.hour ?? 0);
    return {
      date: chosen.completion.dateWithOpenInHand,
      landed,
      labour,
      cost: landed + (shop.ownHours === false ? 0 : labour),
      points: sheetLosses(sheet, losses).total,
      disqualified: sheetLosses(sheet, losses).disqualifiedBy.length > 0,
    };
  });
}

/** What a plan comes to at the owner's prices: only days past the target count, and where there is none each day does. */
function inMoney({ perDay = 0, perPoint = 0, rows }: Shop, { date, cost, points }: Omit<Figure, "landed" | "labour">) {
  const late = Math.max(0, daysBetween(rows.restoration?.targetDate ?? MONDAY, date));
  return cost + late * perDay + points * perPoint;
}

const beats = (a: Figure, b: Figure): boolean =>
  a.date <= b.date && a.cost <= b.cost && a.points <= b.points && a.disqualified <= b.disqualified;
function undominated(plans: readonly Figure[]): Figure[] {
  const left: Figure[] = [];
  for (const plan of [...plans].sort((a, b) =>
    a.date < b.date
      ? -1
      : a.date > b.date
        ? 1
        : a.points - b.points || a.cost - b.cost || Number(a.disqualified) - Number(b.disqualified),
  ))
    if (!left.some((other) => beats(other, plan))) left.push(plan);
  return left;
}

const CAPPED: Sheet = {
  sections: [
    {
      id: "engine",
      name: "Engine",
      maximum: 25,
      cap: 3,
      deductions: [
        { provenance: "REMADE", points: 1 },
        { provenance: "LATER_SUBSTITUTE", points: 2.5 },
      ],
      lines: [],
    },
  ],
  floors: [],
  step: null,
};
/** The same, with one line lost whole, one that disqualifies, and one that loses whole points. */
const LINED: Sheet = {
  ...CAPPED,
  sections: CAPPED.sections.map((section) => ({
    ...section,
    lines: [
      { id: "whole", title: "Magneto of the right make", maximum: 2.75, mandatory: true, disqualifying: false },
      { id: "out", title: "Extinguisher", maximum: 2, mandatory: false, disqualifying: true },
      { id: "part", title: "Finish", maximum: 2.2, mandatory: false, disqualifying: false },
    ],
  })),
};

/** Small restorations: two streams of work that meet, parts, a snag, and work that can be sent out after some hours. */
const anyShop: fc.Arbitrary<Shop> = fc
  .record({
    quotes: fc.array(
      fc.array(
        fc.record({
          lead: fc.integer({ min: 0, max: 40 }),
          price: fc.integer({ min: 0, max: 400 }),
          later: fc.boolean(),
          hours: fc.constantFrom(0, 0, 5),
        }),
        { minLength: 1, maxLength: 3 },
      ),
      { minLength: 1, maxLength: 3 },
    ),
    needs: fc.array(fc.constantFrom("FRAME", "ENGINE", "MARRY"), { minLength: 3, maxLength: 3 }),
    ways: fc.array(
      fc.record({ hours: fc.integer({ min: 0, max: 12 }), days: fc.constantFrom(0, 3, 14), price: fc.nat(200) }),
      { maxLength: 2 },
    ),
    remedies: fc.array(
      fc.record({ days: fc.nat(9), hours: fc.nat(20), price: fc.nat(200), lost: fc.constantFrom(0, 0.75, 1.1) }),
      { maxLength: 2 },
    ),
    sheet: fc.constantFrom(NO_SHEET, CAPPED, LINED, { ...LINED, step: 0.5 }, { ...LINED, step: 1 }),
    line: fc.constantFrom("whole", "out", "part", undefined),
    perDay: fc.constantFrom(0, 7, 40),
    targetDate: fc.constantFrom(null, "2026-11-16", "2026-12-01", "2027-01-04"),
    perPoint: fc.constantFrom(0, 25, 150),
    hour: fc.constantFrom(0, 3, 11),
    engineHour: fc.constantFrom(undefined, 0, 8),
    ownHours: fc.boolean(),
    capCoversLabour: fc.boolean(),
  })
  .map(({ quotes, needs, ways, remedies, targetDate, ...rest }) => {
    const prices: Record<string, number> = {};
    const points: Record<string, number> = {};
    ways.forEach(({ price }, w) => {
      prices[`Y${w}`] = price;
    });
    remedies.forEach(({ price, lost }, r) => {
      prices[`R${r}`] = price;
      points[`R${r}`] = lost;
    });
    return {
      ...rest,
      prices,
      points,
      rows: {
        restoration: { id: "r", machine: "", targetDate, targetName: "", confidence: null, rank: 1 },
        operations: [operation("FRAME", 30), operation("ENGINE", 20, { trade: "engine" }), operation("MARRY", 10)],
        links: [link("FRAME", "MARRY"), link("ENGINE", "MARRY", 2, "DAYS")],
        ways: ways.map(({ hours, days }, w) => way(`Y${w}`, "ENGINE", hours, days)),
        parts: quotes.map((_, p) => part(`P${p}`)),
        needs: quotes.map((_, p) => ({ operationId: needs[p]!, partId: `P${p}` })),
        quotes: quotes.flatMap((all, p) =>
          all.map(({ lead, price, later, hours }, q) =>
            quote(`P${p}Q${q}`, `P${p}`, lead, {
              unitPriceMinor: price,
              preparationHours: hours,
              provenance: later ? "LATER_SUBSTITUTE" : "REMADE",
            }),
          ),
        ),
        snags: remedies.length > 0 ? [snag("N1", "FRAME")] : [],
        remedies: remedies.map(({ days, hours }, r) => remedy(`R${r}`, "N1", days, hours)),
      },
    };
  });

const shareBy = fc.constantFrom("VALUE" as const, "WEIGHT" as const);

/** The same, with two of three suppliers charging on a whole order. */
const anyCharged: fc.Arbitrary<Shop> = fc
  .tuple(
    anyShop,
    fc.array(fc.nat(2), { minLength: 9, maxLength: 9 }),
    fc.record({ carriageMinor: fc.nat(120), minimumMinor: fc.constantFrom(0, 300, 700), shareBy }),
    fc.record({ carriageMinor: fc.nat(120), shareBy }),
    fc.array(fc.constantFrom(0, 40, 250, 9_000), { minLength: 9, maxLength: 9 }),
  )
  .map(([shop, of, first, second, grams]) => ({
    ...shop,
    // Of some orders a weight is missing, and they are shared by value.
    grams: Object.fromEntries(
      shop.rows.quotes!.flatMap(({ id }, i) => (grams[i] === 0 ? [] : [[id, grams[i]!] as const])),
    ),
    suppliers: { maker0: first, maker1: second },
    rows: { ...shop.rows, quotes: shop.rows.quotes!.map((q, i) => ({ ...q, supplierId: `maker${of[i]}` })) },
  }));

/** The same on few hands: often one alone, who is away, works part of the week, or does not do all of it. */
const anyManned: fc.Arbitrary<Shop> = fc
  .tuple(
    fc.oneof(anyShop, anyCharged),
    fc.array(
      fc.record({
        trades: fc.subarray(["body", "engine"], { minLength: 1 }),
        weekdayHours: fc.constantFrom([8, 8, 8, 8, 8, 0, 0], [4, 4, 4, 0, 0, 0, 0], [0, 0, 0, 6, 6, 6, 0]),
        absences: fc.constantFrom([], [{ from: "2026-11-25", to: "2026-12-02" }]),
        joinsOn: fc.constantFrom(null, "2026-12-01"),
      }),
      { minLength: 1, maxLength: 2 },
    ),
  )
  .map(([shop, hands]) => ({
    ...shop,
    rows: {
      ...shop.rows,
      operations: shop.rows.operations!.map((o) => operation(o.code, o.hoursLikely, { trade: o.trade || "body" })),
      hands: hands.map(({ trades, ...rest }, i) => hand(`H${i}`, trades, rest)),
    },
  }));

/** The shop with a plan taken up. */
function taken(shop: Shop, plan: ChoicePlan): Shop {
  const to = new Map(differencesOf(plan).map((one) => [one.subject.rowId, one.to]));
  const rows = rowsOf(shop.rows);
  return {
    ...shop,
    rows: {
      ...rows,
      parts: rows.parts.map((p) => ({ ...p, chosenQuoteId: to.get(p.id)?.quoteId ?? p.chosenQuoteId })),
      snags: rows.snags.map((s) => ({ ...s, chosenRemedyId: to.get(s.id)?.remedyId ?? s.chosenRemedyId })),
      operations: rows.operations.map((o) => ({ ...o, chosenWayId: to.get(o.id)?.wayId ?? o.chosenWayId })),
    },
  };
}

describe("plans to choose from", () => {
  it("are all that no other beats, by a plan of each choice one by one", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged), (shop) => {
        const found = plansOf(choose(shop)).map((plan) => {
          const { date, costMinor: cost, pointsLost: points, disqualified } = figuresOf(plan);
          return { date, cost, points, disqualified };
        });
        const oracle = undominated(everyPlan(shop)).map(({ landed: _, labour: __, ...figures }) => figures);
        expect(found).toEqual(oracle);
      }),
      { numRuns: 60 },
    );
  });

  it("end on the hands no sooner than is said to be possible, and none is beaten by what is in force", () => {
    fc.assert(
      fc.property(anyManned, (shop) => {
        const choices = choose(shop);
        const { found, problem } = choices;
        const { date, costMinor, pointsLost } = problem.inForce;
        const every = everyPlan(shop);
        const end = (one: string): number => Math.max(0, daysBetween(MONDAY, one));
        plansOf(choices).forEach((plan, p) => {
          const figures = figuresOf(plan);
          expect(found.bound[p]).toBeLessThanOrEqual(found.end[p]!);
          for (const one of every)
            if (one.cost <= figures.costMinor && one.points <= figures.pointsLost && !one.disqualified)
              expect(end(one.date)).toBeGreaterThanOrEqual(found.bound[p]!);
          if (figures.disqualified || problem.inForce.disqualified) return;
          const better = [date <= figures.date, costMinor! <= figures.costMinor, pointsLost <= figures.pointsLost];
          const alike = [date === figures.date, costMinor === figures.costMinor, pointsLost === figures.pointsLost];
          expect(better.every(Boolean) && !alike.every(Boolean)).toBe(false);
        });
      }),
      { numRuns: 40 },
    );
  });

  it("hold the best by worth, by every plan there is", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged), (shop) => {
        const { plan } = answersOf(choose(shop)).bestByWorth;
        const { date, costMinor: cost, pointsLost: points, disqualified } = figuresOf(plan!);
        const least = Math.min(...everyPlan(shop).map((one) => inMoney(shop, one)));
        expect(inMoney(shop, { date, cost, points, disqualified })).toBeCloseTo(least, 6);
      }),
      { numRuns: 60 },
    );
  });

  it("come to what the plan says once they are taken up, to the day and the penny, on whatever hands", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged, anyManned), (shop) => {
        const choices = choose(shop);
        for (const plan of plansOf(choices)) {
          const { landedMinor, countedMinor } = splitOf(plan);
          expect(choose(taken(shop, plan)).problem.inForce).toEqual({
            ...figuresOf(plan),
            landedMinor,
            countedMinor,
          });
        }
      }),
      { numRuns: 25 },
    );
  });

  it("within a cap are the earliest that every plan there is gives, whatever the cap counts", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged), fc.nat(900), (shop, cap) => {
        const choices = choose({ ...shop, cap });
        const { capLeftMinor } = choices.problem;
        const counted = ({ landed, labour }: Figure): number => landed + (shop.capCoversLabour ? labour : 0);
        const all = everyPlan(shop);
        const within = all.filter((plan) => counted(plan) <= capLeftMinor!);
        const { earliestWithinCap } = answersOf(choices);
        const found = earliestWithinCap.plan;
        if (within.length > 0) {
          expect(figuresOf(found!).date).toBe(within.map(({ date }) => date).sort()[0]);
          expect(splitOf(found!).countedMinor).toBeLessThanOrEqual(capLeftMinor!);
        } else {
          expect(found).toBeNull();
          expect(earliestWithinCap.misses[0]!.alone).toBe(Math.min(...all.map(counted)) - capLeftMinor!);
        }
      }),
      { numRuns: 60 },
    );
  });

  it("save what the owner's money says they save, hours and all", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged, anyManned), (shop) => {
        const choices = choose({ ...shop, ownHours: true, cap: 5_000 });
        const before = exposureOf(choiceRows({ ...shop, cap: 5_000 }));
        for (const plan of plansOf(choices)) {
          const after = exposureOf(choiceRows({ ...taken(shop, plan), cap: 5_000 }));
          const { costMinor } = figuresOf(plan);
          expect(after.total.planned - before.total.planned).toBe(costMinor - choices.problem.inForce.costMinor!);
          expect(choices.problem.capLeftMinor! - splitOf(plan).countedMinor).toBe(after.capLeftMinor);
        }
      }),
      { numRuns: 25 },
    );
  });

  it("counts the carriage of an order once, and the owner's money shares it to the penny, by value or by weight", () => {
    const prices = { LAMP: 1_680, HORN: 5_400, BULB: 8_800 };
    const shop: Shop = {
      suppliers: { maker: { carriageMinor: 1_140 } },
      rows: {
        operations: [operation("FIT", 8)],
        parts: Object.keys(prices).map((code) => part(code, { chosenQuoteId: `${code}Q` })),
        needs: Object.keys(prices).map((partId) => ({ operationId: "FIT", partId })),
        quotes: Object.entries(prices).map(([code, unitPriceMinor]) => quote(`${code}Q`, code, 10, { unitPriceMinor })),
      },
    };
    const { problem } = choose(shop);
    expect(problem).toMatchObject({ chargedMinor: 1_140, inForce: { costMinor: 15_880 + 1_140 } });
    const of = new Map(exposureOf(choiceRows(shop)).lines.map(({ id, planned }) => [id, planned]));
    expect(Object.keys(prices).map((code) => of.get(code))).toEqual([1_680 + 120, 5_400 + 388, 8_800 + 632]);
    // The same by weight, once that of all is noted: 0.4, 1.1 and 9.9 kg.
    const byWeight = { ...shop, suppliers: { maker: { carriageMinor: 1_140, shareBy: "WEIGHT" as const } } };
    const weighed = (grams: Record<string, number>) => {
      const lines = new Map(
        exposureOf(choiceRows({ ...byWeight, grams })).lines.map(({ id, planned }) => [id, planned]),
      );
      return Object.entries(prices).map(([code, price]) => lines.get(code)! - price);
    };
    // 11.40 over 11.4 kg.
    expect(weighed({ LAMPQ: 400, HORNQ: 1_100, BULBQ: 9_900 })).toEqual([40, 110, 990]);
    expect(weighed({ LAMPQ: 400, BULBQ: 9_900 })).toEqual([120, 388, 632]);
    expect(choose({ ...byWeight, grams: { LAMPQ: 400, HORNQ: 1_100, BULBQ: 9_900 } }).problem.inForce.costMinor).toBe(
      15_880 + 1_140,
    );
    // A lamp that is ordered bears what was paid for it; the rest share what is still to be charged.
    const placed = { ...shop, prices: { O: 2_820 }, rows: { ...shop.rows, orders: [order("O", "LAMP", "LAMPQ")] } };
    const left = new Map(exposureOf(choiceRows(placed)).lines.map(({ id, planned }) => [id, planned]));
    // 11.40 over 54.00 and 88.00: 4.335 and 7.064.
    expect([left.get("O"), left.get("HORN"), left.get("BULB")]).toEqual([2_820, 5_400 + 434, 8_800 + 706]);
    expect(choose(placed).problem.inForce.costMinor).toBe(14_200 + 1_140);
  });

  it("do not take a cheap quote that brings more in hours than it saves, unless the hours are not counted", () => {
    const rows: Partial<PlanRows> = {
      operations: [operation("FIT", 8)],
      parts: [part("MAGNETO")],
      needs: [{ operationId: "FIT", partId: "MAGNETO" }],
      quotes: [
        quote("READY", "MAGNETO", 20, { unitPriceMinor: 42_000 }),
        quote("ROUGH", "MAGNETO", 20, { unitPriceMinor: 20_000, preparationHours: 12 }),
      ],
      knockOns: [{ quoteId: "ROUGH", hours: 8 }],
    };
    const picked = (more: Partial<Shop>) =>
      plansOf(choose({ rows, hour: 3_800, ...more })).map((plan) => ({ ...figuresOf(plan), ...splitOf(plan) }));
    // Twenty hours at 38.00 are 760.00: 960.00 against 420.00.
    expect(picked({})).toMatchObject([{ costMinor: 42_000, hours: 0 }]);
    expect(picked({ ownHours: false })).toMatchObject([
      { costMinor: 42_000 },
      { costMinor: 20_000, landedMinor: 20_000, hours: 20, labourMinor: 76_000 },
    ]);
  });

  const casing: Shop = {
    rows: {
      restoration: {
        id: "r",
        machine: "",
        targetDate: "2026-12-31",
        targetName: "",
        confidence: null,
        rank: 1,
      },
      operations: [operation("ASSEMBLE", 8)],
      parts: [part("CASING")],
      needs: [{ operationId: "ASSEMBLE", partId: "CASING" }],
      quotes: [
        quote("QUICK", "CASING", 7, { unitPriceMinor: 90_000, provenance: "LATER_SUBSTITUTE" }),
        quote("CHEAP", "CASING", 60, { unitPriceMinor: 50_000 }),
      ],
    },
  };
  const chosen = (shop: Shop): string[][] =>
    plansOf(choose(shop)).map(({ choices: { found }, number }) =>
      found.optionIds.map((ids, i) => ids[found.picks[(number - 1) * ids.length + i] ?? 0]!),
    );

  it("a cap makes the dear quick quote impossible, and it is said by how much", () => {
    const { cheapestByTarget, earliestWithinCap, mostPointsWithinBoth } = answersOf(choose({ ...casing, cap: 60_000 }));
    expect(figuresOf(cheapestByTarget.plan!).costMinor).toBe(90_000);
    expect(figuresOf(earliestWithinCap.plan!).costMinor).toBe(50_000);
    expect(mostPointsWithinBoth.plan).toBeNull();
    // The cheap casing comes on Friday 22 January and is assembled on Monday the 25th.
    expect(mostPointsWithinBoth.misses).toMatchObject([
      { limit: "DATE", alone: 0, withOthers: 25 },
      { limit: "COST", alone: 0, withOthers: 30_000 },
    ]);
    expect(mostPointsWithinBoth.words).toContain("£300.00 over");
  });

  it("what is ordered already is taken off the cap", () => {
    const rows = {
      ...casing.rows,
      parts: [...casing.rows.parts!, part("DRUM")],
      quotes: [...casing.rows.quotes!, quote("DRUMS", "DRUM", 10)],
      orders: [order("O1", "DRUM", "DRUMS")],
    };
    const { problem, found } = choose({ ...casing, rows, cap: 60_000, prices: { O1: 20_000 } });
    expect(problem).toMatchObject({ committedMinor: 20_000, capLeftMinor: 40_000 });
    const { earliestWithinCap } = answersOf({ problem, found });
    expect(earliestWithinCap.plan).toBeNull();
    expect(earliestWithinCap.misses).toMatchObject([{ limit: "COST", alone: 10_000 }]);
    expect([...found.cost].sort()).toEqual([50_000, 90_000]);
  });

  it("a lock keeps the chosen quote", () => {
    const rows = { ...casing.rows, parts: [part("CASING", { chosenQuoteId: "CHEAP" })] };
    expect(plansOf(choose({ ...casing, rows }))).toHaveLength(2);
    expect(chosen({ ...casing, rows, kept: ["CASING"] })).toEqual([["CHEAP"]]);
  });

  it("a ruled-out provenance is never chosen, nor a ruled-out quote", () => {
    const ruledOut = [{ partId: "CASING", provenance: "LATER_SUBSTITUTE" as const }];
    expect(chosen({ ...casing, rows: { ...casing.rows, ruledOut } })).toEqual([["CHEAP"]]);
    const quotes = casing.rows.quotes!.map((q) => ({ ...q, ruledOut: q.id === "CHEAP" }));
    expect(chosen({ ...casing, rows: { ...casing.rows, quotes } })).toEqual([["QUICK"]]);
  });

  it("a quote past its validity is taken only where there is nothing else", () => {
    const past = (ids: string[]) => ({
      ...casing,
      rows: {
        ...casing.rows,
        parts: [part("CASING", { name: "Gearbox casing" })],
        quotes: casing.rows.quotes!.map((q) => ({ ...q, validUntil: ids.includes(q.id) ? "2026-11-01" : null })),
      },
    });
    expect(chosen(past(["QUICK"]))).toEqual([["CHEAP"]]);
    expect(chosen(past(["QUICK", "CHEAP"]))).toHaveLength(2);
    expect(choose(past(["QUICK", "CHEAP"])).problem.notices).toEqual([
      { row: "CASING", message: "Gearbox casing has only quotes that are past their validity: ask again." },
    ]);
  });

  it("a quote whose cost wants a rate is left out, and named", () => {
    const abroad = { ...casing, currency: { CHEAP: "CHF" } };
    expect(chosen(abroad)).toEqual([["QUICK"]]);
    expect(choose(abroad).problem.notices).toMatchObject([
      { row: "CHEAP", message: expect.stringMatching(/^CHEAP for CASING is left out: No rate from CHF to GBP/) },
    ]);
  });

  it("what nobody quotes counts as in hand, and completion is said to stay open", () => {
    const rows = {
      ...casing.rows,
      parts: [...casing.rows.parts!, part("MAGNETO")],
      needs: [...casing.rows.needs!, { operationId: "ASSEMBLE", partId: "MAGNETO" }],
    };
    const { problem, found } = choose({ ...casing, rows });
    expect(problem.open).toMatchObject([{ kind: "PART", rowId: "MAGNETO" }]);
    expect(found.end).toHaveLength(2);
  });
});

describe("the walk-away price", () => {
  it("is what the best plan without costs more than the best with it at no price, by every plan there is", () => {
    fc.assert(
      fc.property(fc.oneof(anyShop, anyCharged), (shop) => {
        const { rows } = shop;
        const worth = (plans: readonly Figure[]): number => Math.min(...plans.map((plan) => inMoney(shop, plan)));
        for (const provenance of ["ORIGINAL", "LATER_SUBSTITUTE"] as const) {
          const offered = quote("OFFERED", "P0", 0, { unitPriceMinor: 0, provenance });
          const withIt = { ...shop, rows: { ...rows, quotes: [...rows.quotes!, offered] } };
          expect(priceOf(shop, "P0", provenance)).toBe(
            Math.floor(worth(everyPlan(shop)) - worth(everyPlan(withIt)) + 1e-6),
          );
        }
      }),
      { numRuns: 25 },
    );
  });

  const waiting = (leadDays: number): Shop => ({
    perDay: 2_000,
    rows: {
      operations: [operation("ASSEMBLE", 8)],
      parts: [part("CASING")],
      needs: [{ operationId: "ASSEMBLE", partId: "CASING" }],
      quotes: [quote("FOUNDRY", "CASING", leadDays, { unitPriceMinor: 50_000 })],
    },
  });

  it("of a find is higher the later its alternative arrives", () => {
    const prices = [7, 28, 60].map((lead) => priceOf(waiting(lead), "CASING")!);
    // Fitted on Tuesday the 24th of November instead of the working day after the foundry's delivery.
    expect(prices).toEqual([50_000 + 7 * 2_000, 50_000 + 28 * 2_000, 50_000 + 62 * 2_000]);
  });

  it("is lower for a provenance that loses points", () => {
    const shop = { ...waiting(28), perPoint: 10_000, sheet: CAPPED };
    const [original, later] = ["ORIGINAL", "LATER_SUBSTITUTE"].map((one) => priceOf(shop, "CASING", one)!);
    expect(original! - later!).toBe(25_000);
  });

  it("has no limit from the figures where nothing else brings the part", () => {
    const [first] = walkAways({ rows: { ...waiting(7).rows, quotes: [] } }).get("CASING")!;
    expect(first).toMatchObject({ priceMinor: null, words: expect.stringContaining("No limit from the figures") });
  });

  it("is not given for a provenance that is ruled out", () => {
    const rows = { ...waiting(7).rows, ruledOut: [{ partId: "CASING", provenance: "LATER_SUBSTITUTE" as const }] };
    expect(
      walkAways({ rows })
        .get("CASING")!
        .map(({ provenance }) => provenance),
    ).not.toContain("LATER_SUBSTITUTE");
  });
});

describe("what the owner's money may come to at least and at most", () => {
  // A minimum of 100.00 at the mill: a chosen lamp at 60.00, and a horn at 50.00 there or at 30.00 from a dealer.
  const open: Shop = {
    rows: {
      operations: [operation("box", 8)],
      needs: ["horn", "lamp"].map((partId) => ({ operationId: "box", partId })),
      parts: [part("horn"), part("lamp", { chosenQuoteId: "lamp" })],
      quotes: [
        quote("cast", "horn", 7, { unitPriceMinor: 5_000, supplierId: "mill" }),
        quote("dealer", "horn", 14, { unitPriceMinor: 3_000, supplierId: "dealer" }),
        quote("lamp", "lamp", 7, { unitPriceMinor: 6_000, supplierId: "mill" }),
      ],
    },
    suppliers: { mill: { minimumMinor: 10_000 } },
  };
  const ends = (shop: Shop) => {
    const { low, planned, high } = exposureOf(choiceRows(shop)).total;
    return { low, planned, high };
  };
  const everyCost = (shop: Shop) => everyPlan(shop).map(({ landed }) => landed);

  it("can happen: what is charged on an order stays on it when one of its parts comes from elsewhere", () => {
    // Together 110.00. With the dealer's horn the lamp alone is charged 100.00, and 30.00 are not 20.00 less but 20.00 more.
    expect(ends(open)).toEqual({ low: 11_000, planned: 11_000, high: 13_000 });
    const cheaper = { ...open, suppliers: { mill: { carriageMinor: 500 } } };
    // 60.00 + 50.00 + 5.00; else 60.00 + 5.00 + 30.00.
    expect(ends(cheaper)).toEqual({ low: 9_500, planned: 11_500, high: 11_500 });
  });

  it("is a sum of some choice there is, on any small restoration", () => {
    const price = fc.integer({ min: 1, max: 9_000 });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(price, price), { minLength: 1, maxLength: 4 }),
        price,
        price,
        (parts, carriageMinor, minimumMinor) => {
          const shop: Shop = {
            rows: {
              operations: [operation("box", 8)],
              needs: parts.map((_, i) => ({ operationId: "box", partId: `p${i}` })),
              parts: parts.map((_, i) => part(`p${i}`)),
              quotes: parts.flatMap(([mill, other], i) => [
                quote(`m${i}`, `p${i}`, 7, { unitPriceMinor: mill, supplierId: "mill" }),
                quote(`o${i}`, `p${i}`, 14, { unitPriceMinor: other, supplierId: "other" }),
              ]),
            },
            suppliers: { mill: { carriageMinor, minimumMinor } },
          };
          const found = ends(shop);
          expect(everyCost(shop)).toEqual(expect.arrayContaining([found.low, found.planned, found.high]));
          expect(found.low <= found.planned && found.planned <= found.high).toBe(true);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe("a hunted part among the choices", () => {
  const hunting: Shop = {
    rows: {
      operations: [operation("box", 8)],
      needs: [{ operationId: "box", partId: "horn" }],
      parts: [part("horn", { fallbackQuoteId: "spun" })],
      quotes: [
        quote("spun", "horn", 14, { unitPriceMinor: 9_000 }),
        quote("old", "horn", 70, { unitPriceMinor: 4_000 }),
      ],
      hunts: [hunt("horn", { stopDate: "2027-02-01" })],
    },
    prices: { spun: 9_000, old: 4_000 },
  };

  it("is in force as its fallback ordered on the stop date, on the date of the plan", () => {
    const { problem, found } = choose(hunting);
    const [subject] = problem.subjects;
    expect(subject!.inForce).toMatchObject({ id: "hunt:spun", quoteId: "spun", costMinor: 9_000 });
    const plan = computePlan(rowsOf(hunting.rows), { figuresFor: MONDAY, confidence: null });
    expect(plan.ladder[0]).toMatchObject({ state: "HUNTED", orderOn: "2027-02-01" });
    expect(problem.inForce.date).toBe(plan.completion.date);
    // Ordering the fallback today is a choice of its own, and earlier by as many days as the hunt would wait.
    const earliest = figuresOf(plansOf({ problem, found })[0]!);
    const today = computePlan(rowsOf({ ...hunting.rows, parts: [part("horn", { chosenQuoteId: "spun" })] }), {
      figuresFor: MONDAY,
      confidence: null,
    });
    expect(earliest.date).toBe(today.completion.date);
    expect(differencesOf(plansOf({ problem, found })[0]!)).toMatchObject([
      { from: { id: "hunt:spun" }, to: { id: "spun" } },
    ]);
  });

  it("costs what is expected: a find by the stop date at its price and hours, else the fallback, by the same sums as the owner's money", () => {
    // Shape 1 over 10 weeks: after ten weeks one in two has found it. Half of 20.00 and of 90.00 are 55.00.
    const shop: Shop = {
      ...hunting,
      rows: {
        ...hunting.rows,
        hunts: [hunt("horn", { stopDate: "2027-02-01", priceMinor: 2_000, preparationHours: 7 })],
      },
      hour: 1_000,
      ownHours: true,
    };
    const inForce = choose(shop).problem.subjects[0]!.inForce;
    expect(inForce).toMatchObject({ landedMinor: 5_500, hours: 3.5, labourMinor: 3_500, costMinor: 9_000 });
    const rows = choiceRows(shop);
    const money = exposureOf(rows);
    expect(money.buckets.CHOSEN).toMatchObject({ low: 2_000, planned: 5_500, high: 9_000 });
    expect(money.lines.filter(({ id, bucket }) => id === "horn" && bucket === "LABOUR_TO_GO")).toMatchObject([
      { low: 0, planned: 3_500, high: 7_000 },
    ]);
    // The runs are about that expectation: each is a find or the fallback, and half are a find.
    const { parts, labour, beyondPlan } = costOfRuns(rows, rows.plan, { seed: 1, samples: 4096 });
    expect(new Set(parts)).toEqual(new Set([2_000 - 5_500, 9_000 - 5_500]));
    expect(new Set(labour)).toEqual(new Set([7_000 - 3_500, 0 - 3_500]));
    expect(new Set(beyondPlan)).toEqual(new Set([0]));
    const finds = parts.filter((amount) => amount < 0).length;
    expect(Math.abs(finds / 4096 - 1 / 2)).toBeLessThan(4 * Math.sqrt(0.25 / 4096));
  });

  /** A find at 25.00 that loses nothing, else a fallback at 40.00 that loses a point worth 50.00; found with 1 chance in 2 by 1 February. */
  const judged: Shop = {
    ...hunting,
    rows: {
      ...hunting.rows,
      quotes: [quote("spun", "horn", 14, { unitPriceMinor: 4_000, provenance: "REPRODUCTION" })],
      hunts: [hunt("horn", { stopDate: "2027-02-01", priceMinor: 2_500 })],
    },
    perPoint: 5_000,
    sheet: {
      sections: [
        {
          id: "engine",
          name: "Engine",
          maximum: 20,
          cap: null,
          deductions: [{ provenance: "REPRODUCTION", points: 1 }],
          lines: [],
        },
      ],
      floors: [],
      step: null,
    },
  };

  it("loses what is expected: a find's points, else the fallback's, so that it stands by worth as on its own page", () => {
    const choices = choose(judged);
    const [subject] = choices.problem.subjects;
    expect(subject!.inForce).toMatchObject({ id: "hunt:spun", costMinor: 3_250, points: 0.5 });
    expect(choices.problem.inForce.pointsLost).toBe(0.5);
    // 32.50 and half of 50.00 are 57.50; ordered now it is 90.00.
    expect(figuresOf(answersOf(choices).bestByWorth.plan!)).toMatchObject({ costMinor: 3_250, pointsLost: 0.5 });
    expect(priceOf(judged, "horn")).toBe(5_750);
  });

  it("loses by a find what the sheet takes off its own provenance", () => {
    const reproduction = { ...judged.rows.hunts![0]!, provenance: "REPRODUCTION" as const };
    const { problem } = choose({ ...judged, rows: { ...judged.rows, hunts: [reproduction] } });
    expect(problem.inForce.pointsLost).toBe(1);
  });

  it("shares its supplier's charge as far as it is ordered today: stopped today, and not when stopped later", () => {
    const withLamp = (stopDate: string): Shop => ({
      ...judged,
      rows: {
        ...judged.rows,
        needs: [...judged.rows.needs!, { operationId: "box", partId: "lamp" }],
        parts: [...judged.rows.parts!, part("lamp", { chosenQuoteId: "lamp" })],
        quotes: [
          ...judged.rows.quotes!.map((one) => ({ ...one, supplierId: "mill" })),
          quote("lamp", "lamp", 7, { unitPriceMinor: 3_000, supplierId: "mill" }),
        ],
        hunts: [hunt("horn", { stopDate })],
      },
      suppliers: { mill: { minimumMinor: 5_000 } },
    });
    // The minimum of 50.00 is met by 40.00 and 30.00 together; later the fallback is made up to it by itself, as is the lamp.
    const money = (shop: Shop) => exposureOf(choiceRows(shop)).buckets.CHOSEN;
    expect(money(withLamp("2027-02-01"))).toMatchObject({ planned: 5_000 + 5_000, high: 10_000 });
    const today = choose(withLamp(MONDAY)).problem;
    expect(today.subjects.find(({ rowId }) => rowId === "horn")!.inForce.landedMinor).toBe(4_000);
  });

  it("counts a find that has no price as the fallback", () => {
    expect(exposureOf(choiceRows(hunting)).buckets.CHOSEN).toMatchObject({ low: 9_000, planned: 9_000, high: 9_000 });
  });

  it("is on no order with others: what its supplier charges is charged once for it and once for them", () => {
    const two: Shop = {
      ...hunting,
      rows: {
        ...hunting.rows,
        needs: [...hunting.rows.needs!, { operationId: "box", partId: "lamp" }],
        parts: [...hunting.rows.parts!, part("lamp", { chosenQuoteId: "lamp" })],
        quotes: [
          ...hunting.rows.quotes!.map((one) => ({ ...one, supplierId: "mill" })),
          quote("lamp", "lamp", 7, { unitPriceMinor: 1_000, supplierId: "mill" }),
        ],
      },
      suppliers: { mill: { carriageMinor: 500 } },
    };
    const { problem } = choose(two);
    expect(problem.inForce.costMinor).toBe(9_000 + 500 + 1_000 + 500);
    expect(exposureOf(choiceRows(two)).buckets.CHOSEN.planned).toBe(problem.inForce.costMinor);
  });

  it("is weighed though its part is marked as kept, for no quote is chosen; and agrees with the plan once the hunt stops", () => {
    const kept = choose({ ...hunting, kept: ["horn"] });
    expect(plansOf(kept).map(figuresOf)).toEqual(plansOf(choose(hunting)).map(figuresOf));
    const stopped = choose({
      ...hunting,
      rows: { ...hunting.rows, hunts: [hunt("horn", { state: "STOPPED", stopDate: "2027-02-01" })] },
    });
    expect(stopped.problem.subjects[0]!.inForce.id).toBe("spun");
    expect(plansOf(stopped).map((one) => figuresOf(one).date)).toContain(stopped.problem.inForce.date);
  });
});
