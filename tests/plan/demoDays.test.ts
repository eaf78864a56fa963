/** The demo's earlier days are what the program itself says of them. */
import { readFile } from "node:fs/promises";
import { expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { heldBy } from "../../server/plan/days/dayFigures.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import { testStore } from "../support/store.ts";

it("the demo's earlier days are worked out as today's is: end and hold-ups of each (else: npm run demo:days)", async () => {
  const days = JSON.parse(await readFile(new URL("../../seed/cyclecarDays.json", import.meta.url), "utf8"));
  const { store, close } = await testStore();
  try {
    await seedDemo(store);
    const rows = await loadRows(store, (await store.restoration.findFirstOrThrow()).id);
    for (const { day, completion, holdUps } of days) {
      const plan = computePlan(rows, { figuresFor: day, confidence: null });
      expect(completion).toBe(plan.completion.dateWithOpenInHand);
      expect(holdUps.map(({ title, date }: { title: string; date: string | null }) => [title, date])).toEqual(
        heldBy(plan).map(({ title, date }) => [title, date]),
      );
    }
  } finally {
    await close();
  }
});
