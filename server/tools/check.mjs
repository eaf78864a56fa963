/** `npm run check`: every check that is not a test, each told by name. All run, also when an earlier one has failed. */
import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { notes, prepare, run } from "./prepare.mjs";

/** Name of each check and the Node program that makes it. */
const checks = [
  ["format and lint", ["node_modules/@biomejs/biome/bin/biome", "check", "--error-on-warnings", "."]],
  ["types", ["node_modules/typescript/bin/tsc", "--noEmit"]],
  ["schema.graphql is what the server serves", ["--import", "tsx", "server/tools/schema.ts", "--check"]],
  ["the client's GraphQL documents", ["node_modules/gql.tada/bin/cli.js", "check"]],
  ["the migrations lead to schema.prisma", ["--import", "tsx", "server/tools/migration.ts", "--check"]],
];

/** @type {string[]} */
const failed = [];
try {
  await prepare({ client: false });
  for (const [name, command] of checks) {
    try {
      await run(String(name), process.execPath, /** @type {string[]} */ (command));
      console.log(`ok      ${name}`);
    } catch (error) {
      failed.push(String(name));
      console.log(`FAILED  ${name}\n${error instanceof Error ? error.message : error}`);
    }
  }
} catch (error) {
  failed.push("preparation");
  console.error(error instanceof Error ? error.message : error);
}
mkdirSync(notes, { recursive: true });
writeFileSync(path.join(notes, "checks.json"), JSON.stringify({ failed }));
process.exit(failed.length === 0 ? 0 : 1);
