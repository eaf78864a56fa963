/** The odds by stop date of a hunt, drawn in a thread and kept until something of the restoration changes. */
import type { Hunt } from "../../generated/prisma/client.ts";
import { type HuntOdds, huntOdds, STOP_RUNS } from "../../plan/hunt/odds.ts";
import type { HuntOddsAsked } from "../../plan/rows/draws.ts";
import { KeptByRevision, newest } from "../../plan/rows/kept.ts";
import { loadRows } from "../../plan/rows/load.ts";
import type { Store } from "../../store/client.ts";
import { stopOddsInThread } from "../../worker/computations.ts";
import { Stopped } from "../../worker/jobs.ts";
import type { Asker } from "../../worker/line.ts";
import { SharedWork } from "../../worker/sharedWork.ts";
import { threads } from "../../worker/threads.ts";

/** Curves kept of one restoration on one day of the figures; the ones asked for longest ago go first. */
const MOST_CURVES = 32;

/** The curves of one revision and day of the figures, by what was asked. */
class Curves {
  private readonly curves = new Map<string, SharedWork<HuntOdds | null>>();
  stopped = false;

  /** Ends what is still being drawn: it is of rows that have changed. */
  stop(): void {
    this.stopped = true;
    for (const curve of this.curves.values()) curve.end();
  }

  of(
    store: Store,
    restorationId: string,
    partId: string,
    asked: HuntOddsAsked,
    { account, signal }: Asker,
  ): Promise<HuntOdds | null> {
    const key = JSON.stringify([partId, asked.confidence, asked.dates]);
    let curve = this.curves.get(key);
    if (curve === undefined) {
      // What failed is not kept.
      const made = new SharedWork(
        (ending) => draw(store, restorationId, partId, asked, { account, signal: ending }),
        () => {
          if (this.curves.get(key) === made) this.curves.delete(key);
        },
      );
      curve = made;
    }
    newest(this.curves, key, curve, MOST_CURVES);
    return curve.wait(signal);
  }
}

async function draw(
  store: Store,
  restorationId: string,
  partId: string,
  asked: HuntOddsAsked,
  asker: Asker,
): Promise<HuntOdds | null> {
  const refusal = threads.refusal(asker.account);
  if (refusal !== null) throw refusal;
  return huntOdds(await loadRows(store, restorationId), partId, asked, (work) =>
    stopOddsInThread(work, STOP_RUNS, asker),
  );
}

const kept = new KeptByRevision<Curves>((curves) => curves.stop());

/** Null where the hunt decides nothing about a target date. Throws Refused (TOO_BUSY). */
export async function oddsOfHunt(
  store: Store,
  { partId, restorationId }: Pick<Hunt, "partId" | "restorationId">,
  asked: HuntOddsAsked,
  asker: Asker = { account: "" },
): Promise<HuntOdds | null> {
  const { value: curves } = await kept.of(store, restorationId, asked.figuresFor, () => new Curves());
  try {
    return await curves.of(store, restorationId, partId, asked, asker);
  } catch (error) {
    if (!(error instanceof Stopped && curves.stopped) || asker.signal?.aborted) throw error;
    // Whoever still waits is told what the changed rows say.
    return oddsOfHunt(store, { partId, restorationId }, asked, asker);
  }
}
