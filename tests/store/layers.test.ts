import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { afterAll, beforeAll, expect, test } from "vitest";

const root = fileURLToPath(new URL("../../", import.meta.url));

/** What each layer may import besides itself; the arrows of DEVELOPERS.md. */
const ARROWS: Record<string, readonly string[]> = {
  engine: [],
  store: ["generated"],
  access: ["store", "generated"],
  plan: ["engine", "store", "generated"],
  io: ["plan", "engine", "store", "generated"],
  worker: ["engine", "plan/choice/onHands.ts", "plan/hands/handGains.ts", "store/fault.ts"],
  mail: ["access", "plan", "store", "generated"],
  api: ["access", "plan", "io", "worker", "mail", "store", "generated"],
};

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const full = path.join(folder, entry.name);
    if (entry.isDirectory()) return entry.name === "generated" ? [] : sources(full);
    return /\.tsx?$/.test(entry.name) && !entry.name.endsWith(".d.ts") ? [full] : [];
  });
}

/** What a file imports, statically or not: packages by name, files by their path from the root. */
function importsOf(file: string): string[] {
  return ts.preProcessFile(readFileSync(file, "utf8"), true, true).importedFiles.map(({ fileName }) => {
    return fileName.startsWith(".") ? path.relative(root, path.resolve(path.dirname(file), fileName)) : fileName;
  });
}

test.each(Object.keys(ARROWS))("server/%s imports only the layers below it", (layer) => {
  const allowed = [layer, ...ARROWS[layer]!].map((name) => `server/${name}`);
  const files = sources(path.join(root, "server", layer));
  expect(files.length).toBeGreaterThan(0);
  const forbidden = files.flatMap((file) =>
    importsOf(file)
      .filter((name) => /^(server|web|seed|tests|\.\.)\b/.test(name) || layer === "engine")
      .filter((name) => !allowed.some((place) => name === place || name.startsWith(`${place}/`)))
      .map((name) => `${path.relative(root, file)} imports ${name}`),
  );
  expect(forbidden).toEqual([]);
});

test("the client imports nothing of the server", () => {
  const forbidden = sources(path.join(root, "web")).flatMap((file) =>
    importsOf(file)
      .filter((name) => /^(server|seed|tests|prisma|node:)/.test(name))
      .map((name) => `${path.relative(root, file)} imports ${name}`),
  );
  expect(forbidden).toEqual([]);
});

/** Files that import each other in a loop, types too: each set with all that lie on loops with it (Tarjan 1972). */
function circles(files: readonly string[]): string[][] {
  const imports = new Map(files.map((file) => [path.relative(root, file), importsOf(file)]));
  const order = new Map<string, number>();
  const low = new Map<string, number>();
  const stack: string[] = [];
  const found: string[][] = [];
  const visit = (file: string): void => {
    order.set(file, order.size);
    low.set(file, order.get(file)!);
    stack.push(file);
    for (const next of imports.get(file)!) {
      if (!imports.has(next)) continue;
      if (!order.has(next)) visit(next);
      if (stack.includes(next)) low.set(file, Math.min(low.get(file)!, low.get(next)!));
    }
    if (low.get(file) !== order.get(file)) return;
    const circle = stack.splice(stack.indexOf(file));
    if (circle.length > 1 || imports.get(file)!.includes(file)) found.push(circle.sort());
  };
  for (const file of imports.keys()) if (!order.has(file)) visit(file);
  return found;
}

test("no files import each other in a circle", () => {
  expect(circles(["server", "web", "seed"].flatMap((folder) => sources(path.join(root, folder))))).toEqual([]);
});

const ARROWS_BACK: readonly [file: string, imported: string, reason: string][] = [
  ["server/engine/a.ts", "../store/client.ts", "The engine imports only the engine"],
  ["server/engine/odds/a.ts", "../../store/client.ts", "The engine imports only the engine"],
  ["server/engine/odds/b.ts", "zod", "The engine imports only the engine"],
  ["server/engine/b.ts", "zod", "The engine imports only the engine"],
  ["server/plan/a.ts", "../api/schema.ts", "it knows nothing of who asks"],
  ["server/store/a.ts", "../plan/plan.ts", "would make a circle"],
  ["server/access/a.ts", "../plan/plan.ts", "looks at rows alone"],
  ["server/io/a.ts", "../api/schema.ts", "without knowing who asks"],
  ["server/mail/a.ts", "../api/schema.ts", "knows nothing of the wire"],
  ["server/worker/a.ts", "../store/client.ts", "must not touch rows from another thread"],
  ["server/api/a.ts", "../engine/network/network.ts", "A resolver computes nothing"],
  ["web/parts/a.tsx", "../../server/store/client.ts", "only by schema.graphql"],
];
const CLOCKS = ["Date.now()", "new Date()", "Math.random()"] as const;

/** What the lint says of files written for this test, with the project's own rules: messages by file. */
let said: Map<string, string[]>;
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), "lastbolt-lint-"));
  const write = (file: string, code: string): void => {
    mkdirSync(path.dirname(path.join(folder, file)), { recursive: true });
    writeFileSync(path.join(folder, file), code);
  };
  for (const file of ["biome.json", "server/engine/pure.grit"])
    write(file, readFileSync(path.join(root, file), "utf8"));
  for (const [file, name] of ARROWS_BACK) write(file, `import { it } from "${name}";\n\nexport const kept = it;\n`);
  write("server/engine/time/own.ts", 'import { it } from "./units.ts";\n\nexport const kept = it;\n');
  write("server/engine/odds/own.ts", 'import { it } from "../time/units.ts";\n\nexport const kept = it;\n');
  CLOCKS.forEach((call, i) => {
    write(`server/engine/clock${i}.ts`, `export const figure = ${call};\n`);
    write(`server/plan/clock${i}.ts`, `export const figure = ${call};\n`);
  });
  const biome = path.join(root, "node_modules", "@biomejs", "biome", "bin", "biome");
  const args = [biome, "lint", "--vcs-enabled=false", "--reporter=json", "--max-diagnostics=none", "."];
  const { stdout } = spawnSync(process.execPath, args, { cwd: folder, encoding: "utf8" });
  said = new Map();
  for (const { message, location } of (JSON.parse(stdout) as Lint).diagnostics) {
    said.set(location.path, [...(said.get(location.path) ?? []), message]);
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Lint {
  diagnostics: { message: string; location: { path: string } }[];
}

test.each(ARROWS_BACK)("%s may not import %s, and the lint says why", (file, _name, reason) => {
  expect(said.get(file)?.join("\n")).toContain(reason);
});

test.each(CLOCKS.map((call, i) => [call, i] as const))("the engine may not call %s; other layers may", (_call, i) => {
  expect(said.get(`server/engine/clock${i}.ts`)?.join("\n")).toContain("no clock and no chance");
  expect(said.get(`server/plan/clock${i}.ts`)).toBeUndefined();
});

test("the engine imports its own files freely", () => {
  expect(said.get("server/engine/time/own.ts")).toBeUndefined();
  expect(said.get("server/engine/odds/own.ts")).toBeUndefined();
});
