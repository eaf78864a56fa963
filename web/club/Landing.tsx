import type { ReactNode } from "react";
import { Navigate } from "react-router";
import { useQuery } from "urql";
import { VisitorQuery } from "../accounts/documents.ts";
import { OwnerLanding } from "../accounts/OwnerLanding.tsx";

/** The first sheet: a restorer's machines; an owner begins with the own one, and a member of the club with the club. */
export function Landing({ children }: { children: ReactNode }) {
  const [{ data }] = useQuery({ query: VisitorQuery });
  if (data?.visitor.account?.role === "MEMBER") return <Navigate to="/club" replace />;
  if (data?.visitor.account?.role === "OWNER") return <OwnerLanding />;
  return children;
}
