import type { ReactNode } from "react";
import { useNarrow } from "./useNarrow.ts";

/** Figures that say again what stands above them: in full where there is room, on a narrow screen behind a line that opens them. */
export function Folded({ summary, children }: { summary: string; children: ReactNode }) {
  if (!useNarrow()) return children;
  return (
    <details className="folded">
      <summary>{summary}</summary>
      {children}
    </details>
  );
}
