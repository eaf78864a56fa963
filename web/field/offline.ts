import { useEffect, useState } from "react";

const WORKER = "/field-worker.js";

/** True once the program's files are kept, so that the sheet opens without a connection. */
export function useOpensOffline(): boolean {
  const [ready, setReady] = useState(false);
  useEffect(() => {
    if (!import.meta.env.PROD || !("serviceWorker" in navigator)) return;
    let left = false;
    const keep = async () => {
      await navigator.serviceWorker.register(WORKER, { updateViaCache: "none" });
      await navigator.serviceWorker.ready;
      if (!left) setReady(true);
    };
    // A browser that allows none (a private window, say) still shows the sheet while there is a connection.
    keep().catch(() => undefined);
    return () => {
      left = true;
    };
  }, []);
  return ready;
}
