/** Each day's figures, kept so that a line over time can be drawn, and what moved the end since one of them. */

import { type Holding, movements } from "../../engine/network/movement.ts";
import { dayNumber } from "../../engine/time/date.ts";
import type { DayFigures } from "../../generated/prisma/client.ts";
import type { Store } from "../../store/client.ts";
import { type Commit, onCommit } from "../../store/journal.ts";
import { planOf } from "../cache.ts";
import { PlanFault } from "../compute.ts";
import { lackOf } from "../parts/openWords.ts";
import type { Plan } from "../plan.ts";
import { dayFor } from "./day.ts";
import { today } from "./today.ts";

/** What holds the end, as kept with a day. */
export interface Held {
  /** "work" for the work alone, else the hold-up's id. */
  key: string;
  title: string;
  /** The date to which it holds the end; null is open. */
  date: string | null;
}

/** Figures that are worked out apart from the plan; null where there is none. */
export interface FurtherFigures {
  evenOdds: string | null;
  fourInFive: string | null;
  targetOdds: number | null;
  costMinor: number | null;
}

/** Works out the further figures of a restoration as its plan stands. */
export type FurtherFiguresOf = (restorationId: string) => Promise<FurtherFigures>;

const NONE: FurtherFigures = { evenOdds: null, fourInFive: null, targetOdds: null, costMinor: null };

/** The work alone, on its hands, and each part and snag that holds up, with the dates to which they hold the end. */
export function heldBy(plan: Plan): Held[] {
  return [
    { key: "work", title: "The work alone", date: plan.completion.workOnlyDate },
    ...plan.ladder
      .filter(({ kind }) => kind !== "HAND")
      .map(({ id, title, completionDate }) => ({ key: id, title, date: completionDate })),
  ];
}

/** What was kept with a day. */
export const heldOn = (day: Pick<DayFigures, "holdUps">): Held[] => JSON.parse(day.holdUps) as Held[];

/**
 * Keeps a restoration's figures under its day of the figures; what was kept for that date before is replaced. Where nothing
 * is entered nothing is kept. A day that is only looked at leaves nothing behind: one that is past is not written anew, and
 * one to come is gone once the figures are for the present day again. The demo alone stands at its own day.
 */
export async function keepDay(store: Store, restorationId: string, further?: FurtherFiguresOf): Promise<void> {
  const [restoration, plan] = await Promise.all([
    store.restoration.findUniqueOrThrow({
      where: { id: restorationId },
      select: {
        planRevision: true,
        currency: true,
        targetDate: true,
        workshop: { select: { timeZone: true, demo: true } },
      },
    }),
    planOf(store, restorationId),
  ]);
  const { planRevision, currency, targetDate, workshop } = restoration;
  const present = today(workshop.timeZone);
  if (plan.figuresFor < present && !workshop.demo) return;
  if (plan.figuresFor === present)
    await store.dayFigures.deleteMany({ where: { restorationId, day: { gt: present } } });
  const key = { restorationId_day: { restorationId, day: plan.figuresFor } };
  if (!plan.completion.entered) {
    // Nothing is entered, or nothing any more: there are no figures.
    await store.dayFigures.deleteMany({ where: { restorationId, day: plan.figuresFor } });
    return;
  }
  const known = await store.dayFigures.findUnique({ where: key, select: { planRevision: true, fourInFive: true } });
  if (known?.planRevision === planRevision && (further === undefined || known.fourInFive !== null)) return;
  const figures = {
    planRevision,
    targetDate,
    open: plan.completion.open,
    completion: plan.completion.dateWithOpenInHand,
    currency,
    holdUps: JSON.stringify(heldBy(plan)),
    ...((await further?.(restorationId)) ?? NONE),
  };
  await store.dayFigures.upsert({
    where: key,
    create: { restorationId, day: plan.figuresFor, ...figures },
    update: figures,
  });
}

/** The end as it is kept: the plan's own figures where they are those of its day and revision, and nothing else. */
export interface KeptEnd {
  /** Something has no source or remedy: there is no completion date. */
  open: boolean;
  /** With what is open cleared; null where the odds were not worked out, or even odds are never reached. */
  evenOdds: string | null;
}

