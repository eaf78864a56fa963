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
  | "READ_AS"
  | "LEDGER"
  | "REFUSED"
  | "TOO_BUSY"
  | "MISSING_COLUMN"
  | "CHANGES_SHOP"
  | "STALE"
  | DiskCode;

/** Why nothing can be written now. */
export const DISK_CODES = ["DISK_FULL", "READ_ONLY", "DISK_FAILED"] as const;
export type DiskCode = (typeof DISK_CODES)[number];

/** Letters of a value and of a message that a fault tells: one value can stand in the faults of many rows. */
const MOST_VALUE = 200;
const MOST_MESSAGE = 2_000;

const cut = (text: string, most: number): string =>
  // Half of a character is none.
  text.length > most ? `${text.slice(0, most).replace(/[\uD800-\uDBFF]$/, "")} …` : text;

const shortened = (fault: Fault): Fault => ({
  ...fault,
  message: cut(fault.message, MOST_MESSAGE),
  ...(fault.value === undefined ? {} : { value: cut(fault.value, MOST_VALUE) }),
});

/** Input that breaks a rule: every fault found, not only the first. */
export class InvalidInput extends Error {
  readonly code = "INVALID_INPUT";
  readonly faults: readonly Fault[];
  constructor(faults: readonly Fault[]) {
    super(
      faults.length === 1
        ? shortened(faults[0]!).message
        : `${faults.length} values need correcting. Nothing was changed.`,
    );
    this.faults = faults.map(shortened);
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
    /** Which of several it is, for people. */
    readonly row?: string,
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
  | "TOO_MANY_ENTRIES"
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

/** What is said of a row that is not there, or of which the reader may not know. Nobody is shown an id. */
export const noLongerThere = (what: string): string => `That ${what} is no longer there: it may have been removed.`;

/** There is no such row, or the reader may not know of it. */
export class NotFound extends Error {
  readonly code = "NOT_FOUND";
  constructor(what: string) {
    super(noLongerThere(what));
    this.name = "NotFound";
  }
}

const DISK_WORDS: Readonly<Record<DiskCode, string>> = {
  DISK_FULL:
    "The server's disk is full, so nothing was changed. Once whoever looks after the server has made room, the same can be saved again.",
  READ_ONLY:
    "The server may not write to its data folder, so nothing was changed. Once whoever looks after the server has let it write, the same can be saved again.",
  DISK_FAILED:
    "The server's disk did not take it, so nothing was changed. Once whoever looks after the server has seen to the disk, the same can be saved again.",
};

/** The disk takes nothing now. Nothing was changed, and the server goes on by itself once the disk does. */
export class CannotWrite extends Error {
  constructor(
    readonly code: DiskCode,
    cause?: unknown,
  ) {
    super(DISK_WORDS[code], { cause });
    this.name = "CannotWrite";
  }
}

/** What SQLite says of its files, by its primary result codes: READONLY, IOERR, FULL, CANTOPEN. */
const OF_SQLITE: Readonly<Record<number, DiskCode>> = {
  8: "READ_ONLY",
  10: "DISK_FAILED",
  13: "DISK_FULL",
  14: "DISK_FAILED",
};

const OF_SYSTEM: Readonly<Record<string, DiskCode>> = {
  ENOSPC: "DISK_FULL",
  EDQUOT: "DISK_FULL",
  EFBIG: "DISK_FULL",
  EROFS: "READ_ONLY",
  EACCES: "READ_ONLY",
  EPERM: "READ_ONLY",
  EIO: "DISK_FAILED",
};

/** The failure of the disk that lies under an error, however it was wrapped: by Prisma, its adapter, libsql or the system. Null where there is none. */
export function cannotWriteOf(error: unknown): CannotWrite | null {
  for (let at = error; typeof at === "object" && at !== null; ) {
    if (at instanceof CannotWrite) return at;
    const { code, rawCode, extendedCode, meta, cause } = at as Record<string, unknown>;
    const ofSqlite = [rawCode, extendedCode].find((known) => typeof known === "number");
    const found = ofSqlite === undefined ? OF_SYSTEM[String(code)] : OF_SQLITE[ofSqlite & 0xff];
    if (found !== undefined) return new CannotWrite(found, error);
    at = (meta as { driverAdapterError?: unknown } | undefined)?.driverAdapterError ?? cause;
  }
  return null;
}
