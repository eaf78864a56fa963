import { Client, cacheExchange, fetchExchange, makeOperation, mapExchange, subscriptionExchange } from "@urql/core";
import { initGraphQLTada } from "gql.tada";
import { createClient as createStream } from "graphql-sse";
import type { introspection } from "./graphql-env.d.ts";
import { askAgain } from "./shared/askAgain.ts";
import { watchedFetch } from "./shared/connection.ts";

/** Writes a typed document against server/api/schema.graphql. Dates are ISO 8601 text; money is Money or integer minor units. */
export const graphql = initGraphQLTada<{
  introspection: introspection;
  scalars: { Date: string; DateTime: string; Minor: number };
}>();

const stream = createStream({ url: "/graphql/stream" });

/**
 * One changed row can move every date of a restoration, so all that is shown counts as a Restoration:
 * each saved change, and each finished job, asks again for everything on the screen.
 */
const restorationIsTouched = mapExchange({
  onOperation(operation) {
    if (operation.kind !== "query" && operation.kind !== "mutation") return operation;
    // Who asks may say otherwise: to have something worked out changes nothing.
    return makeOperation(operation.kind, operation, { additionalTypenames: ["Restoration"], ...operation.context });
  },
});

/** A change that did not reach the server changed nothing, so nothing is asked again. */
const lostChangeIsNone = mapExchange({
  onResult(result) {
    if (result.operation.kind !== "mutation" || !result.error) return result;
    const context = { ...result.operation.context, additionalTypenames: [] };
    return { ...result, operation: makeOperation("mutation", result.operation, context) };
  },
});

/** An import writes long after its mutation has answered: the job's last event counts as the change. */
const doneJobIsAChange = mapExchange({
  onResult(result) {
    const job = (result.data as { job?: { state?: string } } | undefined)?.job;
    if (result.operation.kind !== "subscription" || job?.state !== "DONE") return result;
    if (result.operation.context.additionalTypenames) return result;
    const context = { ...result.operation.context, additionalTypenames: ["Restoration"] };
    return { ...result, operation: makeOperation("subscription", result.operation, context) };
  },
});

/** The one client. */
export const client = new Client({
  url: "/graphql",
  preferGetMethod: false,
  fetch: (url, init) => askAgain(url, init, { ask: watchedFetch }),
  exchanges: [
    restorationIsTouched,
    cacheExchange,
    doneJobIsAChange,
    lostChangeIsNone,
    subscriptionExchange({
      forwardSubscription: (request) => ({
        subscribe: (sink) => {
          const unsubscribe = stream.subscribe<Record<string, unknown>, Record<string, unknown>>(
            { query: request.query ?? "", variables: request.variables as Record<string, unknown> },
            {
              next: (result) => sink.next(result as never),
              error: (problem) => sink.error(problem),
              complete: () => sink.complete(),
            },
          );
          return { unsubscribe };
        },
      }),
    }),
    fetchExchange,
  ],
});
