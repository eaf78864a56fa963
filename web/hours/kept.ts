import { deviceStore } from "../shared/device.ts";
import type { RestorationInView } from "../shared/restoration.ts";
import type { WaitingRow } from "../shared/waitingRows.ts";
import type { BookedLately, HoursInput, Workable } from "./hours.ts";

/** The work that could be done and what was booked lately, as last read. */
export interface HoursSheet {
  work: readonly Workable[];
  lately: readonly BookedLately[];
  /** The hand whose account reads it, and the operations that are theirs to do on the day; null for nobody's. */
  own: { name: string; operations: readonly string[] } | null;
  /** Whether any work is entered. */
  entered: boolean;
  /** Milliseconds since 1970. */
  readAt: number;
}

/** The same with the head that it stands under. */
export interface KeptHours extends HoursSheet {
  restoration: string;
  head: RestorationInView;
}

/** A clock that runs for an operation; one for a restoration on this device. */
export interface Clock {
  restoration: string;
  operation: Workable;
  /** Milliseconds since 1970. */
  startedAt: number;
  /** null while it runs. */
  stoppedAt: number | null;
}

/** Hours kept on this device until they are sent. */
export interface WaitingHours extends WaitingRow {
  input: HoursInput;
  /** Code and title of the operation, which the input knows by id alone. */
  operationName: string;
}

export const hoursSheets = deviceStore<KeptHours>("hoursSheets");
export const clocks = deviceStore<Clock>("clocks");
export const bookings = deviceStore<WaitingHours>("bookings");

/** The hours sheet of a restoration as last read here; null where none is kept, or where the browser keeps nothing. */
export async function keptHours(restoration: string): Promise<KeptHours | null> {
  try {
    const sheet = await hoursSheets.one(restoration);
    // An earlier version of the program kept no bookings, not whose work it is, and not whether there is work.
    return sheet === undefined
      ? null
      : { ...sheet, lately: sheet.lately ?? [], own: sheet.own ?? null, entered: sheet.entered ?? true };
  } catch {
    return null;
  }
}
