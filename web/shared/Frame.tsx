import { Suspense, useState } from "react";
import { Link, Outlet, useLocation, useParams, useSearchParams } from "react-router";
import { useQuery } from "urql";
import { Who } from "../accounts/Who.tsx";
import { graphql } from "../client.ts";
import { ClubLink } from "../club/ClubLink.tsx";
import { useKeptHead } from "../field/head.ts";
import { addressOf } from "./addresses.ts";
import { CannotSave } from "./CannotSave.tsx";
import { useWhenAnswering } from "./connection.ts";
import { dateWithWeekday, today } from "./format.ts";
import { HeadAside, nearestAbove, SheetNav, useSheetFocus } from "./Head.tsx";
import { useKept } from "./kept.ts";
import { Loading, Page, Problem, wordsOf } from "./Page.tsx";
import { RestorationContext } from "./restoration.ts";
import { SheetBoundary } from "./SheetBoundary.tsx";
import { applyTheme, keptTheme, type Theme } from "./theme.ts";
import { useMay } from "./useMay.ts";

const FrameQuery = graphql(`
  query Frame($restoration: ID!) {
    restoration(id: $restoration) {
      id machine owner currency figuresFor day timeZone targetDate targetName confidence trades groups
    }
    currencies { code name decimals used }
  }
`);

/** The sheets, and what each reads or does: one that its reader may not is not named. */
const SHEETS = [
  ["hold-ups", "Hold-ups", "Query.holdUps"],
  ["today", "Today", "Restoration.daySummary"],
  ["hold-ups/over-time", "Over time", "Restoration.days"],
  ["parts/choices", "Choices", "Mutation.startChoices"],
  ["money", "Money", "Restoration.ledger"],
  ["money/report", "Report", "Restoration.exposure"],
  ["parts/field-sheet", "Field sheet", "Restoration.finds"],
  ["parts", "Parts", "Restoration.parts"],
  ["work", "Work", "Restoration.operations"],
  ["work/by-hand", "By hand", "Mutation.bookHours"],
  ["work/hours", "Hours", "Mutation.bookHours"],
  ["work/how-long", "How long it takes", "Restoration.workRecord"],
  ["work/snags", "Snags", "Restoration.snags"],
  ["parts/suppliers", "Suppliers", "Query.suppliers"],
  ["restoration", "Restoration", "Mutation.saveRestoration"],
  ["restoration/files", "Files", "Mutation.applyImport"],
] as const;

/** Head of every sheet of one restoration: the machine, the sheets, the date its figures are for. Focus goes to the sheet when it changes. */
export function Frame() {
  const { restoration: id = "" } = useParams();
  const [params] = useSearchParams();
  const may = useMay();
  const { pathname } = useLocation();
  const main = useSheetFocus();
  const [result, again] = useQuery({ query: FrameQuery, variables: { restoration: id } });

  const unanswered = result.error?.networkError !== undefined;
  useWhenAnswering(() => unanswered && again({ requestPolicy: "network-only" }));

  const read = useKept(result.data, id);
  // Without a connection the field sheet and the hours stand under the head that is kept on this device with them.
  const onFieldSheet = pathname === addressOf.fieldSheet(id) || pathname === addressOf.hours(id);
  const head = useKeptHead(id, onFieldSheet && !read && unanswered);
  const restoration = read?.restoration ?? head;
  const currencies = read?.currencies ?? head?.currencies ?? [];
  const addresses = SHEETS.map(([path, name, reads]) => ({ address: `${addressOf.inside(id)}/${path}`, name, reads }));
  const at = addresses.find(({ address }) => address === nearestAbove(pathname, addresses));
  const closed = at && !may(at.reads) ? at.name : undefined;
  const onHoldUps = pathname === addressOf.holdUps(id);
  const figuresFor = (onHoldUps && params.get("on")) || restoration?.day || today();

  return (
    <div className="sheet">
      <a className="skip" href="#main">
        Skip to the sheet
      </a>
      <header className="head">
        <p className="head-machine">
          {restoration ? <Link to={addressOf.holdUps(id)}>{restoration.machine}</Link> : "Lastbolt"}
        </p>
        <HeadAside
          date={
            restoration && (
              <span>
                Figures for{" "}
                <time dateTime={figuresFor}>
                  {/^\d{4}-\d\d-\d\d$/.test(figuresFor) ? dateWithWeekday(figuresFor) : figuresFor}
                </time>
              </span>
            )
          }
        >
          {may("Restoration.parts") && (
            <Link className="no-print" to={addressOf.restorations()}>
              All restorations
            </Link>
          )}
          <ClubLink />
          <Who />
          <ThemeSwitch />
        </HeadAside>
        <SheetNav label="Sheets" sheets={addresses.filter(({ reads }) => may(reads))} />
      </header>
      <main id="main" ref={main} tabIndex={-1}>
        <CannotSave />
        {restoration && result.error && !onFieldSheet && (
          <p className="form-problem" role="alert">
            {wordsOf(result.error)} This is as it was last read.{" "}
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
                {closed === undefined ? <Outlet /> : <NotForYou sheet={closed} restoration={id} />}
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

/** A sheet that is not open to its reader: says so, and leads to the one that is the reader's own. */
function NotForYou({ sheet, restoration }: { sheet: string; restoration: string }) {
  const may = useMay();
  const own = may("Restoration.exposure");
  return (
    <Page
      title={sheet}
      sentence={
        own
          ? "This sheet is the workshop's own. What it says to the owner is in the report: when, how sure, the money, and what is yours to decide."
          : "This sheet belongs to a workshop and is not open to members of the club."
      }
    >
      <div className="row">
        <Link className="button" to={own ? addressOf.owner(restoration) : "/"}>
          {own ? "The owner's report" : "To your first sheet"}
        </Link>
      </div>
    </Page>
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
