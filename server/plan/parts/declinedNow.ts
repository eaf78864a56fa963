/** What the owner declined and is not settled by another choice: who said so, when, in which words, and what follows. */
import { addDays } from "../../engine/time/date.ts";
import type { Decision } from "../../generated/prisma/client.ts";
import type { Store } from "../../store/client.ts";
import { dateInWords, fromDay } from "../days/summaryWords.ts";
import { today } from "../days/today.ts";
import type { HoldUp, Plan } from "../plan.ts";
import { aboutOf, newestAbout } from "./declined.ts";

/** Days for which an answer is told that is about no quote, remedy or way. */
const TOLD_FOR = 14;

export interface DeclinedNow {
  decision: Decision;
  /** What was declined: the part, the snag, the operation, or what was asked. */
  title: string;
  /** Who declined it, on what day, in which words. */
  words: string;
  /** What the restorer is to do about it, and what the plan counts on meanwhile. */
  follows: string;
  /** The day on which another was to be ordered has come, or nothing is left to order. */
  pressing: boolean;
  partId: string | null;
  snagId: string | null;
  operationId: string | null;
}

/** The most urgent first; what is about no row of the plan last. isToday: the plan is for the present day, and not for another that is looked at. */
export async function declinedNow(
  store: Store,
  restorationId: string,
  plan: Plan,
  isToday: boolean,
): Promise<DeclinedNow[]> {
  const decisions = await store.decision.findMany({
    where: { restorationId },
    include: {
      restoration: { select: { workshop: { select: { timeZone: true } } } },
      way: { select: { operation: { select: { id: true, title: true, state: true, chosenWayId: true } } } },
      quote: {
        select: { part: { select: { id: true, name: true } }, orders: { select: { code: true, state: true } } },
      },
    },
    orderBy: [{ askedOn: "desc" }, { id: "desc" }],
  });
  const byId = new Map(decisions.map((decision) => [decision.id, decision]));
  const suppliers = new Map(
    (
      await store.quote.findMany({
        where: { id: { in: plan.declined.flatMap(({ quoteId }) => quoteId ?? []) } },
        select: { id: true, supplier: { select: { name: true } } },
      })
    ).map(({ id, supplier }) => [id, supplier.name]),
  );
  type Full = (typeof decisions)[number];
  const told = (decision: Full, of: Pick<DeclinedNow, "title" | "follows"> & Partial<DeclinedNow>): DeclinedNow => ({
    pressing: false,
    partId: null,
    snagId: null,
    operationId: null,
    ...of,
    decision,
    words: declinedInWords(decision, decision.restoration.workshop.timeZone),
  });
  const found = plan.declined.flatMap((holdUp) => {
    const decision = byId.get(holdUp.declinedId ?? "");
    if (decision === undefined) return [];
    return told(decision, {
      title: holdUp.title,
      follows: followsOf(holdUp, suppliers.get(holdUp.quoteId ?? ""), isToday),
      pressing: holdUp.open || (holdUp.daysLeft !== null && holdUp.daysLeft <= 0),
      partId: holdUp.kind === "PART" ? holdUp.rowId : null,
      snagId: holdUp.kind === "SNAG" ? holdUp.rowId : null,
    });
  });
  for (const decision of newestAbout(decisions).values()) {
    if (decision.state !== "DECLINED") continue;
    const operation = decision.way?.operation;
    if (operation !== undefined && operation.chosenWayId === decision.wayId && operation.state === "NOT_STARTED")
      found.push(
        told(decision, {
          title: operation.title,
          follows: "the plan counts on its being done in the shop, until another way is chosen",
          operationId: operation.id,
        }),
      );
    const order = decision.quote?.orders.find(({ state }) => state === "PLACED");
    if (decision.quote && order !== undefined)
      found.push(
        told(decision, {
          title: decision.quote.part.name,
          follows: `order ${order.code} is out all the same: agree it with the owner, or take it back from the maker`,
          pressing: true,
          partId: decision.quote.part.id,
        }),
      );
  }
  const since = addDays(plan.figuresFor, -TOLD_FOR);
  for (const decision of decisions)
    if (decision.state === "DECLINED" && aboutOf(decision) === null && decision.answeredAt !== null) {
      const day = today(decision.restoration.workshop.timeZone, decision.answeredAt);
      if (day >= since) found.push(told(decision, { title: decision.title, follows: "" }));
    }
  return found;
}

/** Of a decision by its id: who declined it, on what day, in which words. */
export async function declinedWords(store: Store, id: string): Promise<string> {
  const decision = await store.decision.findUniqueOrThrow({
    where: { id },
    include: { restoration: { select: { workshop: { select: { timeZone: true } } } } },
  });
  return declinedInWords(decision, decision.restoration.workshop.timeZone);
}

/** "declined by Odile Farrant on 3 Jan 2027: “too dear”" */
function declinedInWords({ answeredAs, answeredAt, answer }: Decision, zone: string | null): string {
  const by = answeredAs === "" ? "" : ` by ${answeredAs}`;
  const when = answeredAt === null ? "" : ` on ${dateInWords(today(zone, answeredAt))}`;
  return `declined${by}${when}${answer === "" ? "" : `: “${answer}”`}`;
}

function followsOf({ kind, open, orderBy, daysLeft }: HoldUp, supplier: string | undefined, isToday: boolean): string {
  if (kind === "SNAG")
    return open
      ? "no other remedy is known: find one, or ask again"
      : "choose another remedy or ask again; meanwhile the plan counts on the quickest that is left";
  if (open) return "no other quote is left, so there is no completion date: find one, or ask again";
  const by =
    orderBy === null || daysLeft === null
      ? ""
      : daysLeft < 0
        ? `; the day to order it was ${dateInWords(orderBy)}, ${fromDay(daysLeft, isToday)}`
        : ` and order it by ${dateInWords(orderBy)}, ${fromDay(daysLeft, isToday)}`;
  return `choose another quote${by}, or ask again; meanwhile the plan counts on the quickest that is left, from ${supplier ?? "its supplier"}`;
}
