/** Photographs on the sheets of parts, operations and snags: added, told, opened large, taken back, and kept where sending fails. */
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

/** The demo without the photographs of its own. */
const demo = demoInBrowser((store) => seedDemo(store));
/** Gearbox casing: it has quotes. */
const PART = "TR-01";

/** A file to choose, of one colour. */
async function picture(name: string, background: string) {
  const create = { width: 640, height: 480, channels: 3, background } as const;
  return { name, mimeType: "image/jpeg", buffer: await sharp({ create }).jpeg().toBuffer() };
}

describe("photographs of a part", () => {
  it("are chosen several at once, captioned, opened large by keyboard, and one that is removed comes back", async () => {
    const { page, errors } = await demo.open(demo.at(`parts/${demo.part(PART)}#photographs`));
    const section = page.locator("#photographs");
    await section.getByText("No photograph is on record.").waitFor();
    await section
      .getByLabel("Choose photographs")
      .setInputFiles([await picture("front.jpg", "#7a4b2a"), await picture("back.jpg", "#2a4b7a")]);
    await section.locator(".photographs > li").nth(1).waitFor();
    await section.getByText("Not yet sent").waitFor({ state: "detached" });
    await expect.poll(() => section.locator("nav.paging p").textContent()).toBe("2 photographs");

    await section
      .getByRole("button", { name: /^Add a caption/ })
      .first()
      .click();
    await section.getByRole("textbox", { name: "Caption" }).fill("The casing as it came");
    await section.getByRole("button", { name: "Save", exact: true }).click();
    const captioned = section.getByRole("button", { name: "The casing as it came", exact: true });
    await captioned.waitFor();

    await captioned.focus();
    await page.keyboard.press("Enter");
    const dialog = page.getByRole("dialog");
    const large = dialog.getByRole("img");
    await large.waitFor();
    await expect
      .poll(() => large.evaluate((img: HTMLImageElement) => img.decode().then(() => img.naturalWidth)))
      .toBe(640);
    await page.keyboard.press("ArrowRight");
    await dialog.getByText("2 of 2").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "hidden" });
    await expect.poll(() => page.evaluate(() => document.activeElement?.className)).toMatch(/^photograph-open\b/);

    await section.getByRole("button", { name: "Remove The casing as it came" }).click();
    await captioned.waitFor({ state: "detached" });
    await undoNewest(page);
    await captioned.waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("can be of one of its quotes", async () => {
    const { page } = await demo.open(demo.at(`parts/${demo.part(PART)}#photographs`));
    const section = page.locator("#photographs");
    await section.getByLabel("New ones are of").selectOption({ index: 1 });
    await section.getByLabel("Choose photographs").setInputFiles(await picture("pattern.jpg", "#888888"));
    await section.getByText(/^quote .* from .*added/).waitFor();
    await expect.poll(() => demo.server.store.photograph.count({ where: { quoteId: { not: null } } })).toBe(1);
    await page.context().close();
  });

  it("stay on the device where the server does not answer or does not take one, say so, and are sent again when asked", async () => {
    const { page } = await demo.open(demo.at(`parts/${demo.part("EN-15")}#photographs`));
    const section = page.locator("#photographs");
    await page.route("**/photographs?*", (route) => route.abort());
    await section
      .getByLabel("Choose photographs")
      .setInputFiles([
        await picture("pipes.jpg", "#446644"),
        { name: "notes.jpg", mimeType: "image/jpeg", buffer: Buffer.from("not a picture") },
      ]);
    await section.getByText("The server did not answer. It is kept here.").first().waitFor();
    // Kept over a reload of the page.
    await page.reload();
    await section.getByText("2 photographs kept on this device").waitFor();
    await page.unroute("**/photographs?*");
    await section.getByRole("button", { name: "Send now" }).click();
    await section.locator(".photographs > li").waitFor();
    await section.getByText("Not taken: This is no photograph that can be read", { exact: false }).waitFor();
    await expect.poll(() => saidIn(section.locator(".photographs-waiting"))).toContain("notes.jpg");
    await section.getByRole("button", { name: "Throw away notes.jpg" }).click();
    await section.getByText("Not yet sent").waitFor({ state: "detached" });
    await expect.poll(() => demo.server.store.photograph.count({ where: { part: { code: "EN-15" } } })).toBe(1);
    await page.context().close();
  });
});

it("an operation and a snag have their own", async () => {
  const { page, errors } = await demo.open(demo.at(`work/${demo.operation("LISTING")}`));
  await page
    .locator("#photographs")
    .getByLabel("Take a photograph")
    .setInputFiles(await picture("bench.jpg", "#553311"));
  await page.locator(".photographs > li").waitFor();
  const snag = await demo.server.store.snag.findFirstOrThrow();
  await page.goto(demo.at(`work/snags?snag=${snag.id}`));
  await page
    .locator("#photographs")
    .getByLabel("Choose photographs")
    .setInputFiles(await picture("crack.jpg", "#111111"));
  await page.locator(".photographs > li").waitFor();
  await expect
    .poll(() =>
      demo.server.store.photograph.count({
        where: { OR: [{ snagId: snag.id }, { operation: { code: "LISTING" } }] },
      }),
    )
    .toBe(2);
  expect(errors).toEqual([]);
  await page.context().close();
});

for (const size of SIZES)
  it(`have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
    const { page } = await demo.open(demo.at(`parts/${demo.part(PART)}#photographs`), size);
    await page.locator(".photographs > li").first().waitFor();
    await page
      .locator("#photographs")
      .getByRole("button", { name: /^Change\b/ })
      .first()
      .click();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    if (process.env["PHOTOGRAPH_OF_THE_SHEET"]) {
      const file = `${process.env["PHOTOGRAPH_OF_THE_SHEET"]}-${size.viewport.width}-${size.colorScheme}.png`;
      await page.locator("#photographs").screenshot({ path: file });
    }
    await page.context().close();
  });
