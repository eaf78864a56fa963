import { lazy, StrictMode, Suspense } from "react";
import { createRoot } from "react-dom/client";
import { BrowserRouter, Navigate, Route, Routes } from "react-router";
import { Provider } from "urql";
import "@fontsource-variable/archivo/wdth.css";
import "@fontsource-variable/source-serif-4/wght.css";
import "@fontsource-variable/source-serif-4/wght-italic.css";
import "./shared/style.css";
import "./shared/print.css";
import { Gate } from "./accounts/Gate.tsx";
import { client } from "./client.ts";
import { Frame } from "./shared/Frame.tsx";
import { Loading, NoSuchSheet } from "./shared/Page.tsx";
import { SaveProvider } from "./shared/save.tsx";
import { applyTheme } from "./shared/theme.ts";

const RestorationsPage = lazy(() => import("./restorations/RestorationsPage.tsx"));
const JoinPage = lazy(() => import("./accounts/JoinPage.tsx"));
const HoldUpsPage = lazy(() => import("./holdups/HoldUpsPage.tsx"));
const DaysPage = lazy(() => import("./days/DaysPage.tsx"));
const ChoicesPage = lazy(() => import("./choices/ChoicesPage.tsx"));
const FieldPage = lazy(() => import("./field/FieldPage.tsx"));
const HoursPage = lazy(() => import("./hours/HoursPage.tsx"));
const PartsPage = lazy(() => import("./parts/PartsPage.tsx"));
const PartPage = lazy(() => import("./parts/PartPage.tsx"));
const WorkPage = lazy(() => import("./work/WorkPage.tsx"));
const OperationPage = lazy(() => import("./work/OperationPage.tsx"));
const SnagsPage = lazy(() => import("./snags/SnagsPage.tsx"));
const SuppliersPage = lazy(() => import("./suppliers/SuppliersPage.tsx"));
const SupplierPage = lazy(() => import("./suppliers/SupplierPage.tsx"));
const ThreadsPage = lazy(() => import("./threads/ThreadsPage.tsx"));
const RestorationPage = lazy(() => import("./restoration/RestorationPage.tsx"));
const FilesPage = lazy(() => import("./files/FilesPage.tsx"));

applyTheme();

const sheet = document.getElementById("sheet");
if (!sheet) throw new Error("index.html has no element with the id sheet.");

createRoot(sheet).render(
  <StrictMode>
    <Provider value={client}>
      <BrowserRouter>
        <SaveProvider>
          <Suspense fallback={<Loading what="the sheet" />}>
            <Routes>
              <Route path="/join" element={<JoinPage />} />
              <Route
                path="/"
                element={
                  <Gate>
                    <RestorationsPage />
                  </Gate>
                }
              />
              <Route
                path="/r/:restoration"
                element={
                  <Gate>
                    <Frame />
                  </Gate>
                }
              >
                <Route index element={<Navigate to="hold-ups" replace />} />
                <Route path="hold-ups" element={<HoldUpsPage />} />
                <Route path="over-time" element={<DaysPage />} />
                <Route path="choices" element={<ChoicesPage />} />
                <Route path="field-sheet" element={<FieldPage />} />
                <Route path="hours" element={<HoursPage />} />
                <Route path="parts" element={<PartsPage />} />
                <Route path="parts/:part" element={<PartPage />} />
                <Route path="work" element={<WorkPage />} />
                <Route path="work/:operation" element={<OperationPage />} />
                <Route path="snags" element={<SnagsPage />} />
                <Route path="suppliers" element={<SuppliersPage />} />
                <Route path="suppliers/:supplier" element={<SupplierPage />} />
                <Route path="threads" element={<ThreadsPage />} />
                <Route path="restoration" element={<RestorationPage />} />
                <Route path="files" element={<FilesPage />} />
                <Route path="*" element={<NoSuchSheet />} />
              </Route>
              <Route path="*" element={<NoSuchSheet />} />
            </Routes>
          </Suspense>
        </SaveProvider>
      </BrowserRouter>
    </Provider>
  </StrictMode>,
);
