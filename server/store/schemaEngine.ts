/** Prisma's schema engine as WebAssembly: applies migrations and authors new ones, with nothing downloaded. */
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { bindMigrationAwareSqlAdapterFactory } from "@prisma/driver-adapter-utils";
import type { SchemaEngine } from "@prisma/schema-engine-wasm";
import { adapterFor } from "./client.ts";

/** The folder of schema.prisma and of the migrations. */
export const prismaFolder = fileURLToPath(new URL("../../prisma/", import.meta.url));

/** What the engine compares: every table, none left out. */
export const filters = { externalTables: [], externalEnums: [] };

interface Bindings {
  SchemaEngine: typeof SchemaEngine;
  __wbg_set_wasm(exports: WebAssembly.Exports): void;
}

// The bindings hold their one instance in a variable of their own, so a second load in this process would pull the
// memory from under the first: the promise is kept where every copy of this module finds it.
const shared = globalThis as { [key: symbol]: unknown } & typeof globalThis;
const LOADED = Symbol.for("lastbolt.schemaEngine");

async function load(): Promise<Bindings> {
  // The package's entry imports .wasm as a module, which Node 20 does not do: its two halves are joined here.
  const script = createRequire(import.meta.url).resolve("@prisma/schema-engine-wasm/schema_engine_bg");
  const loaded = (await import(pathToFileURL(script).href)) as Bindings;
  const bytes = await readFile(path.join(path.dirname(script), "schema_engine_bg.wasm"));
  const { instance } = await WebAssembly.instantiate(bytes, {
    "./schema_engine_bg.js": loaded as unknown as WebAssembly.ModuleImports,
  });
  loaded.__wbg_set_wasm(instance.exports);
  (instance.exports["__wbindgen_start"] as (() => void) | undefined)?.();
  // A panic of the engine arrives here first, and then as an error of the call.
  Object.assign(globalThis, {
    PRISMA_WASM_PANIC_REGISTRY: { set_message: (message: string) => console.error(`Schema engine: ${message}`) },
  });
  return loaded;
}

/** The text of schema.prisma, in the shape the engine takes. */
export async function schemaFiles(): Promise<{ path: string; content: string }[]> {
  return [{ path: "schema.prisma", content: await readFile(path.join(prismaFolder, "schema.prisma"), "utf8") }];
}

/** Runs `use` with a schema engine on a database file, and lets go of the file afterwards. */
export async function withSchemaEngine<T>(file: string, use: (engine: SchemaEngine) => Promise<T>): Promise<T> {
  shared[LOADED] ??= load();
  const { SchemaEngine } = await (shared[LOADED] as Promise<Bindings>);
  const files = await schemaFiles();
  const connections: { dispose(): Promise<void> }[] = [];
  const factory = adapterFor(file);
  const engine = await SchemaEngine.new(
    { datamodels: files.map((f): [string, string] => [f.path, f.content]) },
    () => {},
    bindMigrationAwareSqlAdapterFactory({
      provider: factory.provider,
      adapterName: factory.adapterName,
      async connect() {
        const connection = await factory.connect();
        connections.push(connection);
        return connection;
      },
      connectToShadowDb: () => factory.connectToShadowDb(),
    }),
  );
  try {
    return await use(engine);
  } finally {
    engine.free();
    for (const connection of connections) await connection.dispose();
  }
}
