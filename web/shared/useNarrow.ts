import { useSyncExternalStore } from "react";

/** Where style.css stacks the rows of tables: a narrow screen, never paper. */
const NARROW = window.matchMedia("screen and (max-width: 46rem)");

function watch(changed: () => void): () => void {
  NARROW.addEventListener("change", changed);
  return () => NARROW.removeEventListener("change", changed);
}

/** True while the sheet is on a narrow screen. */
export const useNarrow = (): boolean => useSyncExternalStore(watch, () => NARROW.matches);
