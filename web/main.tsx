import { lazy, StrictMode, Suspense } from "react";
import { createRoot } from "react-dom/client";
import { BrowserRouter, Navigate, Route, Routes, useLocation, useParams } from "react-router";
import { Provider } from "urql";
import "@fontsource-variable/archivo/wdth.css";
import "@fontsource-variable/source-serif-4/wght.css";
import "@fontsource-variable/source-serif-4/wght-italic.css";
import "./shared/style.css";
import "./shared/lines.css";
import "./shared/brief.css";
import "./shared/print.css";
import { Gate } from "./accounts/Gate.tsx";
import { client } from "./client.ts";
import { movedToComplaints } from "./club/addresses.ts";
import { Landing } from "./club/Landing.tsx";
import { keepProgramSoon } from "./field/offline.ts";
import { movedTo } from "./shared/addresses.ts";
import { Frame } from "./shared/Frame.tsx";
import { LoadingSheet, NoSuchSheet } from "./shared/Page.tsx";
import { SaveProvider } from "./shared/save.tsx";
import { applyTheme } from "./shared/theme.ts";
import { UnsentProvider } from "./shared/unsent.tsx";

const RestorationsPage = lazy(() => import("./restorations/RestorationsPage.tsx"));
const AskPage = lazy(() => import("./ask/AskPage.tsx"));
const JoinPage = lazy(() => import("./accounts/JoinPage.tsx"));
const PeoplePage = lazy(() => import("./accounts/PeoplePage.tsx"));
const AccountPage = lazy(() => import("./accounts/AccountPage.tsx"));
const HoldUpsPage = lazy(() => import("./holdups/HoldUpsPage.tsx"));
const TodayPage = lazy(() => import("./today/TodayPage.tsx"));
const DaysPage = lazy(() => import("./days/DaysPage.tsx"));
const ChoicesPage = lazy(() => import("./choices/ChoicesPage.tsx"));
const MoneyPage = lazy(() => import("./money/MoneyPage.tsx"));
const OwnerPage = lazy(() => import("./owner/OwnerPage.tsx"));
const FieldPage = lazy(() => import("./field/FieldPage.tsx"));
const HoursPage = lazy(() => import("./hours/HoursPage.tsx"));
const PartsPage = lazy(() => import("./parts/PartsPage.tsx"));
const PartPage = lazy(() => import("./parts/PartPage.tsx"));
const SeveralPage = lazy(() => import("./several/SeveralPage.tsx"));
const WorkPage = lazy(() => import("./work/WorkPage.tsx"));
const ByHandPage = lazy(() => import("./work/ByHandPage.tsx"));
const HowLongPage = lazy(() => import("./work/HowLongPage.tsx"));
const OperationPage = lazy(() => import("./work/OperationPage.tsx"));
const SnagsPage = lazy(() => import("./snags/SnagsPage.tsx"));
const SuppliersPage = lazy(() => import("./suppliers/SuppliersPage.tsx"));
const SupplierPage = lazy(() => import("./suppliers/SupplierPage.tsx"));
const ThreadsPage = lazy(() => import("./threads/ThreadsPage.tsx"));
const RestorationPage = lazy(() => import("./restoration/RestorationPage.tsx"));
const FilesPage = lazy(() => import("./files/FilesPage.tsx"));
const ClubFrame = lazy(() => import("./club/ClubFrame.tsx"));
const SourcesPage = lazy(() => import("./club/SourcesPage.tsx"));
const SharePage = lazy(() => import("./club/SharePage.tsx"));
const WantsPage = lazy(() => import("./club/WantsPage.tsx"));
const SparesPage = lazy(() => import("./club/SparesPage.tsx"));
const MatchesPage = lazy(() => import("./club/MatchesPage.tsx"));
const MatchPage = lazy(() => import("./club/MatchPage.tsx"));
const BatchesPage = lazy(() => import("./club/BatchesPage.tsx"));
const BatchPage = lazy(() => import("./club/BatchPage.tsx"));
const ComplaintsPage = lazy(() => import("./club/ComplaintsPage.tsx"));
const ClubFilesPage = lazy(() => import("./club/ClubFilesPage.tsx"));
const MemberPage = lazy(() => import("./club/MemberPage.tsx"));

applyTheme();
keepProgramSoon();

