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
import type { Context } from "../core/context.ts";
import { formatFailure } from "../core/failure.ts";
import { MOST_TOKENS } from "../core/limits.ts";

const plain = (error: GraphQLError | GraphQLFormattedError): GraphQLError => {
  const { message, extensions } = formatFailure("toJSON" in error ? error.toJSON() : error, error);
  return new GraphQLError(message, { extensions });
};

const failed = (...errors: GraphQLError[]): Answer => [
  JSON.stringify({ errors }),
  { status: 400, statusText: "Bad Request", headers: { "content-type": "application/json" } },
];

const coded = (message: string, code: string) => new GraphQLError(message, { extensions: { code } });

/** What is wrong with a request before its document is read, and the status it is answered with. */
function wrongIn(request: Request): [number, string] | undefined {
  if (request.get("accept") !== "text/event-stream") return [406, "Events are sent as text/event-stream alone."];
  const { query, variables, operationName, extensions } = Object(request.body) as Record<string, unknown>;
  if (typeof query !== "string") return [400, "query must be text: the document."];
  if (operationName != null && typeof operationName !== "string") return [400, "operationName must be text."];
  for (const [name, value] of Object.entries({ variables, extensions }))
    if (value != null && (typeof value !== "object" || Array.isArray(value)))
      return [400, `${name} must be an object.`];
  return undefined;
}

/** Serves one subscription a request. */
export function eventStream(
  schema: GraphQLSchema,
  contextOf: (request: Request) => Promise<Context>,
): (request: Request, response: Response) => Promise<void> {
  const handler = createHandler<never>({
    authenticate: () => null,
    onSubscribe: async ({ raw }, { query, operationName, variables }) => {
      let document: ReturnType<typeof parse>;
      try {
        document = parse(query, { maxTokens: MOST_TOKENS });
      } catch (error) {
        return failed(coded((error as GraphQLError).message, "GRAPHQL_PARSE_FAILED"));
      }
      if (getOperationAST(document, operationName)?.operation !== "subscription")
        return failed(coded("Only a subscription is served here.", "BAD_REQUEST"));
      const faults = validate(schema, document);
      if (faults.length > 0) return failed(...faults.map(({ message }) => coded(message, "GRAPHQL_VALIDATION_FAILED")));
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
  return async (request, response) => {
    const [status, message] = wrongIn(request) ?? [];
    if (status === undefined) return handler(request, response);
    response.status(status).json({ errors: [{ message, extensions: { code: "BAD_REQUEST" } }] });
  };
}
