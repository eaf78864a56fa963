/** The odds by stop date of a hunt, drawn in a thread and kept until something of the restoration changes. */
import type { Hunt } from "../generated/prisma/client.ts";
import { type HuntOdds, huntOdds } from "../plan/huntOdds.ts";
import { KeptByRevision } from "../plan/kept.ts";
import { loadOddsRows } from "../plan/odds.ts";
import type { Store } from "../store/client.ts";
import { stopOddsInThread } from "../worker/computations.ts";
import { Cancelled } from "../worker/jobs.ts";
import { SEED } from "./oddsWork.ts";

/** Runs for each stop date: a chance is then known to within 1 in 100. */
const RUNS = 4096;

/** Curves kept of one restoration on one data date; the ones asked for longest ago go first. */
const MOST_CURVES = 32;

interface Asked {
  dates: readonly string[];
  confidence: number;
  dataDate: string;
}

/** The curves of one revision and data date, by what was asked. */
class Curves {
  private readonly ending = new AbortController();
  private readonly curves = new Map<string, Promise<HuntOdds | null>>();

  /** Ends what is still being drawn: it is of rows that have changed. */
  stop(): void {
    this.ending.abort();
  }

  get stopped(): boolean {
    return this.ending.signal.aborted;
  }

  of(store: Store, restorationId: string, partId: string, asked: Asked): Promise<HuntOdds | null> {
    const key = JSON.stringify([partId, asked.confidence, asked.dates]);
    const curve = this.curves.get(key) ?? this.draw(store, restorationId, partId, asked);
    this.curves.delete(key);
    this.curves.set(key, curve);
    // What failed is not kept.
    curve.catch(() => {
      if (this.curves.get(key) === curve) this.curves.delete(key);
    });
    for (const oldest of this.curves.keys()) {
      if (this.curves.size <= MOST_CURVES) break;
      this.curves.delete(oldest);
    }
    return curve;
  }

  private async draw(store: Store, restorationId: string, partId: string, asked: Asked): Promise<HuntOdds | null> {
    return huntOdds(await loadOddsRows(store, restorationId), partId, asked, (work) =>
      stopOddsInThread(work, { seed: SEED, samples: RUNS }, this.ending.signal),
    );
  }
}

const kept = new KeptByRevision<Curves>((curves) => curves.stop());

/** Null where the hunt decides nothing about a target date. */
export async function oddsOfHunt(
  store: Store,
  { partId, restorationId }: Pick<Hunt, "partId" | "restorationId">,
  asked: Asked,
): Promise<HuntOdds | null> {
  const { value: curves } = await kept.of(store, restorationId, asked.dataDate, () => new Curves());
  try {
    return await curves.of(store, restorationId, partId, asked);
  } catch (error) {
    if (!(error instanceof Cancelled && curves.stopped)) throw error;
    // Whoever still waits is told what the changed rows say.
    return oddsOfHunt(store, { partId, restorationId }, asked);
  }
}
