/** Runs once around a whole run of the tests: one migrated template database for all, removed at the end. */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { migrate } from "../../server/store/migrate.ts";

export default async function once(): Promise<() => Promise<void>> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-template-"));
  const file = path.join(folder, "lastbolt.db");
  await migrate(file);
  process.env["LASTBOLT_TEST_TEMPLATE"] = file;
  return () => rm(folder, { recursive: true, force: true });
}
