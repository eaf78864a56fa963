/** What the demo's owner was asked: some of it answered, some waiting. */
import { readFile } from "node:fs/promises";
import type { DecisionKind, DecisionState } from "../server/generated/prisma/enums.ts";
import type { Store } from "../server/store/client.ts";

interface AskedDecision {
  kind: DecisionKind;
  title: string;
  question: string;
  amountMinor: number;
  /** Code of the quote that it is about. */
  quote: string | null;
  askedOn: string;
  state: DecisionState;
  answeredAt?: string;
  answer?: string;
}

/** Adds the decisions of a file to a restoration that has its quotes; the owner answered under the own name. */
export async function seedDecisions(
  store: Store,
  restorationId: string,
  by: { restorer: { id: string }; owner: { id: string; name: string } },
  file: string,
): Promise<void> {
  const decisions = JSON.parse(await readFile(file, "utf8")) as AskedDecision[];
  const where = { restorationId };
  const [{ currency }, quotes] = await Promise.all([
    store.restoration.findUniqueOrThrow({ where: { id: restorationId } }),
    store.quote.findMany({ where, select: { id: true, code: true } }),
  ]);
  const ids = new Map(quotes.map(({ id, code }) => [code, id]));
  await store.decision.createMany({
    data: decisions.map(({ quote, answeredAt, ...decision }) => ({
      ...decision,
      restorationId,
      currency,
      quoteId: quote === null ? null : ids.get(quote)!,
      askedById: by.restorer.id,
      ...(answeredAt === undefined
        ? {}
        : { answeredAt: new Date(answeredAt), answeredById: by.owner.id, answeredAs: by.owner.name }),
    })),
  });
}
