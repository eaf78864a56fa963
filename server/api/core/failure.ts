/** Failures as GraphQL errors: a stable code for programs, words for people, and nothing of the inside in production. */
import { unwrapResolverError } from "@apollo/server/errors";
import { GraphQLError, type GraphQLFormattedError } from "graphql";
import { PlanFault } from "../../plan/compute.ts";
import { cannotWriteOf, InvalidInput, NotFound, Refused, StaleRow } from "../../store/fault.ts";
import { Stopped } from "../../worker/jobs.ts";

/** Says why a request failed. What nobody expected is logged, and told only as such. */
export function formatFailure(formatted: GraphQLFormattedError, error: unknown): GraphQLFormattedError {
  const cause = unwrapResolverError(error);
  if (cause instanceof NotFound || cause instanceof Refused || cause instanceof StaleRow)
    return {
      ...placed(formatted),
      message: cause.message,
      extensions: {
        code: cause.code,
        ...(cause instanceof Refused && cause.rows.length > 0 ? { rows: cause.rows } : {}),
      },
    };
  if (cause instanceof InvalidInput || cause instanceof PlanFault)
    return {
      ...placed(formatted),
      message: cause.message,
      extensions: {
        code: cause instanceof InvalidInput ? cause.code : "PLAN_FAULT",
        field: cause.faults[0]?.field,
        faults: cause.faults,
      },
    };
  // Whoever asked has gone, or what was asked for was stopped.
  if (cause instanceof Stopped)
    return { ...placed(formatted), message: cause.message, extensions: { code: "STOPPED" } };
  const code = formatted.extensions?.["code"];
  const field = wrongValueField(formatted.message, error);
  if (field !== undefined)
    return { ...placed(formatted), message: formatted.message, extensions: { code: "INVALID_INPUT", field } };
  if (code !== undefined && code !== "INTERNAL_SERVER_ERROR")
    return { ...placed(formatted), message: formatted.message, extensions: withoutTrace(formatted.extensions) };
  const disk = cannotWriteOf(cause);
  if (disk !== null) {
    console.error(disk.message);
    return { ...placed(formatted), message: disk.message, extensions: { code: disk.code } };
  }
  // Said of the request as a whole, before any of it was carried out.
  if (error instanceof GraphQLError && error.path === undefined && error.originalError === undefined)
    return { ...placed(formatted), message: formatted.message, extensions: { code: "BAD_USER_INPUT" } };
  console.error(cause);
  return {
    ...placed(formatted),
    message: "Something went wrong in the program. Nothing of this request was changed.",
    extensions: { code: "INTERNAL_SERVER_ERROR" },
  };
}

const placed = ({ locations, path }: GraphQLFormattedError) => ({
  ...(locations ? { locations } : {}),
  ...(path ? { path } : {}),
});

const withoutTrace = (extensions: Record<string, unknown> | undefined) => {
  const { stacktrace: _stacktrace, ...rest } = extensions ?? {};
  return rest;
};

/** The field whose value is of the wrong kind: text for a number, a choice that does not exist, or none where one is needed. */
function wrongValueField(message: string, error: unknown): string | undefined {
  const variable = /^Variable "\$([^"]+)" (?:got invalid value|of (?:required|non-null) type)/.exec(message);
  if (variable !== null) {
    const missing = /Field "([^"]+)" of required type/.exec(message)?.[1];
    const at = / at "([^"]+)"/.exec(message)?.[1];
    return (
      missing ??
      at
        ?.split(".")
        .at(-1)
        ?.replace(/\[\d+\]$/, "") ??
      variable[1]
    );
  }
  if (!/cannot represent|does not exist in "[^"]+" enum|cannot be non-/.test(message)) return undefined;
  const node = (error as Partial<GraphQLError>).nodes?.[0]?.loc;
  return node === undefined ? undefined : /(\w+)\s*:\s*\[?\s*$/.exec(node.source.body.slice(0, node.start))?.[1];
}
