/** `holdUps` through the API as a client asks for it: after a change, and when nothing has changed. */
import { seedDemo } from "../../seed/load.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { figure, quantile, timingsOf } from "./measure.ts";

const HOLD_UPS = `query ($id: ID!) {
  holdUps(restoration: $id) {
    figuresFor
    completion { open date dateWithOpenInHand workOnlyDate daysLate }
    ladder(first: 50) {
      totalCount
      edges { node { id code title open completionDate nextCompletionDate arrivalDate needBy orderBy daysGained quote { code supplier { name } } } }
    }
    toOrder(first: 20) { edges { node { code title orderBy daysLeft } } }
    freeToStartByTrade { trade hours operations }
  }
}`;

const CHANGE = `mutation ($input: OperationInput!) {
  saveOperation(input: $input) { __typename ... on Saved { revision } ... on InvalidInput { message } ... on StaleRow { message } ... on Refused { message } }
}`;

async function measure(server: TestServer, name: string, restorationId: string): Promise<void> {
  const ask = async (): Promise<void> => {
    const { data, errors } = await server.query<{ holdUps: unknown }>(HOLD_UPS, { id: restorationId });
    if (errors !== undefined || !data) throw new Error(JSON.stringify(errors));
  };
  const operation = await server.store.operation.findFirstOrThrow({ where: { restorationId, state: "NOT_STARTED" } });
  let revision = operation.revision;
  let spent = 0;
  const after: number[] = [];
  while (after.length < 25) {
    const saved = await server.query<{ saveOperation: { revision?: number; message?: string } }>(CHANGE, {
      input: { id: operation.id, revision, notes: `change ${after.length}` },
    });
    if (saved.data?.saveOperation.revision === undefined) throw new Error(JSON.stringify(saved));
    revision = saved.data.saveOperation.revision;
    const start = performance.now();
    await ask();
    spent = performance.now() - start;
    after.push(spent);
  }
  after.splice(0, 5);
  after.sort((a, b) => a - b);
  figure(`holdups.${name}.p50`, quantile(after, 0.5), "ms");
  figure(`holdups.${name}.p95`, quantile(after, 0.95), "ms");
  const same = await timingsOf(ask);
  figure(`holdups.${name}.unchanged.p50`, quantile(same, 0.5), "ms");
  figure(`holdups.${name}.unchanged.p95`, quantile(same, 0.95), "ms");
}

export async function holdups(): Promise<void> {
  const server = await startServer({ fill: seedDemo });
  try {
    const demo = await server.store.restoration.findFirstOrThrow();
    await measure(server, "demo", demo.id);
    const large = await largeRestoration(server.store);
    await measure(server, "1000parts", large.id);
  } finally {
    await server.close();
  }
}
