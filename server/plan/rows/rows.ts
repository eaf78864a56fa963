/**
 * What a plan is computed from: a restoration's rows as plain data, from the store or from files.
 * Ids are opaque; codes are what people read. Dates are ISO 8601 calendar dates.
 */
import type {
  DecisionState,
  HuntState,
  LagUnit,
  OperationState,
  OrderState,
  Provenance,
  StateOnHand,
} from "../../generated/prisma/enums.ts";

export interface PlanRows {
  restoration: {
    id: string;
    machine: string;
    targetDate: string | null;
    targetName: string;
    confidence: number | null;
    /** Its place in the workshop: of two that want the same hand, the lower comes first. */
    rank: number;
  };
  /** Working hours of Monday to Sunday, and the dates on which the shop is closed: the workshop's. */
  weekdayHours: readonly number[];
  closedDates: readonly string[];
  /** All who work in the workshop, in order of name. */
  hands: readonly HandRow[];
  /** The machines that these hands have work on, by rank, this one among them as it was read; none: this one alone. */
  machines: readonly PlanRows[];
  operations: readonly OperationRow[];
  ways: readonly OperationWayRow[];
  links: readonly LinkRow[];
  needs: readonly NeedRow[];
  parts: readonly PartRow[];
  ruledOut: readonly RuledOutRow[];
  hunts: readonly HuntRow[];
  huntEvents: readonly HuntEventRow[];
  quotes: readonly QuoteRow[];
  knockOns: readonly KnockOnRow[];
  orders: readonly OrderRow[];
  snags: readonly SnagRow[];
  remedies: readonly RemedyRow[];
  /** What the owner was asked about; absent in files. */
  decisions?: readonly DecisionRow[];
  /** What came of orders of the workshop for its other restorations, by supplier; absent in files. */
  deliveriesElsewhere: readonly DeliveryRow[];
  /** What was booked at the bench on the restoration's own operations. */
  hoursBooked: readonly HoursRow[];
  /** Finished work of the workshop's other restorations on which hours were booked; none in files. */
  finishedElsewhere: readonly FinishedRow[];
  /** How far the workshop expects work to lie from its estimates before it knows. */
  spreads: SpreadsRow;
  /** Orders of the workshop for its other restorations that have not come; absent in files. */
  ordersOutElsewhere?: readonly OrderOutRow[];
}

/** An entry of hours; less than zero where it takes another back. */
export interface HoursRow {
  id: string;
  operationId: string;
  /** Who worked them; absent in files. */
  accountId?: string;
  workedOn: string;
  hours: number;
}

/** A finished operation as its record needs it. */
export interface FinishedRow
  extends Pick<OperationRow, "id" | "trade" | "hoursLeast" | "hoursLikely" | "hoursMost" | "finishedOn"> {
  /** Hours of the way in force; null without one. */
  wayHours: number | null;
  /** Hands that it took. */
  hands: number;
  booked: readonly Pick<HoursRow, "workedOn" | "hours">[];
}

/** Standard deviations of logs: of a shop's factor, and of a trade's about its shop's. */
export interface SpreadsRow {
  shopSpread: number;
  tradeSpread: number;
}

/** The machines that have work for the same hands, by rank, the rows themselves in place of their own as they were read. */
export const machinesOf = <Rows extends Pick<PlanRows, "restoration" | "machines">>(rows: Rows): (Rows | PlanRows)[] =>
  rows.machines.length === 0
    ? [rows]
    : rows.machines.map((one) => (one.restoration.id === rows.restoration.id ? rows : one));

export interface HandRow {
  id: string;
  name: string;
  /** The account of this person; absent in files. */
  accountId?: string | null;
  /** More than one: a line of so many without names. */
  people: number;
  trades: readonly string[];
  /** Hours of each of them on Monday to Sunday, over all trades. */
  weekdayHours: readonly number[];
  /** From the first to the last day that they are away. */
  absences: readonly { from: string; to: string }[];
  /** The first and the last day at work; null: from before, or without end. */
  joinsOn: string | null;
  leavesOn: string | null;
}

