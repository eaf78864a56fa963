/** What the files hold, from the statement by which they are read and written. */
import { CLUB_FILES } from "../../io/clubColumns.ts";
import {
  type Column,
  CSV_TABLES,
  FIGURES_FOR,
  type FileTable,
  REQUIRED_FILES,
  RESTORATION_FILE,
  tableOf,
} from "../../io/columns.ts";
import { columnWords } from "../../io/templates.ts";
import { builder } from "../core/builder.ts";

type Guide = Pick<FileTable, "file" | "says" | "columns"> & { needed: boolean };

const GuideColumn = builder.objectRef<Column>("FileGuideColumn").implement({
  fields: (t) => ({
    name: t.exposeString("name"),
    needed: t.exposeBoolean("required"),
    says: t.string({ resolve: columnWords }),
  }),
});

const FileGuide = builder.objectRef<Guide>("FileGuide").implement({
  description: "What one file holds.",
  fields: (t) => ({
    file: t.exposeString("file"),
    says: t.exposeString("says"),
    needed: t.exposeBoolean("needed", { description: "Without it there is no plan." }),
    columns: t.field({ type: [GuideColumn], resolve: ({ columns }) => [...columns] }),
  }),
});

const RESTORATION: Guide = {
  file: RESTORATION_FILE,
  says: "The machine, the calendar of the shop, the rates of trades and the judging sheet. Each may be left out.",
  columns: [...tableOf("restoration").columns, FIGURES_FOR],
  needed: false,
};

builder.queryField("fileGuide", (t) =>
  t.field({
    type: [FileGuide],
    description: "Every file of a restoration, or of the club, with its columns, as import and export know them.",
    args: { club: t.arg.boolean() },
    resolve: (_root, { club }): Guide[] =>
      club
        ? CLUB_FILES.map((table) => ({ ...table, needed: false }))
        : [...CSV_TABLES.map((table) => ({ ...table, needed: REQUIRED_FILES.includes(table.file) })), RESTORATION],
  }),
);
