/** What it costs to have the schema described: counted with the rest of a request, aliases and fragments too. */
import type { ApolloServerPlugin } from "@apollo/server";
import {
  type FieldNode,
  type FragmentDefinitionNode,
  type GraphQLSchema,
  isEnumType,
  isInputObjectType,
  isObjectType,
  Kind,
  type SelectionSetNode,
} from "graphql";
import { tooComplex } from "./builder.ts";
import type { Context } from "./context.ts";
import { LIMITS } from "./limits.ts";

/** How many values a list of a description holds, by its name: all types of the schema, and of one type what it has on average. */
function lengthsOf(schema: GraphQLSchema): Record<string, number> {
  const types = Object.values(schema.getTypeMap());
  const fieldsOf = types.filter(isObjectType).map((type) => Object.values(type.getFields()));
  const fields = fieldsOf.flat();
  const sum = (counts: number[]): number => counts.reduce((all, one) => all + one, 0);
  return {
    types: types.length,
    fields: fields.length / types.length,
    args: sum(fields.map(({ args }) => args.length)) / fields.length,
    inputFields: sum(types.filter(isInputObjectType).map((t) => Object.keys(t.getFields()).length)) / types.length,
    enumValues: sum(types.filter(isEnumType).map((type) => type.getValues().length)) / types.length,
    directives: schema.getDirectives().length,
    // Asked for by its name, it may be the one with the most fields.
    __type: (Math.max(...fieldsOf.map((of) => of.length)) * types.length) / fields.length,
    // Every second type that is named is a list or must be there, and says so of another.
    ofType: 0.5,
  };
}

/** A value of a description is words, and costs as many times what one of a row does: the whole schema once, and not twice. */
const WORDS = 3;

/** Cost of the fields of an operation that describe the schema; 0 where there are none. */
export function introspectionCost(
  schema: GraphQLSchema,
  root: SelectionSetNode,
  fragments: Readonly<Record<string, FragmentDefinitionNode>>,
): number {
  let lengths: Record<string, number> | null = null;
  const known = new Map<SelectionSetNode, number>();
  const sumOf = (set: SelectionSetNode, cost: (field: FieldNode) => number): number =>
    set.selections.reduce((sum, selection) => {
      if (selection.kind === Kind.FIELD) return sum + cost(selection);
      const inner =
        selection.kind === Kind.INLINE_FRAGMENT
          ? selection.selectionSet
          : fragments[selection.name.value]?.selectionSet;
      if (inner === undefined) return sum;
      const counted = known.get(inner) ?? sumOf(inner, cost);
      known.set(inner, counted);
      return sum + counted;
    }, 0);
  const within = ({ name, selectionSet }: FieldNode): number => {
    lengths ??= lengthsOf(schema);
    return 1 + (selectionSet === undefined ? 0 : sumOf(selectionSet, within) * (lengths[name.value] ?? 1));
  };
  return Math.ceil(WORDS * sumOf(root, (field) => (/^__(schema|type)$/.test(field.name.value) ? within(field) : 0)));
}

/** Refuses what asks for too much of the schema, and has the rest of a request count from there. */
export const countIntrospection: ApolloServerPlugin<Context> = {
  requestDidStart: async () => ({
    async didResolveOperation({ schema, document, operation, contextValue }) {
      const fragments = Object.fromEntries(
        document.definitions.flatMap((one) => (one.kind === Kind.FRAGMENT_DEFINITION ? [[one.name.value, one]] : [])),
      );
      contextValue.introspection = introspectionCost(schema, operation!.selectionSet, fragments);
      if (contextValue.introspection > LIMITS.complexity) throw tooComplex("complexity", contextValue.introspection);
    },
  }),
};
