/** What is noted without a connection goes to the server once, as soon as the server answers, whatever the browser says of its connection. */
import type { BrowserContext, Page, Route } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();
const PHONE = { viewport: { width: 390, height: 844 } };

/** A browser that says the same of its connection whatever becomes of it, and tells of no change. */
const alwaysSays = (context: BrowserContext, onLine: boolean) =>
  context.addInitScript((says) => {
    Object.defineProperty(Navigator.prototype, "onLine", { get: () => says });
    for (const change of ["online", "offline"])
      window.addEventListener(change, (event) => event.stopImmediatePropagation(), true);
  }, onLine);

/** Whether a request is the change of that name. */
const changes = (route: Route, name: string) => route.request().postData()?.includes(`mutation ${name}`) ?? false;

/** The field sheet in a browser whose requests a test can answer in the server's place. */
const openSheet = () =>
  demo.open(demo.at("parts/field-sheet"), { ...PHONE, serviceWorkers: "block" }, ".field-parts > li");

const storedFinds = (what: string) => demo.server.store.find.count({ where: { what } });

const finds = (page: Page) => page.locator("#finds .finds > li");

async function noteFind(page: Page, what: string) {
  await page.locator("#finds").getByRole("button", { name: "Note a find" }).click();
  const form = page.getByRole("form", { name: "A find" });
  await form.getByLabel("What it is").fill(what);
  await form.getByRole("button", { name: "Keep the find" }).click();
  await finds(page).filter({ hasText: what }).waitFor();
}

async function bookHours(page: Page, worked: string) {
  await page.locator(".hours-work button").last().click();
  await page.getByRole("button", { name: /^Stop/ }).click();
  await page.getByLabel("Hours worked").fill(worked);
  await page.getByRole("button", { name: "Book the hours" }).click();
  await page.locator("#not-sent").getByText(`${worked} h`).waitFor();
}

for (const onLine of [true, false])
  describe(`in a browser that always says it is ${onLine ? "on" : "off"} line`, () => {
    it("a find noted after a reload without a connection is sent when the server answers again", async () => {
      const { page } = await demo.open(demo.at("parts/field-sheet"), PHONE, ".field-parts > li");
      const context = page.context();
      await page.getByText("Kept on this device").waitFor();
      await alwaysSays(context, onLine);
      await context.setOffline(true);
      await page.reload();
      await page.getByText("Without a connection").waitFor();
      const what = `Lamp bracket, ${onLine}`;
      await noteFind(page, what);
      await finds(page).filter({ hasText: what }).filter({ hasText: "not yet sent" }).waitFor();
      await context.setOffline(false);
      await finds(page).filter({ hasText: what }).filter({ hasText: "Seen on" }).waitFor();
      await expect.poll(() => demo.server.store.find.count({ where: { what } })).toBe(1);
      await context.close();
    });

    it("hours booked after a reload without a connection are sent when the server answers again", async () => {
      const before = await demo.server.store.hoursBooked.count();
      const { page } = await demo.open(demo.at("work/hours"), PHONE, ".hours-work button");
      const context = page.context();
      await page.evaluate(async () => navigator.serviceWorker.ready);
      await alwaysSays(context, onLine);
      await context.setOffline(true);
      await page.reload();
      await page.getByText("Without a connection").waitFor();
      await bookHours(page, "0.75");
      await context.setOffline(false);
      await page.locator("#not-sent").waitFor({ state: "detached" });
      await expect.poll(() => demo.server.store.hoursBooked.count()).toBe(before + 1);
      await context.close();
    });
  });

