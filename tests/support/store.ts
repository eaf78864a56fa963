/** A migrated database of its own for each test file, quickly: a template is migrated once a run (once.ts), and its file copied. */
import { copyFile, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { openStore, type Store } from "../../server/store/client.ts";
import { migrate } from "../../server/store/migrate.ts";

export interface TestStore {
  store: Store;
  /** The database file, in a folder that `close` removes. */
  file: string;
  close(): Promise<void>;
}

/** Opens a store on a new database with every table and no rows. Call `close` in afterAll. */
export async function testStore(): Promise<TestStore> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-test-"));
  const file = path.join(folder, "lastbolt.db");
  const template = process.env["LASTBOLT_TEST_TEMPLATE"];
  if (template === undefined) await migrate(file);
  else await copyFile(template, file);
  const store = await openStore(file);
  return {
    store,
    file,
    async close() {
      await store.$disconnect();
      await rm(folder, { recursive: true, force: true });
    },
  };
}
