import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { span } from "../../server/engine/choice/front.ts";
import type { ArrivalChoice, ChoiceInput } from "../../server/engine/choice/input.ts";
import { ChoiceProgrammes } from "../../server/engine/choice/milp.ts";
import { ChoiceModel } from "../../server/engine/choice/model.ts";
import type { Programme, Solver } from "../../server/engine/choice/programme.ts";
import { ChoiceStopped, quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { highs } from "../../server/worker/solver.ts";
import { frontierCase } from "../bench/frontierCase.ts";
import { lpText } from "../support/choiceMilp.ts";
import {
  anyOrdered,
  choiceInput,
  everyPlan,
  type Figure,
  figures,
  figuresOf,
  pair,
  round,
  rounded,
  undominated,
} from "../support/choices.ts";
import { seeded, shopCalendar } from "../support/networks.ts";

const calendar = shopCalendar();
let solve: Solver;
beforeAll(async () => {
  solve = await highs();
});

describe("where suppliers charge on whole orders, against every plan there is", { timeout: 300_000 }, () => {
  it.each([
    { parts: 4, ways: 0, runs: 100 },
    { parts: 3, ways: 3, runs: 100 },
  ])(
    "all undominated plans by date, cost and points are found: up to $parts parts, $ways operations with ways",
    (size) => {
      fc.assert(
        fc.property(anyOrdered(size), (choice) => {
          const found = quoteChoice(choiceInput(choice, calendar), { solve });
          expect(figures(found)).toEqual(undominated(everyPlan(choice, calendar, true), true));
        }),
        { numRuns: size.runs },
      );
    },
  );

  it.each(["date", "hour"] as const)("all undominated plans by %s and cost are found, whatever they lose", (end) => {
    fc.assert(
      fc.property(anyOrdered({ parts: 3, ways: 2 }), (choice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { end, withPoints: false, solve });
        const all = rounded(everyPlan(choice, calendar, end === "date"));
        expect(figures(found).map(pair)).toEqual(undominated(all, false).map(pair));
      }),
      { numRuns: 80 },
    );
  });

  it("all undominated plans by date and cost are found where a point lost has a price", () => {
    fc.assert(
      fc.property(anyOrdered({ parts: 4, ways: 2 }), fc.constantFrom(1, 3), (choice, pointPrice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { pointPrice, solve });
        const together = (plan: Figure): Figure => ({ ...plan, cost: plan.cost + plan.points * pointPrice });
        const all = everyPlan(choice, calendar, true).map(together);
        expect(figures(found).map(together).map(pair)).toEqual(undominated(all, false).map(pair));
      }),
      { numRuns: 80 },
    );
  });

  it("a plan chooses options that have its figures, the charge among them", () => {
    fc.assert(
      fc.property(anyOrdered({ parts: 4, ways: 1 }), (choice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { end: "hour", solve });
        const width = choice.arrivals.length + choice.operations.length;
        figures(found).forEach((figure, plan) => {
          const picks = Array.from({ length: width }, (_, i) => found.picks[plan * width + i]!);
          const own = figuresOf(choice, calendar, picks);
          expect({ ...own, end: round(own.end) }).toEqual(figure);
          const bare = figuresOf({ ...choice, orders: [] }, calendar, picks);
          expect(found.charged[plan]).toBe(own.cost - bare.cost);
        });
      }),
      { numRuns: 60 },
    );
  });

  it("the charge counts against the cap, whatever of the prices does", () => {
    fc.assert(
      fc.property(anyOrdered({ parts: 3, ways: 0 }), fc.integer({ min: 0, max: 900 }), (choice, cap) => {
        const counted = {
          ...choice,
          arrivals: choice.arrivals.map((arrival) => ({
            ...arrival,
            options: arrival.options.map((option) => ({ ...option, counted: Math.ceil(option.cost / 2) })),
          })),
        };
        const input = { ...choiceInput(counted, calendar), limits: { cost: cap } };
        const { answers, end } = quoteChoice(input, { solve });
        const halved = {
          ...counted,
          arrivals: counted.arrivals.map((arrival) => ({
            ...arrival,
            options: arrival.options.map((option) => ({ ...option, cost: option.counted })),
          })),
        };
        const within = everyPlan(halved, calendar, true).filter((plan) => plan.cost <= cap);
        const { plan } = answers.earliestWithinCap;
        if (within.length === 0) expect(plan).toBeNull();
        else expect(end[plan!]).toBe(Math.min(...within.map((one) => one.end)));
      }),
      { numRuns: 60 },
    );
  });
});