/** An address of before leads to the one of today, with its query and place on the sheet. */
function Moved() {
  const { restoration = "", "*": rest = "" } = useParams();
  const { search, hash } = useLocation();
  return <Navigate to={{ pathname: movedTo(restoration, rest), search, hash }} replace />;
}

const MovedComplaints = () => <Navigate to={movedToComplaints(useLocation().search)} replace />;

const sheet = document.getElementById("sheet");
if (!sheet) throw new Error("index.html has no element with the id sheet.");

createRoot(sheet).render(
  <StrictMode>
    <Provider value={client}>
      <BrowserRouter>
        <SaveProvider>
          <UnsentProvider>
            <Suspense fallback={<LoadingSheet />}>
              <Routes>
                <Route path="/join" element={<JoinPage />} />
                <Route path="/graphql" element={<AskPage />} />
                <Route
                  path="/"
                  element={
                    <Gate>
                      <Landing>
                        <RestorationsPage />
                      </Landing>
                    </Gate>
                  }
                />
                <Route
                  path="/people"
                  element={
                    <Gate>
                      <PeoplePage />
                    </Gate>
                  }
                />
                <Route
                  path="/account"
                  element={
                    <Gate>
                      <AccountPage />
                    </Gate>
                  }
                />
                <Route
                  path="/club"
                  element={
                    <Gate>
                      <ClubFrame />
                    </Gate>
                  }
                >
                  <Route index element={<Navigate to="sources" replace />} />
                  <Route path="sources" element={<SourcesPage />} />
                  <Route path="sources/share" element={<SharePage />} />
                  <Route path="wants" element={<WantsPage />} />
                  <Route path="spares" element={<SparesPage />} />
                  <Route path="matches" element={<MatchesPage />} />
                  <Route path="matches/:want/:spare" element={<MatchPage />} />
                  <Route path="batches" element={<BatchesPage />} />
                  <Route path="batches/:batch" element={<BatchPage />} />
                  <Route path="complaints" element={<ComplaintsPage />} />
                  <Route path="reports" element={<MovedComplaints />} />
                  <Route path="files" element={<ClubFilesPage />} />
                  <Route path="member" element={<MemberPage />} />
                  <Route path="*" element={<NoSuchSheet />} />
                </Route>
                <Route
                  path="/restorations/:restoration"
                  element={
                    <Gate>
                      <Frame />
                    </Gate>
                  }
                >
                  <Route index element={<Navigate to="hold-ups" replace />} />
                  <Route path="hold-ups" element={<HoldUpsPage />} />
                  <Route path="today" element={<TodayPage />} />
                  <Route path="hold-ups/over-time" element={<DaysPage />} />
                  <Route path="parts/choices" element={<ChoicesPage />} />
                  <Route path="money" element={<MoneyPage />} />
                  <Route path="money/report" element={<OwnerPage />} />
                  <Route path="parts/field-sheet" element={<FieldPage />} />
                  <Route path="work/hours" element={<HoursPage />} />
                  <Route path="parts" element={<PartsPage />} />
                  <Route path="parts/several" element={<SeveralPage first="parts" />} />
                  <Route path="parts/:part" element={<PartPage />} />
                  <Route path="work" element={<WorkPage />} />
                  <Route path="work/several" element={<SeveralPage first="work" />} />
                  <Route path="work/by-hand" element={<ByHandPage />} />
                  <Route path="work/how-long" element={<HowLongPage />} />
                  <Route path="work/:operation" element={<OperationPage />} />
                  <Route path="work/snags" element={<SnagsPage />} />
                  <Route path="parts/suppliers" element={<SuppliersPage />} />
                  <Route path="parts/suppliers/:supplier" element={<SupplierPage />} />
                  <Route path="parts/threads" element={<ThreadsPage />} />
                  <Route path="restoration" element={<RestorationPage />} />
                  <Route path="restoration/files" element={<FilesPage />} />
                  <Route path="*" element={<NoSuchSheet />} />
                </Route>
                <Route path="/r/:restoration/*" element={<Moved />} />
                <Route path="*" element={<NoSuchSheet />} />
              </Routes>
            </Suspense>
          </UnsentProvider>
        </SaveProvider>
      </BrowserRouter>
    </Provider>
  </StrictMode>,
);
