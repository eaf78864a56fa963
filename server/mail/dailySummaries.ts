/** The summary of the day, once to each account that asked for it. */
import { restorationsOf } from "../access/rules.ts";
import type { Account } from "../generated/prisma/client.ts";
import { PlanFault } from "../plan/compute.ts";
import { type DaySummary, daySummary } from "../plan/days/daySummary.ts";
import { hourOf, today } from "../plan/days/today.ts";
import type { Store } from "../store/client.ts";
import { type Mailer, ownMailer } from "./mailer.ts";
import { summaryMessage } from "./summaryMessage.ts";

export interface Sending {
  mailer: Mailer;
  day: string;
  /** The workshop to whose accounts they go; absent: to all. */
  workshopId?: string;
  /** Where people reach the server; links are left out where it is not given. */
  address?: string | undefined;
  /** Told what could not be sent; it is tried again the next time. */
  onProblem: (message: string) => void;
}

/**
 * Sends the day's summary to every account that asked for one and has not had it. An account is marked only once the
 * mail server has taken the message, so that none is lost; a message sent twice over a crash bears the same id.
 * Returns how many were sent.
 */
export async function sendSummaries(
  store: Store,
  { mailer, day, workshopId, address, onProblem }: Sending,
): Promise<number> {
  if (!mailer.sends) return 0;
  const accounts = await store.account.findMany({
    where: {
      dailySummary: true,
      ...(workshopId === undefined ? {} : { workshopId }),
      closed: false,
      email: { not: null },
      OR: [{ summarySent: null }, { summarySent: { lt: day } }],
    },
    orderBy: { id: "asc" },
  });
  let sent = 0;
  for (const account of accounts) {
    try {
      const summaries = await summariesFor(store, account, day, onProblem);
      if (summaries.length > 0) {
        const { id: accountId, name, email } = account;
        await mailer.send(summaryMessage({ to: email!, name, accountId, day, address, summaries }));
        sent++;
      }
      await store.account.update({ where: { id: account.id }, data: { summarySent: day } });
    } catch (error) {
      onProblem(
        `The summary of ${day} for ${account.name} was not sent, and will be tried again: ${error instanceof Error ? error.message : String(error)}`,
      );
    }
  }
  return sent;
}

/** The summaries of the restorations that the account may read, as it may read them, for the day of the mail whatever day is looked at. */
async function summariesFor(
  store: Store,
  { id, workshopId, role }: Account,
  day: string,
  onProblem: Sending["onProblem"],
): Promise<DaySummary[]> {
  const viewer = { accountId: id, workshopId, role, admin: false, everyJob: false };
  const restorations = await store.restoration.findMany({
    where: restorationsOf(viewer),
    orderBy: [{ rank: "asc" }, { machine: "asc" }, { id: "asc" }],
    select: { id: true, machine: true },
  });
  const summaries: DaySummary[] = [];
  for (const restoration of restorations) {
    try {
      summaries.push(await daySummary(store, restoration.id, role === "OWNER", day));
    } catch (error) {
      // Rows that make no plan have no summary; the sheets say what is wrong with them.
      if (!(error instanceof PlanFault)) throw error;
      onProblem(`${restoration.machine} has no summary: ${error.message}`);
    }
  }
  return summaries;
}

/** From this hour in the workshop's time zone on, a day's summaries go out. */
const FROM_HOUR = 6;
const EVERY_MS = 10 * 60_000;

/** Sends the summaries of each workshop in which it is six in the morning or later. Returns how many were sent. */
export async function sendDue(
  store: Store,
  sending: Omit<Sending, "day" | "workshopId">,
  now: Date = new Date(),
): Promise<number> {
  let sent = 0;
  for (const { id: workshopId, timeZone } of await store.workshop.findMany({ select: { id: true, timeZone: true } }))
    if (hourOf(timeZone, now) >= FROM_HOUR)
      sent += await sendSummaries(store, { ...sending, workshopId, day: today(timeZone, now) });
  return sent;
}

/** Sends each day's summaries from six in the morning on, and looks every ten minutes for any not yet sent. */
export function keepSending(store: Store, address: string | undefined): { stop(): Promise<void> } {
  const mailer = ownMailer();
  if (!mailer.sends) return { stop: async () => {} };
  let running: Promise<unknown> = Promise.resolve();
  let busy = false;
  const look = (): void => {
    if (busy) return;
    busy = true;
    running = sendDue(store, { mailer, address, onProblem: console.error })
      .catch(console.error)
      .finally(() => {
        busy = false;
      });
  };
  look();
  const timer = setInterval(look, EVERY_MS);
  timer.unref();
  return {
    stop: async () => {
      clearInterval(timer);
      await running;
      mailer.close();
    },
  };
}
