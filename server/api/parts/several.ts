/** Several rows at once, typed or pasted into a table. */
import { restorationFor } from "../../access/rules.ts";
import { addSeveral, MOST_TYPED, pastedCells, type ScreenColumn, type TypedRows } from "../../io/several.ts";
import { incoming } from "../../io/slices.ts";
import { builder, wrongArgument } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";

const TypedRowInput = builder.inputType("TypedRowInput", {
  fields: (t) => ({ cells: t.stringList({ required: true }) }),
});

const TypedRowsInput = builder.inputType("TypedRowsInput", {
  description:
    "Rows for one of the files that are imported, with its columns as fileGuide names them. A code left blank is given; another row names it by +1 for the first row of its file, or by its title.",
  fields: (t) => ({
    file: t.string({ required: true }),
    columns: t.stringList({ required: true }),
    rows: t.field({ type: [TypedRowInput], required: true }),
  }),
});

const ScreenColumnInput = builder.inputType("ScreenColumnInput", {
  description: "A column of a table on the screen: its name in the file, and what it is called there.",
  fields: (t) => ({ name: t.string({ required: true }), label: t.string({ required: true }) }),
});

const PastedRow = builder.objectRef<readonly string[]>("PastedRow").implement({
  fields: (t) => ({ cells: t.stringList({ resolve: (cells) => [...cells] }) }),
});

const PastedCells = builder.objectRef<ReturnType<typeof pastedCells>>("PastedCells").implement({
  fields: (t) => ({
    rows: t.field({
      type: [PastedRow],
      description: "A cell for each column; of the first lines, as many as are taken at once.",
      resolve: ({ rows }) => rows,
    }),
    count: t.exposeInt("count", { description: "Lines that were pasted, also those that are left out." }),
    unread: t.exposeStringList("unread", { description: "Headings of what was left out." }),
    beyond: t.exposeInt("beyond", { description: "Cells that were left out because they stand in no column." }),
    most: t.int({ description: "Rows that addSeveral takes at once, in all.", resolve: () => MOST_TYPED }),
  }),
});

builder.queryField("pastedCells", (t) =>
  t.field({
    type: PastedCells,
    description:
      "Cells copied from a spreadsheet, read as a file is and put into columns: by their headings where the first line has some, else from the column with the number `from` on, counted from 0.",
    args: {
      file: t.arg.string({ required: true }),
      text: t.arg.string({ required: true }),
      columns: t.arg({ type: [ScreenColumnInput], required: true }),
      from: t.arg.int({ defaultValue: 0 }),
    },
    resolve: (_root, { file, text, columns, from }) => pasted(file, text, columns, from ?? 0),
  }),
);

function pasted(file: string, text: string, columns: readonly ScreenColumn[], from: number) {
  if (from < 0) throw wrongArgument("from", `must be at least 0 (it is ${from}).`);
  return pastedCells(file, text, columns, from);
}

builder.mutationFields((t) => ({
  addSeveral: t.field({
    type: SaveResult,
    description:
      "Adds suppliers, operations, links, parts, needs, references and quotes in one change, checked as an import is. A fault says file, row (from 1) and column. A supplier that a quote names and that is not known is added too.",
    args: {
      restoration: t.arg.id({ required: true }),
      rows: t.arg({ type: [TypedRowsInput], required: true }),
    },
    resolve: (_root, { restoration, rows }, context) => saving(context, () => addRows(context, restoration, rows)),
  }),
}));

async function addRows(
  { store, viewer }: Context,
  restoration: string,
  files: readonly (typeof TypedRowsInput.$inferInput)[],
): Promise<Omit<Saved, "is">> {
  const restorationId = await restorationFor(viewer, store, restoration);
  const destination = { workshopId: viewer.workshopId, accountId: viewer.accountId, restorationId };
  const typed: TypedRows[] = files.map(({ file, columns, rows }) => ({
    file,
    columns,
    rows: rows.map(({ cells }) => cells),
  }));
  const { changeId } = await incoming.take(() => addSeveral(store, typed, destination));
  const [change, { revision }] = await Promise.all([
    store.change.findUniqueOrThrow({ where: { id: changeId } }),
    store.restoration.findUniqueOrThrow({ where: { id: restorationId } }),
  ]);
  return { change, id: restorationId, revision };
}
