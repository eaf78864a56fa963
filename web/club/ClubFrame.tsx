import { type ReactNode, Suspense } from "react";
import { Outlet, useLocation } from "react-router";
import { useQuery } from "urql";
import { VisitorQuery } from "../accounts/documents.ts";
import { Who } from "../accounts/Who.tsx";
import { addressOf } from "../shared/addresses.ts";
import { CannotSave } from "../shared/CannotSave.tsx";
import { dateWithWeekday } from "../shared/format.ts";
import { JobHead, useSheetFocus } from "../shared/Head.tsx";
import { Loading, Page, Problem } from "../shared/Page.tsx";
import { SheetBoundary } from "../shared/SheetBoundary.tsx";
import { clubAddress } from "./addresses.ts";
import { ClubContext, ClubQuery } from "./club.ts";
import { BeginClub, JoinClub } from "./Membership.tsx";
import "./club.css";

const DOORS = [
  {
    name: "Sources",
    question: "Who makes it?",
    sheets: [
      { address: clubAddress.sources(), name: "List" },
      { address: clubAddress.complaints(), name: "Complaints" },
    ],
  },
  { name: "Wants", question: "What is looked for?", sheets: [{ address: clubAddress.wants(), name: "List" }] },
  { name: "Spares", question: "What is left over?", sheets: [{ address: clubAddress.spares(), name: "List" }] },
  { name: "Matches", question: "What fits whom?", sheets: [{ address: clubAddress.matches(), name: "List" }] },
  { name: "Batches", question: "What is made together?", sheets: [{ address: clubAddress.batches(), name: "List" }] },
  { name: "Files", question: "What comes in, goes out?", sheets: [{ address: clubAddress.files(), name: "Files" }] },
];

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

  const unread = (why: ReactNode) => <Page title="The club">{why}</Page>;
  let sheet: ReactNode;
  if (role === "OWNER")
    sheet = (
      <Page title="The club" sentence="The club is for restorers and members: an owner sees their own machine." />
    );
  else if (visitor.error && !visitor.data)
    sheet = unread(
      <Problem of={visitor.error} what="the club" again={() => askAgain({ requestPolicy: "network-only" })} />,
    );
  else if (result.error && !result.data)
    sheet = unread(
      <Problem of={result.error} what="the club" again={() => again({ requestPolicy: "network-only" })} />,
    );
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
      <JobHead
        of={{ label: "The club", value: club?.name ?? "Lastbolt", address: club ? clubAddress.sources() : undefined }}
        also={club && <>figures for {dateWithWeekday(club.day)}</>}
        boxes={[club && { label: "Figures for", value: dateWithWeekday(club.day), dateTime: club.day }]}
        find={club && memberName !== null ? { day: club.day } : undefined}
        who={<Who inTheClub={memberName === null ? null : { name: memberName, address: clubAddress.member() }} />}
        doorsOf="Sheets of the club"
        doors={memberName === null ? [] : DOORS}
        ways={role === "MEMBER" ? [] : [{ address: addressOf.restorations(), name: "All restorations" }]}
      />
      <main id="main" className="club" ref={main} tabIndex={-1}>
        <CannotSave />
        {sheet}
      </main>
    </div>
  );
}