describe("a find that the server does not take at once", () => {
  it("is sent again after the time for which a busy server asks, and the screen counts it down", async () => {
    const { page } = await openSheet();
    const busy = { code: "BUSY", message: "Too much at once. Try again in 3 seconds." };
    const tries: number[] = [];
    let seen = false;
    await page.route("**/graphql", async (route) => {
      if (!changes(route, "SaveFind")) return route.continue();
      tries.push(Date.now());
      if (seen) return route.continue();
      return route.fulfill({ status: 503, headers: { "retry-after": "3" }, json: busy });
    });
    await noteFind(page, "Gauge glass");
    await page.getByText("1 find kept on this device").waitFor();
    await page.getByText(/; the server does not answer, trying again in \d s\./).waitFor();
    seen = true;
    await finds(page).filter({ hasText: "Gauge glass" }).filter({ hasText: "Seen on" }).waitFor();
    expect(tries.length).toBeGreaterThan(1);
    for (const [place, at] of tries.entries())
      if (place > 0) expect(at - tries[place - 1]!).toBeGreaterThanOrEqual(3_000);
    await expect.poll(() => storedFinds("Gauge glass")).toBe(1);
    await page.context().close();
  });

  it("is tried anew with short pauses when another is noted, and is never said to be on its way meanwhile", async () => {
    const { page } = await openSheet();
    let hangs = false;
    await page.route("**/graphql", (route) => (hangs ? undefined : route.abort()));
    await noteFind(page, "Hand rail");
    const words = page.locator("#finds .unsent");
    const pause = async () => Number(/trying again in (\d+) s/.exec((await words.textContent()) ?? "")?.[1] ?? 0);
    // Each hint that comes to nothing is one more failure.
    await expect
      .poll(async () => {
        await page.evaluate(() => window.dispatchEvent(new Event("offline")));
        return pause();
      })
      .toBeGreaterThan(20);
    await noteFind(page, "Foot rail");
    await page.getByText("2 finds kept on this device").waitFor();
    // The pause that had grown is not over by then.
    await expect.poll(pause, { timeout: 20_000 }).toSatisfy((seconds: number) => seconds >= 1 && seconds <= 4);
    hangs = true;
    await words.getByRole("button", { name: "Send now" }).click();
    await words.getByText("the server does not answer, trying again now").waitFor();
    expect(await words.textContent()).not.toContain("Sending");
    await page.context().close();
  });

  it("is sent again where a proxy, or the sign-in page of somebody's network, answers in the server's place", async () => {
    const { page } = await openSheet();
    const answers = [
      { status: 502, contentType: "text/html", body: "<h1>Bad gateway</h1>" },
      { status: 504, json: { message: "late" } },
      { status: 200, contentType: "text/html", body: "<h1>Welcome to the showground</h1>" },
    ];
    await page.route("**/graphql", async (route) => {
      const instead = changes(route, "SaveFind") ? answers.shift() : undefined;
      return instead === undefined ? route.continue() : route.fulfill(instead);
    });
    await noteFind(page, "Oil pump body");
    await finds(page).filter({ hasText: "Oil pump body" }).filter({ hasText: "Seen on" }).waitFor();
    expect(answers).toEqual([]);
    await expect.poll(() => storedFinds("Oil pump body")).toBe(1);
    await page.context().close();
  });

  it("is stored once where the server's answer is lost on its way", async () => {
    const { page } = await openSheet();
    let lost = 0;
    await page.route("**/graphql", async (route) => {
      if (!changes(route, "SaveFind") || lost > 0) return route.continue();
      lost += 1;
      await route.fetch();
      return route.abort();
    });
    await noteFind(page, "Clutch cone");
    await finds(page).filter({ hasText: "Clutch cone" }).filter({ hasText: "Seen on" }).waitFor();
    expect(lost).toBe(1);
    await expect.poll(() => storedFinds("Clutch cone")).toBe(1);
    await page.context().close();
  });

  it("outlasts the closing of the page while it is being sent, and is sent by the next page", async () => {
    const { page } = await openSheet();
    const context = page.context();
    const underWay = new Promise<void>((resolve) => {
      void page.route("**/graphql", (route) => (changes(route, "SaveFind") ? resolve() : route.continue()));
    });
    await noteFind(page, "Horn bulb");
    await underWay;
    await page.close();
    await expect.poll(() => storedFinds("Horn bulb")).toBe(0);
    const next = await context.newPage();
    // Another sheet: what waits is sent whichever is open.
    await next.goto(demo.at("parts/suppliers"));
    await expect.poll(() => storedFinds("Horn bulb")).toBe(1);
    await context.close();
  });

  it("is kept with the server's words where it is refused, is not sent over and over, and can be mended", async () => {
    const { page } = await openSheet();
    let tries = 0;
    await page.route("**/graphql", (route) => {
      if (changes(route, "SaveFind")) tries += 1;
      return route.continue();
    });
    const tooLong = "Magneto strap ".repeat(60).trim();
    await noteFind(page, tooLong);
    const refused = finds(page).filter({ hasText: "Not taken:" });
    await refused.getByText("Not taken: What it is must be at most 500 characters long. It is kept here.").waitFor();
    await page.getByText("1 find kept on this device: not taken, for the reason given with each.").waitFor();
    expect(tries).toBe(1);
    // Neither a hint of the browser's nor another visit sends it again by itself.
    await page.evaluate(() => window.dispatchEvent(new Event("online")));
    await page.reload();
    await refused.waitFor();
    await page.waitForLoadState("networkidle");
    expect(tries).toBe(1);
    await refused.getByRole("button", { name: /^Change/ }).click();
    const form = page.getByRole("form", { name: "The find" });
    await form.getByLabel("What it is").fill("Magneto strap");
    await form.getByRole("button", { name: "Save the find" }).click();
    await form.waitFor({ state: "detached" });
    await finds(page).filter({ hasText: "Magneto strap" }).filter({ hasText: "Seen on" }).waitFor();
    await expect.poll(() => storedFinds("Magneto strap")).toBe(1);
    await page.context().close();
  });

  it("waits for a sign-in where nobody is signed in, says so, and is sent afterwards", async () => {
    const { page } = await openSheet();
    const signedOut = [{ message: "Sign in to go on.", extensions: { code: "NOT_SIGNED_IN" } }];
    let out = true;
    await page.route("**/graphql", (route) =>
      out && changes(route, "SaveFind") ? route.fulfill({ json: { data: null, errors: signedOut } }) : route.continue(),
    );
    await noteFind(page, "Bulb shroud");
    await page.getByText("you are signed out. Sign in, and what waits is sent").waitFor();
    await finds(page).filter({ hasText: "Bulb shroud" }).filter({ hasText: "not yet sent" }).waitFor();
    out = false;
    await page.getByRole("button", { name: "Sign in" }).click();
    await finds(page).filter({ hasText: "Bulb shroud" }).filter({ hasText: "Seen on" }).waitFor();
    await expect.poll(() => storedFinds("Bulb shroud")).toBe(1);
    await page.context().close();
  });

  it("keeps what is changed of it while it is on its way: that is sent next", async () => {
    const { page } = await openSheet();
    let letGo: () => void = () => undefined;
    const held = new Promise<void>((resolve) => {
      letGo = resolve;
    });
    await page.route("**/graphql", async (route) => {
      if (changes(route, "SaveFind")) await held;
      return route.continue();
    });
    await noteFind(page, "Tool roll");
    await finds(page).getByRole("button", { name: "Change Tool roll" }).click();
    const form = page.getByRole("form", { name: "The find" });
    await form.getByLabel("With whom").fill("Barrow at the end");
    await form.getByRole("button", { name: "Save the find" }).click();
    await form.waitFor({ state: "detached" });
    letGo();
    const stored = finds(page).filter({ hasText: "Tool roll" }).filter({ hasText: "Seen on" });
    await stored.getByText("Barrow at the end").waitFor();
    await expect
      .poll(() => demo.server.store.find.findMany({ where: { what: "Tool roll" } }))
      .toMatchObject([{ seller: "Barrow at the end" }]);
    await page.context().close();
  });
});

