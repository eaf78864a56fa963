/** The owner's money through the API, and the cost of the runs beside the runs themselves. */
import { seedDemo } from "../../seed/load.ts";
import { costRuns } from "../../server/engine/money/costRuns.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { uncertain } from "../support/uncertain.ts";
import { figure, quantile, timings, timingsOf } from "./measure.ts";

const EXPOSURE = `query ($id: ID!) { restoration(id: $id) { exposure {
  total { planned } counted { planned } unpriced(first: 50) { totalCount } atRisk(first: 50) { totalCount }
  byGroup(first: 50) { edges { node { key total { planned } } } } byMonth(first: 50) { edges { node { key total { planned } } } }
} } }`;

const SAVE = `mutation ($input: QuoteInput!) { saveQuote(input: $input) { __typename } }`;

async function measure(server: TestServer, name: string, id: string): Promise<void> {
  const ask = async (): Promise<void> => {
    const { errors } = await server.query(EXPOSURE, { id });
    if (errors !== undefined) throw new Error(JSON.stringify(errors));
  };
  const figures = async (of: string, before?: () => Promise<unknown>): Promise<void> => {
    const times = await timingsOf(ask, before && { before });
    figure(`money.${name}.${of}.p50`, quantile(times, 0.5), "ms");
    figure(`money.${name}.${of}.p95`, quantile(times, 0.95), "ms");
  };
  await figures("unchanged");
  const quotes = { where: { restorationId: id, chosenFor: { isNot: null } }, orderBy: { id: "asc" } } as const;
  // One quote in force after the other gets dearer.
  let next = 0;
  const chosen = await server.store.quote.findMany(quotes);
  await figures("changed", async () => {
    const { id: quoteId } = chosen[next++ % chosen.length]!;
    const { revision, unitPriceMinor } = await server.store.quote.findUniqueOrThrow({ where: { id: quoteId } });
    const input = { id: quoteId, revision, unitPriceMinor: unitPriceMinor + 1 };
    const { data } = await server.query<{ saveQuote: { __typename: string } }>(SAVE, { input });
    if (data?.saveQuote.__typename !== "Saved") throw new Error(`the price was not saved: ${JSON.stringify(data)}`);
  });
  // After a change by another process nothing is known of what it was.
  await figures("changedElsewhere", () =>
    server.store.restoration.update({ where: { id }, data: { planRevision: { increment: 1 } } }),
  );
}

const SAMPLES = 4096;

export async function money(): Promise<void> {
  const nodes = Array.from({ length: 1_000 }, (_, i) => ({
    id: `operation ${i}`,
    hours: { low: 4, likely: 6 + (i % 7), high: 20 + (i % 11) },
  }));
  const model = uncertain({ nodes });
  const prices = { rates: new Map(nodes.map(({ id }) => [id, 3_800])), routes: new Map() };
  const cost = timings(() => costRuns(model, prices, { seed: 1, samples: SAMPLES }));
  const runs = timings(() => oddsOf(model, { seed: 1, tolerance: 0, maxSamples: SAMPLES }));
  figure("money.costRuns.1000operations", quantile(cost, 0.5), "ms");
  figure("money.runs.1000operations", quantile(runs, 0.5), "ms");
  const server = await startServer({ fill: seedDemo });
  try {
    const demo = await server.store.restoration.findFirstOrThrow({ where: { ownerAccountId: { not: null } } });
    await measure(server, "demo", demo.id);
    await measure(server, "1000parts", (await largeRestoration(server.store)).id);
  } finally {
    await server.close();
  }
}