/** Null where nothing is kept of the restoration as it stands: nothing is worked out for it. */
export async function keptEnd(store: Store, restorationId: string, planRevision: number): Promise<KeptEnd | null> {
  const day = await dayFor(store, restorationId);
  const kept = await store.dayFigures.findUnique({
    where: { restorationId_day: { restorationId, day } },
    select: { planRevision: true, open: true, evenOdds: true },
  });
  return kept?.planRevision === planRevision ? { open: kept.open, evenOdds: kept.evenOdds } : null;
}

export interface KeepOptions {
  further?: FurtherFiguresOf;
  /** Quiet time after a change before its day is written, in milliseconds. */
  quiet?: number;
  /** How often all restorations are looked at, so that a day on which nothing was changed is kept too. */
  every?: number;
  onProblem?: (error: unknown) => void;
}

/** Keeps the days of every restoration from now on. `stop` waits for what is being written. */
export function keepDays(
  store: Store,
  { further, quiet = 3_000, every = 3_600_000, onProblem = console.error }: KeepOptions = {},
): { stop(): Promise<void> } {
  const waiting = new Set<string>();
  let soon: NodeJS.Timeout | undefined;
  let writing: Promise<void> = Promise.resolve();
  let stopped = false;

  const write = (): void => {
    soon = undefined;
    writing = writing.then(async () => {
      for (const id of [...waiting]) {
        if (stopped) return;
        waiting.delete(id);
        await keepDay(store, id, further).catch((error: unknown) => {
          // Rows that make no plan have no figures to keep, and a restoration may be gone by now.
          if (!(error instanceof PlanFault) && (error as { code?: unknown }).code !== "P2025") onProblem(error);
        });
      }
    });
  };
  const mark = (ids: Iterable<string>): void => {
    for (const id of ids) waiting.add(id);
    if (stopped || waiting.size === 0) return;
    clearTimeout(soon);
    soon = setTimeout(write, quiet);
    soon.unref();
  };
  const all = (): void => {
    if (stopped) return;
    store.restoration.findMany({ select: { id: true } }).then((rows) => mark(rows.map(({ id }) => id)), onProblem);
  };

  onCommit(store, ({ revisions }: Commit) => mark(revisions.keys()));
  all();
  const hourly = setInterval(all, every);
  hourly.unref();
  return {
    stop: async () => {
      stopped = true;
      clearTimeout(soon);
      clearInterval(hourly);
      await writing;
    },
  };
}

/** What one hold-up, or the work alone, did to the end. */
export interface Moved {
  key: string;
  title: string;
  /** Days in tenths; less than 0 is earlier. */
  days: number;
  /** The date to which it held the end, then and now; null where it held nothing, or is open. */
  from: string | null;
  to: string | null;
}

export interface MovedSince {
  since: DayFigures;
  /** Calendar days by which the end moved, with what is open cleared; more than 0 is later. */
  days: number;
  /** The greatest first; they add up to the days. */
  moved: Moved[];
  /** Titles of what had a source or remedy, or was not asked for, and has none now; and the other way round. */
  opened: string[];
  closed: string[];
  /** What the opened ones are without, in words; null where there are none. */
  lacking: string | null;
}

/** What moved the end from a kept day to the plan as it stands. */
export function movedSince(since: DayFigures, plan: Plan): MovedSince {
  const before = heldOn(since);
  const after = heldBy(plan);
  const { days, movements: shares } = movements(holdings(before), holdings(after));
  const then = new Map(before.map((held) => [held.key, held]));
  const now = new Map(after.map((held) => [held.key, held]));
  const open = (held: Held | undefined): boolean => held?.date === null;
  const opened = after.filter(({ key, date }) => date === null && !open(then.get(key)));
  return {
    since,
    days,
    moved: shares.map(({ key, tenths }) => ({
      key,
      title: (now.get(key) ?? then.get(key))!.title,
      days: tenths / 10,
      from: then.get(key)?.date ?? null,
      to: now.get(key)?.date ?? null,
    })),
    opened: opened.map(({ title }) => title),
    lacking: lackOf(opened.map(({ key }) => ({ kind: key.startsWith("snag:") ? "SNAG" : "PART" }))),
    closed: before.filter(({ key, date }) => date === null && !open(now.get(key))).map(({ title }) => title),
  };
}

const holdings = (held: readonly Held[]): Holding[] =>
  held.flatMap(({ key, date }) => (date === null ? [] : [{ key, day: dayNumber(date) }]));
