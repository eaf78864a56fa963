/**
 * Who may read which field of the API, stated once. A field that stands in no list is a restorer's alone, so a new
 * field is hidden from owners, members and those not signed in until it is named here.
 */
import { Refused } from "../store/fault.ts";
import { CLUB_FIELDS } from "./clubFields.ts";
import type { Viewer } from "./viewer.ts";

type Role = Viewer["role"];
type Fields = Readonly<Record<string, readonly string[] | "all">>;

/** Signing in, and the answers to it: open to everybody, and tells nothing of a workshop. */
const EVERYBODY: Fields = {
  Query: ["visitor", "invitation"],
  Mutation: ["signIn", "signOut", "takeUpInvitation", "actAs"],
  Visitor: "all",
  DemoPerson: "all",
  InvitationSeen: "all",
  AccountSaved: "all",
  InvalidInput: "all",
  Refused: "all",
  Fault: "all",
};

/** What an account reads and changes of itself. E-mails and sign-ins are further limited to the own. */
const SIGNED_IN: Fields = {
  Query: ["me", "fileGuide"],
  Mutation: ["saveAccount", "changePassword", "endSignIn", "signOutEverywhere"],
  Account: ["id", "name", "email", "role", "admin", "revision", "workshop", "signIns", "dailySummary", "mailIsSent"],
  FileGuide: "all",
  FileGuideColumn: "all",
  SignIn: "all",
  StaleRow: "all",
  Difference: "all",
  Workshop: ["id", "name"],
  PageInfo: "all",
};

/**
 * What an owner reads of the own restoration. Not among it: what the workshop noted for itself (notes of any row),
 * how to reach suppliers and what else they supply, the record of changes, files; nor any list that can be searched
 * by what stands in notes.
 */
const OWNER: Fields = {
  Query: ["restoration", "restorations", "holdUps", "odds", "currencies", "job", "find"],
  FoundGroup: "all",
  FoundRow: "all",
  Mutation: ["answerDecision", "askBack", "startOdds", "stopJob"],
  Subscription: ["job"],
  Restoration: [
    "id",
    "revision",
    "planRevision",
    "machine",
    "owner",
    "description",
    "targetName",
    "targetDate",
    "reportedOn",
    "finishedSince",
    "arrivedSince",
    "movedSince",
    "figuresFor",
    "day",
    "timeZone",
    "currency",
    "cap",
    "confidence",
    "pricePerDay",
    "pricePerPoint",
    "calendar",
    "closedDates",
    "shopDays",
    "trades",
    "groups",
    "capCoversLabour",
    "consentOver",
    "exposure",
    "invoices",
    "decisions",
    "mayAnswer",
    "photographs",
    "daySummary",
    "pointsLost",
  ],
  // The letterhead of the report.
  Workshop: ["address", "replyTo"],
  MovedSince: ["since", "days"],
  DayFigures: ["day", "completion", "evenOdds", "fourInFive", "cost"],
  PointsLost: ["total", "maximum", "floors", "disqualifiedBy"],
  FloorStanding: "all",
  DaySummary: "all",
  SummarySection: "all",
  SummaryLine: "all",
  Photograph: [
    "id",
    "caption",
    "takenOn",
    "width",
    "height",
    "addedAt",
    "path",
    "smallPath",
    "part",
    "operation",
    "snag",
  ],
  ShopCalendar: "all",
  // Why it is closed may speak of another's machine.
  ClosedDate: ["id", "revision", "date"],
  // Who works, and how long, is the workshop's own.
  ShopDays: ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"],
  Currency: "all",
  Money: "all",
  HoldUps: [
    "restoration",
    "figuresFor",
    "confidence",
    "completion",
    "otherWork",
    "ladder",
    "toOrder",
    "chase",
    "freeToStart",
    "freeToStartByTrade",
  ],
  HoldUp: [
    "id",
    "kind",
    "code",
    "title",
    "part",
    "snag",
    "quote",
    "order",
    "remedy",
    "open",
    "lacking",
    "cleared",
    "decided",
    "declined",
    "huntedUntil",
    "otherWorkUntil",
    "completionDate",
    "completionHours",
    "heldTo",
    "nextCompletionDate",
    "tie",
    "tieSize",
    "orderOn",
    "arrivalDate",
    "usableDate",
    "needBy",
    "orderBy",
    "daysLeft",
    "needByTarget",
    "orderByTarget",
    "chanceWeekLater",
    "floatDays",
    "daysGained",
    "directOperations",
    "waitingOperations",
    "waitingHours",
    "chain",
  ],
  OtherWork: "all",
  Completion: [
    "entered",
    "open",
    "lacking",
    "cleared",
    "date",
    "hours",
    "dateWithOpenInHand",
    "hoursWithOpenInHand",
    "workOnlyDate",
    "workOnlyHours",
    "targetDate",
    "targetName",
    "daysLate",
  ],
  ChainStep: ["kind", "code", "title", "operation", "startDate", "finishDate", "hours", "lag", "lagUnit"],
  Chase: ["order", "part", "supplier", "promisedOn", "expectedOn", "daysLate", "holdsUp"],
  FreeToStart: ["operation", "hours", "critical", "floatHours", "from"],
  TradeHours: ["trade", "operations", "hours"],
  Operation: ["id", "code", "title", "trade", "group", "state", "hoursLikely", "startedOn", "finishedOn"],
  Part: ["id", "code", "name", "group", "quantity", "stateOnHand", "safetyCritical", "revision", "outlook"],
  PartOutlook: ["state"],
  Quote: ["id", "provenance", "leadDays", "unitPrice", "landed", "supplier"],
  // What it comes to on the bench; how that is made up is the workshop's.
  LandedCost: ["ordered", "total"],
  Supplier: ["id", "name", "kind", "country"],
  Order: [
    "id",
    "code",
    "part",
    "quantity",
    "state",
    "placedOn",
    "promisedOn",
    "expectedOn",
    "arrivedOn",
    "daysLate",
    "total",
  ],
  Snag: ["id", "code", "title", "foundOn", "clearedOn"],
  Remedy: ["id", "code", "title", "snag", "days", "hours", "price", "supplier"],
  OperationWay: ["id", "code", "title", "operation", "supplier", "hours", "days", "price"],
  Job: ["id", "kind", "state", "stage", "done", "total", "problem", "oddsSoFar"],
  OddsSoFar: "all",
  Odds: [
    "figuresFor",
    "runs",
    "never",
    "condition",
    "endlessHunts",
    "evenOdds",
    "fourInFive",
    "dateWith",
    "standardError",
    "onTarget",
    "weeks",
    "holdUps",
  ],
  OddsWeek: "all",
  HoldUpOdds: "all",
  Exposure: "all",
  ExposureBuckets: "all",
  ExposureSum: "all",
  ExposureGroup: "all",
  ExposureCurrency: "all",
  AtRisk: "all",
  Unpriced: "all",
  Contingency: "all",
  Invoice: ["id", "code", "kind", "day", "amount", "paidOn", "left", "corrects", "correctedBy"],
  Decision: "all",
  DecisionQuestion: "all",
  // Of what the owner did: a change that the owner has made tells nothing else.
  Saved: ["id", "revision", "change"],
  Change: ["id", "at", "summary", "final"],
};

