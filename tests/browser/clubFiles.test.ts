/** The club's files on the screen: templates, a fault by file, line and column, an import that undo takes back, an export. */
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { unzipSync } from "fflate";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { CLUB_FILES } from "../../server/io/clubColumns.ts";
import { findingsOf } from "../support/axe.ts";
import { offThePage, SIZES } from "../support/demo.ts";
import { clubInBrowser } from "./clubInBrowser.ts";

const club = clubInBrowser();
let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-club-files-"));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function bring(page: Page, files: Record<string, string>): Promise<void> {
  const places = [];
  for (const [name, text] of Object.entries(files)) {
    places.push(path.join(folder, name));
    await writeFile(places.at(-1)!, text);
  }
  await page.getByLabel("A zip, or CSV files").setInputFiles(places);
  await page.getByText(/^Chosen: /).waitFor();
  await page.getByRole("button", { name: /^Import/ }).click();
}

async function downloaded(page: Page, link: string): Promise<Record<string, Uint8Array>> {
  const download = page.waitForEvent("download");
  await page.getByRole("link", { name: link }).click();
  const saved = path.join(folder, "download.zip");
  await (await download).saveAs(saved);
  return unzipSync(new Uint8Array(await readFile(saved)));
}

const sources = () => club.server.store.clubSource.count();
const GOOD =
  "source,supplier,part,provenance\nS-71,Brindlewick Foundry,Hub cap,remade\nS-72,Brindlewick Foundry,Hub nut,remade\n";

describe("the club's files", () => {
  it("name every column that is read, and say what it holds when opened", async () => {
    const { page } = await club.open("files", "Ambrose Pell");
    await page.locator(".guide > div").first().waitFor();
    expect(await page.locator(".guide > div > dt").allTextContents()).toEqual(CLUB_FILES.map(({ file }) => file));
    expect(await page.locator(".guide summary").allTextContents()).toEqual(
      CLUB_FILES.map(({ columns }) => columns.map(({ name, required }) => `${name}${required ? "*" : ""}`).join(", ")),
    );
    await page.locator(".guide summary").first().click();
    await page.locator(".guide details[open]").getByText(CLUB_FILES[0]!.columns[0]!.says).first().waitFor();
    await page.context().close();
  });

  it("come as empty templates that explain each column", async () => {
    const { page } = await club.open("files", "Ambrose Pell");
    const files = await downloaded(page, "Empty templates");
    const text = (name: string) => new TextDecoder().decode(files[name]);
    for (const { file, columns } of CLUB_FILES) {
      expect(text(file)).toBe(`${columns.map(({ name }) => name).join(",")}\r\n`);
      expect(text("README.txt")).toContain(`\r\n${file}\r\n`);
      for (const { name, says } of columns) expect(text("README.txt")).toContain(`  ${name.padEnd(18)} ${says}`);
    }
    await page.context().close();
  });

  it("with a fault write nothing, and the fault stands by file, line, column and value", async () => {
    const { page, errors } = await club.open("files", "Ambrose Pell");
    const before = await sources();
    await bring(page, { "sources.csv": GOOD.replace("Hub nut,remade", "Hub nut,forged") });
    const row = page.getByRole("table", { name: "Faults" }).locator("tbody tr");
    await row.waitFor();
    for (const [label, said] of [
      ["File", "sources.csv"],
      ["Line", "3"],
      ["Column", "provenance"],
      ["Value", "forged"],
    ] as const)
      await expect.poll(() => row.locator(`[data-label="${label}"]`).textContent()).toBe(said);
    await expect.poll(() => sources()).toBe(before);
    await expect.poll(() => page.getByText(/^Chosen: /).count()).toBe(1);
    expect(errors.filter((error) => !error.includes("422"))).toEqual([]);
    await page.context().close();
  });

  it("page through more faults than one sheet holds", async () => {
    const { page } = await club.open("files", "Ambrose Pell");
    const rows = Array.from({ length: 60 }, (_, i) => `S-${i},Brindlewick Foundry,Hub cap,forged`).join("\n");
    await bring(page, { "sources.csv": `source,supplier,part,provenance\n${rows}\n` });
    const lines = page.getByRole("table", { name: "Faults" }).locator('tbody [data-label="Line"]');
    await page.getByText("50 of 60 faults").waitFor();
    await page.getByRole("navigation", { name: "Pages of the faults" }).getByRole("button", { name: "Next" }).click();
    await page.getByText("10 of 60 faults").waitFor();
    await expect.poll(() => lines.first().textContent()).toBe("52");
    await page.context().close();
  });

  it("without one come in as one change, tell what was left alone, are the same a second time, and undo takes them back", async () => {
    const { page, errors } = await club.open("files", "Ambrose Pell");
    const before = await sources();
    await bring(page, { "sources.csv": GOOD, "notes.csv": "a\n1\n" });
    await page.getByText("2 rows brought in").waitFor();
    await expect.poll(() => sources()).toBe(before + 2);
    const counts = page.getByRole("table", { name: "Rows by file" }).locator("tbody tr");
    await expect.poll(() => counts.locator('[data-label="New"]').textContent()).toBe("2");
    await expect.poll(() => page.getByRole("table", { name: "Notices" }).textContent()).toContain("notes.csv");
    await page.getByRole("button", { name: "Import again" }).click();
    await page.getByText("The club had all of it already").waitFor();
    await bring(page, { "sources.csv": `${GOOD}S-73,Brindlewick Foundry,Hub washer,remade\n` });
    await page.getByText("1 row brought in").waitFor();
    await page.getByRole("button", { name: "Undo the import" }).click();
    await page.getByText("The import has been taken back").waitFor();
    await expect.poll(() => sources()).toBe(before + 2);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("go out as a zip that comes in again as it is", async () => {
    const { page } = await club.open("files", "Ambrose Pell");
    const files = await downloaded(page, "Export as zip");
    expect(Object.keys(files).sort()).toEqual(CLUB_FILES.map(({ file }) => file).sort());
    await page.getByLabel("A zip, or CSV files").setInputFiles(path.join(folder, "download.zip"));
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByText("The club had all of it already").waitFor();
    await page.context().close();
  });

  for (const size of SIZES)
    it(`have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await club.open("files", "Ambrose Pell", size);
      await bring(page, { "sources.csv": "source,supplier,part,provenance\nS-9,Brindlewick Foundry,Hub nut,forged\n" });
      await page.getByRole("table", { name: "Faults" }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});
