/** Who works in the workshop, on the Restoration sheet; one's own absences on Today; and the hands of an operation. */
import type { Page } from "playwright-core";
import { beforeEach, describe, expect, it } from "vitest";
import { asText } from "../../server/store/texts.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
const open = async (options: Parameters<typeof demo.open>[1] = {}) => {
  const opened = await demo.open(demo.at("restoration"), options, "section#hands h2");
  return { ...opened, hands: opened.page.locator("section#hands") };
};
const hours = (h: number) => ({ monday: h, tuesday: h, wednesday: h, thursday: h, friday: h });
const workshopId = async () => (await demo.server.store.workshop.findFirstOrThrow()).id;
const picture = async (page: Page, name: string) => {
  if (process.env["PICTURES"])
    await page
      .locator(name === "operation" ? "main form >> nth=0" : "section#hands, section#away")
      .first()
      .screenshot({ path: `${process.env["PICTURES"]}/${name}.png` });
};

describe("the hands of the workshop", () => {
  it("are the five people, and who goes leaves work that nobody can do; the sheet says so at once", async () => {
    const { page, hands, errors } = await open();
    await hands.getByText("5 people work here.").waitFor();
    const ned = hands.locator("ul.hands > li", { hasText: "Ned" });
    await expect.poll(() => saidIn(ned)).toContain("Ned chassis and electrical7.5 h Monday to Friday");
    await expect
      .poll(() => saidIn(hands.locator(".on-hands")))
      .toContain("Every date is one that the hands of the shop can keep");
    await hands.getByRole("button", { name: "Remove Ivy" }).click();
    await expect
      .poll(() => saidIn(hands.locator(".on-hands")))
      .toMatch(/^Nobody is entered for paint \(\d+ operations, .*trim \(.*that work has no date until/);
    await undoNewest(page);
    await expect
      .poll(() => saidIn(hands.locator(".on-hands")))
      .toContain("Every date is one that the hands of the shop can keep");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("take a new person with trades, hours and days, and say what is wrong beside its field", async () => {
    const { page, hands } = await open();
    await hands.getByRole("button", { name: "Add a hand" }).click();
    const form = hands.getByRole("form", { name: "A hand" });
    await form.getByLabel("Name", { exact: true }).fill("Nell");
    await form.getByRole("button", { name: "Save the hand" }).click();
    await form.locator(".fault", { hasText: "Trades must name a trade" }).waitFor();
    await form.getByLabel("Trades").fill("plating");
    await form.getByLabel("Trades").press("Enter");
    await form.getByLabel("Trades").fill("trim");
    await form.getByLabel("Friday").fill("4");
    await form.getByLabel("Joins on").fill("2027-01-04");
    await form.getByLabel("Account").selectOption({ label: "Quill Lane" });
    await form.getByRole("button", { name: "Save the hand" }).click();
    const nell = hands.locator("ul.hands > li", { hasText: "Nell" });
    await expect
      .poll(() => saidIn(nell))
      .toContain("plating and trim8 h Monday to Thursday, 4 h Friday; joins on 4 Jan 2027; account Quill Lane");
    await nell.getByRole("button", { name: /^Away/ }).click();
    await nell.getByLabel("From").fill("2027-02-01");
    await nell.getByLabel("To", { exact: true }).fill("2027-01-30");
    await nell.getByRole("button", { name: "Save the absence" }).click();
    await nell.locator(".fault", { hasText: "To must not be before the first day" }).waitFor();
    await nell.getByLabel("To", { exact: true }).fill("2027-02-03");
    await nell.getByRole("button", { name: "Save the absence" }).click();
    await nell.getByRole("button", { name: "Remove the absence of Nell, Mon 1 Feb 2027 to Wed 3 Feb 2027" }).waitFor();
    await expect.poll(() => saidIn(nell)).toContain("away Mon 1 Feb 2027 to Wed 3 Feb 2027");
    await picture(page, "hands-form");
    await hands.getByRole("button", { name: "Remove Nell", exact: true }).click();
    await hands.getByText("5 people work here.").waitFor();
    await page.context().close();
  });

  it("are saved at the first press, though a trade is still in its field: nothing moves under it", async () => {
    const { page, hands } = await open();
    await hands.getByRole("button", { name: "Add a hand" }).click();
    const form = hands.getByRole("form", { name: "A hand" });
    await form.getByLabel("Name", { exact: true }).fill("Nell");
    await form.getByLabel("Trades").fill("plating, trim");
    const save = form.getByRole("button", { name: "Save the hand" });
    await save.scrollIntoViewIfNeeded();
    const box = (await save.boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    expect(await save.boundingBox()).toEqual(box);
    await page.mouse.up();
    const nell = hands.locator("ul.hands > li", { hasText: "Nell" });
    await expect.poll(() => saidIn(nell)).toContain("plating and trim");
    await undoNewest(page);
    await hands.getByText("5 people work here.").waitFor();
    await page.context().close();
  });

  it("answers on Today when they are away tomorrow, in two taps", async () => {
    const { store } = demo.server;
    const { id: accountId } = await store.account.findFirstOrThrow({ where: { name: "Quill Lane" } });
    const wat = await store.hand.findFirstOrThrow({ where: { name: "Wat" } });
    await store.hand.update({ where: { id: wat.id }, data: { accountId } });
    const { page } = await demo.open(demo.at("today"), { viewport: { width: 390, height: 844 } }, "section#away");
    const away = page.locator("section#away");
    await away.getByText("None is entered for Wat.").waitFor();
    await away.getByRole("button", { name: "I am away …" }).click();
    expect(await findingsOf(page)).toEqual([]);
    await picture(page, "away-asked");
    await away.getByRole("button", { name: /^Tomorrow/ }).click();
    await away.getByRole("button", { name: /^Remove your absence/ }).waitFor();
    const tomorrow = await page.evaluate(() => new Date(Date.now() + 86_400_000).toDateString().slice(0, 3));
    await expect.poll(() => saidIn(away.locator("li"))).toMatch(new RegExp(`^${tomorrow} `));
    expect(await store.absence.count({ where: { handId: wat.id } })).toBe(1);
    await undoNewest(page);
    await away.getByText("None is entered for Wat.").waitFor();
    await store.hand.update({ where: { id: wat.id }, data: { accountId: null } });
    await page.context().close();
  });

  it("are asked of an operation on its sheet: how many, of which further trades, from when, and whether first", async () => {
    const { store } = demo.server;
    const { id } = await store.operation.findFirstOrThrow({ where: { state: "NOT_STARTED" } });
    const { page } = await demo.open(demo.at(`work/${id}`), {}, "form");
    const form = page.getByRole("form", { name: /^Operation/ });
    await form.getByLabel("Hands", { exact: true }).fill("2");
    for (const trade of ["paint", "paint"]) {
      await form.getByLabel("Further hands").fill(trade);
      await form.getByLabel("Further hands").press("Enter");
    }
    await form.getByLabel("Not before").fill("2027-03-01");
    await form.getByLabel("Do this first").check();
    await form.getByRole("button", { name: "Save the operation" }).click();
    await expect
      .poll(() => store.operation.findUnique({ where: { id } }))
      .toMatchObject({ hands: 2, alsoTrades: asText(["paint", "paint"]), notBefore: "2027-03-01", first: true });
    await picture(page, "operation");
    await undoNewest(page);
    await expect.poll(() => store.operation.findUnique({ where: { id } })).toMatchObject({ hands: 1, first: false });
    await page.context().close();
  });

  it.each(SIZES)(
    "have no accessibility findings and nothing off the page at $viewport.width in $colorScheme",
    async (options) => {
      const { page, hands } = await open(options);
      await hands.getByRole("button", { name: "Change Ned" }).click();
      await hands.getByRole("button", { name: "Away days of Ned" }).click();
      await hands.getByRole("form", { name: "An absence of Ned" }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await picture(page, `hands-${options.viewport.width}-${options.colorScheme}`);
      await page.context().close();
    },
  );
});

describe("lines that were kept by trade", () => {
  beforeEach(async () => {
    const { store } = demo.server;
    await store.hand.deleteMany();
    const line = async (trade: string, h: number, people = 1) =>
      store.hand.create({
        data: {
          workshopId: await workshopId(),
          name: `${trade} hand`,
          people,
          trades: asText([trade]),
          ...hours(h),
          askSame: true,
        },
      });
    await line("chassis", 5);
    await line("electrical", 2.5);
    await line("engine", 7.5);
    await line("trim", 8, 2);
  });

  it("are asked whether they are one person, and one press says so or not", async () => {
    const { page, hands } = await open();
    await hands.getByText("3 lines were kept by trade.").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await picture(page, "same-1280");
    await hands.getByRole("button", { name: "chassis hand is the same person as electrical hand" }).click();
    const one = hands.locator("ul.hands > li").filter({ has: page.locator("strong", { hasText: "chassis hand" }) });
    await expect.poll(() => saidIn(one)).toContain("chassis and electrical7.5 h Monday to Friday");
    await hands.getByRole("button", { name: "Nobody else is the same person as engine hand" }).click();
    await expect.poll(() => hands.getByText("Is this the same person as").count()).toBe(0);
    await undoNewest(page);
    await hands.getByText("1 line was kept by trade.").waitFor();
    await page.context().close();
  });

  it("fit a phone", async () => {
    const { page } = await open(SIZES[1]);
    await page.getByText("3 lines were kept by trade.").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    await picture(page, "same-390");
    await page.context().close();
  });
});

describe("a workshop in which nobody is entered", () => {
  beforeEach(() => demo.server.store.hand.deleteMany());

  it("is asked three questions: who works, when, at what rate", async () => {
    const { page, hands } = await open();
    await hands.getByRole("heading", { name: "Who works?" }).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await picture(page, "first-1280");
    await hands.getByLabel("Name", { exact: true }).fill("Wat");
    await hands.getByLabel("Trades").fill("engine");
    await hands.getByLabel("Saturday").fill("4");
    await hands.getByLabel("An hour is charged at").fill("41.50");
    await hands.getByRole("button", { name: "Save who works" }).click();
    await expect
      .poll(() => saidIn(hands.locator("ul.hands > li")))
      .toContain("Wat engine8 h Monday to Friday, 4 h Saturday");
    await hands.getByText("1 person works here.").waitFor();
    expect(await demo.server.store.restoration.findUnique({ where: { id: demo.restoration } })).toMatchObject({
      hourlyRateMinor: 4_150,
    });
    await page.context().close();
  });

  it("charges the rate on every restoration of the workshop that has none, and leaves what was agreed for another", async () => {
    const { store } = demo.server;
    const [lacking, agreed] = [await demo.addEmpty(), await demo.addEmpty()];
    const rate = (id: string, hourlyRateMinor: number | null, more: object = {}) =>
      store.restoration.update({ where: { id }, data: { hourlyRateMinor, currency: "GBP", ...more } });
    await rate(demo.restoration, null);
    await rate(lacking, null, { machine: "Lighting plant" });
    await rate(agreed, 3_000, { machine: "Stationary engine" });
    const { page, hands } = await open();
    await hands.getByText(/^On .*Lighting plant.*, which have no rate yet; blank: not said$/).waitFor();
    expect(await hands.getByText(/^On .*Stationary engine/).count()).toBe(0);
    await hands.getByLabel("Name", { exact: true }).fill("Wat");
    await hands.getByLabel("Trades").fill("engine");
    await hands.getByLabel("An hour is charged at").fill("44");
    await hands.getByRole("button", { name: "Save who works" }).click();
    await hands.getByText("1 person works here.").waitFor();
    const charged = async (id: string) =>
      (await store.restoration.findUniqueOrThrow({ where: { id } })).hourlyRateMinor;
    await expect
      .poll(async () => [await charged(demo.restoration), await charged(lacking), await charged(agreed)])
      .toEqual([4_400, 4_400, 3_000]);
    await page.context().close();
  });

  it("can answer them on a phone", async () => {
    const { page } = await open(SIZES[3]);
    await page.getByRole("heading", { name: "Who works?" }).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    await picture(page, "first-390");
    await page.context().close();
  });
});
