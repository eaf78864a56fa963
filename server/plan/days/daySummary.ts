/** What a day asks for, in words: what to order by when, what the owner declined, hunts to decide on, decisions that wait, what is late, and how the end stands since the last day. */
import { addDays, daysBetween } from "../../engine/time/date.ts";
import type { Store } from "../../store/client.ts";
import { planOf } from "../cache.ts";
import { loadSheet } from "../choice/points.ts";
import { afterHunt, decideByOf, loadSaid } from "../hunt/hunt.ts";
import { loadRates } from "../money/exchange.ts";
import { consentWanting } from "../money/exposureConsent.ts";
import { moneyOf } from "../money/exposureKept.ts";
import { moneyInWords } from "../money/moneyWords.ts";
import { oddsCondition, openByName } from "../odds/oddsWords.ts";
import { declinedNow } from "../parts/declinedNow.ts";
import { FORTNIGHT } from "../parts/laterOrders.ts";
import { holdsIt } from "../parts/openWords.ts";
import type { HoldUp, Plan } from "../plan.ts";
import { SAYS_DAY, isToday as saysToday } from "./day.ts";
import { movedSince } from "./dayFigures.ts";
import { dateInWords, daysInWords, fromDay, getFrom, targetOddsInWords, whatToOrder } from "./summaryWords.ts";

export type SummaryKind = "ORDER" | "HUNT" | "LATE" | "DECISION" | "DECLINED";

export interface SummaryLine {
  /** What it is about: "Gearbox casing". */
  subject: string;
  /** What there is to do or to know: "order it from Lower Mill Foundry by 2 Jan 2027, in 3 days". */
  words: string;
  /** Of these words what is done or was promised, the day aside; all of them where they name no day. */
  what: string;
  /** The day by which to do it, or for which it was promised; null: there is none. */
  due: string | null;
  /** Calendar days to that day, less than none once it is past. */
  daysLeft: number | null;
  /** What stands in its way or speaks against it; empty: nothing. */
  note: string;
  /** How to ring whom it waits for; null where that is not known, or nobody's concern. */
  phone: string | null;
  /** The day has passed, or completion depends on it. */
  pressing: boolean;
  partId: string | null;
  snagId: string | null;
}

export interface SummarySection {
  kind: SummaryKind;
  title: string;
  lines: readonly SummaryLine[];
  /** Said where there is no line. */
  none: string;
}

export interface DaySummary {
  restorationId: string;
  machine: string;
  /** The day that it stands for. */
  day: string;
  /** False where another day than the present one is looked at. */
  isToday: boolean;
  /** When it will be finished, and what holds it. */
  sentence: string;
  /** The target's odds, and what moved since the last kept day; empty where neither is known. */
  since: string;
  sections: readonly SummarySection[];
}

/**
 * The summary of a restoration: of `today` where it is given, else of the day that is looked at. An owner's leaves out
 * what the shop has to order and hunts for. Throws NotFound, PlanFault.
 */
