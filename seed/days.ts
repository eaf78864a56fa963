/** The demo's earlier days, so that there is a line over time to look at. */
import { readFile } from "node:fs/promises";
import type { Store } from "../server/store/client.ts";

interface EarlierDay {
  day: string;
  open: boolean;
  completion: string;
  evenOdds?: string;
  fourInFive?: string;
  targetOdds?: number;
  costMinor?: number;
  /** Keys name parts and snags by their codes. */
  holdUps: { key: string; title: string; date: string | null }[];
}

/** Adds the days of a file to a restoration that has its parts and snags. */
export async function seedDays(store: Store, restorationId: string, file: string): Promise<void> {
  const days = JSON.parse(await readFile(file, "utf8")) as EarlierDay[];
  const where = { restorationId };
  const select = { id: true, code: true };
  const [{ currency, targetDate }, parts, snags] = await Promise.all([
    store.restoration.findUniqueOrThrow({ where: { id: restorationId } }),
    store.part.findMany({ where, select }),
    store.snag.findMany({ where, select }),
  ]);
  const ids = new Map<string, string>([
    ...parts.map(({ id, code }) => [`part:${code}`, `part:${id}`] as const),
    ...snags.map(({ id, code }) => [`snag:${code}`, `snag:${id}`] as const),
  ]);
  await store.dayFigures.createMany({
    data: days.map(({ holdUps, ...figures }) => ({
      ...figures,
      restorationId,
      currency,
      targetDate,
      planRevision: 0,
      holdUps: JSON.stringify(holdUps.map((held) => ({ ...held, key: ids.get(held.key) ?? held.key }))),
    })),
  });
}
