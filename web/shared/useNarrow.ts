import { useSyncExternalStore } from "react";

/** Where style.css stacks the rows of tables: a narrow screen, never paper. */
const narrow = () => window.matchMedia("screen and (max-width: 46rem)");

function watch(changed: () => void): () => void {
  const width = narrow();
  width.addEventListener("change", changed);
  return () => width.removeEventListener("change", changed);
}

/** True while the sheet is on a narrow screen. */
export const useNarrow = (): boolean => useSyncExternalStore(watch, () => narrow().matches);
