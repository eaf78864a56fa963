/** What the owner said of a quote, a remedy or a way: the newest word on it counts, and what is declined is not in force. */
import type { DecisionRow, PlanRows } from "../rows/rows.ts";

/** Id of the quote, remedy or way that a decision is about. */
export const aboutOf = ({ quoteId, remedyId, wayId }: Pick<DecisionRow, "quoteId" | "remedyId" | "wayId">) =>
  quoteId ?? remedyId ?? wayId;

/** By id of a quote, remedy or way: the newest decision about it; one that is no longer asked only where there is no other. */
export function newestAbout<Row extends DecisionRow>(decisions: readonly Row[]): Map<string, Row> {
  const newest = new Map<string, Row>();
  for (const decision of decisions) {
    const about = aboutOf(decision);
    if (about === null) continue;
    const known = newest.get(about);
    if (known === undefined || newer(decision, known)) newest.set(about, decision);
  }
  return newest;
}

function newer(a: DecisionRow, b: DecisionRow): boolean {
  if ((a.state === "WITHDRAWN") !== (b.state === "WITHDRAWN")) return b.state === "WITHDRAWN";
  return a.askedOn === b.askedOn ? a.id > b.id : a.askedOn > b.askedOn;
}

/**
 * Whether choosing leaves a part alone. What is kept is the quote that is chosen: without one, or where the owner declined
 * it, nothing is.
 */
export const keepsQuote = (
  { kept, chosenQuoteId }: { kept: boolean; chosenQuoteId: string | null },
  isDeclined: (quoteId: string) => boolean,
): boolean => kept && chosenQuoteId !== null && !isDeclined(chosenQuoteId);

/** Of what was declined and not asked anew since: the decision, by id of the quote, remedy or way. */
export class Declined {
  private readonly newest: ReadonlyMap<string, DecisionRow>;

  constructor({ decisions = [] }: Pick<PlanRows, "decisions">) {
    this.newest = newestAbout(decisions);
  }

  has(about: string): boolean {
    return this.newest.get(about)?.state === "DECLINED";
  }

  /** The decision by which the last that was asked of these was declined; null where the last is not declined. */
  last(abouts: readonly string[]): string | null {
    let last: DecisionRow | undefined;
    for (const about of abouts) {
      const decision = this.newest.get(about);
      if (decision !== undefined && (last === undefined || newer(decision, last))) last = decision;
    }
    return last?.state === "DECLINED" ? last.id : null;
  }
}
