import { useSyncExternalStore } from "react";

/** Where rows stand stacked; the same width as in style.css. */
const NARROW = "(max-width: 46rem)";

function subscribe(changed: () => void): () => void {
  const query = window.matchMedia(NARROW);
  query.addEventListener("change", changed);
  return () => query.removeEventListener("change", changed);
}

/** True on a screen as narrow as a phone. */
export function useNarrow(): boolean {
  return useSyncExternalStore(subscribe, () => window.matchMedia(NARROW).matches);
}
