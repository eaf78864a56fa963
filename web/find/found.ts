import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { clubAddress } from "../club/addresses.ts";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull, dayAndMonth, hours, money } from "../shared/format.ts";
import { noTrade, OPERATION_STATE, orderStates, supplyWords } from "../shared/words.ts";

export const FindQuery = graphql(`
  query Find($restoration: ID, $text: String!) {
    find(restoration: $restoration, text: $text) {
      group count
      rows {
        kind id code title beside fits part supplyState madeHere orderBy operationState decisionState orderState
        invoiceKind hours trades day amount { minor currency decimals } member sources namesDown smallest
      }
    }
  }
`);

export type FoundGroup = ResultOf<typeof FindQuery>["find"][number];
export type FoundRow = FoundGroup["rows"][number];

export const GROUP_NAMES: Record<FoundGroup["group"], string> = {
  PARTS: "Parts",
  WORK: "Work",
  MONEY_AND_DECISIONS: "Money and decisions",
  SUPPLIERS: "Suppliers",
  SNAGS: "Snags",
  PEOPLE: "People",
  CLUB: "The club",
};

const SAID: Partial<Record<FoundRow["kind"], string>> = {
  ORDER: "Order",
  WANT: "Wanted",
  SPARE: "Spare",
  BATCH: "Batch",
};

/** What a row is called in the list. */
export function calledInList({ kind, code, title, invoiceKind }: FoundRow): string {
  if (kind === "INVOICE") return `${invoiceKind === "RECEIPT" ? "Receipt" : "Invoice"} ${code ?? ""}`;
  if (kind === "SOURCE") return `Who makes: ${title}`;
  const said = SAID[kind];
  return said === undefined ? title : `${said} ${code ?? ""}: ${title}`;
}

const DECISION_STATE = {
  WAITING: "waits for the owner",
  APPROVED: "approved",
  DECLINED: "declined",
  WITHDRAWN: "no longer asked",
} as const;

/** What is said of a row at its right; on a day of the figures, what is to be ordered by then is to be ordered today. */
export function whatOfIt(row: FoundRow, day: string): string {
  const said: (string | false | null | undefined)[] = [];
  if (row.kind === "PART" && row.supplyState) {
    const words = supplyWords(row.supplyState, row.madeHere);
    const due = row.supplyState === "TO_ORDER" && row.orderBy;
    said.push(
      !due
        ? words
        : `${row.madeHere ? "begin" : "order"} ${row.orderBy! <= day ? "today" : `by ${dayAndMonth(row.orderBy!)}`}`,
    );
  } else if (row.kind === "OPERATION") {
    if (row.operationState === "DONE") said.push(row.day ? `done ${dayAndMonth(row.day)}` : OPERATION_STATE.DONE);
    else if (row.operationState === "UNDER_WAY") said.push(OPERATION_STATE.UNDER_WAY);
    else said.push(row.hours !== null && hours(row.hours), noTrade(row.trades.join(", ")));
  } else if (row.kind === "SNAG") said.push(row.day ? `cleared ${dayAndMonth(row.day)}` : "not cleared");
  else if (row.kind === "INVOICE") said.push(row.amount && money(row.amount), row.day && dateInFull(row.day));
  else if (row.kind === "ORDER")
    said.push(row.amount && money(row.amount), row.orderState && orderStates(false)[row.orderState]);
  else if (row.kind === "DECISION")
    said.push(row.amount && money(row.amount), row.decisionState && DECISION_STATE[row.decisionState]);
  else if (row.kind === "OWNER") said.push("owner");
  else if (row.kind === "HAND") said.push(row.trades.join(", "));
  else if (row.kind === "SOURCE") said.push(counted(row.sources ?? 0, "source"));
  else if (row.kind === "WANT" || row.kind === "SPARE") said.push(row.member);
  else if (row.kind === "BATCH") said.push(`${row.namesDown} of ${row.smallest} names down`);
  else if (row.kind === "MEMBER") said.push("member");
  return said.filter(Boolean).join(", ");
}

/** Where a row is read. An owner has one sheet for all of it. */
export function whereItIs(row: FoundRow, restoration: string, forOwner: boolean): string {
  switch (row.kind) {
    case "SOURCE":
      return clubAddress.sources(row.title);
    case "WANT":
      return `${clubAddress.wants()}?${new URLSearchParams({ q: row.title })}`;
    case "SPARE":
      return `${clubAddress.spares()}?${new URLSearchParams({ q: row.title })}`;
    case "BATCH":
      return clubAddress.batch(row.id);
    case "MEMBER":
      return clubAddress.member();
  }
  if (forOwner) return addressOf.owner(restoration);
  switch (row.kind) {
    case "PART":
      return addressOf.part(restoration, row.id);
    case "ORDER":
      return addressOf.part(restoration, row.part ?? "");
    case "OPERATION":
      return addressOf.operation(restoration, row.id);
    case "SNAG":
      return addressOf.snag(restoration, row.id);
    case "SUPPLIER":
      return addressOf.supplier(restoration, row.id);
    case "INVOICE":
      return addressOf.money(restoration);
    case "HAND":
      return addressOf.byHand(restoration);
    default:
      return addressOf.owner(restoration);
  }
}

/** A text in pieces, of which those that fit are marked. */
export function pieces(text: string, fits: readonly string[]): { text: string; fits: boolean }[] {
  const known = fits.filter(Boolean).map((word) => word.replace(/[\\^$.*+?()[\]{}|]/g, "\\$&"));
  if (known.length === 0) return [{ text, fits: false }];
  const words = new RegExp(`(?<![\\p{L}\\p{N}])(${known.join("|")})(?![\\p{L}\\p{N}])`, "gu");
  return text
    .split(words)
    .map((piece, place) => ({ text: piece, fits: place % 2 === 1 }))
    .filter((piece) => piece.text !== "");
}
