/** A call of any mutation of the schema, with an example for each argument and a row for each id that it asks for. */
import { type GraphQLField, getNamedType, isLeafType, isUnionType } from "graphql";
import { schema } from "../../server/api/schema.ts";
import { exampleOf } from "./everyField.ts";

export const mutations = Object.values(schema.getMutationType()!.getFields());

/** Rows that a scope holds, by the argument that names one. `id` goes by the mutation's noun. */
function rowNamed(mutation: string, argument: string, scope: string, account: string): string {
  const noun = argument === "id" ? mutation.replace(/^(save|remove)/, "") || "Restoration" : argument;
  const model = noun.charAt(0).toUpperCase() + noun.slice(1);
  const known: Record<string, string> = {
    Before: `${scope}.Operation`,
    After: `${scope}.Second`,
    Way: `${scope}.OperationWay`,
    Feed: `${scope}.CalendarFeed`,
    Supplier: `${scope[0]}.Supplier`,
    ExchangeRate: `${scope[0]}.ExchangeRate`,
    Hand: `${scope[0]}.Hand`,
    Absence: `${scope[0]}.Absence`,
    Account: account,
    EndSignIn: "A.admin.SignIn",
    SayWhatIsWrong: "CB.ClubSource",
    Withhold: "CB.ClubSource",
    ClubMember: "CB.ClubMember",
    AnswerComplaint: "CB.ClubComplaint",
  };
  return known[model] ?? (/^(Batch|ClubSource|Want|Spare)$/.test(model) ? `CB.${model}` : `${scope}.${model}`);
}

/** The document and variables of a mutation on the rows of a scope; its answer is `asked`. @param account whom it names */
export function callOf(field: GraphQLField<unknown, unknown>, scope: string, account: string) {
  const variableValues = Object.fromEntries(
    field.args.map((arg) => [arg.name, exampleOf(arg, (name) => rowNamed(field.name, name, scope, account))]),
  );
  const head = field.args.map((arg) => `$${arg.name}: ${String(arg.type)}`).join(", ");
  const passed = field.args.map((arg) => `${arg.name}: $${arg.name}`).join(", ");
  const type = getNamedType(field.type);
  const parts = isLeafType(type)
    ? ""
    : `{ __typename ${isUnionType(type) ? "... on Refused { code message rows }" : ""} }`;
  return {
    source: `mutation ${head && `(${head})`} { asked: ${field.name}${passed && `(${passed})`} ${parts} }`,
    variableValues,
  };
}
