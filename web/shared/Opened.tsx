import { type ReactNode, useCallback, useEffect, useMemo, useRef, useState } from "react";
import { unfold } from "./Fold.tsx";

/** Which forms of a sheet are open, by key. Several may be, so that opening one never throws away what is typed in another. */
export function useOpen() {
  const [keys, setKeys] = useState<ReadonlySet<string>>(new Set());
  const open = useCallback((key: string) => setKeys((now) => new Set([...now, key])), []);
  const close = useCallback((key: string) => setKeys((now) => new Set([...now].filter((other) => other !== key))), []);
  return useMemo(() => ({ has: (key: string) => keys.has(key), open, close }), [keys, open, close]);
}

export type Open = ReturnType<typeof useOpen>;

/** Around a form that a button opened: the focus goes to its first field, and back to the button when it closes. */
export function Opened({ children }: { children: ReactNode }) {
  const element = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const cameFrom = document.activeElement;
    if (element.current) unfold(element.current);
    element.current?.querySelector<HTMLElement>("input, select, textarea")?.focus();
    return () => {
      if (cameFrom instanceof HTMLElement && cameFrom.isConnected) cameFrom.focus();
    };
  }, []);
  return <div ref={element}>{children}</div>;
}

interface OpenButtonProps {
  of: Open;
  /** Key of the form. */
  opens: string;
  main?: boolean;
  children: ReactNode;
}

/** A button that opens a form. It stays while the form is open; the form itself says how to close. */
export function OpenButton({ of, opens, main, children }: OpenButtonProps) {
  return (
    <button
      type="button"
      className={main ? "main" : undefined}
      aria-expanded={of.has(opens)}
      onClick={() => of.open(opens)}
    >
      {children}
    </button>
  );
}
