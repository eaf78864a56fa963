/** Writes server/api/schema.graphql from the server's code, sorted; with `--check` it compares and writes nothing. */
import { readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { schemaText } from "../api/schema.ts";

const file = fileURLToPath(new URL("../api/schema.graphql", import.meta.url));
const printed = schemaText();

if (process.argv.includes("--check")) {
  const kept = (await readFile(file, "utf8")).split("\n");
  const made = printed.split("\n");
  const line = made.findIndex((text, i) => text !== kept[i]);
  if (line !== -1 || kept.length !== made.length) {
    const at = line === -1 ? made.length : line;
    console.error(
      `server/api/schema.graphql is not what the server serves. Run npm run schema.\nLine ${at + 1} is   ${kept[at] ?? "(nothing)"}\nand would be ${made[at] ?? "(nothing)"}`,
    );
    process.exitCode = 1;
  }
} else {
  await writeFile(file, printed);
}
process.exit();
