import { cp, mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { CSV_TABLES, REQUIRED_FILES, RESTORATION_FILE } from "../../server/io/columns.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { startServer, type TestServer } from "../support/server.ts";

const cyclecar = fileURLToPath(new URL("../../seed/cyclecar/", import.meta.url));

let server: TestServer;
let browser: Browser;
let demo: string;
let folder: string;

beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
  browser = await launchBrowser();
  demo = (await server.store.restoration.findFirstOrThrow()).id;
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-files-"));
});

afterAll(async () => {
  await browser?.close();
  await server?.close();
  await rm(folder, { recursive: true, force: true });
});

type Options = Parameters<typeof openPage>[2];

async function open(options: Options = {}) {
  const opened = await openPage(browser, `${server.address}/restorations/${demo}/restoration/files`, options);
  await opened.page.waitForSelector("main .sentence");
  await opened.page.waitForLoadState("networkidle");
  return opened;
}

/** A folder of two operations and a link; `likely` stands in the hours of the second. */
async function shopFolder(name: string, likely: string): Promise<string> {
  const place = path.join(folder, name);
  await mkdir(place, { recursive: true });
  await writeFile(
    path.join(place, "operations.csv"),
    `operation,title,trade,hours_likely\nQ-100,Pump: strip and clean,engine,4\nQ-200,Pump: new gland,engine,${likely}\n`,
  );
  await writeFile(path.join(place, "links.csv"), "before,after\nQ-100,Q-200\n");
  await writeFile(path.join(place, "readme.txt"), "not a list\n");
  return place;
}

async function check(page: Page, place: string) {
  await page.getByLabel("A folder").setInputFiles(place);
  await page.getByText(/^Chosen: /).waitFor();
  await page.getByRole("button", { name: /^Check the files/ }).click();
}

const operationsCalled = (codes: string[]) => server.store.operation.count({ where: { code: { in: codes } } });

