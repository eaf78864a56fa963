import { it } from "vitest";
import { seedDemo } from "/work/wt/kept/seed/load.ts";
import { computePlan } from "/work/wt/kept/server/plan/compute.ts";
import { loadRows } from "/work/wt/kept/server/plan/load.ts";
import { testStore } from "/work/wt/kept/tests/support/store.ts";
it("x", async () => {
  const { store, close } = await testStore();
  await seedDemo(store);
  const { id } = await store.restoration.findFirstOrThrow();
  const rows = await loadRows(store, id);
  const t=performance.now();
  const plan = computePlan(rows, { figuresFor: rows.restoration.figuresFor!, confidence: null });
  console.log(performance.now()-t, plan.completion, plan.hands, plan.ladder.map(h=>[h.code,h.title,h.completionDate,h.daysGained]).slice(0,30), plan.freeToStart.map(f=>[f.operationId,f.hands.map(h=>h.name),f.today]));
  const bare = computePlan({...rows, hands: []}, { figuresFor: rows.restoration.figuresFor!, confidence: null });
  console.log(bare.ladder.map(h=>[h.code,h.title,h.completionDate]).slice(0,30));
  await close();
});
