/** One word for one thing: words that gave way to another stand nowhere on a screen, in the schemas, in files or in prose. */
import { readdir, readFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { CLUB_FILES } from "../../server/io/clubColumns.ts";
import { CSV_TABLES, tableOf } from "../../server/io/columns.ts";

const root = fileURLToPath(new URL("../../", import.meta.url));

/** Each with the word that is kept. */
const GONE: readonly (readonly [RegExp, string])[] = [
  [/data ?date|data_date/i, "the day that figures are for"],
  [/order ?now|orderNow/, "to order"],
  [/free ?work/i, "free to start"],
  [/\bbann?(ed|s)\b|\bbarred\b|not wanted here/i, "ruled out"],
  [/\blocked\b/i, "kept"],
  [/(?<!cost, insurance and |cost and )freight/i, "carriage"],
  [/points ?at ?risk|points_at_risk/i, "points lost"],
  [/(hours|lead)_?(low|high)\b/i, "least and most"],
  [/\bcancelJob\b|\bCANCELLED\b/, "stopped"],
  [/\bapplyChoices\b/, "take a plan"],
  [/\bnought\b/i, "zero"],
  [/\breckon(s|ed|ing)?\b(?!["{ ,:]*\{)/i, "worked out"],
  [/worth at most/i, "walk-away price"],
  [/unlimited hands|no ?end ?of ?hands/i, "hands enough at all times"],
  [/runs draw when/i, "by the chances of its hunt"],
  [/pledg/i, "a name put down"],
  [/hiddenReason|rowHidden|hidden (from|in) the club/i, "withheld"],
  [/clubReport|settleReport/i, "complaints"],
  [/clubAdmin|admins? of the club/i, "steward"],
  [/postsPerDay|postedAt|postedOn|posted_on|too_many_posts|posts a day/i, "entries a day"],
  [/matchThread|threadId/i, "correspondence"],
  [/\b[BINOPQRSWXY]0\d{1,4}\b/, "the number of its register"],
  [/sectionNames|all sections|section of the machine/i, "groups of the machine"],
  [/enum Standing|StandingMark|label="Standing"/, "state"],
  [/^\s*Edit\b|name: "Edit|\? "Edit/, "change"],
  [/^\s*Cancel$|>Cancel</, "leave it"],
  [/(label=|title: |`|>)"?[Nn]eeded by/, "need-by date"],
  [/\b[Cc]ures? (of|for) (a )?snags?\b|`Cure:/, "remedy"],
  [/owner'?s page/i, "report"],
];

async function files(folder: string, ends: RegExp): Promise<string[]> {
  const found = await readdir(path.join(root, folder), { recursive: true });
  return found
    .filter((file) => ends.test(file) && !/generated|graphql-env/.test(file))
    .map((file) => path.join(folder, file));
}

/** What is found of them in a text, with its line. */
const findings = (name: string, text: string): string[] =>
  text
    .split("\n")
    .flatMap((line, at) =>
      GONE.flatMap(([gone, kept]) =>
        gone.test(line) ? [`${name}:${at + 1} (${kept}) ${line.trim().slice(0, 100)}`] : [],
      ),
    );

describe("a word that has given way", () => {
  it("is in no schema and in no prose of the project", async () => {
    const names = ["server/api/schema.graphql", "prisma/schema.prisma", "README.md", "DEVELOPERS.md"];
    const all = await Promise.all(
      names.map(async (name) => findings(name, await readFile(path.join(root, name), "utf8"))),
    );
    expect(all.flat()).toEqual([]);
  });

  it("is on no screen and in no message", async () => {
    const sources = [...(await files("web", /\.tsx?$/)), ...(await files("server", /\.(ts|mjs)$/))]
      // The names that files had before stand there, to be read.
      .filter((file) => !file.endsWith(path.join("io", "columns.ts")));
    const all = await Promise.all(
      sources.map(async (name) => {
        const text = await readFile(path.join(root, name), "utf8");
        return findings(name, text.replaceAll(/className="[^"]*"/g, ""));
      }),
    );
    expect(all.flat()).toEqual([]);
  });

  it("is in no file that is written", () => {
    const tables = [...CSV_TABLES, tableOf("restoration"), ...CLUB_FILES];
    const said = tables.flatMap(({ file, says, columns }) =>
      findings(file, [file, says, ...columns.flatMap((column) => [column.name, column.says])].join("\n")),
    );
    expect(said).toEqual([]);
  });
});
