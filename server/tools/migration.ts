/**
 * Authors a migration: `npm run migration -- NAME` replays the history into a scratch file, compares it with
 * prisma/schema.prisma, and writes the SQL between them to prisma/migrations/. Read the SQL before you commit it.
 * With `--check` it writes nothing and fails when there is a difference.
 */
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { schemaDrift } from "../store/migrate.ts";
import { prismaFolder } from "../store/schemaEngine.ts";

const name = process.argv[2] ?? "";
const check = name === "--check";
if (!check && !/^[a-z][a-z0-9_]*$/.test(name)) {
  console.error(
    "Give the migration a name of small letters, digits and underscores: npm run migration -- quote_knock_ons",
  );
  process.exit(2);
}

const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-migration-"));
try {
  const sql = await schemaDrift(path.join(folder, "history.db"));
  if (sql === null) {
    console.log("The migrations and prisma/schema.prisma agree.");
  } else if (check) {
    console.error(`prisma/schema.prisma differs from the migrations. Run npm run migration -- NAME.\n${sql}`);
    process.exitCode = 1;
  } else {
    const migrations = path.join(prismaFolder, "migrations");
    const target = path.join(migrations, `${new Date().toISOString().replace(/\D/g, "").slice(0, 14)}_${name}`);
    await mkdir(target, { recursive: true });
    await writeFile(path.join(target, "migration.sql"), sql);
    await writeFile(path.join(migrations, "migration_lock.toml"), 'provider = "sqlite"\n');
    console.log(`Written: ${path.relative(process.cwd(), path.join(target, "migration.sql"))}`);
  }
} finally {
  await rm(folder, { recursive: true, force: true });
}