export interface OperationRow {
  id: string;
  code: string;
  title: string;
  trade: string;
  hoursLeast: number | null;
  hoursLikely: number;
  hoursMost: number | null;
  state: OperationState;
  startedOn: string | null;
  finishedOn: string | null;
  remainingHours: number | null;
  chosenWayId: string | null;
  /** Hands that it takes for the whole of its hours, by trade; one of its own where nothing else is said. */
  handsNeeded: readonly { trade: string; hands: number }[];
  /** It comes before all that could be done in its place, of its own machine. */
  first: boolean;
  /** Under way, it may be put down for other work: see {@link HandOperation.putDown} in the engine. */
  mayBePutDown: boolean;
  /** Its place in the order in which the shop does its work, over all machines; null: none is kept for it. */
  place: number | null;
  notBefore: string | null;
}
export interface OperationWayRow {
  id: string;
  code: string;
  title: string;
  operationId: string;
  hours: number;
  /** Calendar days away, once the hours are done. */
  days: number;
}
export interface LinkRow {
  /** Absent in files. */
  id?: string;
  beforeId: string;
  afterId: string;
  lag: number;
  lagUnit: LagUnit;
}
export interface NeedRow {
  /** Absent in files. */
  id?: string;
  operationId: string;
  partId: string;
}
export interface PartRow {
  id: string;
  code: string;
  name: string;
  stateOnHand: StateOnHand;
  chosenQuoteId: string | null;
  fallbackQuoteId: string | null;
}
export interface HuntRow {
  id: string;
  partId: string;
  state: HuntState;
  begunOn: string;
  chancePerWeek: number;
  beliefWeeks: number;
  stopDate: string | null;
  leadDays: number;
  preparationHours: number;
  /** Of what is looked for. */
  provenance: Provenance;
  /** What a find is expected to cost; null: not said. */
  priceMinor: number | null;
  currency: string;
}
export interface HuntEventRow {
  /** Absent in files. */
  id?: string;
  huntId: string;
  date: string;
  chance: number;
}
export interface RuledOutRow {
  /** Absent in files. */
  id?: string;
  partId: string;
  provenance: Provenance;
}
export interface QuoteRow {
  id: string;
  code: string;
  partId: string;
  supplierId: string;
  provenance: Provenance;
  ruledOut: boolean;
  unitPriceMinor: number;
  currency: string;
  leadDays: number;
  leadLeast: number | null;
  leadLikely: number | null;
  leadMost: number | null;
  /** Chance that it comes to nothing. */
  failureChance: number;
  orderFrom: string | null;
  validUntil: string | null;
  preparationHours: number;
}
export interface KnockOnRow {
  /** Absent in files. */
  id?: string;
  quoteId: string;
  hours: number;
}
export interface OrderOutRow {
  supplierId: string;
  placedOn: string;
  promisedOn: string;
}
export interface OrderRow {
  id: string;
  partId: string;
  quoteId: string;
  state: OrderState;
  placedOn: string;
  promisedOn: string;
  expectedOn: string | null;
  arrivedOn: string | null;
}
export interface DecisionRow {
  id: string;
  quoteId: string | null;
  remedyId: string | null;
  wayId: string | null;
  state: DecisionState;
  askedOn: string;
}
export interface DeliveryRow {
  supplierId: string;
  /** Calendar days from the order, as promised and as they were. */
  promisedDays: number;
  actualDays: number;
}
export interface SnagRow {
  id: string;
  code: string;
  title: string;
  operationId: string;
  clearedOn: string | null;
  chosenRemedyId: string | null;
}
export interface RemedyRow {
  id: string;
  code: string;
  snagId: string;
  priceMinor: number;
  currency: string;
  days: number;
  hours: number;
}
