import type { ReactNode } from "react";

interface LinesProps {
  /** What the list is called where no heading says it. */
  label?: string;
  /** Each line begins with what to do, where there is room. */
  acts?: boolean;
  children: ReactNode;
}

/** A ruled list of lines: one or two rows of type each, with what to do at the right. */
export function Lines({ label, acts, children }: LinesProps) {
  return (
    <ul className={acts ? "lines acts" : "lines"} aria-label={label}>
      {children}
    </ul>
  );
}

interface LineProps {
  /** "Order"; for lists of acts. On a narrow screen the button says it alone. */
  act?: string;
  /** The name, as a link where it leads anywhere: the whole line follows it on a narrow screen. */
  name: ReactNode;
  /** What else is said in the first row. */
  more?: ReactNode;
  /** The second row, smaller. */
  also?: ReactNode;
  /** How urgent it is: "today", "28 days late". */
  when?: ReactNode;
  colour?: "red-lead" | "brass" | "verdigris";
  /** The one button of the line. */
  button?: ReactNode;
}

export function Line({ act, name, more, also, when, colour, button }: LineProps) {
  return (
    <li className={button ? "has-button" : undefined}>
      {act && <span className="act">{act}</span>}
      <span className="what">
        <b>{name}</b>
        {more}
        <span className="also">
          {/* Beside a button there is no room for it on a narrow screen: it begins the second row there. */}
          {when && button && (
            <span className={`when-first ${colour ?? ""}`}>
              {when}
              {also && "; "}
            </span>
          )}
          {also}
        </span>
      </span>
      <span className={`when ${colour ?? ""}`}>{when}</span>
      <span className="do no-print">{button}</span>
    </li>
  );
}

interface RestProps {
  /** "54 later, to 19 July" */
  summary: ReactNode;
  /** What they come to: "48 chosen: £9,759.17" */
  sum?: ReactNode;
  /** Unfolded from the first. */
  open?: boolean;
  /** What the line unfolds; without it the line is all there is, and may hold a link. */
  children?: ReactNode;
}

/** One line that ends a list: how many more, and what they come to. On paper it is unfolded. */
export function Rest({ summary, sum, open, children }: RestProps) {
  const line = (
    <>
      <span className="what">{summary}</span>
      {sum && <span className="when soft">{sum}</span>}
    </>
  );
  return (
    <li className="rest">
      {children ? (
        <details className="unfolds" open={open}>
          <summary>{line}</summary>
          {children}
        </details>
      ) : (
        line
      )}
    </li>
  );
}
