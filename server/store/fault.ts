/** The one shape of everything that can be wrong with input. Expected failures are data; only mistakes in the program throw other errors. */
export interface Fault {
  /** For programs; stable. */
  code: FaultCode;
  /** For people: what is wrong, where, and what is allowed. */
  message: string;
  file?: string | undefined;
  /** Line in the file, or the row's id or code. */
  row?: string | undefined;
  field?: string | undefined;
  value?: string | undefined;
  /** Rows that belong to the fault, such as the path of a cycle. */
  rows?: readonly string[] | undefined;
}

export type FaultCode =
  | "REQUIRED"
  | "NOT_A_NUMBER"
  | "NOT_A_WHOLE_NUMBER"
  | "NOT_A_DATE"
  | "NOT_A_CHOICE"
  | "NEGATIVE"
  | "OUT_OF_RANGE"
  | "TOO_LONG"
  | "TOO_LARGE"
  | "ORDER_OF_VALUES"
  | "DUPLICATE"
  | "UNKNOWN_ROW"
  | "UNKNOWN_CURRENCY"
  | "CYCLE"
  | "UNREADABLE"
  | "MISSING_FILE"
  | "UNUSED_COLUMN"
  | "LEDGER"
  | "REFUSED"
  | "TOO_BUSY"
  | "MISSING_COLUMN";

/** Input that breaks a rule: every fault found, not only the first. */
export class InvalidInput extends Error {
  readonly code = "INVALID_INPUT";
  constructor(readonly faults: readonly Fault[]) {
    super(faults.length === 1 ? faults[0]!.message : `${faults.length} values need correcting. Nothing was changed.`);
    this.name = "InvalidInput";
  }
}

/** One field of a row that was changed elsewhere after the writer read it. */
export interface Difference {
  field: string;
  theirs: string;
  yours: string;
}

/** The row was changed after the writer read it. Nothing was written; both values are kept for the writer to choose from. */
export class StaleRow extends Error {
  readonly code = "STALE_ROW";
  constructor(
    readonly id: string,
    readonly revision: number,
    readonly differences: readonly Difference[],
  ) {
    super(
      "This was changed elsewhere after you opened it. Nothing of either change is lost: choose which value to keep.",
    );
    this.name = "StaleRow";
  }
}

export type RefusalCode =
  | "INSPECTION_MISSING"
  | "NOT_A_MEMBER"
  | "NO_ORDER"
  | "TOO_MANY_POSTS"
  | "BATCH_FULL"
  | "BATCH_SETTLED"
  | "HAS_ORDERS"
  | "HAS_PAYMENTS"
  | "HAS_HOURS"
  | "LEDGER"
  | "ALREADY_CORRECTED"
  | "ALREADY_ANSWERED"
  | "OPERATION_DONE"
  | "IN_USE"
  | "NOT_ALLOWED"
  | "STALE"
  | "ALREADY_UNDONE"
  | "OPEN_SNAG"
  | "PREDECESSOR_NOT_DONE"
  | "NOT_SIGNED_IN"
  | "WRONG_PASSWORD"
  | "TOO_MANY_TRIES"
  | "LINK_ENDED"
  | "LAST_ADMIN"
  | "TOO_BUSY";

/** The input is well formed, but a rule of the shop forbids it now. */
export class Refused extends Error {
  constructor(
    readonly code: RefusalCode,
    message: string,
    readonly rows: readonly string[] = [],
  ) {
    super(message);
    this.name = "Refused";
  }
}

/** There is no such row, or the reader may not know of it. */
export class NotFound extends Error {
  readonly code = "NOT_FOUND";
  constructor(what: string, id: string) {
    super(`There is no ${what} with the id ${id}.`);
    this.name = "NotFound";
  }
}