export async function daySummary(
  store: Store,
  restorationId: string,
  forOwner: boolean,
  today?: string,
): Promise<DaySummary> {
  const plan = await planOf(store, restorationId, { figuresFor: today });
  const { figuresFor } = plan;
  const restoration = await store.restoration.findUniqueOrThrow({
    where: { id: restorationId },
    select: { machine: true, planRevision: true, workshopId: true, ...SAYS_DAY },
  });
  const isToday = today !== undefined || saysToday(restoration);
  const [declined, decisions, days] = await Promise.all([
    declinedNow(store, restorationId, plan, isToday),
    store.decision.findMany({
      where: { restorationId, state: "WAITING" },
      orderBy: [{ askedOn: "asc" }, { id: "asc" }],
      include: {
        quote: { select: { partId: true } },
        remedy: { select: { snagId: true } },
        questions: { where: { answeredAt: null }, orderBy: [{ askedAt: "asc" }, { id: "asc" }] },
      },
    }),
    store.dayFigures.findMany({
      where: { restorationId, day: { lte: figuresFor } },
      orderBy: { day: "desc" },
      take: 2,
    }),
  ]);
  const late: SummarySection = {
    kind: "LATE",
    title: "To chase",
    lines: await lateLines(store, plan, forOwner),
    none: "Nothing that was promised is late.",
  };
  const decision: SummarySection = {
    kind: "DECISION",
    title: forOwner ? "Waits for your answer" : "Waits for the owner",
    lines: decisions.map(({ title, amountMinor, currency, askedOn, quote, remedy, questions }) => ({
      subject: title,
      ...undated(
        [
          ...(amountMinor === null ? [] : [moneyInWords(amountMinor, currency)]),
          `asked on ${dateInWords(askedOn)}`,
          // The day it was asked is the real one, which may come after the day that is looked at.
          ...(askedOn > figuresFor ? [] : [fromDay(daysBetween(figuresFor, askedOn), isToday)]),
          ...questions.map(({ question }) => `${forOwner ? "you ask" : "asked back"}: “${question}”`),
        ].join(", "),
      ),
      // A question back waits for the workshop.
      pressing: !forOwner && questions.length > 0,
      partId: quote?.partId ?? null,
      snagId: remedy?.snagId ?? null,
    })),
    none: "No decision waits.",
  };
  const refused: SummarySection = {
    kind: "DECLINED",
    title: forOwner ? "You declined" : "The owner declined",
    lines: declined.map(({ title, words, follows, pressing, partId, snagId }) => ({
      subject: title,
      ...undated(forOwner || follows === "" ? words : `${words}; ${follows}`),
      pressing: !forOwner && pressing,
      partId,
      snagId,
    })),
    none: "Nothing that was declined waits for another choice.",
  };
  // Said on the days on which there is something.
  const said = refused.lines.length === 0 ? [] : [refused];
  const order = async (): Promise<SummarySection> => ({
    kind: "ORDER",
    title: "To order",
    lines: await orderLines(store, restorationId, plan, isToday),
    none: "There is nothing to order.",
  });
  const hunt = async (): Promise<SummarySection> => ({
    kind: "HUNT",
    title: "Hunts to decide on",
    lines: await huntLines(store, { id: restorationId, ...restoration }, plan, isToday),
    none: `No hunt asks for a decision within ${daysInWords(FORTNIGHT)}.`,
  });
  return {
    restorationId,
    machine: restoration.machine,
    day: figuresFor,
    isToday,
    sentence: endInWords(
      plan,
      days.find(({ day, planRevision }) => day === figuresFor && planRevision === restoration.planRevision),
      forOwner,
    ),
    since: sinceInWords(plan, days),
    sections: forOwner ? [decision, ...said, late] : [await order(), ...said, await hunt(), late, decision],
  };
}

/** Words that name no day by which something is done. */
const undated = (words: string) => ({ words, what: words, due: null, daysLeft: null, note: "", phone: null });

async function orderLines(store: Store, restorationId: string, plan: Plan, isToday: boolean): Promise<SummaryLine[]> {
  if (plan.toOrder.length === 0) return [];
  const { rows, consentDue } = await moneyOf(store, restorationId);
  const suppliers = await suppliersToOrderFrom(store, plan);
  return plan.toOrder.map((holdUp) => {
    const { kind, rowId, title, orderBy, daysLeft, quoteDoubts } = holdUp;
    const consent = consentWanting(rows, consentDue, holdUp);
    const notes = [...quoteDoubts.map((doubt) => `that quote ${doubt}`), ...(consent === null ? [] : [consent])];
    const { what, when } = orderInWords(holdUp, isToday, suppliers.get(holdUp.quoteId ?? ""));
    return {
      subject: title,
      words: [`${what}${when}`, ...notes].join("; "),
      what,
      due: orderBy,
      daysLeft,
      note: notes.join("; "),
      phone: null,
      pressing: daysLeft !== null && daysLeft <= 0,
      partId: kind === "PART" ? rowId : null,
      snagId: kind === "SNAG" ? rowId : null,
    };
  });
}

/** Whose quote is counted on for each line that is to be ordered, by the quote's id: the shop itself among them. */
export async function suppliersToOrderFrom(store: Store, plan: Plan): Promise<ReadonlyMap<string, Supplier>> {
  const quotes = await store.quote.findMany({
    where: { id: { in: plan.toOrder.flatMap(({ quoteId }) => quoteId ?? []) } },
    select: { id: true, supplier: { select: { name: true, kind: true } } },
  });
  return new Map(quotes.map(({ id, supplier }) => [id, supplier]));
}

