import type { ReactNode } from "react";
import { useLocation } from "react-router";
import { useQuery } from "urql";
import { LoadingSheet } from "../shared/Page.tsx";
import { SheetBoundary } from "../shared/SheetBoundary.tsx";
import { typedBy } from "../shared/typed.ts";
import { VisitorQuery } from "./documents.ts";
import { SignInPage } from "./SignInPage.tsx";

/**
 * What stands behind it is for those who are signed in, and waits until it is known who that is. Without a connection the
 * kept sheets stay readable.
 */
export function Gate({ children }: { children: ReactNode }) {
  const { pathname } = useLocation();
  const [{ data, error }] = useQuery({ query: VisitorQuery });
  if (!data && !error) return <LoadingSheet />;
  if (data && !data.visitor.account) return <SignInPage />;
  if (data?.visitor.account) typedBy(data.visitor.account.id);
  return (
    <SheetBoundary alone key={pathname.split("/")[1]}>
      {children}
    </SheetBoundary>
  );
}
