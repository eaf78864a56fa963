/** Documents walked out of the schema: one or two root fields with arguments and some of what stands below them. */
import {
  type GraphQLField,
  type GraphQLOutputType,
  getNamedType,
  isLeafType,
  isObjectType,
  isUnionType,
} from "graphql";
import { readsField } from "../../server/access/fields.ts";
import { schema } from "../../server/api/schema.ts";
import { type Dice, type Ids, Values } from "./fuzzValue.ts";
import type { Asker } from "./fuzzWorld.ts";

type Field = GraphQLField<unknown, unknown>;

export interface Request {
  query: string;
  variables: Record<string, unknown>;
}

/** Fields behind which runs of seconds stand: asked for seldom, so that the rest is asked for often. */
const LONG = new Set([
  "Query.odds",
  "Mutation.startOdds",
  "Mutation.startChoices",
  "Mutation.startPlanOdds",
  "Part.walkAway",
  "PartWalkAway.walkAway",
  "Restoration.walkAways",
  "Exposure.contingency",
  "HuntOutlook.odds",
]);
/** Those by which somebody signs in or out, and those that ask for what is seldom there. */
const SELDOM =
  /^(actAs|sign|endSignIn|changePassword|changeRole|closeAccount|takeUp|handOut|saveAccount|invit|stopJob|applyImport|job$|visitor|me$)/;
const SELDOM_SHARE = 0.15;
const LONG_SHARE = 0.05;

/** Which kind of row the `id` of a root field is of. */
const nounOf = (field: string): string => field.replace(/^(save|remove|correct|end)(?=[A-Z])/, "");

class Writer {
  readonly variables: Record<string, unknown> = {};
  readonly head: string[] = [];
  private left = 70;

  constructor(
    private readonly dice: Dice,
    private readonly values: Values,
    private readonly may: (type: string, field: string) => boolean,
  ) {}

  /** One field with its arguments and, where it is no leaf, a selection. */
  field(of: string, field: Field, depth: number, alias = ""): string {
    const args = this.args(of, field);
    const selected = isLeafType(getNamedType(field.type)) ? "" : ` ${this.selection(field.type, depth)}`;
    return `${alias === "" ? "" : `${alias}: `}${field.name}${args}${selected}`;
  }

  private args(of: string, field: Field): string {
    const root = of === "Query" || of === "Mutation";
    const given = new Map<string, unknown>();
    for (const arg of field.args) {
      const value = this.values.of(arg.type, arg.name, root ? nounOf(field.name) : field.name);
      if (value !== undefined) given.set(arg.name, value);
    }
    this.fit(field, given);
    const written = [...given].map(([name, value]) => {
      const variable = `v${this.head.length}`;
      this.head.push(`$${variable}: ${String(field.args.find((arg) => arg.name === name)!.type)}`);
      this.variables[variable] = value;
      return `${name}: $${variable}`;
    });
    return written.length === 0 ? "" : `(${written.join(", ")})`;
  }

  /** Makes arguments that go together do so: the id of a row of the kind that is named, and the revision at which it stands. */
  private fit(field: Field, given: Map<string, unknown>): void {
    if (this.dice.chance(0.05)) return;
    if (given.has("first")) {
      given.delete("last");
      given.delete("before");
    }
    const { ids } = this.values;
    const kind = given.get("row") ?? given.get("kind");
    if (typeof kind === "string" && given.has("id"))
      given.set("id", field.name === "remove" ? ids.removable(kind) : ids.of(kind));
    if (!given.has("revision")) return;
    const named = field.args.find(({ name, type }) => getNamedType(type).name === "ID" && given.has(name));
    const whose = given.get("id") ?? (named && given.get(named.name));
    if (typeof whose === "string") given.set("revision", ids.revisionOf(whose));
  }

  private selection(output: GraphQLOutputType, depth: number): string {
    const type = getNamedType(output);
    if (isUnionType(type))
      return `{ __typename ${type
        .getTypes()
        .map((one) => `... on ${one.name} { ${this.fields(one.name, depth, `${one.name}_`).join(" ")} }`)
        .join(" ")} }`;
    return `{ ${this.fields(type.name, depth, "").join(" ")} }`;
  }

  private fields(name: string, depth: number, prefix: string): string[] {
    const type = schema.getType(name);
    if (!isObjectType(type)) return ["__typename"];
    const fields = Object.values(type.getFields()).filter((field) => this.may(name, field.name));
    const leaves = fields.filter((field) => isLeafType(getNamedType(field.type)));
    const others = fields.filter((field) => !isLeafType(getNamedType(field.type)));
    const picked = leaves.filter((field) => field.name === "id" || this.dice.chance(0.4));
    const paging = /.(Connection|Edge)$/.test(name);
    const wanted = depth > 0 || paging ? (paging ? 2 : 1 + this.dice.below(2)) : 0;
    for (let i = 0; i < wanted && others.length > 0 && this.left > 0; i++) {
      const [one] = others.splice(this.dice.below(others.length), 1);
      if (LONG.has(`${name}.${one!.name}`) && !this.dice.chance(LONG_SHARE)) continue;
      picked.push(one!);
    }
    this.left -= picked.length;
    const written = picked.map((field) =>
      this.field(name, field, paging ? depth : depth - 1, prefix === "" ? "" : prefix + field.name),
    );
    return ["__typename", ...written];
  }
}

/** A query or a change for an asker. */
export function requestFor(dice: Dice, ids: Ids, { viewer }: Asker, kind: "query" | "mutation"): Request {
  // Half of the requests are such as the client sends, so that what they ask for is done; in the others more or less is odd.
  const odd = dice.one([0, 0, 0.05, 0.3]);
  const values = new Values(dice, ids, odd, dice.one([0.3, 0.6, 0.95]));
  const strict = dice.chance(0.9);
  const may = (type: string, field: string) => !strict || readsField(viewer, type, field);
  const root = (kind === "query" ? schema.getQueryType() : schema.getMutationType())!;
  const known = Object.values(root.getFields()).filter(({ name }) => may(root.name, name));
  const common = known.filter(({ name }) => !LONG.has(`${root.name}.${name}`) && !SELDOM.test(name));
  const fields = common.length === 0 || dice.chance(SELDOM_SHARE) ? known : common;
  const writer = new Writer(dice, values, may);
  const count = dice.chance(0.1) ? 2 : 1;
  const parts = Array.from({ length: count }, (_, i) =>
    writer.field(root.name, dice.one(fields), kind === "query" ? 3 : 1, `asked${i}`),
  );
  const head = writer.head.length === 0 ? "" : `(${writer.head.join(", ")})`;
  return { query: `${kind} ${head} { ${parts.join(" ")} }`, variables: writer.variables };
}