it("two tabs that find the server again at once send each find and each booking once, and both see it", async () => {
  const before = await demo.server.store.hoursBooked.count();
  const { page } = await openSheet();
  const context = page.context();
  let sent = 0;
  let up = false;
  await context.route("**/graphql", (route) => {
    if (!up) return route.abort();
    if (changes(route, "SaveFind") || changes(route, "BookHours")) sent += 1;
    return route.continue();
  });
  const other = await context.newPage();
  up = true;
  await other.goto(demo.at("work/hours"));
  await other.locator(".hours-work button").first().waitFor();
  up = false;
  sent = 0;
  await noteFind(page, "First of two");
  await noteFind(page, "Second of two");
  await bookHours(other, "0.5");
  up = true;
  for (const one of [page, other]) await one.evaluate(() => window.dispatchEvent(new Event("online")));
  for (const what of ["First of two", "Second of two"])
    await finds(page).filter({ hasText: what }).filter({ hasText: "Seen on" }).waitFor();
  await other.locator("#not-sent").waitFor({ state: "detached" });
  expect(sent).toBe(3);
  await expect.poll(() => storedFinds("First of two")).toBe(1);
  await expect.poll(() => storedFinds("Second of two")).toBe(1);
  await expect.poll(() => demo.server.store.hoursBooked.count()).toBe(before + 1);
  await context.close();
});

for (const size of SIZES)
  it(`what waits has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
    const { page } = await demo.open(
      demo.at("parts/field-sheet"),
      { ...size, serviceWorkers: "block" },
      ".field-parts > li",
    );
    await page.route("**/graphql", (route) => route.abort());
    await noteFind(page, "Rear lamp glass");
    await page.getByText(/trying again/).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    await page.context().close();
  });