type Supplier = Parameters<typeof getFrom>[0];

/** What is done, and by when: "order it from Lower Mill Foundry", " by 2 Jan 2027, in 3 days". */
function orderInWords(holdUp: HoldUp, isToday: boolean, supplier?: Supplier): { what: string; when: string } {
  const { state, huntedUntil, orderBy, daysLeft } = holdUp;
  const what = toDo(holdUp, supplier);
  // What is looked for goes out when the hunt stops; at a chance there is no other day for it.
  if (state === "HUNTED" && orderBy === null)
    return { what: `hunted until ${dateInWords(huntedUntil!)}, then ${what}`, when: "" };
  if (orderBy === null || daysLeft === null) return { what, when: "" };
  const by = daysLeft < 0 ? ": the day was" : " by";
  return { what, when: `${by} ${dateInWords(orderBy)}, ${fromDay(daysLeft, isToday)}` };
}

function toDo(holdUp: HoldUp, supplier: Supplier | undefined): string {
  const { kind, decided, declinedId } = holdUp;
  if (declinedId !== null) return `declined: choose another${kind === "SNAG" ? " remedy" : " and order it"}`;
  if (kind === "SNAG") return decided ? "carry out its remedy" : "choose a remedy";
  if (!decided) return "choose a quote and order";
  return getFrom(supplier ?? { name: "its supplier", kind: "DEALER" }, whatToOrder(holdUp));
}

/** Hunts that still decide something, to be decided on or to stop soon, or past their stop date; the earliest first. */
async function huntLines(
  store: Store,
  { id: restorationId, workshopId }: { id: string; workshopId: string },
  plan: Plan,
  isToday: boolean,
): Promise<SummaryLine[]> {
  const { figuresFor } = plan;
  const hunts = await store.hunt.findMany({
    where: {
      restorationId,
      state: "SEARCHING",
      begunOn: { lte: figuresFor },
      part: {
        stateOnHand: { not: "IN_HAND" },
        chosenQuoteId: null,
        orders: { none: { state: { not: "SENT_BACK" } } },
      },
    },
    orderBy: { id: "asc" },
    include: {
      part: {
        select: {
          name: true,
          fallbackQuote: { include: { supplier: { select: { name: true, kind: true } } } },
        },
      },
    },
  });
  if (hunts.length === 0) return [];
  const sheet = await loadSheet(store, restorationId);
  const [rates, said] = await Promise.all([loadRates(store, workshopId, figuresFor), loadSaid(store, restorationId)]);
  const near = addDays(figuresFor, FORTNIGHT);
  const decideBys = await decideByOf(store, restorationId, hunts, { plan, sheet, rates: async () => rates });
  const lines: { on: string; line: SummaryLine }[] = [];
  for (const hunt of hunts) {
    const { partId, stopDate, part } = hunt;
    const { name } = part;
    const decideBy = decideBys.get(hunt.id) ?? null;
    const toDecide = decideBy !== null && (stopDate === null || decideBy < stopDate) ? decideBy : null;
    const on = toDecide ?? stopDate;
    if (on === null || on > near) continue;
    const days = daysBetween(figuresFor, on);
    const when = `${dateInWords(on)}, ${fromDay(days, isToday)}`;
    const { fallback, next } = afterHunt(hunt, said, figuresFor);
    lines.push({
      on,
      line: {
        subject: name,
        ...undated(
          toDecide !== null
            ? `decide by ${when}, the last day to go on looking that keeps the odds of the target; ${next}`
            : days < 0
              ? `the hunt was to stop on ${when}: ${fallback === null ? "choose what is ordered instead" : fallback}, or give it a later stop date`
              : `the hunt stops on ${when}; ${next}`,
        ),
        due: on,
        daysLeft: days,
        pressing: days <= 0,
        partId,
        snagId: null,
      },
    });
  }
  return lines.sort((a, b) => a.on.localeCompare(b.on)).map(({ line }) => line);
}

