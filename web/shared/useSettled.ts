import { useEffect, useState } from "react";

const PAUSE_MS = 400;

/** What is typed, once nobody has typed on for a moment. */
export function useSettled<T>(now: T): T {
  const [settled, setSettled] = useState(now);
  const same = JSON.stringify(settled) === JSON.stringify(now);
  // biome-ignore lint/correctness/useExhaustiveDependencies: what says the same is the same
  useEffect(() => {
    if (same) return;
    const pause = setTimeout(() => setSettled(now), PAUSE_MS);
    return () => clearTimeout(pause);
  }, [JSON.stringify(now), same]);
  return settled;
}
