/** What this browser keeps for a swap meet without a connection: the sheet as last read, and finds not yet sent. */
import type { RestorationInView } from "../shared/restoration.ts";
import type { FieldSheet } from "./fieldSheet.ts";
import type { WaitingFind } from "./find.ts";

/** A field sheet as it was last read, with the head that it stands under. */
export interface KeptSheet extends FieldSheet {
  /** Id of the restoration. */
  restoration: string;
  head: RestorationInView;
  /** Milliseconds since 1970. */
  readAt: number;
}

const NAME = "lastbolt-field";
const VERSION = 1;

let opened: Promise<IDBDatabase> | null = null;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("sheets", { keyPath: "restoration" });
      request.result.createObjectStore("finds", { keyPath: "clientKey" });
    };
    request.onsuccess = () => {
      // Another tab with a newer version of the program may open it.
      request.result.onversionchange = () => {
        request.result.close();
        opened = null;
      };
      resolve(request.result);
    };
    request.onerror = () => {
      opened = null;
      reject(request.error);
    };
  });
  return opened;
}

async function run<Result>(
  store: "sheets" | "finds",
  mode: IDBTransactionMode,
  act: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
  const transaction = (await database()).transaction(store, mode);
  const request = act(transaction.objectStore(store));
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(request.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

/** The sheet of a restoration as last read here; null where none is kept, or where the browser keeps nothing. */
export async function keptSheet(restoration: string): Promise<KeptSheet | null> {
  try {
    return ((await run("sheets", "readonly", (store) => store.get(restoration))) as KeptSheet | undefined) ?? null;
  } catch {
    return null;
  }
}

/** Keeps the sheet in place of the one before; false where the browser keeps nothing. */
export async function keepSheet(sheet: KeptSheet): Promise<boolean> {
  try {
    await run("sheets", "readwrite", (store) => store.put(sheet));
    return true;
  } catch {
    return false;
  }
}

/** Finds of a restoration that have not been sent, in the order in which they were noted. */
export async function waitingFinds(restoration: string): Promise<WaitingFind[]> {
  const all = (await run("finds", "readonly", (store) => store.getAll())) as WaitingFind[];
  return all.filter((find) => find.restoration === restoration).sort((one, other) => one.notedAt - other.notedAt);
}

/** Keeps a find until it is sent. Throws where the browser keeps nothing. */
export async function keepFind(find: WaitingFind): Promise<void> {
  await run("finds", "readwrite", (store) => store.put(find));
}

/** Lets go of a find that has been sent, or is not wanted. */
export async function dropFind(clientKey: string): Promise<void> {
  await run("finds", "readwrite", (store) => store.delete(clientKey));
}
