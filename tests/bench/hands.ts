/**
 * `npm run bench -- hands`: the end of the demo's work on its hands, as a request asks for it, rows at hand.
 * `npm run bench -- hands FOLDER [--schedules 5000] [--seeds 5]`: the order of work of every .sm, .rcp and .def file of a
 * folder, `file makespan bound` for each, then means: over the bound, and over the optimum where the folder states it in
 * optimum.csv (file,optimum).
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { parseArgs } from "node:util";
import { seedDemo, seedEngine } from "../../seed/load.ts";
import { lowerBounds } from "../../server/engine/hands/bound.ts";
import { Decoder } from "../../server/engine/hands/decode.ts";
import { searchedOrder } from "../../server/engine/hands/orderSearch.ts";
import { listBy, priorities } from "../../server/engine/hands/priorityRules.ts";
import { Search } from "../../server/engine/hands/search.ts";
import { Shop } from "../../server/engine/hands/shop.ts";
import { policiesOf } from "../../server/engine/odds/policies.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { handGains } from "../../server/plan/hands/handGains.ts";
import { orderOfWork, orderWorkOf } from "../../server/plan/hands/orderOfWork.ts";
import { moneyOf } from "../../server/plan/money/exposureKept.ts";
import { differOf, policiesWork } from "../../server/plan/odds/policies.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { seeded } from "../support/networks.ts";
import { caseOf } from "../support/schedulingCases.ts";
import { testStore } from "../support/store.ts";
import { figure, median, quantile, timings, timingsOf } from "./measure.ts";

export async function hands(given: string[]): Promise<void> {
  const { values, positionals } = parseArgs({
    args: given,
    allowPositionals: true,
    options: { schedules: { type: "string", default: "5000" }, seeds: { type: "string", default: "1" } },
  });
  if (positionals.length === 0) {
    await demo();
    growth();
  }
  for (const folder of positionals) folderOf(folder, Number(values.schedules), Number(values.seeds));
}

async function demo(): Promise<void> {
  const { store, close } = await testStore();
  try {
    await seedDemo(store);
    const { id } = await store.restoration.findFirstOrThrow();
    const rows = await loadRows(store, id);
    const figuresFor = await dayFor(store, id);
    let again = rows;
    const times = await timingsOf(
      async () => {
        if (orderOfWork(again, figuresFor) === null) throw new Error("The demo has no hands.");
      },
      {
        before: async () => {
          again = { ...rows };
        },
      },
    );
    figure("hands.demo.quick", quantile(times, 0.5), "ms");
    await longer("hands.demo.search", rows, figuresFor);
    const { rows: money } = await moneyOf(store, id);
    const rates = await store.exchangeRate.findMany();
    const gains = await timingsOf(async () => {
      if (handGains({ rows: { ...money, plan: { ...money.plan } }, rates }, () => {}).gains.length === 0)
        throw new Error("Nothing gains.");
    });
    figure("hands.demo.gains", quantile(gains, 0.5), "ms");
    await differing(rows, figuresFor);
    await seedEngine(store);
    await longer("hands.demo.two.search", await loadRows(store, id), figuresFor);
  } finally {
    await close();
  }
}

/** Calendar days by which the even odds come later where whoever is free takes the next of the list, and how long that takes to draw. */
async function differing(rows: PlanRows, figuresFor: string): Promise<void> {
  const work = policiesWork(rows, figuresFor);
  if (work === null) throw new Error("The demo has no order of work.");
  const times = await timingsOf(async () => void policiesOf(work.model, work.work, work), { least: 5, forMs: 0 });
  figure("hands.policies", quantile(times, 0.5), "ms");
  figure("hands.policies.differ", differOf(policiesOf(work.model, work.work, work)).evenOddsDays ?? Number.NaN, "days");
}

