/** The schema's builder: scalars, limits, and what stands in every field by default. */
import SchemaBuilder from "@pothos/core";
import ComplexityPlugin from "@pothos/plugin-complexity";
import PrismaPlugin from "@pothos/plugin-prisma";
import { GraphQLError } from "graphql";
import type PrismaTypes from "../../generated/pothos-types.ts";
import { getDatamodel } from "../../generated/pothos-types.ts";
import { isDate } from "../../store/rules.ts";
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
    Minor: { Input: number; Output: number };
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
    // What of a request describes the schema was counted before: see introspection.ts.
    limit: ({ introspection }) => ({ ...LIMITS, complexity: LIMITS.complexity - introspection }),
    fieldComplexity: (args, _context, field) => costOf(args, field),
    complexityError: (kind, result) => {
      const limit = kind.toLowerCase() as keyof typeof LIMITS;
      return tooComplex(limit, result[limit] + LIMITS[limit] - (result[`max${kind}`] ?? LIMITS[limit]));
    },
  },
});

interface Asked {
  first?: number | null;
  last?: number | null;
}

/** What a field costs itself, and how often what is selected of it counts. */
function costOf(args: Asked, field: { name: string; type: unknown }): { field: number; multiplier: number } {
  if (field.name === "edges") return { field: 0, multiplier: 1 };
  const asked = Number(args.first ?? args.last ?? PAGE.usual);
  if (/Connection!?$/.test(String(field.type))) return { field: 1, multiplier: Math.max(1, asked) };
  return { field: 1, multiplier: String(field.type).startsWith("[") ? 5 : 1 };
}

/** The cost of a field that begins work: one of {@link WORK}. */
export const costing =
  (work: number) =>
  (args: object, _context: object, field: { name: string; type: unknown }): { field: number; multiplier: number } => {
    const { field: own, multiplier } = costOf(args, field);
    return { field: own + work, multiplier };
  };

/** Why a query is refused before it is begun. */
export const tooComplex = (limit: keyof typeof LIMITS, is: number): GraphQLError =>
  new GraphQLError(`The query asks for too much at once (${limit} ${is}, at most ${LIMITS[limit]}).`, {
    extensions: { code: "TOO_COMPLEX", limit, http: { status: 400 } },
  });

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

// Sums pass what a 32-bit Int holds. What one row may hold is a fault of its field, beside all others: see the rules.
builder.scalarType("Minor", {
  description: "Whole minor units of a currency (pence, cents), exact up to 9,007,199,254,740,991 either way.",
  serialize: (value) => {
    if (!Number.isSafeInteger(value)) throw new GraphQLError("A sum is too large to be told to the last minor unit.");
    return value;
  },
  parseValue: (value) => {
    if (typeof value !== "number") throw new GraphQLError("An amount is a whole number of minor units.");
    return value;
  },
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

/** What makes the fields of an input, for those that two inputs share. */
export type InputFields = Parameters<Parameters<typeof builder.inputType>[1]["fields"]>[0];

builder.queryType({});
builder.mutationType({});
builder.subscriptionType({});
