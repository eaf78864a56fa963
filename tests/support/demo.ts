/** The demo on a server of its own and a browser beside it, for a whole test file. */
import type { Browser, BrowserContextOptions, Locator, Page } from "playwright-core";
import { afterAll, beforeAll } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { launchBrowser, openPage, type TestPage } from "./browser.ts";
import { type Fill, startServer, type TestServer } from "./server.ts";

/** The sizes and colours in which every sheet must hold. */
export const SIZES = [
  { viewport: { width: 1280, height: 900 }, colorScheme: "light" },
  { viewport: { width: 390, height: 844 }, colorScheme: "dark" },
  { viewport: { width: 1280, height: 900 }, colorScheme: "dark" },
  { viewport: { width: 390, height: 844 }, colorScheme: "light" },
] as const satisfies readonly BrowserContextOptions[];

export interface Demo {
  readonly server: TestServer;
  readonly browser: Browser;
  /** Id of the demo's restoration. */
  readonly restoration: string;
  /** Id of a part by its code. */
  part(code: string): string;
  /** Id of an operation by its code. */
  operation(code: string): string;
  /** The address of a sheet of a restoration, the demo's unless another's id is given: "parts?q=chain". */
  at(sheet: string, restoration?: string): string;
  /** Opens an address and waits until it has settled; `sign` is seen once the sheet is there. */
  open(address: string, options?: BrowserContextOptions, sign?: string): Promise<TestPage>;
  /** Adds a restoration in which nothing is entered, and returns its id. */
  addEmpty(): Promise<string>;
}

/** Starts both before the file's first test and closes them after its last; what it returns can be used within tests and hooks. */
export function demoInBrowser(fill: Fill = seedDemo): Demo {
  let running: { server: TestServer; browser: Browser; restoration: string; ids: ReadonlyMap<string, string> } | null =
    null;
  const now = () => {
    if (running === null) throw new Error("The demo is there within tests and hooks alone.");
    return running;
  };
  const idOf = (noun: string, code: string): string => {
    const id = now().ids.get(`${noun} ${code}`);
    if (id === undefined) throw new Error(`The demo has no ${noun} ${code}.`);
    return id;
  };
  beforeAll(async () => {
    const server = await startServer({ fill });
    const browser = await launchBrowser();
    const { id, parts, operations } = await server.store.restoration.findFirstOrThrow({
      orderBy: { rank: "asc" },
      include: { parts: true, operations: true },
    });
    const ids = new Map([
      ...parts.map((part) => [`part ${part.code}`, part.id] as const),
      ...operations.map((operation) => [`operation ${operation.code}`, operation.id] as const),
    ]);
    running = { server, browser, restoration: id, ids };
  });
  afterAll(async () => {
    await running?.browser.close();
    await running?.server.close();
  });
  return {
    get server() {
      return now().server;
    },
    get browser() {
      return now().browser;
    },
    get restoration() {
      return now().restoration;
    },
    part: (code) => idOf("part", code),
    operation: (code) => idOf("operation", code),
    at: (sheet, restoration = now().restoration) => `${now().server.address}/restorations/${restoration}/${sheet}`,
    async open(address, options = {}, sign = "main h1") {
      const opened = await openPage(now().browser, address, options);
      await opened.page.waitForSelector(sign);
      await opened.page.waitForLoadState("networkidle");
      return opened;
    },
    async addEmpty() {
      const { data } = await now().server.query<{ saveRestoration: { id: string } }>(
        `mutation { saveRestoration(input: { machine: "Stationary engine" }) { ... on Saved { id } } }`,
      );
      if (!data?.saveRestoration.id) throw new Error("No restoration was added.");
      return data.saveRestoration.id;
    },
  };
}

/** What a part of a page says, with every run of white space as one blank. */
export async function saidIn(at: Locator): Promise<string> {
  return ((await at.textContent()) ?? "").replace(/\s+/g, " ").trim();
}

/** The sentence with which a sheet opens. */
export const sentenceOf = (page: Page): Promise<string> => saidIn(page.locator("p.sentence"));

/** The large lines with which a sheet opens. */
export const leadOf = (page: Page): Promise<string> => saidIn(page.locator(".far h1"));

/** Takes back what the newest notice tells of. */
export const undoNewest = (page: Page): Promise<void> =>
  page.locator(".notice").getByRole("button", { name: "Undo" }).click();

/** How many pixels of a page stick out at its right. */
export const offThePage = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Opens all that is folded on a sheet. */
export const unfoldAll = (page: Page) =>
  page.locator("details.fold").evaluateAll((folds) => {
    for (const fold of folds) (fold as HTMLDetailsElement).open = true;
  });