/** As long a look as is asked for beside the main thread, of all machines of the shop together. */
async function longer(name: string, rows: PlanRows, figuresFor: string): Promise<void> {
  const work = orderWorkOf(rows, figuresFor);
  const times = await timingsOf(async () => void searchedOrder(work, 5_000, () => {}), { least: 5, forMs: 0 });
  figure(name, quantile(times, 0.5), "ms");
}

/** Time an operation of one schedule, of a shop of 20 hands. */
function growth(): void {
  const each = [200, 2_000].map((size) => {
    const random = seeded(size);
    const trades = Array.from({ length: 10 }, (_, i) => `trade ${i}`);
    const shop = new Shop({
      operations: Array.from({ length: size }, (_, i) => ({
        id: `o${i}`,
        hours: 1 + Math.floor(30 * random()),
        release: 0,
        needs: [{ trade: trades[Math.floor(10 * random())]!, hands: 1 }],
        restoration: 0,
      })),
      links: Array.from({ length: 2 * size }, (_, k) => {
        const after = 1 + (k % (size - 1));
        const before = Math.max(0, after - 1 - Math.floor(40 * random()));
        return { before: `o${before}`, after: `o${after}`, lag: 0, lagInDays: false };
      }),
      hands: Array.from({ length: 20 }, (_, i) => ({
        id: `h${i}`,
        trades: [trades[i % 10]!, trades[(i + 3) % 10]!],
        count: 1,
        weekdayHours: [8, 8, 8, 8, i % 2 === 0 ? 8 : 5, 0, 0],
        absences: [],
        joinsOn: null,
        leavesOn: null,
      })),
      calendar: new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" }),
      targets: [Number.POSITIVE_INFINITY],
    });
    const decoder = new Decoder(shop);
    const list = listBy(shop, priorities(shop)["latestFinish"]!);
    return median(timings(() => decoder.forward(list))) / size;
  });
  figure("hands.growth_per_operation.200_to_2000", each[1]! / each[0]!, "times");
}

function folderOf(folder: string, schedules: number, seeds: number): void {
  const files = readdirSync(folder).filter((file) => /\.(sm|rcp|def)$/.test(file) && !file.endsWith("hrs.sm"));
  const optima = readOptima(folder);
  let overBound = 0;
  let overOptimum = 0;
  let atOptimum = 0;
  let made = 0;
  let taken = 0;
  for (const file of files) {
    const input = caseOf(file, readFileSync(path.join(folder, file), "utf8"));
    const shop = new Shop(input);
    const bounds = lowerBounds(shop, input.operations);
    const bound = bounds[0]!;
    let mean = 0;
    for (let seed = 1; seed <= seeds; seed++) {
      const began = performance.now();
      const search = new Search(shop, seed, null, Float64Array.of(bound));
      search.run(schedules);
      taken += performance.now() - began;
      made += search.made;
      const [end] = search.ends;
      mean += end! / seeds;
      const optimum = optima.get(file);
      if (optimum !== undefined) {
        overOptimum += (end! / optimum - 1) / seeds;
        if (end! <= optimum) atOptimum += 1 / seeds;
      }
    }
    overBound += mean / bound - 1;
    console.log(`${file} ${Number(mean.toFixed(2))} ${bound}`);
  }
  const name = path.basename(folder);
  figure(`hands.${name}.over_bound`, (100 * overBound) / files.length, "per cent");
  if (optima.size > 0) {
    figure(`hands.${name}.over_optimum`, (100 * overOptimum) / files.length, "per cent");
    figure(`hands.${name}.at_optimum`, atOptimum, `of ${files.length}`);
  }
  figure(`hands.${name}.rate`, made / (taken / 1_000), "schedules a second");
}

function readOptima(folder: string): Map<string, number> {
  const file = ["optimum.csv", "optimum/optimum.csv"].map((name) => path.join(folder, name)).find(existsSync);
  if (file === undefined) return new Map();
  const rows = readFileSync(file, "utf8")
    .trim()
    .split(/\r?\n/)
    .map((line) => line.split(","));
  return new Map(rows.filter(([, value]) => Number(value) > 0).map(([name, value]) => [name!, Number(value)]));
}