describe("a supplier who charges on a whole order", () => {
  const one = (id: string, options: { id: string; cost: number; order?: { supplier: number } }[]) => ({
    id,
    section: null,
    positions: [],
    options: options.map(({ order, ...option }) => ({
      ...option,
      points: 0,
      usable: 0,
      preparation: 0,
      ...(order === undefined ? {} : { order: { ...order, goods: option.cost, carried: true } }),
    })),
  });
  const shop = (carriage: number, minimum: number): ChoiceInput => ({
    network: choiceInput(
      { plain: { nodes: [], links: [] }, arrivals: [], operations: [], sectionCaps: [], lines: [], step: 1 },
      calendar,
    ).network,
    arrivals: [
      one("radiator", [
        { id: "foundry", cost: 5_000, order: { supplier: 0 } },
        { id: "dealer", cost: 5_400 },
      ]),
      one("casing", [
        { id: "foundry", cost: 2_000, order: { supplier: 0 } },
        { id: "dealer", cost: 2_300 },
      ]),
    ],
    operations: [],
    sectionCaps: [],
    orders: [{ carriage, minimum }],
  });
  const chosen = (input: ChoiceInput) => {
    const { cost, charged, picks } = quoteChoice(input, { solve });
    return { cost: cost[0], charged: charged[0], picks: [...picks] };
  };

  it("is ordered from for both parts or for neither: 6.00 carriage is worth 4.00 and 3.00 saved, and neither alone", () => {
    expect(chosen(shop(600, 0))).toEqual({ cost: 7_600, charged: 600, picks: [0, 0] });
    expect(chosen(shop(701, 0))).toEqual({ cost: 7_700, charged: 0, picks: [1, 1] });
  });

  it("is ordered from for what is dearer there, where the minimum is to be paid anyway", () => {
    const { arrivals, ...rest } = shop(0, 7_000);
    const [radiator, casing] = arrivals as [ArrivalChoice, ArrivalChoice];
    // The casing costs 24.00 there and 23.00 at the dealer's; the order comes to 70.00 either way.
    const dearer = one("casing", [{ id: "foundry", cost: 2_400, order: { supplier: 0 } }]).options;
    const both = [
      { ...radiator, options: radiator.options.slice(0, 1) },
      { ...casing, options: [...dearer, ...casing.options.slice(1)] },
    ];
    expect(chosen({ ...rest, arrivals: both })).toEqual({ cost: 7_400, charged: 0, picks: [0, 0] });
  });

  it("can be stopped between two programmes", () => {
    let asked = 0;
    expect(() => quoteChoice(shop(600, 0), { solve, stop: () => ++asked > 1 })).toThrow(ChoiceStopped);
  });

  it("is refused where it is not among those given, or charges less than nothing", () => {
    const input = shop(600, 0);
    expect(() => quoteChoice({ ...input, orders: [] }, { solve })).toThrow(
      expect.objectContaining({ code: "UNKNOWN_ROW", rows: ["radiator", "foundry"], field: "order" }),
    );
    expect(() => quoteChoice({ ...input, orders: [{ carriage: -1, minimum: 0 }] }, { solve })).toThrow(
      expect.objectContaining({ code: "NEGATIVE", field: "order" }),
    );
  });
});

const cbc = spawnSync("cbc", ["-quit"]);

describe.skipIf(cbc.error !== undefined)(
  "against another exact solver, Debian's cbc (left out where it is not installed)",
  { timeout: 300_000 },
  () => {
    it.each([1, 2])("each programme comes to the same cost (case %i)", (seed) => {
      const input = orderedCase(seed);
      const model = new ChoiceModel(input, "date", true);
      const told: { programme: Programme; least: number }[] = [];
      const telling: Solver = (programme) => {
        const values = solve(programme);
        const least = values === null ? Number.POSITIVE_INFINITY : costOf(programme, values);
        told.push({ programme, least });
        return values;
      };
      const { earliest, latest } = span(model);
      const programmes = new ChoiceProgrammes(model, model.orders!, telling, latest);
      for (const share of [0.2, 0.5, 0.8])
        for (const most of [Number.POSITIVE_INFINITY, 1_200, 600])
          programmes.cheapest(model.lastHour(model.endOf(earliest + share * (latest - earliest))), most);
      expect(told.length).toBeGreaterThan(8);
      for (const { programme, least } of told) expect(byCbc(programme)).toBeCloseTo(least, 3);
    });
  },
);

/** Parts of four suppliers who charge on orders, on work with ways, from a seed. */
function orderedCase(seed: number): ChoiceInput {
  const week = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" });
  const input = frontierCase({ operations: 20, parts: 16, quotes: 4, withWays: 3, seed }, week);
  const random = seeded(seed);
  return {
    ...input,
    arrivals: input.arrivals.map((arrival) => ({
      ...arrival,
      options: arrival.options.map((option) => ({
        ...option,
        order: {
          supplier: Math.floor(random() * 4),
          goods: Math.round(option.cost * 0.9),
          carried: random() < 0.8,
        },
      })),
    })),
    orders: Array.from({ length: 4 }, () => ({
      carriage: 100 * Math.floor(random() * 80),
      minimum: 1_000 * Math.floor(random() * 200),
    })),
  };
}

const costOf = ({ columns }: Programme, values: ArrayLike<number>): number =>
  columns.reduce((sum, { cost }, i) => sum + cost * values[i]!, 0);

function byCbc(programme: Programme): number {
  const folder = mkdtempSync(path.join(tmpdir(), "lastbolt-cbc-"));
  try {
    const [problem, solution] = ["problem.lp", "solution.txt"].map((name) => path.join(folder, name)) as [
      string,
      string,
    ];
    writeFileSync(problem, lpText(programme));
    spawnSync("cbc", [
      problem,
      "ratioGap",
      "0",
      "allowableGap",
      "0",
      "integerTolerance",
      "1e-9",
      "solve",
      "solution",
      solution,
    ]);
    const [head = ""] = readFileSync(solution, "utf8").split("\n");
    if (/^Infeasible/i.test(head)) return Number.POSITIVE_INFINITY;
    return Number(/^Optimal - objective value (\S+)/.exec(head)?.[1]);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
