import { type ReactNode, Suspense } from "react";
import { Link, Outlet, useLocation } from "react-router";
import { useQuery } from "urql";
import { VisitorQuery } from "../accounts/documents.ts";
import { Who } from "../accounts/Who.tsx";
import { addressOf } from "../shared/addresses.ts";
import { CannotSave } from "../shared/CannotSave.tsx";
import { ThemeSwitch } from "../shared/Frame.tsx";
import { dateWithWeekday } from "../shared/format.ts";
import { HeadAside, SheetNav, useSheetFocus } from "../shared/Head.tsx";
import { Loading, Page, Problem } from "../shared/Page.tsx";
import { SheetBoundary } from "../shared/SheetBoundary.tsx";
import { clubAddress } from "./addresses.ts";
import { ClubContext, ClubQuery } from "./club.ts";
import { BeginClub, JoinClub } from "./Membership.tsx";
import "./club.css";

const SHEETS = [
  { address: clubAddress.sources(), name: "Sources" },
  { address: clubAddress.wants(), name: "Wants" },
  { address: clubAddress.spares(), name: "Spares" },
  { address: clubAddress.matches(), name: "Matches" },
  { address: clubAddress.batches(), name: "Batches" },
  { address: clubAddress.complaints(), name: "Complaints" },
  { address: clubAddress.files(), name: "Files" },
] as const;

/** Head of every sheet of the club. Whoever does not belong to it is asked to join, or to begin it, and sees nothing else. */
export default function ClubFrame() {
  const { pathname } = useLocation();
  const main = useSheetFocus();
  const [visitor, askAgain] = useQuery({ query: VisitorQuery });
  const role = visitor.data?.visitor.account?.role;
  const [result, again] = useQuery({ query: ClubQuery, pause: role === undefined || role === "OWNER" });

  const club = result.data?.club;
  const currencies = result.data?.currencies ?? [];
  const memberName = club?.memberName ?? null;

  let sheet: ReactNode;
  if (role === "OWNER")
    sheet = (
      <Page title="The club" sentence="The club is for restorers and members: an owner sees their own machine." />
    );
  else if (visitor.error && !visitor.data)
    sheet = <Problem of={visitor.error} what="the club" again={() => askAgain({ requestPolicy: "network-only" })} />;
  else if (result.error && !result.data)
    sheet = <Problem of={result.error} what="the club" again={() => again({ requestPolicy: "network-only" })} />;
  else if (!result.data) sheet = <Loading what="the club" />;
  else if (!club) sheet = <BeginClub currencies={currencies} restorer={role === "RESTORER"} />;
  else if (memberName === null) sheet = <JoinClub club={club} />;
  else
    sheet = (
      <ClubContext
        value={{
          ...club,
          memberName,
          restorer: role === "RESTORER",
          currencies,
          decimals: currencies.find(({ code }) => code === club.currency)?.decimals ?? 2,
        }}
      >
        <SheetBoundary key={pathname}>
          <Suspense fallback={<Loading what="the sheet" />}>
            <Outlet />
          </Suspense>
        </SheetBoundary>
      </ClubContext>
    );

  return (
    <div className="sheet">
      <a className="skip" href="#main">
        Skip to the sheet
      </a>
      <header className="head">
        <p className="head-machine">{club ? <Link to={clubAddress.sources()}>{club.name}</Link> : "Lastbolt"}</p>
        <HeadAside
          date={
            club && (
              <span>
                Figures for <time dateTime={club.day}>{dateWithWeekday(club.day)}</time>
              </span>
            )
          }
        >
          {memberName !== null && (
            <Link className="no-print" to={clubAddress.member()}>
              <span className="unseen">Your name in the club: </span>
              {memberName}
            </Link>
          )}
          {role !== "MEMBER" && (
            <Link className="no-print" to={addressOf.restorations()}>
              All restorations
            </Link>
          )}
          <Who />
          <ThemeSwitch />
        </HeadAside>
        {memberName !== null && <SheetNav label="Sheets of the club" sheets={SHEETS} />}
      </header>
      <main id="main" className="club" ref={main} tabIndex={-1}>
        <CannotSave />
        {sheet}
      </main>
    </div>
  );
}
