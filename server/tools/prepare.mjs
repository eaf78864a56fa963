/**
 * Makes a fresh clone ready to run: packages, database client, types of the API, built client. Each step runs only
 * when what it reads has changed. Plain Node without packages, since there may be none yet.
 */
import { spawn, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../../", import.meta.url));

/** Folder of this clone's own notes: hashes of what was built from what, reports of tests. Outside git. */
export const notes = path.join(root, "node_modules", ".lastbolt");

const LEAST_NODE = [20, 19];

/** Stops with a clear message when this Node is too old to run the program. */
export function checkNode() {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  const [leastMajor = 0, leastMinor = 0] = LEAST_NODE;
  if (major > leastMajor || (major === leastMajor && minor >= leastMinor)) return;
  console.error(
    `Lastbolt needs Node ${LEAST_NODE.join(".")} or newer; this is ${process.versions.node}. Install a newer one from https://nodejs.org and start again.`,
  );
  process.exit(1);
}

/** Installs, generates and builds whatever is missing or out of date. Throws with the failed step's output. */
export async function prepare({ client = true } = {}) {
  checkNode();
  if (!isInstalled()) {
    say("Installing packages (a minute or two) …");
    await run("npm ci", ...npm("ci", "--include=dev", "--no-audit", "--no-fund", "--loglevel=error"));
  }
  await step({
    name: "database client",
    reads: ["prisma/schema.prisma", "package-lock.json"],
    writes: ["server/generated/prisma/client.ts", "server/generated/pothos-types.ts"],
    command: ["node_modules/prisma/build/index.js", "generate"],
  });
  await step({
    name: "types of the API",
    reads: ["server/api/schema.graphql", "tsconfig.json", "package-lock.json"],
    writes: ["web/graphql-env.d.ts"],
    command: ["node_modules/gql.tada/bin/cli.js", "generate", "output"],
  });
  if (!client) return;
  await step({
    name: "client",
    reads: ["web", "vite.config.ts", "server/api/schema.graphql", "package-lock.json"],
    writes: ["dist/index.html"],
    command: ["node_modules/vite/bin/vite.js", "build"],
  });
}

/**
 * Runs one Node program of the packages when what it reads has changed since the last time, or its result is missing.
 * @param {{ name: string, reads: string[], writes: string[], command: string[] }} step
 */
async function step({ name, reads, writes, command }) {
  const note = path.join(notes, name.replaceAll(" ", "-"));
  const hash = hashOf(reads);
  const done = existsSync(note) && readFileSync(note, "utf8") === hash;
  if (done && writes.every((file) => existsSync(path.join(root, file)))) return;
  say(`Making the ${name} …`);
  await run(name, process.execPath, command);
  mkdirSync(notes, { recursive: true });
  writeFileSync(note, hash);
}

/** True when every package of the lock file is there in its version, but for those meant for other machines. */
function isInstalled() {
  const installed = path.join(root, "node_modules", ".package-lock.json");
  if (!existsSync(installed)) return false;
  /** @type {Record<string, { version?: string, optional?: boolean, devOptional?: boolean }>} */
  const asked = JSON.parse(readFileSync(path.join(root, "package-lock.json"), "utf8")).packages;
  const found = JSON.parse(readFileSync(installed, "utf8")).packages;
  return Object.entries(asked).every(
    ([place, { version, optional, devOptional }]) =>
      place === "" || optional === true || devOptional === true || found[place]?.version === version,
  );
}

/**
 * SHA-256 over names and contents of files and of everything in folders.
 * @param {string[]} places
 */
function hashOf(places) {
  const hash = createHash("sha256");
  for (const place of places) {
    for (const file of filesIn(place))
      hash
        .update(`${file}\0`)
        .update(readFileSync(path.join(root, file)))
        .update("\0");
  }
  return hash.digest("hex");
}

/**
 * @param {string} place
 * @returns {string[]}
 */
function filesIn(place) {
  const full = path.join(root, place);
  if (!existsSync(full)) return [];
  if (!statSync(full).isDirectory()) return [place];
  return readdirSync(full)
    .sort()
    .filter((name) => name !== "graphql-env.d.ts")
    .flatMap((name) => filesIn(path.join(place, name)));
}

/**
 * How to call the npm that started this, or the one on the PATH.
 * @param {...string} args
 * @returns {[string, string[]]}
 */
export function npm(...args) {
  const script = process.env["npm_execpath"];
  if (script !== undefined && /npm-cli\.c?js$/.test(script)) return [process.execPath, [script, ...args]];
  return [process.platform === "win32" ? "npm.cmd" : "npm", args];
}

/**
 * Runs a program to its end, silent unless it fails; then throws with what it said.
 * @param {string} name
 * @param {string} program
 * @param {string[]} args
 * @returns {Promise<void>}
 */
export function run(name, program, args) {
  return new Promise((resolve, reject) => {
    let output = "";
    const child = spawn(program, args, {
      cwd: root,
      stdio: ["ignore", "pipe", "pipe"],
      shell: program.endsWith(".cmd"),
      // Prisma looks for a schema engine of its own, and would download one; it is not used here, so any file will do.
      env: {
        ...process.env,
        // Generators are found by name, as npm finds them.
        PATH: `${path.join(root, "node_modules", ".bin")}${path.delimiter}${process.env["PATH"] ?? ""}`,
        PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
        PRISMA_HIDE_UPDATE_MESSAGE: "1",
        CHECKPOINT_DISABLE: "1",
      },
    });
    const stop = () => child.kill();
    process.once("exit", stop);
    child.stdout.on("data", (text) => (output += text));
    child.stderr.on("data", (text) => (output += text));
    child.on("error", (error) => reject(new Error(`${name} could not be started: ${error.message}`)));
    child.on("close", (code, signal) => {
      process.off("exit", stop);
      if (code === 0) resolve();
      else reject(new Error(`${name} failed (${signal ?? `exit code ${code}`}).\n${output.trim()}`));
    });
  });
}

/**
 * Starts a program in the foreground with this terminal, hands signals on to it, and resolves to its exit code.
 * When this process is gone, the program learns of it by the closed channel and stops too.
 * @param {string[]} args of Node
 * @param {Record<string, string>} env
 * @returns {Promise<number>}
 */
export function foreground(args, env = {}) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, args, {
      cwd: root,
      stdio: ["inherit", "inherit", "inherit", "ipc"],
      env: { ...process.env, ...env },
    });
    /** @type {NodeJS.Signals[]} */
    const signals = ["SIGINT", "SIGTERM", "SIGHUP"];
    for (const signal of signals) process.on(signal, () => child.kill(signal));
    // npm and its shell do not always hand a signal on; when they are gone, nobody is left to stop the program.
    const starters = startedBy();
    const watch = setInterval(() => starters.every(isAlive) || child.kill("SIGTERM"), 250);
    if (starters.length === 0) clearInterval(watch);
    child.on("error", reject);
    child.on("exit", (code, signal) => resolve(code ?? (signal === "SIGINT" ? 130 : signal === "SIGTERM" ? 143 : 1)));
  });
}

/** Process ids of the npm that started this and of the shell between; none when it was not npm. */
function startedBy() {
  if (process.env["npm_lifecycle_event"] === undefined || process.platform === "win32") return [];
  const { stdout } = spawnSync("ps", ["-o", "ppid=,comm=", "-p", String(process.ppid)], { encoding: "utf8" });
  const [, above = "", shell] = /^\s*(\d+)\s+\S*?((?:ba|da|z|k|a)?sh)?\s*$/.exec(stdout ?? "") ?? [];
  return shell === undefined ? [process.ppid] : [process.ppid, Number(above)];
}

/** @param {number} pid */
function isAlive(pid) {
  try {
    process.kill(pid, 0);
    return pid !== 1;
  } catch (error) {
    return /** @type {NodeJS.ErrnoException} */ (error).code === "EPERM";
  }
}

/** @param {string} line */
const say = (line) => console.log(line);
