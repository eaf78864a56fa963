/** The day that figures of a workshop are for: today where it is, unless another day is looked at there. */
import type { Store, Tx } from "../../store/client.ts";
import { NotFound } from "../../store/fault.ts";
import { isDate } from "../../store/rules.ts";
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

/** The same of a restoration that is stored. Throws {@link NotFound}. */
export const lastDayFor = async (store: Store | Tx, restorationId: string): Promise<string> =>
  lastDayOfWork(await saysDay(store, restorationId));

/** Fields that say on which day something was done: none of them can hold a day to come. */
const DONE_ON: Readonly<Record<string, readonly string[]>> = {
  operation: ["startedOn", "finishedOn"],
  order: ["placedOn", "arrivedOn"],
  hoursBooked: ["workedOn"],
  invoice: ["day"],
};

/** Those of a row's that hold a day after the last on which it can have been done; what stood so before stands. */
export const daysToCome = (
  table: string,
  row: Readonly<Record<string, unknown>>,
  before: Readonly<Record<string, unknown>> | null,
  last: string,
): string[] =>
  (DONE_ON[table] ?? []).filter((field) => {
    const day = row[field];
    return typeof day === "string" && isDate(day) && day > last && day !== before?.[field];
  });

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
