import { OperationLink } from "./CriticalMark.tsx";
import { lagWords } from "./lag.ts";
import { type Scheduled, spanWords, type WorkLink } from "./schedule.ts";

interface NeighboursProps {
  restoration: string;
  of: Scheduled;
  rows: readonly Scheduled[];
  links: readonly WorkLink[];
  /** Rows on this page; the others are said to stand elsewhere. */
  shown?: readonly Scheduled[];
  /** Level of the headings, by what stands above them. */
  level: 2 | 3;
}

/** What comes before and after an operation, in words. */
export function Neighbours({ restoration, of, rows, links, shown, level }: NeighboursProps) {
  const byId = new Map(rows.map((row) => [row.operation.id, row]));
  const onPage = shown && new Set(shown.map((row) => row.operation.id));
  const Head = level === 2 ? "h2" : "h3";
  const list = (title: string, none: string, ends: { link: WorkLink; other: string }[]) => (
    <div>
      <Head className="side-head">{title}</Head>
      {ends.length === 0 ? (
        <p className="soft">{none}</p>
      ) : (
        <ul className="neighbours">
          {ends.map(({ link, other }) => {
            const row = byId.get(other);
            if (!row) return null;
            return (
              <li key={link.id}>
                <OperationLink restoration={restoration} of={row.operation} />{" "}
                <span className="soft">
                  {spanWords(row)}; {lagWords(link.lag, link.lagUnit)}
                  {onPage && !onPage.has(other) ? "; not on this page" : ""}
                </span>
              </li>
            );
          })}
        </ul>
      )}
    </div>
  );
  const { id } = of.operation;
  return (
    <div className="columns">
      {list(
        "Comes before",
        "Nothing has to be done first.",
        links.filter((l) => l.after === id).map((link) => ({ link, other: link.before })),
      )}
      {list(
        "Comes after",
        "Nothing waits for it.",
        links.filter((l) => l.before === id).map((link) => ({ link, other: link.after })),
      )}
    </div>
  );
}
