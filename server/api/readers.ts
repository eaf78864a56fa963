/** Checks each field of the schema, before it is resolved, against the lists of who may read it (access/fields.ts). */
import SchemaBuilder, { BasePlugin, type PothosOutputFieldConfig, type SchemaTypes } from "@pothos/core";
import type { GraphQLFieldResolver } from "graphql";
import { mayReadField } from "../access/fields.ts";
import type { Viewer } from "../access/viewer.ts";

type Resolve = GraphQLFieldResolver<unknown, object, object>;

class ReadersPlugin<Types extends SchemaTypes> extends BasePlugin<Types> {
  override wrapResolve(resolve: Resolve, { parentType, name }: PothosOutputFieldConfig<Types>): Resolve {
    return (parent, args, context, info) => {
      mayReadField((context as { viewer: Viewer }).viewer, parentType, name);
      return resolve(parent, args, context, info);
    };
  }

  override wrapSubscribe(subscribe: Resolve | undefined, { parentType, name }: PothosOutputFieldConfig<Types>) {
    if (subscribe === undefined) return subscribe;
    const checked: Resolve = (parent, args, context, info) => {
      mayReadField((context as { viewer: Viewer }).viewer, parentType, name);
      return subscribe(parent, args, context, info);
    };
    return checked;
  }
}

declare global {
  export namespace PothosSchemaTypes {
    export interface Plugins<Types extends SchemaTypes> {
      readers: ReadersPlugin<Types>;
    }
  }
}

SchemaBuilder.registerPlugin("readers", ReadersPlugin);

export const READERS = "readers";
