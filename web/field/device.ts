/** What this browser keeps of the field sheet for a swap meet without a connection. */
import { deviceStore } from "../shared/device.ts";
import type { RestorationInView } from "../shared/restoration.ts";
import type { FieldSheet } from "./fieldSheet.ts";

/** A field sheet as it was last read, with the head that it stands under. */
export interface KeptSheet extends FieldSheet {
  /** Id of the restoration. */
  restoration: string;
  head: RestorationInView;
  /** Milliseconds since 1970. */
  readAt: number;
}

const sheets = deviceStore<KeptSheet>("sheets");

/** The sheet of a restoration as last read here; null where none is kept, or where the browser keeps nothing. */
export async function keptSheet(restoration: string): Promise<KeptSheet | null> {
  try {
    return (await sheets.one(restoration)) ?? null;
  } catch {
    return null;
  }
}

/** Keeps the sheet in place of the one before; false where the browser keeps nothing. */
export async function keepSheet(sheet: KeptSheet): Promise<boolean> {
  try {
    await sheets.put(sheet);
    return true;
  } catch {
    return false;
  }
}