describe("bringing files in", () => {
  it("finds the fault in a folder, names its file, line, field and value, and writes nothing", async () => {
    const { page } = await open();
    await check(page, await shopFolder("faulty", "many"));
    const faults = page.getByRole("table", { name: "Faults" });
    await faults.waitFor();
    const row = faults.locator("tbody tr").first();
    await expect.poll(() => row.locator('[data-label="File"]').textContent()).toBe("operations.csv");
    await expect.poll(() => row.locator('[data-label="Line"]').textContent()).toBe("3");
    await expect.poll(() => row.locator('[data-label="Field"]').textContent()).toBe("hours_likely");
    await expect.poll(() => row.locator('[data-label="Value"]').textContent()).toBe("many");
    await expect.poll(() => page.getByRole("button", { name: "Import", exact: true }).count()).toBe(0);
    await expect.poll(() => page.getByText("Left out, not being CSV or JSON").textContent()).toContain("readme.txt");
    await expect.poll(() => operationsCalled(["Q-100", "Q-200"])).toBe(0);
    await expect.poll(() => page.getByText(/^Chosen: /).count()).toBe(1);
    await page.context().close();
  });

  it("tells new, changed and same rows of a good folder, imports all of it, and undo takes all of it back", async () => {
    const { page, errors } = await open();
    await check(page, await shopFolder("good", "2.5"));
    await page.getByRole("button", { name: "Import", exact: true }).waitFor();
    const counts = page.getByRole("table", { name: "Rows by file" }).locator("tbody tr", { hasText: "operations.csv" });
    await expect.poll(() => counts.locator('[data-label="New"]').textContent()).toBe("2");
    await expect.poll(() => operationsCalled(["Q-100", "Q-200"])).toBe(0);
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByRole("heading", { name: "Imported" }).waitFor();
    await expect.poll(() => operationsCalled(["Q-100", "Q-200"])).toBe(2);
    await page.getByRole("button", { name: "Undo the import" }).click();
    await page.locator(".notice", { hasText: "Took back" }).waitFor();
    await expect.poll(() => operationsCalled(["Q-100", "Q-200"])).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("brings several loose files in as a new restoration", async () => {
    const { page } = await open();
    const before = await server.store.restoration.count();
    const files = ["operations.csv", "links.csv", "restoration.json"].map((name) => path.join(cyclecar, name));
    await page.getByLabel("A zip, or CSV files").setInputFiles(files);
    await page.getByLabel("in as a new restoration").check();
    await page.getByRole("button", { name: "Check the files" }).click();
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByRole("heading", { name: "Imported" }).waitFor();
    await expect.poll(() => server.store.restoration.count()).toBe(before + 1);
    await page.getByRole("link", { name: "See what holds it up" }).click();
    await page.waitForURL(/\/hold-ups/);
    expect(page.url()).not.toContain(demo);
    await page.context().close();
  });

  it("says what columns with other names are taken for, takes another word for it, and goes where it is told", async () => {
    const { page, errors } = await open(SIZES[1]);
    const before = await server.store.restoration.count();
    const given: Record<string, string> = {
      "operations.csv": "Op no.,Hours (h),Qty\nN-1,8,2\nN-2,4,2\n",
      "links.csv": "Before,After\nN-1,N-2\n",
      "parts.csv": "Part no.,Description,Menge\nN-P,Gasket,3\n",
    };
    const sent = Object.entries(given).map(([name, text]) => ({
      name,
      mimeType: "text/csv",
      buffer: Buffer.from(text),
    }));
    await page.getByLabel("A zip, or CSV files").setInputFiles(sent);
    await page.getByLabel("in as a new restoration").check();
    await page.getByLabel("Machine", { exact: true }).fill("1908 stationary engine");
    await page.getByRole("button", { name: "Check the files" }).click();
    const quantity = page.getByLabel("Menge of parts.csv is read as");
    await expect.poll(() => page.getByLabel("Part no. of parts.csv is read as").inputValue()).toBe("part");
    await expect
      .poll(() => page.getByLabel("Hours (h) of operations.csv is read as").inputValue())
      .toBe("hours_likely");
    await expect.poll(() => quantity.inputValue()).toBe("");
    await quantity.selectOption("quantity");
    await expect.poll(() => quantity.inputValue()).toBe("quantity");
    expect(await findingsOf(page)).toEqual([]);
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByRole("heading", { name: "Imported" }).waitFor();
    const added = await server.store.restoration.findMany({ where: { machine: "1908 stationary engine" } });
    expect(added).toHaveLength(1);
    const part = await server.store.part.findFirstOrThrow({ where: { code: "N-P", restorationId: added[0]!.id } });
    expect(part).toMatchObject({ name: "Gasket", quantity: 3 });
    // The same name again is the same restoration.
    await page.getByRole("button", { name: "Check the files again" }).click();
    await page.getByText("All of it can be taken into 1908 stationary engine").waitFor();
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByText("had all of it already").waitFor();
    expect(await server.store.restoration.count()).toBe(before + 1);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("finds nothing changed in its own export", async () => {
    const { page } = await open();
    const download = page.waitForEvent("download");
    await page.getByRole("link", { name: "Export as zip" }).click();
    const saved = path.join(folder, "export.zip");
    await (await download).saveAs(saved);
    await expect.poll(async () => (await readFile(saved)).subarray(0, 2).toString()).toBe("PK");
    await page.getByLabel("A zip, or CSV files").setInputFiles(saved);
    await page.getByRole("button", { name: "Check the files" }).click();
    const table = page.getByRole("table", { name: "Rows by file" });
    await table.waitFor();
    for (const column of ["New", "Changed"])
      for (const cell of await table.locator(`td[data-label="${column}"]`).all())
        await expect.poll(() => cell.textContent()).toBe("0");
    await page.context().close();
  });

  it("says why a damaged zip is refused, and keeps the choice", async () => {
    const { page } = await open();
    const broken = path.join(folder, "broken.zip");
    await writeFile(broken, "this is no zip at all");
    await page.getByLabel("A zip, or CSV files").setInputFiles(broken);
    await page.getByRole("button", { name: "Check the files" }).click();
    await page.locator(".form-problem", { hasText: "not a zip file, or it is damaged" }).waitFor();
    await expect.poll(() => page.getByText(/^Chosen: broken\.zip/).count()).toBe(1);
    await page.context().close();
  });

  it("still gets through where the stream of the job's progress is cut, by asking again", async () => {
    const { page } = await open();
    await page.route("**/graphql/stream", (route) => route.abort());
    await check(page, await shopFolder("good", "2.5"));
    await page.getByRole("button", { name: "Import", exact: true }).click();
    await page.getByRole("heading", { name: "Imported" }).waitFor();
    await page.context().close();
  });

  const SIZES = [
    { viewport: { width: 1280, height: 900 }, colorScheme: "light" },
    { viewport: { width: 390, height: 844 }, colorScheme: "dark" },
    { viewport: { width: 1280, height: 900 }, colorScheme: "dark" },
    { viewport: { width: 390, height: 844 }, colorScheme: "light" },
  ] as const;

  it.each(SIZES)(
    "has no accessibility findings, faults in view, at $viewport.width in $colorScheme",
    async (options) => {
      const { page } = await open(options);
      const place = path.join(folder, "long");
      await cp(await shopFolder("faulty", "many"), place, { recursive: true });
      const rows = Array.from({ length: 120 }, (_, n) => `W-${n},Work ${n},engine,minus ${n}`);
      await writeFile(path.join(place, "operations.csv"), `operation,title,trade,hours_likely\n${rows.join("\n")}\n`);
      await check(page, place);
      await page.getByRole("table", { name: "Faults" }).waitFor();
      await expect
        .poll(() =>
          page
            .locator(".run")
            .getByText(/^50 of \d+ faults$/)
            .count(),
        )
        .toBe(1);
      expect(await findingsOf(page)).toEqual([]);
      await expect
        .poll(() => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth))
        .toBeLessThanOrEqual(0);
      await page.context().close();
    },
  );

  it("tells every file and column that import and export know", async () => {
    const { page } = await openPage(browser, `${server.address}/restorations/${demo}/restoration/files`);
    await page.locator(".guide > div").first().waitFor();
    const files = [
      ...CSV_TABLES.map(({ file }) => `${file}${REQUIRED_FILES.includes(file) ? " *" : ""}`),
      RESTORATION_FILE,
    ];
    expect(await page.locator(".guide > div > dt").allTextContents()).toEqual(files);
    const columns = await page.locator(".guide summary").allTextContents();
    CSV_TABLES.forEach((table, i) => {
      for (const { name } of table.columns) expect(columns[i]).toContain(name);
    });
    await page.context().close();
  });
});
