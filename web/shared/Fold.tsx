import type { ReactNode } from "react";
import "./lines.css";

interface FoldProps {
  title: string;
  /** What lies inside, summed up: it stands beside the title, open or not. */
  says: ReactNode;
  children: ReactNode;
}

/** One of the {@link Folds}. What is inside stays there while it is shut, so that a form keeps what was typed; it prints open. */
export function Fold({ title, says, children }: FoldProps) {
  return (
    <details className="fold unfolds">
      <summary>
        <b>{title}</b> <span>{says}</span>
      </summary>
      {children}
    </details>
  );
}

/** Folds below one another. */
export const Folds = ({ children }: { children: ReactNode }) => <div className="folds">{children}</div>;

/** Opens whatever folds an element lies in. */
export function unfold(element: Element): void {
  for (let at = element.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
}
