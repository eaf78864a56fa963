/**
 * Opens the program without a connection: keeps the files of its frame, of the field sheet and of the hours, by the names that
 * carry their hash, and the page they start from. It keeps no answer of the server; figures are kept by those two sheets themselves.
 */

/** Replaced when the client is built: the files that the field sheet needs. */
declare const FIELD_FILES: readonly string[];

interface Extendable extends Event {
  waitUntil(work: Promise<unknown>): void;
}
interface Fetching extends Extendable {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface Worker {
  addEventListener(type: "install" | "activate", listener: (event: Extendable) => void): void;
  addEventListener(type: "fetch", listener: (event: Fetching) => void): void;
  skipWaiting(): Promise<void>;
  readonly clients: { claim(): Promise<void> };
  readonly location: Location;
}

const worker = self as unknown as Worker;
const FILES = FIELD_FILES;
const PREFIX = "lastbolt-field-";
/** Names carry hashes, so the list of them is the version. */
const VERSION = `${PREFIX}${FILES.map((file) => file.replace(/^.*-|\.\w+$/g, "")).join("")}`;
const SHELL = "/";
/** Addresses of the program, of today and before: without a connection each opens, and says what it cannot show. Files and feeds are the server's. */
const SHEETS = /^\/((restorations|r|club|people|account)(\/.*)?)?$/;
/** A stall in a field often has a connection in name only. */
const PATIENCE_MS = 4_000;

async function install(): Promise<void> {
  const cache = await caches.open(VERSION);
  await cache.addAll(FILES.map((file) => new Request(file, { cache: "no-cache" })));
  const shell = await fetch(SHELL, { cache: "no-cache" });
  if (!shell.ok) throw new Error("The first page cannot be read.");
  await cache.put(SHELL, shell);
  await worker.skipWaiting();
}

/** Files of the version before are left, for sheets that were opened with it. */
async function activate(): Promise<void> {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== VERSION);
  await Promise.all(old.slice(0, -1).map((name) => caches.delete(name)));
  await worker.clients.claim();
}

async function file(request: Request): Promise<Response> {
  return (await caches.match(request)) ?? fetch(request);
}

async function page(request: Request): Promise<Response> {
  const kept = async () => (await caches.open(VERSION)).match(SHELL);
  const late = new Promise<"late">((resolve) => setTimeout(() => resolve("late"), PATIENCE_MS));
  const answer = fetch(request);
  try {
    const first = await Promise.race([answer, late]);
    if (first !== "late") return first;
    return (await kept()) ?? (await answer);
  } catch (error) {
    const shell = await kept();
    if (shell) return shell;
    throw error;
  }
}

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== worker.location.origin) return;
  if (request.mode === "navigate") {
    if (SHEETS.test(address.pathname)) event.respondWith(page(request));
  } else if (address.pathname.startsWith("/assets/")) event.respondWith(file(request));
});
