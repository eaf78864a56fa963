/** Small restorations for tests: only what the test speaks of has to be said. */
import type {
  HandRow,
  HuntRow,
  LinkRow,
  OperationRow,
  OperationWayRow,
  OrderRow,
  PartRow,
  PlanRows,
  QuoteRow,
  RemedyRow,
  SnagRow,
} from "../../server/plan/rows/rows.ts";

export const MONDAY = "2026-11-23";

export const operation = (code: string, hours: number, more: Partial<OperationRow> = {}): OperationRow => ({
  id: code,
  code,
  title: code,
  trade: "",
  hoursLeast: null,
  hoursLikely: hours,
  hoursMost: null,
  state: "NOT_STARTED",
  startedOn: null,
  finishedOn: null,
  remainingHours: null,
  chosenWayId: null,
  handsNeeded: [{ trade: more.trade ?? "", hands: 1 }],
  first: false,
  mayBePutDown: false,
  place: null,
  notBefore: null,
  ...more,
});
/** A person, Monday to Friday. */
export const hand = (name: string, trades: readonly string[], more: Partial<HandRow> = {}): HandRow => ({
  id: name,
  name,
  people: 1,
  trades,
  weekdayHours: [8, 8, 8, 8, 8, 0, 0],
  absences: [],
  joinsOn: null,
  leavesOn: null,
  ...more,
});
export const way = (code: string, operationId: string, hours: number, days: number): OperationWayRow => ({
  id: code,
  code,
  title: code,
  operationId,
  hours,
  days,
});
export const link = (beforeId: string, afterId: string, lag = 0, lagUnit: LinkRow["lagUnit"] = "HOURS"): LinkRow => ({
  beforeId,
  afterId,
  lag,
  lagUnit,
});
export const part = (code: string, more: Partial<PartRow> = {}): PartRow => ({
  id: code,
  code,
  name: code,
  stateOnHand: "MISSING",
  chosenQuoteId: null,
  fallbackQuoteId: null,
  ...more,
});
export const quote = (code: string, partId: string, leadDays: number, more: Partial<QuoteRow> = {}): QuoteRow => ({
  id: code,
  code,
  partId,
  supplierId: "maker",
  provenance: "REMADE",
  ruledOut: false,
  unitPriceMinor: 100,
  currency: "GBP",
  leadDays,
  leadLeast: null,
  leadLikely: null,
  leadMost: null,
  failureChance: 0,
  orderFrom: null,
  validUntil: null,
  preparationHours: 0,
  ...more,
});
export const order = (id: string, partId: string, quoteId: string, more: Partial<OrderRow> = {}): OrderRow => ({
  id,
  partId,
  quoteId,
  state: "PLACED",
  placedOn: "2026-11-02",
  promisedOn: "2026-12-01",
  expectedOn: null,
  arrivedOn: null,
  ...more,
});
/** A hunt just begun, with even odds in ten weeks of looking and no stop date. */
export const hunt = (partId: string, more: Partial<HuntRow> = {}): HuntRow => ({
  id: `hunt ${partId}`,
  partId,
  state: "SEARCHING",
  begunOn: MONDAY,
  chancePerWeek: 1 / 11,
  beliefWeeks: 10,
  stopDate: null,
  leadDays: 7,
  preparationHours: 0,
  provenance: "ORIGINAL",
  priceMinor: null,
  currency: "GBP",
  ...more,
});
export const snag = (code: string, operationId: string, more: Partial<SnagRow> = {}): SnagRow => ({
  id: code,
  code,
  title: code,
  operationId,
  clearedOn: null,
  chosenRemedyId: null,
  ...more,
});
export const remedy = (code: string, snagId: string, days: number, hours: number): RemedyRow => ({
  id: code,
  code,
  snagId,
  currency: "GBP",
  priceMinor: 0,
  days,
  hours,
});

/** Monday to Friday, eight hours, from Monday 23 November 2026. */
export const rowsOf = (rows: Partial<PlanRows>): PlanRows => ({
  restoration: { id: "r", machine: "", targetDate: null, targetName: "", confidence: null, rank: 1 },
  weekdayHours: [8, 8, 8, 8, 8, 0, 0],
  closedDates: [],
  hands: [],
  machines: [],
  operations: [],
  ways: [],
  links: [],
  needs: [],
  parts: [],
  ruledOut: [],
  hunts: [],
  huntEvents: [],
  quotes: [],
  knockOns: [],
  orders: [],
  snags: [],
  remedies: [],
  deliveriesElsewhere: [],
  hoursBooked: [],
  finishedElsewhere: [],
  // Work takes as long as is estimated.
  spreads: { shopSpread: 0, tradeSpread: 0 },
  ...rows,
});
