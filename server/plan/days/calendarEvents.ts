/** The days of a restoration that belong in a calendar. */
import type { Store } from "../../store/client.ts";
import { codeAndName } from "../../store/tables.ts";
import { planOf } from "../cache.ts";
import { loadSheet } from "../choice/points.ts";
import { afterHunt, decideByOf, loadSaid, type SaidOfQuotes } from "../hunt/hunt.ts";
import { loadRates } from "../money/exchange.ts";
import type { HoldUp } from "../plan.ts";
import { suppliersToOrderFrom } from "./daySummary.ts";
import { whatToOrder } from "./summaryWords.ts";

export interface CalendarEvent {
  uid: string;
  date: string;
  title: string;
  description: string;
}

/** Order-by and promised dates, decide-by dates, last days and swap meets of hunts, and the target date; by date. */
export async function calendarEvents(store: Store, restorationId: string): Promise<CalendarEvent[]> {
  const where = { restorationId };
  const part = { select: { code: true, name: true } } as const;
  const [plan, restoration, orders, hunts, said] = await Promise.all([
    planOf(store, restorationId),
    store.restoration.findUniqueOrThrow({ where: { id: restorationId } }),
    store.order.findMany({
      where: { ...where, state: "PLACED" },
      include: { part, quote: { select: { supplier: { select: { name: true, kind: true } } } } },
    }),
    store.hunt.findMany({
      where: { ...where, state: "SEARCHING" },
      include: {
        part: {
          select: {
            ...part.select,
            stateOnHand: true,
            chosenQuoteId: true,
            orders: { where: { state: { not: "SENT_BACK" } }, select: { id: true } },
            fallbackQuote: { include: { supplier: { select: { name: true, kind: true } } } },
          },
        },
        events: true,
      },
    }),
    loadSaid(store, restorationId),
  ]);
  const { machine, targetDate, targetName, workshopId } = restoration;
  const sheet = await loadSheet(store, restorationId);
  const rates = await loadRates(store, workshopId, plan.figuresFor);
  const decideBy = await decideByOf(store, restorationId, hunts, { plan, sheet, rates: async () => rates });
  const event = (uid: string, date: string, title: string, description = ""): CalendarEvent => ({
    uid: `${uid}@lastbolt`,
    date,
    title,
    description: [machine, description].filter((words) => words !== "").join(". "),
  });
  const suppliers = await suppliersToOrderFrom(store, plan);
  const holding = new Set(plan.ladder.map(({ id }) => id));
  const events = [
    ...plan.toOrder.flatMap((holdUp) =>
      holdUp.orderBy === null
        ? []
        : event(
            `order-by-${holdUp.id.replace(":", "-")}`,
            holdUp.orderBy,
            `Last day to ${toDo(holdUp, suppliers.get(holdUp.quoteId ?? "")?.kind === "SHOP")}: ${holdUp.title}`,
            `${codeAndName(holdUp.kind === "PART" ? "Part" : "Snag", holdUp)}, ${holding.has(holdUp.id) ? "holds up completion" : "has days to spare until then"}`,
          ),
    ),
    ...orders.map((order) =>
      event(
        `promised-${order.id}`,
        order.expectedOn ?? order.promisedOn,
        `${order.expectedOn === null ? "Promised" : "Expected"}: ${order.part.name}`,
        order.quote.supplier.kind === "SHOP"
          ? `Being made at ${order.quote.supplier.name}`
          : `Order ${order.code} with ${order.quote.supplier.name}`,
      ),
    ),
    ...hunts.flatMap((hunt) => [
      ...(decideBy.has(hunt.id) && decideBy.get(hunt.id) !== hunt.stopDate
        ? [
            event(
              `decide-${hunt.id}`,
              decideBy.get(hunt.id)!,
              `Decide by: ${hunt.part.name}`,
              "The last day to go on hunting that keeps the odds of the target",
            ),
          ]
        : []),
      ...(hunt.stopDate === null
        ? []
        : [
            event(
              `stop-${hunt.id}`,
              hunt.stopDate,
              `Last day to hunt: ${hunt.part.name}`,
              afterStop(hunt, said, plan.figuresFor),
            ),
          ]),
      ...hunt.events.map(({ id, date, title }) => event(`hunt-${id}`, date, title, `To look for: ${hunt.part.name}`)),
    ]),
    ...(targetDate === null ? [] : [event(`target-${restorationId}`, targetDate, targetName || "Target date")]),
  ];
  return events.sort((a, b) => a.date.localeCompare(b.date) || a.uid.localeCompare(b.uid));
}

/** What follows the last day of a hunt; nothing where the part is settled another way. */
function afterStop(
  hunt: Parameters<typeof afterHunt>[0] & {
    part: { stateOnHand: string; chosenQuoteId: string | null; orders: readonly object[] };
  },
  said: SaidOfQuotes,
  figuresFor: string,
): string {
  const { stateOnHand, chosenQuoteId, orders } = hunt.part;
  if (stateOnHand === "IN_HAND" || chosenQuoteId !== null || orders.length > 0)
    return "It decides nothing any more: the part is in hand, ordered or chosen";
  const { next } = afterHunt(hunt, said, figuresFor);
  return `${next[0]!.toUpperCase()}${next.slice(1)}`;
}

/** @param own the part is made in the shop itself, where nothing is ordered */
function toDo({ kind, state, declinedId, decided }: HoldUp, own: boolean): string {
  if (kind === "SNAG")
    return declinedId === null ? "begin the remedy" : "begin another remedy than the one that the owner declined";
  if (declinedId !== null) return "order another than the one that the owner declined";
  const get = own && decided ? "begin" : "order";
  return state === "HUNTED" ? `${get} ${whatToOrder({ state })}` : get;
}
