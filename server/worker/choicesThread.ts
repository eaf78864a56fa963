/** The other thread: computes one choice of quotes, or prices offers, and tells how far it is. */
import { parentPort, workerData } from "node:worker_threads";
import { type QuoteChoice, quoteChoice } from "../engine/quoteChoice.ts";
import { type ChoiceWork, choiceInputOf } from "../engine/quoteChoiceWork.ts";
import { type Offer, type WalkAwayPrice, type Worth, walkAwayPrices } from "../engine/walkAway.ts";

/** What the thread is asked. */
export type Asked =
  | { kind: "choices"; work: ChoiceWork }
  | { kind: "walkAways"; work: ChoiceWork; worth: Worth; offers: readonly Offer[] };

/** What it tells: the share done, then what it found. */
export type Told = { share: number } | { found: QuoteChoice | WalkAwayPrice[][] } | { failed: string; name: string };

/** Milliseconds between two reports. */
const REPORT_EVERY = 100;

/** Computes what is asked; `follow` is told the share done. */
export function weigh(asked: Asked, follow: (share: number) => void): QuoteChoice | WalkAwayPrice[][] {
  const stop = (share: number): boolean => {
    follow(share);
    return false;
  };
  if (asked.kind === "walkAways") return walkAwayPrices(asked.work, asked.worth, asked.offers, stop);
  return quoteChoice(choiceInputOf(asked.work), { stop });
}

if (parentPort !== null && (workerData as { lastbolt?: Asked } | null)?.lastbolt !== undefined) {
  const tell = (told: Told): void => parentPort!.postMessage(told);
  let last = 0;
  try {
    const found = weigh((workerData as { lastbolt: Asked }).lastbolt, (share) => {
      const now = performance.now();
      if (now - last < REPORT_EVERY) return;
      last = now;
      tell({ share });
    });
    tell({ found });
  } catch (error) {
    tell({ failed: error instanceof Error ? error.message : String(error), name: (error as Error)?.name ?? "" });
  }
}
