/** The choice of quotes as plain data that names its nodes, so that it can pass between threads; compiled where it is used. */

import type { OrderTerms } from "../money/orderCharge.ts";
import { Network, type NetworkLink, type NetworkNode } from "../network/network.ts";
import { type CalendarInput, ShopCalendar } from "../time/calendar.ts";
import type { ArrivalChoice, ChoiceInput, ChoiceLimits, ChoiceLine, OperationChoice } from "./input.ts";
import type { Worth } from "./worth.ts";

/** A part or a snag, with the ids of the nodes that need it. */
export type PlainArrival = Omit<ArrivalChoice, "positions"> & { needs: readonly string[] };
/** An operation with several ways, with the id of its node. */
export type PlainOperation = Omit<OperationChoice, "position"> & { node: string };

export interface ChoiceWork {
  calendar: CalendarInput;
  nodes: readonly NetworkNode[];
  links: readonly NetworkLink[];
  arrivals: readonly PlainArrival[];
  operations: readonly PlainOperation[];
  /** Hundredths of a point. */
  sectionCaps: readonly number[];
  lines?: readonly ChoiceLine[];
  /** Suppliers who charge on a whole order; absent: none does. */
  orders?: readonly OrderTerms[];
  limits?: ChoiceLimits;
  /** What days past the target and points are worth to the owner. */
  worth?: Worth;
}

/** The work compiled. Throws NetworkFault; what names a node that is done or unknown waits for nothing. */
export function choiceInputOf({ calendar, nodes, links, arrivals, operations, ...rest }: ChoiceWork): ChoiceInput {
  const network = new Network(nodes, links, new ShopCalendar(calendar));
  return {
    network,
    arrivals: arrivals.map(({ needs, ...choice }) => ({
      ...choice,
      positions: needs.map((id) => network.position(id)).filter((position) => position >= 0),
    })),
    operations: operations.map(({ node, ...choice }) => ({ ...choice, position: network.position(node) })),
    ...rest,
  };
}
