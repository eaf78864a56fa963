/**
 * `npm run demo:days` makes seed/cyclecarDays.json anew: the demo as it is entered, looked at on each of its earlier days.
 * Run it whenever a figure of the plan is worked out otherwise than before.
 */
import { readFile, writeFile } from "node:fs/promises";
import { seedDemo } from "../seed/load.ts";
import { furtherFigures } from "../server/api/odds/oddsWork.ts";
import { heldOn, keepDay } from "../server/plan/days/dayFigures.ts";
import { testStore } from "./support/store.ts";

const FILE = new URL("../seed/cyclecarDays.json", import.meta.url);

const earlier = (JSON.parse(await readFile(FILE, "utf8")) as { day: string }[]).map(({ day }) => day);
const { store, close } = await testStore();
try {
  await seedDemo(store);
  const { id } = await store.restoration.findFirstOrThrow();
  const where = { restorationId: id };
  const select = { id: true, code: true };
  const [parts, snags] = await Promise.all([
    store.part.findMany({ where, select }),
    store.snag.findMany({ where, select }),
  ]);
  const codes = new Map<string, string>([
    ...parts.map((part) => [`part:${part.id}`, `part:${part.code}`] as const),
    ...snags.map((snag) => [`snag:${snag.id}`, `snag:${snag.code}`] as const),
  ]);
  await store.dayFigures.deleteMany({ where });
  const days: object[] = [];
  for (const day of earlier) {
    await store.shopCalendar.updateMany({ data: { figuresFor: day } });
    await store.restoration.updateMany({ data: { planRevision: { increment: 1 } } });
    await keepDay(store, id, furtherFigures(store));
    const kept = await store.dayFigures.findUniqueOrThrow({ where: { restorationId_day: { ...where, day } } });
    const { open, completion, evenOdds, fourInFive, targetOdds, costMinor } = kept;
    const holdUps = heldOn(kept).map((held) => ({ ...held, key: codes.get(held.key) ?? held.key }));
    days.push({ day, open, completion, evenOdds, fourInFive, targetOdds, costMinor, holdUps });
    console.log(day, completion, evenOdds, fourInFive);
  }
  await writeFile(FILE, `[\n${days.map((day) => JSON.stringify(day)).join(",\n")}\n]\n`);
} finally {
  await close();
}
process.exit(0);
