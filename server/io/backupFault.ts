/** Backups that cannot be written, read or put back: expected failures, with a code for programs and words for people. */
export type BackupCode =
  /** A file stands where one is to be written. */
  | "EXISTS"
  /** There is no such file or folder. */
  | "MISSING"
  | "NO_ROOM"
  | "NOT_WRITABLE"
  /** It is no backup of this program. */
  | "NOT_A_BACKUP"
  /** A folder is named where a file is meant. */
  | "FOLDER"
  /** It was made, but what it holds is not whole. */
  | "DAMAGED"
  | "NEWER_VERSION"
  /** It would be put in its own place. */
  | "SAME_FILE"
  | "STOPPED";

export class BackupFault extends Error {
  override readonly name = "BackupFault";
  constructor(
    readonly code: BackupCode,
    message: string,
    /** Each fault that was found, in words. */
    readonly faults: readonly string[] = [],
  ) {
    super(message);
  }
}

const FULL = /ENOSPC|EDQUOT|EFBIG|SQLITE_FULL/;
const SHUT = /EACCES|EPERM|EROFS|SQLITE_READONLY|SQLITE_CANTOPEN|SQLITE_IOERR|SQLITE_BUSY/;
const SPOILT = /SQLITE_CORRUPT|SQLITE_NOTADB/;
const GONE = /ENOENT|ENOTDIR/;
const FOLDER = /EISDIR/;

/** What is expected to go wrong with files, in words; any other error as it came. `kept` says what became of the rest. */
export function asBackupFault(error: unknown, place: string, kept: string): unknown {
  if (!(error instanceof Error) || error instanceof BackupFault) return error;
  if (error.name === "AbortError") return new BackupFault("STOPPED", `Stopped. ${kept}`);
  const code = String((error as { code?: unknown }).code);
  if (FULL.test(code)) return new BackupFault("NO_ROOM", `There is no room left at ${place}. ${kept}`);
  if (SHUT.test(code))
    return new BackupFault("NOT_WRITABLE", `${place} cannot be opened, read or written (${code}). ${kept}`);
  if (FOLDER.test(code))
    return new BackupFault("FOLDER", `${place} is a folder. Name the file, with its folder. ${kept}`);
  if (GONE.test(code)) return new BackupFault("MISSING", `${place} is not there. ${kept}`);
  if (SPOILT.test(code)) return new BackupFault("DAMAGED", `The database is damaged: ${error.message}. ${kept}`);
  return error;
}
