import { useEffect, useState } from "react";

const WORKER = "/field-worker.js";

/** How long a page is left to itself before the program's files are kept. */
const QUIET_MS = 10_000;

async function keepProgram(): Promise<boolean> {
  if (!import.meta.env.PROD || !("serviceWorker" in navigator)) return false;
  await navigator.serviceWorker.register(WORKER, { updateViaCache: "none" });
  await navigator.serviceWorker.ready;
  return true;
}

/** Keeps the program once any sheet has stood open for a while, so that an address opens without a connection. */
export function keepProgramSoon(): void {
  setTimeout(() => keepProgram().catch(() => undefined), QUIET_MS);
}

/** True once the program's files are kept, so that the sheet opens without a connection. */
export function useOpensOffline(): boolean {
  const [ready, setReady] = useState(false);
  useEffect(() => {
    let left = false;
    // A browser that allows none (a private window, say) still shows the sheet while there is a connection.
    keepProgram()
      .then((kept) => !left && setReady(kept))
      .catch(() => undefined);
    return () => {
      left = true;
    };
  }, []);
  return ready;
}
