/** Another thread: computes what it is asked, one thing after the other, and tells how far it is. */
import { parentPort, workerData } from "node:worker_threads";
import type { QuoteChoice } from "../engine/choice/quoteChoice.ts";
import { type Offer, type WalkAwayPrice, walkAwayPrices } from "../engine/choice/walkAway.ts";
import type { ChoiceWork } from "../engine/choice/work.ts";
import type { Worth } from "../engine/choice/worth.ts";
import { type OrderWork, searchedOrder } from "../engine/hands/orderSearch.ts";
import { huntStopOdds, type StopOddsFound, type StopOddsWork } from "../engine/hunt/stopOdds.ts";
import { type CostOfRuns, costRuns, type RunPrices } from "../engine/money/costRuns.ts";
import {
  helpWithOdds,
  type Odds,
  type OddsOptions,
  type OddsRoom,
  type OddsSoFar,
  oddsOver,
} from "../engine/odds/odds.ts";
import { type OrderDaysFound, type OrderDaysWork, orderDaysOf } from "../engine/odds/orderDays.ts";
import { type Policies, type PoliciesAsked, policiesOf } from "../engine/odds/policies.ts";
import type { UncertainModel } from "../engine/odds/uncertainty.ts";
import { type ChoiceAsked, choicesOn } from "../plan/choice/onHands.ts";
import { type HandGains, type HandGainsAsked, handGains } from "../plan/hands/handGains.ts";
import { solverFor } from "./solver.ts";

interface Simulation {
  model: UncertainModel;
  options: OddsOptions;
  /** Memory that the threads of the simulation share. */
  room: OddsRoom;
}

/** What a thread is asked. */
export type Asked =
  | ({ kind: "choices" } & ChoiceAsked)
  | { kind: "walkAways"; work: ChoiceWork; worth: Worth; offers: readonly Offer[] }
  | { kind: "stopOdds"; work: StopOddsWork; seed: number; samples: number }
  | { kind: "orderDays"; work: OrderDaysWork; runs: OddsOptions }
  | { kind: "costRuns"; model: UncertainModel; prices: RunPrices; seed: number; samples: number }
  | ({ kind: "handGains" } & HandGainsAsked)
  | ({ kind: "policies" } & PoliciesAsked)
  | { kind: "orderOfWork"; work: OrderWork; schedules: number }
  | ({ kind: "odds" } & Simulation)
  | ({ kind: "help"; place: number } & Simulation);

/** What it finds; a helper finds nothing. */
export interface Found {
  choices: QuoteChoice;
  walkAways: WalkAwayPrice[][];
  stopOdds: StopOddsFound;
  orderDays: OrderDaysFound[];
  costRuns: CostOfRuns;
  handGains: HandGains;
  policies: Policies;
  orderOfWork: string[];
  odds: Omit<Odds, "runs">;
  help: null;
}

/** How far it is: the share done of a choice or of prices, and what the runs say so far. */
export type SoFar = number | OddsSoFar;

/** What it tells: how far it is, then what it found. */
export type Told = { soFar: SoFar } | { found: Found[Asked["kind"]] } | { failed: string; name: string };

/** What a thread of this program is started with, so that this file does nothing on any other. */
export const OWN = { lastbolt: "thread" };

/** Milliseconds between two reports. */
const REPORT_EVERY = 100;

/** Computes what is asked; `follow` is told how far it is. */
export async function compute(asked: Asked, follow: (soFar: SoFar) => void): Promise<Found[Asked["kind"]]> {
  const stop = (share: number): boolean => {
    follow(share);
    return false;
  };
  switch (asked.kind) {
    case "choices":
      return choicesOn(asked, stop, await solverFor(asked.work));
    case "walkAways":
      return walkAwayPrices(asked.work, asked.worth, asked.offers, stop, await solverFor(asked.work));
    case "stopOdds":
      return huntStopOdds(asked.work, asked);
    case "orderDays":
      return orderDaysOf(asked.work, asked.runs);
    case "costRuns":
      return costRuns(asked.model, asked.prices, asked);
    case "handGains":
      return handGains(asked, follow);
    case "policies":
      return policiesOf(asked.model, asked.work, asked);
    case "orderOfWork":
      return searchedOrder(asked.work, asked.schedules, follow);
    case "odds":
      return oddsOver(asked.model, asked.options, asked.room, follow);
    case "help":
      helpWithOdds(asked.model, asked.options, asked.room, asked.place);
      return null;
  }
}

if (parentPort !== null && (workerData as typeof OWN | null)?.lastbolt === OWN.lastbolt) {
  const tell = (told: Told): void => parentPort!.postMessage(told);
  parentPort.on("message", async (asked: Asked) => {
    let last = 0;
    try {
      const found = await compute(asked, (soFar) => {
        const now = performance.now();
        if (now - last < REPORT_EVERY) return;
        last = now;
        tell({ soFar });
      });
      tell({ found });
    } catch (error) {
      tell({ failed: error instanceof Error ? error.message : String(error), name: (error as Error)?.name ?? "" });
    }
  });
}
