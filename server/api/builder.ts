/** The schema's builder: scalars, limits, and what stands in every field by default. */
import SchemaBuilder from "@pothos/core";
import ComplexityPlugin from "@pothos/plugin-complexity";
import PrismaPlugin from "@pothos/plugin-prisma";
import { GraphQLError } from "graphql";
import type PrismaTypes from "../generated/pothos-types.ts";
import { getDatamodel } from "../generated/pothos-types.ts";
import { isDate } from "../store/rules.ts";
import type { Context } from "./context.ts";
import { LIMITS, PAGE } from "./limits.ts";
import { READERS } from "./readers.ts";

export interface SchemaTypes {
  Context: Context;
  PrismaTypes: PrismaTypes;
  DefaultFieldNullability: false;
  Scalars: {
    ID: { Input: string; Output: string };
    Date: { Input: string; Output: string };
    DateTime: { Input: Date; Output: Date };
  };
}

export const builder = new SchemaBuilder<SchemaTypes>({
  // The first wraps the others: nothing of a field is worked out for somebody who may not read it.
  plugins: [READERS, ComplexityPlugin, PrismaPlugin],
  defaultFieldNullability: false,
  prisma: {
    client: (context) => context.store,
    dmmf: getDatamodel(),
    exposeDescriptions: false,
    onUnusedQuery: null,
  },
  complexity: {
    limit: LIMITS,
    fieldComplexity: (args, _context, field) => {
      if (field.name === "edges") return { field: 0, multiplier: 1 };
      const connection = /Connection!?$/.test(String(field.type));
      const asked = Number(args.first ?? args.last ?? PAGE.usual);
      if (connection) return { field: 1, multiplier: Math.max(1, asked) };
      return { field: 1, multiplier: String(field.type).startsWith("[") ? 5 : 1 };
    },
    complexityError: (kind, result) =>
      new GraphQLError(`The query asks for too much at once (${kind.toLowerCase()} ${amount(kind, result)}).`, {
        extensions: { code: "TOO_COMPLEX", limit: kind.toLowerCase() },
      }),
  },
});

const amount = (kind: string, result: { depth: number; breadth: number; complexity: number }): string => {
  const limit = kind.toLowerCase() as keyof typeof LIMITS;
  return `${result[limit]}, at most ${LIMITS[limit]}`;
};

// Inputs pass as text, so that a date that does not exist is a fault of its field beside all others: see the rules.
builder.scalarType("Date", {
  description: "A calendar date, ISO 8601 (YYYY-MM-DD).",
  serialize: (value) => value,
  parseValue: (value) => {
    if (typeof value !== "string") throw new GraphQLError("A date is text, written YYYY-MM-DD.");
    return value;
  },
});

builder.scalarType("DateTime", {
  serialize: (value) => value.toISOString() as unknown as Date,
  parseValue: (value) => new Date(String(value)),
});

/** An argument outside a saved row that is wrong: a GraphQL error that names it. */
export const wrongArgument = (field: string, message: string): GraphQLError =>
  new GraphQLError(`${field} ${message}`, { extensions: { code: "INVALID_INPUT", field } });

/** Throws where a date given as an argument does not exist. */
export function existingDate(field: string, value: string | null | undefined): string | undefined {
  if (value !== null && value !== undefined && !isDate(value))
    throw wrongArgument(field, `must be a date that exists, written YYYY-MM-DD (it is ${value.slice(0, 40)}).`);
  return value ?? undefined;
}

builder.queryType({});
builder.mutationType({});
builder.subscriptionType({});