/** What a club member reads beyond the own account. */
const MEMBER: Fields = CLUB_FIELDS;

/** Of a restorer's fields, those that an admin alone has. */
const ADMIN: Fields = {
  Query: ["people", "accountEvents", "backups"],
  Mutation: ["invite", "handOutReset", "closeAccount", "changeRole", "saveBackups", "saveWorkshop"],
};

const READS: Record<Exclude<Role, "RESTORER">, readonly Fields[]> = {
  NOBODY: [EVERYBODY],
  OWNER: [EVERYBODY, SIGNED_IN, OWNER],
  MEMBER: [EVERYBODY, SIGNED_IN, MEMBER],
};

const named = (fields: Fields, type: string, field: string): boolean => {
  const known = fields[type];
  return known === "all" || (known?.includes(field) ?? false);
};

/** A page of a list tells nothing that the field which gave the list was not allowed to tell. */
const isPaging = (type: string): boolean => /.(Connection|Edge)$/.test(type);

/** True where the viewer may read the field of the type. */
export function readsField(viewer: Viewer, type: string, field: string): boolean {
  if (viewer.role === "RESTORER") return viewer.admin || !named(ADMIN, type, field);
  if (viewer.role !== "NOBODY" && isPaging(type)) return true;
  return READS[viewer.role].some((fields) => named(fields, type, field));
}

/** Of the fields of a type, those that the viewer may read, as Type.field. */
export const readFields = (viewer: Viewer, type: string, fields: readonly string[]): string[] =>
  fields.filter((field) => readsField(viewer, type, field)).map((field) => `${type}.${field}`);

/** Throws {@link Refused} where the viewer may not read the field: NOT_SIGNED_IN for nobody, else NOT_ALLOWED. */
export function mayReadField(viewer: Viewer, type: string, field: string): void {
  if (readsField(viewer, type, field)) return;
  if (viewer.role === "NOBODY") throw new Refused("NOT_SIGNED_IN", "Sign in to go on.");
  throw new Refused("NOT_ALLOWED", "This is not for your account to read or to do.", [`${type}.${field}`]);
}

/** Every type and field that a list names, for checking that each exists. */
export const NAMED_FIELDS = [EVERYBODY, SIGNED_IN, OWNER, MEMBER, ADMIN].flatMap((fields) =>
  Object.entries(fields).flatMap(([type, names]): { type: string; field: string | null }[] =>
    names === "all" ? [{ type, field: null }] : names.map((field) => ({ type, field })),
  ),
);
