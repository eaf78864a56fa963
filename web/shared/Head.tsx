import { type ReactNode, type RefObject, useEffect, useRef } from "react";
import { Link, useLocation } from "react-router";
import { useNarrow } from "./useNarrow.ts";

/** What stands beside the name in the head: in a line where there is room for it, else behind one word. */
export function HeadAside({ date, children }: { date?: ReactNode; children: ReactNode }) {
  const narrow = useNarrow();
  if (!narrow)
    return (
      <p className="head-aside">
        {date}
        {children}
      </p>
    );
  return (
    <div className="head-aside">
      {date}
      <details className="head-more no-print">
        <summary>More</summary>
        <p>{children}</p>
      </details>
    </div>
  );
}

/** Of addresses the longest that the path is or stands under; undefined where it is under none. */
export const nearestAbove = (pathname: string, sheets: readonly { address: string }[]): string | undefined =>
  sheets
    .map(({ address }) => address)
    .filter((address) => pathname === address || pathname.startsWith(`${address}/`))
    .sort((one, other) => other.length - one.length)[0];

/** The sheets by name. Where they do not fit in a line they go by sideways, and the one that is open is in view. */
export function SheetNav({ label, sheets }: { label: string; sheets: readonly { address: string; name: string }[] }) {
  const { pathname } = useLocation();
  const list = useRef<HTMLUListElement>(null);
  const at = nearestAbove(pathname, sheets);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another address has another sheet open
  useEffect(() => {
    const open = list.current?.querySelector<HTMLElement>("[aria-current=page]");
    if (!list.current || !open) return;
    list.current.scrollLeft = open.offsetLeft - (list.current.clientWidth - open.offsetWidth) / 2;
  }, [pathname, sheets.length]);
  return (
    <nav className="head-nav" aria-label={label}>
      <ul ref={list}>
        {sheets.map(({ address, name }) => (
          <li key={address}>
            <Link to={address} aria-current={address === at ? "page" : undefined}>
              {name}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
}

/** For the element that holds the sheet: focus goes to it, and the view to its top, when the address names another. */
export function useSheetFocus(): RefObject<HTMLElement | null> {
  const { pathname } = useLocation();
  const main = useRef<HTMLElement>(null);
  const shownBefore = useRef(pathname);
  useEffect(() => {
    if (shownBefore.current === pathname) return;
    shownBefore.current = pathname;
    main.current?.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }, [pathname]);
  return main;
}
