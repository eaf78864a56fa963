import { Suspense, useEffect, useRef, useState } from "react";
import { Link, NavLink, Outlet, useLocation, useParams, useSearchParams } from "react-router";
import { useQuery } from "urql";
import { Who } from "../accounts/Gate.tsx";
import { graphql } from "../client.ts";
import { useKeptHead } from "../field/head.ts";
import { addressOf } from "./addresses.ts";
import { dateWithWeekday, today } from "./format.ts";
import { useKept } from "./kept.ts";
import { Loading, Problem, wordsOf } from "./Page.tsx";
import { RestorationContext } from "./restoration.ts";
import { SheetBoundary } from "./SheetBoundary.tsx";
import { applyTheme, keptTheme, type Theme } from "./theme.ts";

const FrameQuery = graphql(`
  query Frame($restoration: ID!) {
    restoration(id: $restoration) {
      id machine owner currency dataDate targetDate targetName confidence trades sectionNames
    }
    currencies { code name decimals }
  }
`);

const SHEETS = [
  ["hold-ups", "Hold-ups"],
  ["over-time", "Over time"],
  ["choices", "Choices"],
  ["field-sheet", "Field sheet"],
  ["parts", "Parts"],
  ["work", "Work"],
  ["hours", "Hours"],
  ["snags", "Snags"],
  ["suppliers", "Suppliers"],
  ["restoration", "Restoration"],
  ["files", "Files"],
] as const;

/** Head of every sheet of one restoration: the machine, the sheets, the date its figures stand for. Focus goes to the sheet when it changes. */
export function Frame() {
  const { restoration: id = "" } = useParams();
  const [params] = useSearchParams();
  const { pathname } = useLocation();
  const main = useRef<HTMLElement>(null);
  const shownBefore = useRef(pathname);
  const [result, again] = useQuery({ query: FrameQuery, variables: { restoration: id } });

  useEffect(() => {
    if (shownBefore.current === pathname) return;
    shownBefore.current = pathname;
    main.current?.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }, [pathname]);

  const unanswered = result.error?.networkError !== undefined;
  useEffect(() => {
    if (!unanswered) return;
    const back = () => again({ requestPolicy: "network-only" });
    window.addEventListener("online", back);
    return () => window.removeEventListener("online", back);
  }, [unanswered, again]);

  const read = useKept(result.data, id);
  // Without a connection the field sheet and the hours stand under the head that is kept on this device with them.
  const onFieldSheet = pathname === addressOf.fieldSheet(id) || pathname === addressOf.hours(id);
  const head = useKeptHead(id, onFieldSheet && !read && unanswered);
  const restoration = read?.restoration ?? head;
  const currencies = read?.currencies ?? head?.currencies ?? [];
  const onHoldUps = pathname === addressOf.holdUps(id);
  const dataDate = (onHoldUps && params.get("on")) || restoration?.dataDate || today();

  return (
    <div className="sheet">
      <a className="skip" href="#main">
        Skip to the sheet
      </a>
      <header className="head">
        <p className="head-machine">
          {restoration ? <Link to={addressOf.holdUps(id)}>{restoration.machine}</Link> : "Lastbolt"}
        </p>
        <p className="head-aside">
          {restoration && (
            <span>
              Figures for{" "}
              <time dateTime={dataDate}>
                {/^\d{4}-\d\d-\d\d$/.test(dataDate) ? dateWithWeekday(dataDate) : dataDate}
              </time>
            </span>
          )}
          <Link className="no-print" to={addressOf.restorations()}>
            All restorations
          </Link>
          <Who />
          <ThemeSwitch />
        </p>
        <nav className="head-nav" aria-label="Sheets">
          <ul>
            {SHEETS.map(([path, name]) => (
              <li key={path}>
                <NavLink to={`/r/${encodeURIComponent(id)}/${path}`}>{name}</NavLink>
              </li>
            ))}
          </ul>
        </nav>
      </header>
      <main id="main" ref={main} tabIndex={-1}>
        {restoration && result.error && !onFieldSheet && (
          <p className="form-problem" role="alert">
            {wordsOf(result.error)} What stands here is as it was last read.{" "}
            <button type="button" onClick={() => again({ requestPolicy: "network-only" })}>
              Read it again
            </button>
          </p>
        )}
        {restoration ? (
          <RestorationContext
            value={{
              ...restoration,
              currencies,
              decimals: currencies.find((known) => known.code === restoration.currency)?.decimals ?? 2,
            }}
          >
            <SheetBoundary key={pathname}>
              <Suspense fallback={<Loading what="the sheet" />}>
                <Outlet />
              </Suspense>
            </SheetBoundary>
          </RestorationContext>
        ) : result.error ? (
          <Problem of={result.error} what="this restoration" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the restoration" />
        )}
      </main>
    </div>
  );
}

const NEXT: Record<Theme, Theme> = { system: "light", light: "dark", dark: "system" };
const THEME_WORDS: Record<Theme, string> = { system: "as the system", light: "paper", dark: "slate" };

/** Paper, slate, or as the system asks; kept in this browser. */
export function ThemeSwitch() {
  const [theme, setTheme] = useState(keptTheme);
  return (
    <button
      type="button"
      className="plain no-print"
      onClick={() => {
        applyTheme(NEXT[theme]);
        setTheme(NEXT[theme]);
      }}
    >
      Colours: {THEME_WORDS[theme]}
    </button>
  );
}
