import type { ReactNode } from "react";
import { Link, useSearchParams } from "react-router";

/** The address of this sheet with the reasons of a rung open, or closed when null; all else stays. */
export function useWhyAddress(): (id: string | null) => string {
  const [params] = useSearchParams();
  return (id) => {
    const next = new URLSearchParams(params);
    if (id === null) next.delete("why");
    else next.set("why", id);
    return `?${next}`;
  };
}

/** A name that leads to why it holds up. */
export function WhyLink({ id, children }: { id: string; children: ReactNode }) {
  const address = useWhyAddress();
  return <Link to={address(id)}>{children}</Link>;
}
