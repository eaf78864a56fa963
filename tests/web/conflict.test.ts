/** Two changes of one row: what of them is a conflict, and what is not. */
import { expect, it } from "vitest";
import { conflictsOf, type FieldInForm } from "../../web/shared/conflict.ts";

const FIELDS: Record<string, FieldInForm> = {
  name: { label: "Name", changed: true, read: "Rim" },
  quantity: { label: "How many", changed: true, read: 1 },
  estimateMinor: { label: "Estimate", changed: true, read: null },
  section: { label: "Section", changed: false, read: "Wheels" },
  specification: { label: "Dimensions", changed: true, read: [{ dimension: "bore" }] },
};
const told = (field: string, theirs: string, yours: string) => ({ field, theirs, yours });
const of = (...differences: ReturnType<typeof told>[]) => conflictsOf(differences, (name) => FIELDS[name]);

it("a field that both changed is one, under the label of the form", () => {
  expect(of(told("quantity", "3", "4")).conflicts).toMatchObject([
    { field: "quantity", label: "How many", theirs: "3", yours: "4" },
  ]);
});

it("a field that only this user changed is none: they left it as it was read", () => {
  const { conflicts, untouched } = of(
    told("name", "Rim", "Rim, front"),
    told("quantity", "1", "4"),
    told("estimateMinor", "", "1250"),
  );
  expect([conflicts, [...untouched]]).toEqual([[], []]);
});

it("a field that this user did not touch is none, and theirs stays", () => {
  const { conflicts, untouched } = of(told("section", "Running gear", "Wheels"));
  expect([conflicts, [...untouched]]).toEqual([[], ["section"]]);
});

it("a list that was changed here, and a field of no form, are asked about", () => {
  expect(of(told("specification", "bore 20", "bore 21"), told("notes", "a", "b")).conflicts).toMatchObject([
    { field: "specification", label: "Dimensions" },
    { field: "notes" },
  ]);
});
