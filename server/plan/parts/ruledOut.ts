/** Which quotes are ruled out, by their own mark or by their provenance for their part: asked here and nowhere else. */
import type { Provenance } from "../../generated/prisma/enums.ts";
import type { PlanRows, QuoteRow } from "../rows/rows.ts";

export class RuledOut {
  private readonly kinds: ReadonlySet<string>;

  constructor({ ruledOut }: Pick<PlanRows, "ruledOut">) {
    this.kinds = new Set(ruledOut.map(({ partId, provenance }) => `${partId} ${provenance}`));
  }

  has({ partId, provenance, ruledOut }: Pick<QuoteRow, "partId" | "provenance" | "ruledOut">): boolean {
    return ruledOut || this.hasKind(partId, provenance);
  }

  /** Whether nothing of a provenance is taken for a part. */
  hasKind(partId: string, provenance: Provenance): boolean {
    return this.kinds.has(`${partId} ${provenance}`);
  }
}
