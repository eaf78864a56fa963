/** The day that figures of a workshop are for: today where it is, unless another day is looked at there. */
import type { Store, Tx } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { today } from "./today.ts";

/** What of a restoration says for which day its figures are. */
export const SAYS_DAY = {
  workshop: { select: { timeZone: true, calendar: { select: { figuresFor: true } } } },
} as const;

interface SaysDay {
  workshop: { timeZone: string | null; calendar: { figuresFor: string | null } | null };
}

export const dayOf = ({ workshop }: SaysDay): string => workshop.calendar?.figuresFor ?? today(workshop.timeZone);

/** Whether the figures are for the present day: another that is looked at is never called today. */
export const isToday = (row: SaysDay): boolean => dayOf(row) === today(row.workshop.timeZone);

/** The last day on which work can have been done: today, or the day that is looked at where that is later. */
export const lastDayOfWork = (row: SaysDay): string => lastOf(dayOf(row), today(row.workshop.timeZone));

export const lastOf = (...days: string[]): string => days.toSorted().at(-1)!;

/** Throws {@link NotFound}. */
export const dayFor = async (store: Store | Tx, restorationId: string): Promise<string> =>
  dayOf(await saysDay(store, restorationId));

/** The day that it is where a restoration's workshop is, whatever day is looked at. Throws {@link NotFound}. */
export const realDayFor = async (store: Store | Tx, restorationId: string): Promise<string> =>
  today((await saysDay(store, restorationId)).workshop.timeZone);

async function saysDay(store: Store | Tx, id: string) {
  const found = await store.restoration.findUnique({ where: { id }, select: SAYS_DAY });
  if (found === null) throw new NotFound("restoration");
  return found;
}
