import { useEffect, useSyncExternalStore } from "react";
import { useMay } from "./useMay.ts";

/** Milliseconds until the server is asked again: while it can keep what is saved, and while it cannot. */
const WELL_MS = 60_000;
const UNWELL_MS = 5_000;

const WORDS: Readonly<Record<string, string>> = {
  DISK_FULL: "The server's disk is full: until somebody makes room on it, nothing can be saved.",
  READ_ONLY: "The server may not write to its data folder: until somebody lets it, nothing can be saved.",
};
const OTHERWISE = "The server's disk takes nothing: until somebody has seen to it, nothing can be saved.";

let trouble: string | null = null;
let next: ReturnType<typeof setTimeout> | undefined;
const listeners = new Set<() => void>();

/** Asks the server whether it can keep what is saved; for whoever found that it did not. */
export async function lookAtHealth(): Promise<void> {
  clearTimeout(next);
  try {
    const response = await fetch("/health");
    const told = (await response.json()) as { ok?: boolean; code?: string };
    // A proxy before the server may answer too: what it says is nothing of the disk.
    if (told.ok !== undefined) trouble = told.ok ? null : (WORDS[told.code ?? ""] ?? OTHERWISE);
  } catch {
    // No answer at all is told elsewhere.
  }
  if (listeners.size === 0) return;
  for (const listener of listeners) listener();
  next = setTimeout(() => void lookAtHealth(), trouble === null ? WELL_MS : UNWELL_MS);
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => {
    listeners.delete(listener);
    if (listeners.size === 0) clearTimeout(next);
  };
}

/** For whoever may change something: a line while the server can keep nothing. */
export function CannotSave() {
  const may = useMay();
  const words = useSyncExternalStore(subscribe, () => trouble);
  useEffect(() => void lookAtHealth(), []);
  return (
    <div role="status" className="no-print">
      {words !== null && may("Mutation.savePart") && (
        <p className="form-problem">
          {words} What you have typed is not lost: leave it on the screen, and save it when this line is gone.
        </p>
      )}
    </div>
  );
}
