import { type ReactNode, useEffect, useRef } from "react";
import { useLocation } from "react-router";
import { Section } from "./Page.tsx";
import { useNarrow } from "./useNarrow.ts";
import "./lines.css";

interface FoldProps {
  title: string;
  /** What lies inside, summed up: it stands beside the title, open or not. */
  says: ReactNode;
  /** Ids of the places within it: an address that asks for one opens it. */
  holds?: readonly string[];
  /** What lies inside wants doing: it opens by itself. */
  wanted?: boolean;
  children: ReactNode;
}

/** One of the {@link Folds}. What is inside stays there while it is shut, so that a form keeps what was typed; it prints open. */
export function Fold({ title, says, holds, wanted, children }: FoldProps) {
  const element = useRef<HTMLDetailsElement>(null);
  const location = useLocation();
  const asked = holds?.find((id) => location.hash === `#${id}`);
  // Each time the address is asked for, also where it is the same again.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the key says that it is asked for again
  useEffect(() => {
    if (asked === undefined || !element.current || element.current.open) return;
    element.current.open = true;
    (document.getElementById(asked) ?? element.current).scrollIntoView();
  }, [asked, location.key]);
  useEffect(() => {
    if (wanted && element.current) element.current.open = true;
  }, [wanted]);
  return (
    <details className="fold unfolds" ref={element}>
      <summary>
        {holds ? <h2>{title}</h2> : <b>{title}</b>} <span>{says}</span>
      </summary>
      {children}
    </details>
  );
}

/** A part of a sheet under its own heading; on a narrow screen a fold. */
export function FoldedSection({
  title,
  id,
  says,
  children,
}: {
  title: string;
  id: string;
  says: ReactNode;
  children: ReactNode;
}) {
  if (!useNarrow())
    return (
      <Section title={title} id={id}>
        {children}
      </Section>
    );
  return (
    <section className="folds" id={id} aria-label={title}>
      <Fold title={title} says={says} holds={[id]}>
        {children}
      </Fold>
    </section>
  );
}

/** Folds below one another. */
export const Folds = ({ children }: { children: ReactNode }) => <div className="folds">{children}</div>;

/** Opens whatever folds an element lies in. */
export function unfold(element: Element): void {
  for (let at = element.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
}
