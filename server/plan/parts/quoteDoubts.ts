/** What speaks against a quote that is counted on all the same: said wherever it is named. */

import { dateInWords } from "../days/summaryWords.ts";
import type { QuoteRow } from "../rows/rows.ts";
import type { Declined } from "./declined.ts";
import type { RuledOut } from "./ruledOut.ts";

type Doubted = Pick<QuoteRow, "id" | "partId" | "provenance" | "ruledOut" | "validUntil">;

/**
 * Each as the rest of a sentence that begins with the quote: "is ruled out", "ends on 3 Jan 2027, before it is ordered".
 * @param orderOn the day on which it is to be ordered
 */
export function quoteDoubts(
  quote: Doubted,
  { declined, ruledOut }: { declined: Declined; ruledOut: RuledOut },
  orderOn: string,
  figuresFor: string,
): string[] {
  const { validUntil } = quote;
  const doubts: string[] = [];
  if (declined.has(quote.id)) doubts.push("was declined by the owner, and is not counted on");
  if (ruledOut.has(quote)) doubts.push("is ruled out");
  if (validUntil !== null && validUntil < orderOn)
    doubts.push(
      validUntil < figuresFor
        ? `ended on ${dateInWords(validUntil)}: ask again`
        : `ends on ${dateInWords(validUntil)}, before it is ordered`,
    );
  return doubts;
}
