/** Documents that ask for every field of the schema which somebody may read, and the places from which each can be asked. */
import {
  type GraphQLArgument,
  type GraphQLField,
  type GraphQLNamedType,
  type GraphQLOutputType,
  getNamedType,
  isEnumType,
  isLeafType,
  isListType,
  isNonNullType,
  isObjectType,
  isUnionType,
} from "graphql";
import { schema } from "../../server/api/schema.ts";
import { MODEL_NAMES } from "./marked.ts";

type Field = GraphQLField<unknown, unknown>;

/** True where somebody may read the field of the type. */
export type May = (type: string, field: string) => boolean;

const isPaging = (type: GraphQLNamedType): boolean => /.(Connection|Edge)$/.test(type.name) || type.name === "PageInfo";

/** Arguments that a field needs, written out. Those that it does not need are left out, save a small page. */
export function argumentsOf(field: Field): string {
  const given = field.args.flatMap((arg) => {
    if (isNonNullType(arg.type)) return [`${arg.name}: ${literal(arg)}`];
    return arg.name === "first" ? ["first: 20"] : [];
  });
  return given.length === 0 ? "" : `(${given.join(", ")})`;
}

function literal(arg: GraphQLArgument): string {
  const type = getNamedType(arg.type);
  if (isEnumType(type)) return type.getValues()[0]!.name;
  if (type.name === "Float") return "0.5";
  if (type.name === "Int" || type.name === "Minor") return "1";
  if (type.name === "Date") return '"2027-01-04"';
  if (type.name === "String") return '"engine"';
  throw new Error(`Nothing is known to put for ${arg.name}: name it beside the roots.`);
}

/** True for a type whose values are rows: each brings a further level, while what is worked out brings none. */
const isRow = (type: GraphQLNamedType): boolean => MODEL_NAMES.includes(type.name);

/**
 * Selects all that may be read of a type, through so many rows below it. No type stands below itself. Each field that is asked for is added to `asked` as Type.field.
 */
export function selectionOf(
  output: GraphQLOutputType,
  may: May,
  depth: number,
  asked: Set<string>,
  above: readonly string[] = [],
): string {
  const type = getNamedType(output);
  if (isUnionType(type))
    return `{ __typename ${type
      .getTypes()
      .map((one) => `... on ${one.name} ${selectionOf(one, may, depth, asked, above)}`)
      .join(" ")} }`;
  if (!isObjectType(type)) throw new Error(`${type.name} has no fields.`);
  if (above.includes(type.name) && !isPaging(type)) return "{ __typename }";
  const deeper = isRow(type) ? depth - 1 : depth;
  const parts = Object.values(type.getFields()).flatMap((field) => {
    if (!may(type.name, field.name)) return [];
    const named = getNamedType(field.type);
    const leaf = isLeafType(named);
    if (deeper < 0 && isRow(named)) return [];
    asked.add(`${type.name}.${field.name}`);
    // Types of a union may have the same field in two types, which one answer cannot hold under one name.
    const head = `${type.name}_${field.name}: ${field.name}${argumentsOf(field)}`;
    return [leaf ? head : `${head} ${selectionOf(field.type, may, deeper, asked, [...above, type.name])}`];
  });
  return `{ __typename ${parts.join(" ")} }`;
}

/** Where a value of a type stood in an answer: the fields that lead there, from the root's own on. */
export type Place = readonly { type: string; field: string }[];

/** Every type that an answer holds, with the first place where it stood. */
export function foundIn(answer: unknown, place: Place, places: Map<string, Place>): void {
  if (Array.isArray(answer)) {
    for (const one of answer) foundIn(one, place, places);
    return;
  }
  if (answer === null || typeof answer !== "object") return;
  const { __typename: type, ...rest } = answer as Record<string, unknown>;
  if (typeof type !== "string") return;
  if (!places.has(type)) places.set(type, place);
  for (const [alias, value] of Object.entries(rest)) {
    const field = alias.slice(type.length + 1);
    foundIn(value, [...place, { type, field }], places);
  }
}

/** A document that asks for one field at a place: `root` is the root's field with its arguments, `given` the field's own. */
export function documentAt(
  root: string,
  place: Place,
  type: string,
  field: Field,
  given: string = argumentsOf(field),
): string {
  const leaf = isLeafType(getNamedType(field.type));
  const asked = `... on ${type} { asked: ${field.name}${given} ${leaf ? "" : "{ __typename }"} }`;
  const inner = place.reduceRight((inside, step) => {
    const of = schema.getType(step.type);
    const known = isObjectType(of) ? of.getFields()[step.field]! : undefined;
    return `... on ${step.type} { ${step.field}${known ? argumentsOf(known) : ""} { ${inside} } }`;
  }, asked);
  return `query { ${root} { ${inner} } }`;
}

/** Every object type of the schema but the roots and those that describe the schema itself. */
export const OBJECT_TYPES = Object.values(schema.getTypeMap())
  .filter(isObjectType)
  .filter(({ name }) => !name.startsWith("__") && !["Query", "Mutation", "Subscription"].includes(name));

/** An argument's example, for a mutation that is to be refused: names of rows are `id`, everything else is the least that can be read. */
export function exampleOf(arg: { name: string; type: GraphQLArgument["type"] }, id: (name: string) => string): unknown {
  const type = getNamedType(arg.type);
  if (isListType(isNonNullType(arg.type) ? arg.type.ofType : arg.type)) return [];
  if (type.name === "ID") return id(arg.name);
  if (isEnumType(type)) return type.getValues()[0]!.name;
  if (["Int", "Float", "Minor"].includes(type.name)) return 1;
  if (type.name === "Boolean") return true;
  if (type.name === "Date") return "2027-01-04";
  if ("getFields" in type)
    return Object.fromEntries(
      Object.values(type.getFields())
        .map((field) => field as unknown as { name: string; type: GraphQLArgument["type"] })
        .map((field) => [field.name, exampleOf(field, id)]),
    );
  return "X";
}
