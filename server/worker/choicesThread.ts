/** The other thread: computes one choice of quotes, prices offers, or draws runs, and tells how far it is. */
import { parentPort, workerData } from "node:worker_threads";
import { type QuoteChoice, quoteChoice } from "../engine/quoteChoice.ts";
import { type ChoiceWork, choiceInputOf } from "../engine/quoteChoiceWork.ts";
import type { UncertainModel } from "../engine/uncertainty.ts";
import { type Odds, type OddsOptions, oddsOf } from "../engine/uncertaintyOdds.ts";
import { type Offer, type WalkAwayPrice, type Worth, walkAwayPrices } from "../engine/walkAway.ts";

/** What the thread is asked. */
export type Asked =
  | { kind: "choices"; work: ChoiceWork }
  | { kind: "walkAways"; work: ChoiceWork; worth: Worth; offers: readonly Offer[] }
  | { kind: "odds"; model: UncertainModel; options: OddsOptions };

/** What a thread finds: of runs all but each run's own figures, which would be megabytes to hand over. */
export type Found = QuoteChoice | WalkAwayPrice[][] | Omit<Odds, "runs">;

/** What it tells: the share done, then what it found. */
export type Told = { share: number } | { found: Found } | { failed: string; name: string };

/** Milliseconds between two reports. */
const REPORT_EVERY = 100;

/** Computes what is asked; `follow` is told the share done. */
export function weigh(asked: Asked, follow: (share: number) => void): Found {
  const stop = (share: number): boolean => {
    follow(share);
    return false;
  };
  if (asked.kind === "odds") {
    const { runs: _, ...odds } = oddsOf(asked.model, asked.options);
    return odds;
  }
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
