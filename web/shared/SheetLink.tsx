import type { ReactNode } from "react";
import { Link } from "react-router";
import { type Doing, useMay } from "./useMay.ts";

interface SheetLinkProps {
  to: string;
  /** What the sheet at the address reads. */
  reads: Doing;
  children: ReactNode;
}

/** A name that leads to its sheet; for somebody to whom the sheet is not open, the name alone. */
export function SheetLink({ to, reads, children }: SheetLinkProps) {
  const may = useMay();
  return may(reads) ? <Link to={to}>{children}</Link> : <span>{children}</span>;
}
