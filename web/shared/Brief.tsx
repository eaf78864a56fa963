import type { ReactNode } from "react";
import { Link } from "react-router";

/** What a row of a table says on a narrow screen in one line or two. */
export interface Brief {
  /** The name, in words: it is part of a link or a button. */
  name: ReactNode;
  /** Where the whole line leads, if the sheet there says all that the row says; without it the line unfolds the row. */
  to?: string;
  /** The second line, smaller. */
  also?: ReactNode;
  /** What stands at the right: a date, a sum. */
  when?: ReactNode;
  colour?: "red-lead" | "brass" | "verdigris" | undefined;
}

interface BriefLineProps {
  of: Brief;
  open: boolean;
  onTurn: () => void;
}

export function BriefLine({ of: { name, to, also, when, colour }, open, onTurn }: BriefLineProps) {
  const line = (
    <>
      <b>{name}</b>
      {also && <span className="also"> {also}</span>}
      {when && <span className={`when ${colour ?? ""}`}> {when}</span>}
    </>
  );
  return to ? (
    <Link to={to}>{line}</Link>
  ) : (
    <button type="button" aria-expanded={open} onClick={onTurn}>
      {line}
    </button>
  );
}

/** Words of a second line that are there, with commas between them. */
export const told = (...words: (string | null | undefined | false)[]): string => words.filter(Boolean).join(", ");
