import { Suspense } from "react";
import { Link, Outlet, useLocation, useParams, useSearchParams } from "react-router";
import { useQuery } from "urql";
import { Who } from "../accounts/Who.tsx";
import { graphql } from "../client.ts";
import { useKeptHead } from "../field/head.ts";
import { addressOf } from "./addresses.ts";
import { CannotSave } from "./CannotSave.tsx";
import { useWhenAnswering } from "./connection.ts";
import { dateInFull, dateWithWeekday, today } from "./format.ts";
import { JobHead, nearestAbove, useSheetFocus } from "./Head.tsx";
import { useKept } from "./kept.ts";
import { Loading, Page, Problem, wordsOf } from "./Page.tsx";
import { RestorationContext } from "./restoration.ts";
import { SheetBoundary } from "./SheetBoundary.tsx";
import { useMay } from "./useMay.ts";

const FrameQuery = graphql(`
  query Frame($restoration: ID!) {
    restoration(id: $restoration) {
      id machine owner currency figuresFor day timeZone targetDate targetName confidence trades groups
    }
    currencies { code name decimals used }
  }
`);

const CountsQuery = graphql(`
  query FrameCounts($restoration: ID!) {
    restoration(id: $restoration) {
      id
      parts(first: 1) { totalCount }
      operations(first: 1) { totalCount }
      snags(first: 1) { totalCount }
    }
    suppliers(first: 1) { totalCount }
  }
`);

/** The doors, and the sheets inside each: what it is called and what it reads or does. One that its reader may not is not named. */
const DOORS = [
  {
    name: "Hold-ups",
    question: "When, and what holds it?",
    sheets: [
      ["hold-ups", "Ladder", "Query.holdUps"],
      ["hold-ups/over-time", "Over time", "Restoration.days"],
    ],
  },
  { name: "Today", question: "What now?", sheets: [["today", "The day", "Restoration.daySummary"]] },
  {
    name: "Parts",
    question: "What is missing?",
    sheets: [
      ["parts", "List", "Restoration.parts"],
      ["parts/choices", "Choices", "Mutation.startChoices"],
      ["parts/field-sheet", "Field sheet", "Restoration.finds"],
      ["parts/suppliers", "Suppliers", "Query.suppliers"],
      ["parts/threads", "Threads", "Query.suppliers"],
    ],
  },
  {
    name: "Work",
    question: "Who does what, when?",
    sheets: [
      ["work", "Operations", "Restoration.operations"],
      ["work/by-hand", "By hand", "Mutation.bookHours"],
      ["work/hours", "Hours", "Mutation.bookHours"],
      ["work/how-long", "How long it takes", "Restoration.workRecord"],
      ["work/snags", "Snags", "Restoration.snags"],
    ],
  },
  {
    name: "Money",
    question: "What does it cost?",
    sheets: [
      ["money", "Sums and ledger", "Restoration.ledger"],
      ["money/report", "Report", "Restoration.exposure"],
    ],
  },
  {
    name: "Restoration",
    question: "For whom, by what rules?",
    sheets: [
      ["restoration", "Terms", "Mutation.saveRestoration"],
      ["restoration/files", "Files", "Mutation.applyImport"],
    ],
  },
] as const;

/** Head of every sheet of one restoration: the machine, the sheets, the date its figures are for. Focus goes to the sheet when it changes. */
export function Frame() {
  const { restoration: id = "" } = useParams();
  const [params] = useSearchParams();
  const may = useMay();
  const { pathname } = useLocation();
  const main = useSheetFocus();
  const [result, again] = useQuery({ query: FrameQuery, variables: { restoration: id } });

  const [counted] = useQuery({
    query: CountsQuery,
    variables: { restoration: id },
    pause: !result.data || !may("Restoration.parts"),
  });
  const counts: Record<string, number | undefined> = {
    parts: counted.data?.restoration?.parts.totalCount,
    "parts/suppliers": counted.data?.suppliers.totalCount,
    work: counted.data?.restoration?.operations.totalCount,
    "work/snags": counted.data?.restoration?.snags.totalCount,
  };

  const unanswered = result.error?.networkError !== undefined;
  useWhenAnswering(() => unanswered && again({ requestPolicy: "network-only" }));

  const read = useKept(result.data, id);
  // Without a connection the field sheet and the hours stand under the head that is kept on this device with them.
  const onFieldSheet = pathname === addressOf.fieldSheet(id) || pathname === addressOf.hours(id);
  const head = useKeptHead(id, onFieldSheet && !read && unanswered);
  const restoration = read?.restoration ?? head;
  const currencies = read?.currencies ?? head?.currencies ?? [];
  const doors = DOORS.map(({ name, question, sheets }) => ({
    name,
    question,
    sheets: sheets.map(([path, sheet, reads]) => ({
      address: `${addressOf.inside(id)}/${path}`,
      name: sheet,
      reads,
      count: counts[path],
    })),
  }));
  const sheets = doors.flatMap((door) => door.sheets.map((sheet) => ({ ...sheet, door: door.name })));
  const at = sheets.find(({ address }) => address === nearestAbove(pathname, sheets));
  const closed = at && !may(at.reads) ? `${at.door}: ${at.name}` : undefined;
  const onHoldUps = pathname === addressOf.holdUps(id);
  const figuresFor = (onHoldUps && params.get("on")) || restoration?.day || today();

  const shownDay = /^\d{4}-\d\d-\d\d$/.test(figuresFor) ? dateWithWeekday(figuresFor) : figuresFor;

  return (
    <div className="sheet">
      <a className="skip" href="#main">
        Skip to the sheet
      </a>
      <JobHead
        of={{
          label: "Machine",
          value: restoration?.machine ?? "Lastbolt",
          address: restoration ? addressOf.holdUps(id) : undefined,
        }}
        also={
          restoration && (
            <>
              figures for <time dateTime={figuresFor}>{shownDay}</time>
            </>
          )
        }
        boxes={[
          restoration && {
            label: restoration.targetDate && restoration.targetName ? `For the ${restoration.targetName}` : "For",
            value: [restoration.targetDate && dateInFull(restoration.targetDate), restoration.owner]
              .filter(Boolean)
              .join(", "),
            address: may("Mutation.saveRestoration") ? addressOf.restoration(id) : undefined,
          },
          restoration && { label: "Figures for", value: shownDay, dateTime: figuresFor },
        ]}
        find={restoration ? { restoration: id, day: figuresFor } : undefined}
        who={<Who />}
        doors={doors.map((door) => ({ ...door, sheets: door.sheets.filter(({ reads }) => may(reads)) }))}
        ways={[
          ...(may("Restoration.parts") ? [{ address: addressOf.restorations(), name: "All restorations" }] : []),
          ...(may("Query.club") ? [{ address: "/club", name: "The club" }] : []),
        ]}
      />
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
          <Page title={at ? `${at.door}: ${at.name}` : "Restoration"}>
            <Problem of={result.error} what="this restoration" again={() => again({ requestPolicy: "network-only" })} />
          </Page>
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
