/** The odds of a restoration worked out: asked for by a query or followed as a job, and kept for its revision and day of the figures. */
import { restorationFor } from "../../access/rules.ts";
import type { FurtherFiguresOf } from "../../plan/days/dayFigures.ts";
import { exposureOf } from "../../plan/money/exposure.ts";
import { loadExposureRows } from "../../plan/money/exposureLoad.ts";
import { dateWith, type OddsOutlook, type OddsRoom, type OddsSoFar, oddsModel, RUNS } from "../../plan/odds/odds.ts";
import { KeptByRevision } from "../../plan/rows/kept.ts";
import { loadRows } from "../../plan/rows/load.ts";
import type { Store } from "../../store/client.ts";
import { runOdds, WAITING } from "../../worker/computations.ts";
import { type JobOwner, type JobView, jobs, unlessStopped } from "../../worker/jobs.ts";
import type { Asker } from "../../worker/line.ts";
import { threads } from "../../worker/threads.ts";
import type { Context } from "../core/context.ts";

/** Stopped works whose runs so far are kept, the one stopped longest ago first, and bytes that they may take together. */
const stopped = new Set<OddsWork>();
const MOST_KEPT = 64 * 1024 * 1024;

/** How far the runs are; null while they wait for their turn. */
type Follow = (soFar: OddsSoFar | null) => void;

/**
 * Runs that are being drawn, or were, for one revision and day of the figures. They stop when nobody waits for them any more, and go
 * on from there when somebody does again.
 */
class OddsWork {
  /** The jobs by which it is followed. */
  readonly jobs: { id: string; owner: JobOwner }[] = [];
  private ending = new AbortController();
  private result: Promise<OddsOutlook> | null = null;
  /** Settled once the threads of a stopped drawing have left its runs. */
  private left: Promise<unknown> = Promise.resolve();
  /** Of what the runs are, read once: runs of rows that have changed since must not be added to them. */
  private model: ReturnType<typeof oddsModel> | null = null;
  private readonly standing: { room: OddsRoom | null } = { room: null };
  private readonly followers = new Set<Follow>();
  private soFar: OddsSoFar | null = null;
  private inLine = false;
  private waiting = 0;

  constructor(
    private readonly store: Store,
    private readonly restorationId: string,
    readonly figuresFor: string,
    private readonly drop: () => void,
  ) {}

  /** Whether somebody has it drawn already: to wait with them asks for no more. */
  get begun(): boolean {
    return this.result !== null;
  }

  /** Bytes of the runs that are kept. */
  get size(): number {
    const rows = this.standing.room?.rows;
    return rows === undefined ? 0 : rows.endHours.byteLength + rows.endDay.byteLength + rows.arrivalDay.byteLength;
  }

  /** The drawing that is on or done, else a new one over the runs that a stopped one left. */
  private drawn(account: string): Promise<OddsOutlook> {
    if (this.result !== null) return this.result;
    stopped.delete(this);
    this.ending = new AbortController();
    const result = this.draw(account, this.ending.signal);
    this.result = result;
    result.then(
      () => {
        if (this.result === result) this.forget();
      },
      () => {
        if (this.result === result) this.drop();
      },
    );
    return result;
  }

  /** Stops the drawing; its runs so far are kept. */
  private stop(drawing: Promise<OddsOutlook>): void {
    this.result = null;
    this.ending.abort();
    this.left = drawing.catch(() => {});
    stopped.add(this);
    let kept = 0;
    for (const work of stopped) kept += work.size;
    for (const oldest of stopped) {
      if (kept <= MOST_KEPT) break;
      kept -= oldest.size;
      stopped.delete(oldest);
      oldest.forget();
    }
  }

  /** Gives up the runs themselves; a thread that is at work on them keeps them until it is done. */
  forget(): void {
    this.standing.room = null;
    this.model = null;
  }

  private async draw(account: string, signal: AbortSignal): Promise<OddsOutlook> {
    const { store, restorationId, figuresFor } = this;
    const found = await runOdds(
      async () => {
        await this.left;
        if (this.standing.room === null) this.model = null;
        this.model ??= oddsModel(await loadRows(store, restorationId), figuresFor);
        return this.model;
      },
      RUNS,
      {
        account,
        signal,
        standing: this.standing,
        waits: () => this.tell(null),
        follow: (soFar) => this.tell(soFar),
      },
    );
    // Of nothing there are no odds.
    const entered = this.model === null || this.model.nodes.length > 0;
    return { restorationId, figuresFor, found: entered ? found : { ...found, ends: [], onTarget: null } };
  }

