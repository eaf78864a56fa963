/**
 * What stands around each resolver of the schema: whether the viewer may read the field (access/fields.ts), for what
 * changes something whether all that is asked of its answer may be read, and that nothing of it throws. graphql-js gives up a list at once where one of its rows throws, and nobody then awaits the rows
 * before it: one of them that fails too would be a rejection that nobody handles. A promise that rejects is awaited with
 * all others of its list. What does not fail stays as it was: a plain value costs no promise.
 */
import SchemaBuilder, { BasePlugin, type PothosOutputFieldConfig, type SchemaTypes } from "@pothos/core";
import {
  type GraphQLFieldResolver,
  GraphQLIncludeDirective,
  type GraphQLNamedType,
  type GraphQLResolveInfo,
  GraphQLSkipDirective,
  getDirectiveValues,
  getNamedType,
  isObjectType,
  Kind,
  type SelectionSetNode,
} from "graphql";
import { mayReadField, readFields } from "../../access/fields.ts";
import type { Viewer } from "../../access/viewer.ts";

type Resolve = GraphQLFieldResolver<unknown, object, object>;

class ReadersPlugin<Types extends SchemaTypes> extends BasePlugin<Types> {
  override wrapResolve(resolve: Resolve, field: PothosOutputFieldConfig<Types>): Resolve {
    const checked = checkedFor(field.parentType, field.name, resolve);
    if (field.type.kind !== "List" || isPlain(field.type.type.kind)) return checked;
    return (parent, args, context, info) => {
      const rows = checked(parent, args, context, info);
      return rows instanceof Promise ? rows.then(apart) : apart(rows);
    };
  }

  override wrapSubscribe(subscribe: Resolve | undefined, { parentType, name }: PothosOutputFieldConfig<Types>) {
    return subscribe === undefined ? subscribe : checkedFor(parentType, name, subscribe);
  }
}

/** Resolves a field for whoever may read it; what it throws is a promise that rejects. */
const checkedFor =
  (type: string, field: string, resolve: Resolve): Resolve =>
  (parent, args, context, info) => {
    try {
      const { viewer } = context as { viewer: Viewer };
      mayReadField(viewer, type, field);
      if (type === "Mutation") mayReadAnswer(viewer, info);
      return resolve(parent, args, context, info);
    } catch (error) {
      return Promise.reject(error);
    }
  };

/**
 * Throws Refused where something is asked of an answer that the viewer may not read: before anything is written, so that what
 * is refused was not done.
 */
function mayReadAnswer(viewer: Viewer, info: GraphQLResolveInfo): void {
  const { schema, fragments, variableValues } = info;
  const seen = new Set<SelectionSetNode>();
  const within = (set: SelectionSetNode | undefined, type: GraphQLNamedType | undefined): void => {
    if (set === undefined || seen.has(set)) return;
    seen.add(set);
    for (const selection of set.selections) {
      if (getDirectiveValues(GraphQLSkipDirective, selection, variableValues)?.["if"] === true) continue;
      if (getDirectiveValues(GraphQLIncludeDirective, selection, variableValues)?.["if"] === false) continue;
      if (selection.kind === Kind.FIELD) {
        const field = isObjectType(type) ? type.getFields()[selection.name.value] : undefined;
        if (field === undefined) continue;
        mayReadField(viewer, type!.name, field.name);
        within(selection.selectionSet, getNamedType(field.type));
        continue;
      }
      const fragment = selection.kind === Kind.FRAGMENT_SPREAD ? fragments[selection.name.value] : selection;
      const on = fragment?.typeCondition?.name.value;
      const of = on === undefined ? type : schema.getType(on);
      // An answer of which the viewer reads nothing is another's: a member is never told what a restorer saved.
      if (isObjectType(of) && readFields(viewer, of.name, Object.keys(of.getFields())).length === 0) continue;
      within(fragment?.selectionSet, of);
    }
  };
  const type = getNamedType(info.returnType);
  for (const { selectionSet } of info.fieldNodes) within(selectionSet, type);
}

const isPlain = (kind: string): boolean => kind === "Scalar" || kind === "Enum";

/** Rows of which none can throw before the others are awaited, whatever of it fails: an argument, or a value that is wrong. */
const apart = (rows: unknown): unknown =>
  Array.isArray(rows) && rows.length > 1 ? rows.map((row) => Promise.resolve(row)) : rows;

declare global {
  export namespace PothosSchemaTypes {
    export interface Plugins<Types extends SchemaTypes> {
      readers: ReadersPlugin<Types>;
    }
  }
}

SchemaBuilder.registerPlugin("readers", ReadersPlugin);

export const READERS = "readers";
