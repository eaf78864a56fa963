/** The club's files, empty, with an explanation in plain words, from the same statement that reading goes by. */
import { CLUB_FILES } from "./clubColumns.ts";
import { writeCsv } from "./csv.ts";
import { packed } from "./export.ts";
import { explained } from "./templates.ts";

/** club-templates.zip: a header a file, and README.txt. */
export function clubTemplatesZip(): Promise<Uint8Array> {
  const files = new Map<string, string>([["README.txt", readme()]]);
  for (const { file, columns } of CLUB_FILES)
    files.set(
      file,
      writeCsv(
        columns.map(({ name }) => name),
        [],
      ),
    );
  return packed(files);
}

const readme = (): string =>
  [
    "Files for the club on Lastbolt",
    "",
    "Fill in what you have, put the files in one zip, and import it. Every file may be left out.",
    "The first line of each file names the columns; leave out those that you do not need. Commas, semicolons or tabs",
    "between the cells are all read, and UTF-8 text. Dates are written year-month-day. Numbers are digits with a point",
    "for decimals and no unit beside them. A code means the same thing in every file.",
    "Rows with a code that the club knows are changed, others are added, and none are taken away. A member brings in",
    "and changes only their own rows; a steward of the club brings in those of every member, with their days.",
    "An apostrophe before a cell that begins with = + - @ keeps a spreadsheet from running it; import takes it away.",
    "",
    ...CLUB_FILES.flatMap((table) => [
      explained(table),
      ...(table.table === "nameDown" ? ["  Written by the export; an import leaves the names alone."] : []),
      "",
    ]),
  ].join("\r\n");