  private tell(soFar: OddsSoFar | null): void {
    this.inLine = soFar === null;
    this.soFar = soFar ?? this.soFar;
    for (const follower of this.followers) follower(soFar);
  }

  /**
   * Waits for the odds. Throws Stopped when it is stopped, Refused (TOO_BUSY) where too much of the account's waits already.
   * @param signal ends the waiting, and the runs where nobody else waits for them
   */
  async odds({ account, signal }: Asker, follow?: Follow): Promise<OddsOutlook> {
    this.waiting++;
    if (follow !== undefined) this.followers.add(follow);
    if (this.inLine) follow?.(null);
    else if (this.soFar !== null) follow?.(this.soFar);
    const drawing = this.drawn(account);
    try {
      return await unlessStopped(drawing, signal);
    } catch (error) {
      if (!signal?.aborted || this.waiting > 1) throw error;
      // The last to wait: the runs stop, and go on where they stand for whoever asks from now on.
      if (this.result === drawing) this.stop(drawing);
      return await drawing;
    } finally {
      this.waiting--;
      if (follow !== undefined) this.followers.delete(follow);
    }
  }
}

/** Nobody follows what an older revision says: its jobs are stopped. */
const kept = new KeptByRevision<OddsWork>((work) => {
  work.forget();
  for (const { id, owner } of work.jobs) if (jobs.goingOn([id], owner) !== null) jobs.stop(id, owner);
});

async function workOf(store: Store, restorationId: string, figuresFor: string): Promise<OddsWork> {
  const { value } = await kept.of(
    store,
    restorationId,
    figuresFor,
    (drop) => new OddsWork(store, restorationId, figuresFor, drop),
  );
  return value;
}

/** The odds of a restoration on a day of figures, kept until something of it changes. */
export async function oddsOfRestoration(
  store: Store,
  restorationId: string,
  figuresFor: string,
  asker: Asker,
): Promise<OddsOutlook> {
  return (await workOf(store, restorationId, figuresFor)).odds(asker);
}

/** The odds as asked for in a request: by default on the restoration's own day of the figures. */
export async function oddsFor(context: Context, restoration: string, asked: string | undefined): Promise<OddsOutlook> {
  const id = await restorationFor(context.viewer, context.store, restoration);
  const figuresFor = asked ?? (await context.figuresFor(id));
  return oddsOfRestoration(context.store, id, figuresFor, context.longWork());
}

export const KIND = "odds";
const DRAWING = "Drawing runs of the plan";

/** What a job of odds says while it runs. */
export interface OddsProgress {
  figuresFor: string;
  soFar: OddsSoFar;
}

/** Begins a job that draws the runs; the one that is there already where nothing has changed. */
export async function startOdds(context: Context, restoration: string, asked: string | undefined): Promise<JobView> {
  const { store, viewer } = context;
  const id = await restorationFor(viewer, store, restoration);
  const figuresFor = asked ?? (await context.figuresFor(id));
  const work = await workOf(store, id, figuresFor);
  const known = jobs.goingOn(
    work.jobs.map(({ id }) => id),
    viewer,
  );
  if (known !== null) return known;
  const refusal = work.begun ? null : threads.refusal(viewer.accountId);
  if (refusal !== null) return jobs.refused(KIND, viewer, refusal);
  const job = jobs.start(KIND, viewer, async (running) => {
    running.enter("CHECKING");
    running.progress(DRAWING, 0, RUNS.maxSamples);
    const { found } = await work.odds({ account: running.account, signal: running.signal }, (soFar) => {
      if (soFar === null) running.progress(WAITING, 0, RUNS.maxSamples);
      else running.progress(DRAWING, soFar.runs, soFar.wanted, { figuresFor, soFar } satisfies OddsProgress);
    });
    running.progress("Runs of the plan", found.samples, found.samples);
    return null;
  });
  work.jobs.push({ id: job.id, owner: viewer });
  return job;
}

/** What is kept with a day beside its plan: dates by their odds, and the cost to completion where nothing lacks a price. */
export const furtherFigures =
  (store: Store): FurtherFiguresOf =>
  async (restorationId) => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    const outlook = await oddsOfRestoration(store, restorationId, rows.figuresFor, { account: "" });
    const { total } = exposureOf(rows);
    return {
      evenOdds: dateWith(outlook, 0.5),
      fourInFive: dateWith(outlook, 0.8),
      targetOdds: outlook.found.onTarget,
      costMinor: total.unknown > 0 ? null : total.planned,
    };
  };
