import type { ReactNode } from "react";
import { useQuery } from "urql";
import { LoadingSheet } from "../shared/Page.tsx";
import { VisitorQuery } from "./documents.ts";
import { SignInPage } from "./SignInPage.tsx";

/**
 * What stands behind it is for those who are signed in, and waits until it is known who that is. Without a connection the
 * kept sheets stay readable.
 */
export function Gate({ children }: { children: ReactNode }) {
  const [{ data, error }] = useQuery({ query: VisitorQuery });
  if (!data && !error) return <LoadingSheet />;
  return data && !data.visitor.account ? <SignInPage /> : children;
}
