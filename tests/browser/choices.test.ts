import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { threads } from "../../server/worker/threads.ts";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

async function openChoices(query = "", options: Parameters<typeof openPage>[2] = {}) {
  const opened = await openPage(demo.browser, `${demo.at("parts/choices")}${query}`, options);
  await opened.page.waitForSelector("[data-plan]");
  return opened;
}

/** Every choice of the plan in force, by the row it stands on. */
async function decided(): Promise<string> {
  const parts = await demo.server.store.part.findMany({ select: { code: true, chosenQuoteId: true } });
  const snags = await demo.server.store.snag.findMany({ select: { code: true, chosenRemedyId: true } });
  const operations = await demo.server.store.operation.findMany({ select: { code: true, chosenWayId: true } });
  return JSON.stringify([parts, snags, operations].map((rows) => rows.toSorted((a, b) => (a.code < b.code ? -1 : 1))));
}

const marks = (page: Page) => page.locator("[data-plan]");
const pickedPlan = (page: Page) => Number(new URL(page.url()).searchParams.get("plan"));

describe("the choices sheet", () => {
  it("opens with the plan in force and with whether any plan makes the target", async () => {
    const { page, errors } = await openChoices();
    const sentence = ((await page.locator("p.sentence").textContent()) ?? "").replace(/\s+/g, " ");
    expect(sentence).toMatch(
      /^As planned: ready 4 Aug 2027, £[\d,.]+ to spend with our own hours, £[\d,.]+ of it against the cap, [\d.]+ points lost, which leaves Gilt Dog Rose met\./,
    );
    expect(sentence).toContain("No plan makes 19 Jun 2027: the earliest is 46 days late.");
    await expect.poll(() => page.locator(".answers dt").count()).toBe(4);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("draws every plan that it lists, with the same date, cost and points", async () => {
    const { page } = await openChoices();
    const drawn = new Map(
      await marks(page).evaluateAll((all) =>
        all.map((one) => [Number(one.getAttribute("data-plan")), one.getAttribute("aria-label")] as const),
      ),
    );
    expect(drawn.size).toBeGreaterThan(25);
    const rows = page.locator("#rows tbody tr");
    const seen = new Set<number>();
    for (;;) {
      expect(await rows.first().locator("th").textContent()).toBe("In force");
      for (const row of (await rows.all()).slice(1)) {
        const cell = async (label: string) =>
          ((await row.locator(`td[data-label="${label}"]`).textContent()) ?? "").trim();
        const number = Number(((await row.locator("th").textContent()) ?? "").replace(/\D/g, ""));
        const lost = await cell("Points lost");
        expect(drawn.get(number)?.replace(/, £[\d,.]+ against the cap|, over the cap|, the best by worth/g, "")).toBe(
          `Plan ${number}: ${await cell("Ready as quoted")}, ${await cell("To spend")}, ${lost === "1" ? "1 point" : lost === "0" ? "no points" : `${lost} points`} lost`,
        );
        seen.add(number);
      }
      const next = page.locator("#rows").getByRole("button", { name: "Next" });
      if ((await next.count()) === 0 || (await next.isDisabled())) break;
      const first = await rows.nth(1).textContent();
      await next.click();
      await expect.poll(() => rows.nth(1).textContent()).not.toBe(first);
    }
    expect(seen.size).toBe(drawn.size);
    await page.context().close();
  });

  it("sorts all plans by the column asked, not only those of the page, and keeps the order in the address", async () => {
    const { page } = await openChoices();
    const dearest = Math.max(
      ...(await marks(page).evaluateAll((all) =>
        all.map((one) =>
          Number(/£([\d,]+\.\d\d)/.exec(one.getAttribute("aria-label") ?? "")?.[1]?.replaceAll(",", "")),
        ),
      )),
    );
    const costs = async () =>
      (await page.locator('#rows td[data-label="To spend"]').allTextContents())
        .slice(1)
        .map((text) => Number(text.replace(/[^\d.]/g, "")));
    const head = page.locator("#rows thead").getByRole("button", { name: "To spend" });
    await head.click();
    await page.waitForURL(/sort=cost/);
    const rises = (all: readonly number[]) => all.every((cost, place) => place === 0 || all[place - 1]! <= cost);
    await expect.poll(async () => rises(await costs())).toBe(true);
    await head.click();
    await page.waitForURL(/sort=-cost/);
    await expect.poll(async () => (await costs())[0]).toBe(dearest);
    const falling = await costs();
    expect(falling).toEqual(falling.toSorted((a, b) => b - a));
    expect(falling[0]).toBe(dearest);
    await page.reload();
    await page.waitForSelector("#rows tbody tr");
    await expect.poll(() => costs()).toEqual(falling);
    await page.context().close();
  });

  it("stands plans on the date across and what is to be spent up, and says of each what counts against the cap", async () => {
    const { page } = await openChoices();
    // The others lie on the lines between these.
    const drawn = page.locator("[data-plan]:has(circle)");
    expect(await drawn.count()).toBeGreaterThan(12);
    const placed = await drawn.evaluateAll((all) =>
      all.map((one) => {
        const circle = one.querySelector("circle") as SVGCircleElement;
        const label = one.getAttribute("aria-label") ?? "";
        const [, date, cost, counted] = /: (.+?), £([\d,.]+), .* lost, £([\d,.]+) against the cap/.exec(label) ?? [];
        return {
          x: Number(circle.getAttribute("cx")),
          y: Number(circle.getAttribute("cy")),
          day: Date.parse(date ?? ""),
          cost: Number((cost ?? "").replaceAll(",", "")),
          counted: Number((counted ?? "").replaceAll(",", "")),
          over: label.includes(", over the cap"),
          dashed: circle.classList.contains("over"),
        };
      }),
    );
    // The demo's cap is for parts: our own hours are in what is to be spent, and no line of the cap can be drawn across it.
    expect(placed.every(({ cost, counted }) => cost > counted && counted > 0)).toBe(true);
    expect(await page.locator(".plot").textContent()).not.toContain("left of the cap");
    const said = (await page.locator(".plot p").allTextContents()).join(" ");
    expect(said).toContain(
      `${await drawn.count()} plans are drawn; ${(await marks(page).count()) - (await drawn.count())} more lie`,
    );
    const left = Number(/£([\d,.]+\d) is left of it/.exec(said)?.[1]?.replaceAll(",", ""));
    for (const { counted, over, dashed } of placed) expect([over, dashed]).toEqual([counted > left, counted > left]);
    expect(said.includes("A dashed mark is a plan over the cap")).toBe(placed.some(({ over }) => over));
    const column = await page.locator('#rows td[data-label="Against the cap"]').allTextContents();
    expect(column.length).toBeGreaterThan(0);
    for (const one of placed)
      for (const other of placed) {
        if (one.cost > other.cost) expect(one.y).toBeLessThan(other.y);
        if (one.day > other.day) expect(one.x).toBeGreaterThan(other.x);
      }
    await page.context().close();
  });

  it("reads every plan against the one in force, which stands first in the same columns", async () => {
    const { page } = await openChoices("?plan=1&sort=-cost");
    const rows = page.locator("#rows tbody tr");
    const cell = (row: number, label: string) => saidIn(rows.nth(row).locator(`td[data-label="${label}"]`));
    const pence = (text: string) => Number(text.replace(/[^\d]/g, ""));
    const said = await sentenceOf(page);
    expect(await rows.first().locator("th").textContent()).toBe("In force");
    expect(said).toContain(`ready ${await cell(0, "Ready as quoted")}, ${await cell(0, "To spend")} to spend`);
    expect(said).toContain(`${await cell(0, "Against the cap")} of it against the cap`);
    expect(said).toContain(`${await cell(0, "Points lost")} points lost`);
    await expect.poll(() => cell(0, "4 in 5 by")).toMatch(/^\d+ \w+ \d{4}$/);
    const first = await rows.evaluateAll((all) =>
      all.findIndex((row) => row.querySelector("th")?.textContent === "Plan 1"),
    );
    const about = page.locator("#plan p.prose").first();
    await about.waitFor();
    const by = (label: string) => async () => pence(await cell(first, label)) - pence(await cell(0, label));
    const words = (more: number) =>
      `£${(Math.abs(more) / 100).toLocaleString("en-GB", { minimumFractionDigits: 2 })} ${more > 0 ? "more" : "less"}`;
    const [cost, counted] = [await by("To spend")(), await by("Against the cap")()];
    expect(cost).not.toBe(counted);
    expect(await saidIn(about)).toContain(
      `compared with the plan in force ${words(cost)} (${words(counted)} against the cap)`,
    );
    await page.context().close();
  });

  it("is picked from by keyboard: arrows go from plan to plan, and the address keeps the one that is picked", async () => {
    const { page } = await openChoices();
    await page.getByRole("listbox", { name: "Plans, the earliest first" }).focus();
    await page.keyboard.press("ArrowRight");
    await page.waitForURL(/plan=1\b/);
    await page.keyboard.press("ArrowRight");
    await page.waitForURL(/plan=2\b/);
    await page.keyboard.press("End");
    await page.waitForURL((address) => Number(address.searchParams.get("plan")) > 2);
    const last = pickedPlan(page);
    expect(last).toBe(await marks(page).count());
    await page.locator("#plan h2", { hasText: `Plan ${last}` }).waitFor();
    await expect.poll(() => page.locator(`[data-plan="${last}"]`).getAttribute("aria-selected")).toBe("true");
    await expect.poll(() => page.locator("[aria-selected=true]").count()).toBe(1);
    const other = await openPage(demo.browser, page.url());
    await other.page.locator("#plan h2", { hasText: `Plan ${last}` }).waitFor();
    await other.page.context().close();
    await page.context().close();
  });

  it("takes a plan in one step, works the plans out anew, and undo restores every choice", async () => {
    const before = await decided();
    const { page, errors } = await openChoices("?plan=3");
    await page.waitForSelector("#plan tbody tr");
    const differ = await page.locator("#plan tbody tr").count();
    expect(differ).toBeGreaterThan(1);
    const changes = await demo.server.store.change.count();
    await page.getByRole("button", { name: "Take this plan" }).click();
    const undo = page.locator(".notice").getByRole("button", { name: "Undo" });
    await undo.waitFor();
    await expect.poll(() => demo.server.store.change.count()).toBe(changes + 1);
    await expect.poll(() => decided()).not.toBe(before);
    await page.locator("#rows td", { hasText: "in force" }).first().waitFor();
    await undo.click();
    await page.getByText("The restoration has changed since these plans were worked out").waitFor();
    await expect.poll(() => decided()).toBe(before);
    await page.getByRole("button", { name: "Work it out again" }).click();
    await page.getByText("The restoration has changed").waitFor({ state: "detached" });
    await page.waitForSelector("[data-plan]");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("tells what a plan does before it is taken, lets changes be left, and tells what the rest has done and undone", async () => {
    const before = await decided();
    const { page, errors } = await openChoices("?plan=3");
    const effect = page.locator("#plan p[aria-live]");
    await effect.getByText(/^Taken whole: ready .*; .*; .*; .*lost\./).waitFor();
    const rows = page.locator("#plan tbody tr");
    const all = await rows.count();
    const whole = await effect.textContent();
    await rows.first().getByRole("checkbox").uncheck();
    await effect.getByText(/^Taken so far as it is ticked: ready .*lost\./).waitFor();
    expect(await effect.textContent()).not.toBe(whole);
    const told = (await effect.textContent())!.replace(/^[^:]*: /, "").replace(/\.$/, "");
    await page.getByRole("button", { name: `Take ${all - 1} of its ${all} changes` }).click();
    await page.locator(".notice p", { hasText: told }).waitFor();
    const undo = page.locator(".notice").getByRole("button", { name: "Undo" });
    await undo.click();
    await page.locator(".notice p", { hasText: /^Took back: .*: ready .*lost$/ }).waitFor();
    await expect.poll(() => decided()).toBe(before);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says that a result is stale once something else has changed, and keeps it from being taken", async () => {
    const { page } = await openChoices("?plan=1");
    await page.getByRole("button", { name: "Take this plan" }).waitFor();
    const { id } = await demo.server.store.restoration.findFirstOrThrow();
    await demo.server.store.restoration.update({ where: { id }, data: { planRevision: { increment: 1 } } });
    const before = await decided();
    // The page, which still asks for odds, may know it by now: then the button takes nothing, else the server refuses.
    await page.getByRole("button", { name: "Take this plan" }).dispatchEvent("click");
    await page.getByText("The restoration has changed").first().waitFor();
    expect(await decided()).toBe(before);
    await page.context().close();
  });

  it("can be stopped while it works, and begun again", async () => {
    const { page } = await openPage(demo.browser, `${demo.server.address}/restorations/${demo.restoration}/hold-ups`);
    // The demo's plans can be quicker than the hand: with all threads taken, they wait in line.
    let free = () => {};
    const freed = new Promise<void>((resolve) => {
      free = resolve;
    });
    const taken = Array.from({ length: threads.most }, () => threads.turn({ account: "" }, () => freed));
    await demo.server.store.restoration.updateMany({ data: { planRevision: { increment: 1 } } });
    await page
      .getByRole("navigation", { name: "Sheets" })
      .getByRole("link", { name: /^Parts/ })
      .click();
    await page.getByRole("link", { name: "Choices" }).click();
    await page.getByRole("button", { name: "Stop" }).click();
    await page.getByRole("heading", { name: "Stopped" }).waitFor();
    expect(await page.locator("[data-plan]").count()).toBe(0);
    free();
    await Promise.all(taken);
    await page.getByRole("button", { name: "Work out the plans" }).click();
    await page.waitForSelector("[data-plan]");
    await page.context().close();
  });

  it("names parts that are kept or ruled out, and leads to them", async () => {
    const part = await demo.server.store.part.findFirstOrThrow({ where: { kept: true } });
    const { page } = await openChoices();
    await page.locator("#settled", { hasText: "Kept as chosen" }).waitFor();
    await page.locator("#settled").getByRole("link", { name: part.name }).first().click();
    await page.waitForURL(new RegExp(`parts/${part.id}`));
    await page.context().close();
  });

  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`has no accessibility finding in ${colorScheme} at ${width} pixels, with a plan picked`, async () => {
        const { page, errors } = await openChoices("?plan=2", { colorScheme, viewport: { width, height: 900 } });
        await page.waitForSelector("#plan tbody tr");
        expect(await findingsOf(page)).toEqual([]);
        await expect
          .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
          .toBeLessThanOrEqual(0);
        expect(errors).toEqual([]);
        await page.context().close();
      });

  it("says how to begin where there is nothing to choose", async () => {
    const { data } = await demo.server.query<{ saveRestoration: { id: string } }>(
      `mutation { saveRestoration(input: { machine: "1908 stationary engine" }) { ... on Saved { id } } }`,
    );
    const { page } = await openPage(
      demo.browser,
      `${demo.server.address}/restorations/${data?.saveRestoration.id}/parts/choices`,
    );
    await page.getByRole("heading", { name: "Nothing to choose" }).waitFor();
    await page.context().close();
  });
});