async function lateLines(store: Store, plan: Plan, forOwner: boolean): Promise<SummaryLine[]> {
  const orders = await store.order.findMany({
    where: { id: { in: plan.chase.map(({ orderId }) => orderId) } },
    include: {
      part: { select: { name: true } },
      quote: { select: { supplier: { select: { name: true, phone: true } } } },
    },
  });
  const byId = new Map(orders.map((order) => [order.id, order]));
  return plan.chase.flatMap(({ orderId, partId, daysLate, holdsUp }) => {
    const order = byId.get(orderId);
    if (order === undefined) return [];
    const { name, phone } = order.quote.supplier;
    const what = `${name} promised it for ${dateInWords(order.promisedOn)}`;
    const note = holdsUp ? "completion waits for it" : "";
    return {
      subject: order.part.name,
      words: `${what}, ${daysInWords(daysLate)} late${note && `; ${note}`}`,
      what,
      due: order.promisedOn,
      daysLeft: -daysLate,
      note,
      // How to reach suppliers is the workshop's own.
      phone: (!forOwner && phone) || null,
      pressing: holdsUp,
      partId,
      snagId: null,
    };
  });
}

/** @param odds what the runs said of the plan as it is; absent until they are drawn */
function endInWords(plan: Plan, odds: Pick<Day, "evenOdds" | "fourInFive"> | undefined, forOwner: boolean): string {
  const { completion, ladder } = plan;
  const { entered, open, lacking, cleared, dateWithOpenInHand, targetDate, targetName, daysLate } = completion;
  const target = targetDate === null ? "" : `${theTarget(targetName)} is on ${dateInWords(targetDate)}. `;
  if (!entered)
    return `${target}No work and no part is entered yet, so there is no date to tell.${forOwner ? "" : " Begin with the first of either, on Work or on Parts."}`;
  const when = dateInWords(dateWithOpenInHand);
  const condition = oddsCondition(plan);
  const byOdds = odds?.evenOdds
    ? `${condition === null ? "Even" : `${condition[0]!.toUpperCase()}${condition.slice(1)}, even`} odds on ${dateInWords(odds.evenOdds)}${odds.fourInFive ? `, 4 in 5 by ${dateInWords(odds.fourInFive)}` : ""}. `
    : "";
  const late =
    daysLate === null
      ? ""
      : daysLate > 0
        ? `, ${daysInWords(daysLate)} late`
        : daysLate < 0
          ? `, ${daysInWords(-daysLate)} early`
          : ", on the day";
  const [first] = ladder;
  const holds =
    first === undefined || first.open ? "" : ` ${holdsIt(first, dateInWords(first.nextCompletionDate), forOwner)}`;
  if (!open) return `${target}${byOdds}As quoted it is ready on ${when}${late}.${holds}`;
  return `${target}There is no completion date while these have ${lacking}: ${openByName(plan)}. ${byOdds}As quoted, with those ${cleared}, it is ready on ${when}${late}.${holds}`;
}

const theTarget = (name: string): string => (name === "" ? "The target date" : `The ${name.replace(/^the /i, "")}`);

type Day = NonNullable<Awaited<ReturnType<Store["dayFigures"]["findFirst"]>>>;

function sinceInWords(plan: Plan, [latest, earlier]: Day[]): string {
  const today = latest?.day === plan.figuresFor ? latest : undefined;
  const before = today === undefined ? latest : earlier;
  const sentences: string[] = [];
  const odds = today?.targetOdds ?? null;
  const oddsBefore = before?.targetOdds ?? null;
  if (odds !== null)
    sentences.push(
      targetOddsInWords(
        odds,
        oddsBefore === null || before === undefined ? null : { odds: oddsBefore, day: before.day },
      ),
    );
  if (before !== undefined && plan.completion.entered) {
    const { days } = movedSince(before, plan);
    const when = dateInWords(before.day);
    sentences.push(
      days === 0
        ? `The end has not moved since ${when}.`
        : `The end has moved ${daysInWords(Math.abs(days))} ${days > 0 ? "later" : "earlier"} since ${when}.`,
    );
  }
  return sentences.join(" ");
}
