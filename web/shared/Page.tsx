import { type ReactNode, useEffect } from "react";
import { Link } from "react-router";
import type { CombinedError } from "urql";
import { addressOf } from "./addresses.ts";

interface PageProps {
  /** The sheet's name; also the title of the browser's tab. */
  title: string;
  /** The answer to the sheet's question in one or two large lines, to be read from two metres; they stand in place of its name. */
  lead?: readonly ReactNode[];
  /** One or two sentences that answer the sheet's question before anything else; smaller below a lead. */
  sentence?: ReactNode;
  /** Buttons or links beside the title. */
  aside?: ReactNode;
  children?: ReactNode;
}

/** One sheet: title, the sentence, then the rest. */
export function Page({ title, lead, sentence, aside, children }: PageProps) {
  useEffect(() => {
    document.title = `${title} · Lastbolt`;
  }, [title]);
  return (
    <>
      <div className={lead ? "headline far" : "headline"}>
        <h1>{lead ? lead.map((line, place) => <span key={place}>{line} </span>) : title}</h1>
        {aside && <div className="row no-print">{aside}</div>}
      </div>
      {sentence && <p className="sentence">{sentence}</p>}
      {children}
    </>
  );
}

interface SectionProps {
  title: string;
  /** Id for links to this place on the sheet. */
  id?: string;
  /** A few words at the right of the heading: "3 due now". */
  note?: ReactNode;
  /** Buttons or links there. */
  aside?: ReactNode;
  children: ReactNode;
}

/** A ruled part of a sheet under its own heading. */
export function Section({ title, id, note, aside, children }: SectionProps) {
  return (
    <section className="part" id={id} aria-label={title}>
      <div className="headline ruled">
        <h2>{title}</h2>
        {note && <span className="soft">{note}</span>}
        {aside && <div className="row no-print">{aside}</div>}
      </div>
      {children}
    </section>
  );
}

/** Something is on its way. `what`: "the parts". */
export function Loading({ what }: { what: string }) {
  return (
    <p className="state soft" role="status">
      Reading {what} …
    </p>
  );
}

/** The same before there is a sheet for it to stand on. */
export const LoadingSheet = () => (
  <div className="sheet">
    <Loading what="the sheet" />
  </div>
);

/** What went wrong, in the server's words where it answered, with the prefix of the transport taken off. */
export function wordsOf(error: CombinedError): string {
  const [first] = error.graphQLErrors;
  if (first) return first.message;
  return "The server did not answer. It may be stopped, or the connection is down.";
}

/** True where the row that was asked for is not there, or not for this reader. */
export function isGone(error: CombinedError | undefined): boolean {
  return error?.graphQLErrors.some(({ extensions }) => extensions.code === "NOT_FOUND") ?? false;
}

interface ProblemProps {
  of: CombinedError | string;
  /** What could not be shown: "the parts". */
  what: string;
  /** What is safe: "Nothing was changed." */
  kept?: string;
  again?: () => void;
  /** Another way on: the list that it would stand in. */
  to?: { address: string; name: string };
}

/** True where the answer is that the reader's account may not read it: asking again changes nothing. */
export function isNotAllowed(error: CombinedError): boolean {
  return error.graphQLErrors.some(({ extensions }) => extensions.code === "NOT_ALLOWED");
}

/** True where the program itself failed: its words say already that nothing was changed. */
const wentWrong = (of: CombinedError | string): boolean =>
  typeof of !== "string" && of.graphQLErrors.some(({ extensions }) => extensions.code === "INTERNAL_SERVER_ERROR");

/** Says what is wrong, where, and what was kept; of what is not open to the reader, whose it is and where to go. */
export function Problem({ of, what, kept, again, to }: ProblemProps) {
  if (typeof of !== "string" && isNotAllowed(of))
    return (
      <Empty
        title={`Your account is not shown ${what}`}
        actions={
          <Link className="button" to="/">
            To your first sheet
          </Link>
        }
      >
        <p>
          A workshop keeps its sheets to itself: owners see the report on their own machine, members the club. If you
          should see this one, ask the workshop's admin.
        </p>
      </Empty>
    );
  return (
    <div className="state problem" role="alert">
      <h2>Cannot show {what}</h2>
      <p>
        {typeof of === "string" ? of : wordsOf(of)} {kept ?? (wentWrong(of) ? "" : "Nothing was changed or lost.")}
      </p>
      {(again || to) && (
        <div className="row">
          {to && (
            <Link className="button" to={to.address}>
              {to.name}
            </Link>
          )}
          {again && (
            <button type="button" onClick={again}>
              Try again
            </button>
          )}
        </div>
      )}
    </div>
  );
}

/** Nothing here yet: says so, and how to begin. */
export function Empty({ title, children, actions }: { title: string; children?: ReactNode; actions?: ReactNode }) {
  return (
    <div className="state">
      <h2>{title}</h2>
      {children}
      {actions && <div className="row">{actions}</div>}
    </div>
  );
}

/** An address that no sheet has. */
export function NoSuchSheet() {
  return (
    <Page title="No such sheet">
      <p className="sentence">
        There is nothing at this address. It may have been mistyped, or what it named was removed.{" "}
        <Link to={addressOf.restorations()}>All restorations</Link>
      </p>
    </Page>
  );
}
