/** What this browser keeps for work without a connection: sheets as last read, a running clock, and rows not yet sent. */

const NAME = "lastbolt-field";
const VERSION = 3;
const KEYS = {
  sheets: "restoration",
  finds: "clientKey",
  hoursSheets: "restoration",
  clocks: "restoration",
  bookings: "clientKey",
  photographs: "clientKey",
} as const;

type StoreName = keyof typeof KEYS;

let opened: Promise<IDBDatabase> | null = null;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(KEYS))
        if (!request.result.objectStoreNames.contains(name)) request.result.createObjectStore(name, { keyPath });
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
  store: StoreName,
  mode: IDBTransactionMode,
  act: (store: IDBObjectStore) => IDBRequest<Result>,
): Promise<Result> {
  // Whoever is told that a row is kept may rely on it: it is on the disk, and not on its way there.
  const transaction = (await database()).transaction(store, mode, { durability: "strict" });
  const request = act(transaction.objectStore(store));
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(request.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

/** Rows of one kind on this device. Everything throws where the browser keeps nothing. */
export function deviceStore<Row>(name: StoreName) {
  return {
    name,
    one: (key: string): Promise<Row | undefined> => run(name, "readonly", (store) => store.get(key)),
    all: (): Promise<Row[]> => run(name, "readonly", (store) => store.getAll()),
    put: async (row: Row): Promise<void> => {
      await run(name, "readwrite", (store) => store.put(row));
    },
    drop: (key: string): Promise<undefined> => run(name, "readwrite", (store) => store.delete(key)),
  };
}

/** A key that no other device makes; the plain page of a local network has no randomUUID. */
export function newKey(): string {
  if ("randomUUID" in crypto) return crypto.randomUUID();
  const bytes: Uint8Array = (crypto as Crypto).getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
