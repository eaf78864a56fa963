/** A small club behind a server and a browser: a restorer who is its steward, two members, a machine with a part to find. */
import type { Browser, BrowserContextOptions } from "playwright-core";
import { afterAll, beforeAll } from "vitest";
import type { Store } from "../../server/store/client.ts";
import { launchBrowser, openPage, type TestPage } from "../support/browser.ts";
import { startServer, type TestServer } from "../support/server.ts";

/** The day for which the club's figures stand. */
const DAY = "2026-11-23";

export type Person = "Hesper Quill" | "Ambrose Pell" | "Linnet Carrow";

export interface ClubInBrowser {
  readonly server: TestServer;
  readonly browser: Browser;
  readonly club: string;
  /** The restorer's machine, and its gearbox casing, which is wanted. */
  readonly restoration: string;
  readonly part: string;
  /** Id of somebody in the club. */
  member(name: Person): string;
  /** Opens a sheet of the club as somebody, and waits until it has settled. */
  open(sheet: string, as?: Person, options?: BrowserContextOptions): Promise<TestPage>;
}

interface Filled {
  club: string;
  restoration: string;
  part: string;
  members: Map<string, string>;
  accounts: Map<string, string>;
}

async function fill(store: Store, joined: boolean): Promise<Filled> {
  const { id: workshopId } = await store.workshop.create({
    data: { name: "Quill Lane Workshop", demo: true, calendar: { create: { figuresFor: DAY } } },
  });
  const { id: restoration } = await store.restoration.create({
    data: {
      workshopId,
      machine: "1913 Tallow & Wren 8 h.p.",
      owner: "Odile Farrant",
      currency: "GBP",
    },
  });
  const { id: part } = await store.part.create({
    data: { restorationId: restoration, code: "TR-01", name: "Gearbox casing", quantity: 1, stateOnHand: "MISSING" },
  });
  const filled: Filled = { club: "", restoration, part, members: new Map(), accounts: new Map() };
  const people = [
    ["Hesper Quill", "RESTORER", true],
    ["Ambrose Pell", "MEMBER", false],
    ["Linnet Carrow", "MEMBER", false],
  ] as const;
  // One after the other: who is first is the one whom a browser without a sign-in acts for.
  for (const [name, role, admin] of people)
    filled.accounts.set(name, (await store.account.create({ data: { workshopId, name, role, admin } })).id);
  if (!joined) return filled;
  const club = await store.club.create({
    data: { name: "Hedgerow Light Car Register", currency: "GBP", figuresFor: DAY, entriesPerDay: 500 },
  });
  filled.club = club.id;
  for (const [name, accountId] of filled.accounts) {
    const row = { clubId: club.id, accountId, name, joinedOn: "2024-05-01", steward: name === "Hesper Quill" };
    filled.members.set(name, (await store.clubMember.create({ data: row })).id);
  }
  return filled;
}

/** Starts both before the file's first test and closes them after its last. `joined: false`: there is no club yet. */
export function clubInBrowser({ joined = true }: { joined?: boolean } = {}): ClubInBrowser {
  let running: ({ server: TestServer; browser: Browser } & Filled) | null = null;
  const now = () => {
    if (running === null) throw new Error("The club is there within tests and hooks alone.");
    return running;
  };
  beforeAll(async () => {
    let filled: Filled | null = null;
    const server = await startServer({
      fill: async (store) => {
        filled = await fill(store, joined);
      },
    });
    running = { server, browser: await launchBrowser(), ...filled! };
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
    get club() {
      return now().club;
    },
    get restoration() {
      return now().restoration;
    },
    get part() {
      return now().part;
    },
    member: (name) => now().members.get(name)!,
    async open(sheet, as = "Hesper Quill", options = {}) {
      const { server, browser, accounts } = now();
      const opened = await openPage(browser, `${server.address}/club/${sheet}`, options);
      if (as !== "Hesper Quill") {
        await opened.page.waitForSelector("main h1");
        await opened.page.evaluate(async (account) => {
          const query = "mutation ($account: ID!) { actAs(account: $account) { __typename } }";
          await fetch("/graphql", {
            method: "POST",
            headers: { "content-type": "application/json" },
            body: JSON.stringify({ query, variables: { account } }),
          });
        }, accounts.get(as));
        await opened.page.reload();
      }
      await opened.page.waitForSelector("main h1");
      await opened.page.waitForLoadState("networkidle");
      return opened;
    },
  };
}
