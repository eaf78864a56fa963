/** Subscriptions as server-sent events. Only subscriptions: everything else goes the ordinary way, with its limits. */

import type { Request, Response } from "express";
import {
  GraphQLError,
  type GraphQLFormattedError,
  type GraphQLSchema,
  getOperationAST,
  parse,
  validate,
} from "graphql";
import type { Response as Answer } from "graphql-sse";
import { createHandler } from "graphql-sse/lib/use/express";
import type { Context } from "./context.ts";
import { formatFailure } from "./failure.ts";
import { MOST_TOKENS } from "./limits.ts";

const plain = (error: GraphQLError | GraphQLFormattedError): GraphQLError => {
  const { message, extensions } = formatFailure("toJSON" in error ? error.toJSON() : error, error);
  return new GraphQLError(message, { extensions });
};

const failed = (...errors: GraphQLError[]): Answer => [
  JSON.stringify({ errors }),
  { status: 400, statusText: "Bad Request", headers: { "content-type": "application/json" } },
];

/** Serves one subscription a request. */
export function eventStream(
  schema: GraphQLSchema,
  contextOf: (request: Request) => Promise<Context>,
): (request: Request, response: Response) => Promise<void> {
  return createHandler<never>({
    authenticate: () => null,
    onSubscribe: async ({ raw }, { query, operationName, variables }) => {
      let document: ReturnType<typeof parse>;
      try {
        document = parse(query, { maxTokens: MOST_TOKENS });
      } catch (error) {
        return failed(plain(error as GraphQLError));
      }
      if (getOperationAST(document, operationName)?.operation !== "subscription")
        return failed(new GraphQLError("Only a subscription is served here.", { extensions: { code: "BAD_REQUEST" } }));
      const faults = validate(schema, document);
      if (faults.length > 0) return failed(...faults.map(plain));
      return {
        schema,
        document,
        operationName,
        variableValues: variables ?? null,
        contextValue: (await contextOf(raw)) as never,
      };
    },
    onNext: (_context, _request, result) =>
      "errors" in result && result.errors ? { ...result, errors: result.errors.map(plain) } : undefined,
  });
}
