/** What is typed into a form and not saved: it is there again, until it is saved, left or thrown away. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();

const STILL = "What you typed here before is still here, and not saved.";

describe("what is typed and not saved", () => {
  it("outlasts the work being read: the form stays the same one, with the cursor in it", async () => {
    const { page } = await demo.open(demo.at("today"));
    await page.route("**/graphql", async (route) => {
      if (/query WorkSchedule/.test(route.request().postData() ?? "")) await new Promise((go) => setTimeout(go, 1_500));
      await route.continue();
    });
    await page.goto(demo.at("work"));
    await page.getByRole("button", { name: "Add an operation" }).click();
    const title = page.getByRole("form", { name: "New operation" }).getByLabel("Title");
    await title.fill("Line the brake shoes");
    await page.evaluate(() => {
      document.activeElement?.setAttribute("data-same", "yes");
    });
    await page.getByText(/operations, .* to do/).waitFor();
    expect(await title.inputValue()).toBe("Line the brake shoes");
    expect(await title.getAttribute("data-same")).toBe("yes");
    expect(await page.evaluate(() => document.activeElement?.getAttribute("data-same"))).toBe("yes");
    await page.context().close();
  });

  it("is there again after another sheet and after a reload, and can be thrown away", async () => {
    const { page } = await demo.open(demo.at("parts/suppliers"));
    const form = page.getByRole("form", { name: "Add a supplier" });
    const open = () => page.getByRole("button", { name: "Add a supplier" }).first().click();
    await open();
    await form.getByLabel("Name", { exact: true }).fill("Hesper Castings");
    await page
      .getByRole("navigation", { name: "Sheets" })
      .getByRole("link", { name: /^Today/ })
      .click();
    await page.getByRole("navigation", { name: "Inside Today" }).waitFor();
    await page.goBack();
    await open();
    await form.getByText(STILL).waitFor();
    expect(await form.getByLabel("Name", { exact: true }).inputValue()).toBe("Hesper Castings");
    expect(await findingsOf(page)).toEqual([]);
    page.on("dialog", (dialog) => void dialog.accept());
    await page.reload();
    await open();
    expect(await form.getByLabel("Name", { exact: true }).inputValue()).toBe("Hesper Castings");
    await form.getByRole("button", { name: "Throw it away" }).click();
    expect(await form.getByLabel("Name", { exact: true }).inputValue()).toBe("");
    await form.getByText(STILL).waitFor({ state: "detached" });
    await page.reload();
    await open();
    expect(await form.getByLabel("Name", { exact: true }).inputValue()).toBe("");
    await page.context().close();
  });

  it("is there again in another tab, and not for another person", async () => {
    const { page } = await demo.open(demo.at("parts/suppliers"));
    const open = (on: typeof page) => on.getByRole("button", { name: "Add a supplier" }).first().click();
    const nameOn = (on: typeof page) =>
      on.getByRole("form", { name: "Add a supplier" }).getByLabel("Name", { exact: true });
    await open(page);
    await nameOn(page).fill("Hesper Castings");
    const other = await page.context().newPage();
    await page.close();
    await other.goto(demo.at("parts/suppliers"));
    await open(other);
    expect(await nameOn(other).inputValue()).toBe("Hesper Castings");
    const keys = await other.evaluate(() =>
      Object.keys(localStorage).filter((key) => key.startsWith("lastbolt.typed ")),
    );
    expect(keys.length).toBe(1);
    const [, person] = keys[0]!.split(" ");
    await other.evaluate(
      ([key, of]) => {
        const text = localStorage.getItem(key!)!;
        localStorage.removeItem(key!);
        localStorage.setItem(key!.replace(of!, "somebody-else"), text);
      },
      [keys[0], person],
    );
    other.on("dialog", (dialog) => void dialog.accept());
    await other.goto("about:blank");
    await other.goto(demo.at("parts/suppliers"));
    await open(other);
    expect(await nameOn(other).inputValue()).toBe("");
    await other.context().close();
  });

  it("is forgotten where the form is left, and where it is saved", async () => {
    const { page } = await demo.open(demo.at("parts/suppliers"));
    const form = page.getByRole("form", { name: "Add a supplier" });
    const name = form.getByLabel("Name", { exact: true });
    const open = () => page.getByRole("button", { name: "Add a supplier" }).first().click();
    await open();
    await name.fill("Hesper Castings");
    await form.getByRole("button", { name: "Leave it" }).click();
    await form.getByText("What you typed in “Name” is lost.").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await form.getByRole("button", { name: "Go on typing" }).click();
    expect(await name.inputValue()).toBe("Hesper Castings");
    await form.getByRole("button", { name: "Leave it" }).click();
    await form.getByRole("button", { name: "Leave and lose it" }).click();
    await open();
    expect(await name.inputValue()).toBe("");
    await form.getByRole("button", { name: "Leave it" }).click();
    await form.waitFor({ state: "detached" });
    await open();
    await name.fill("Hesper Castings");
    await form.getByRole("button", { name: /^(Add|Save)/ }).click();
    await page
      .getByText(/Added supplier|Hesper Castings/)
      .first()
      .waitFor();
    await page.reload();
    await open();
    expect(await name.inputValue()).toBe("");
    await page.context().close();
  });

  it("keeps the row it was typed over: what somebody else saved meanwhile is shown beside it", async () => {
    const { page } = await demo.open(demo.at("restoration"));
    const form = page.getByRole("form", { name: "The restoration" });
    await form.getByLabel("Machine", { exact: true }).fill("1913 Tallow & Wren cyclecar");
    await page
      .getByRole("navigation", { name: "Sheets" })
      .getByRole("link", { name: /^Today/ })
      .click();
    await page.getByRole("navigation", { name: "Inside Today" }).waitFor();
    const { id, revision } = await demo.server.store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    await demo.server.query(`mutation ($input: RestorationInput!) { saveRestoration(input: $input) { __typename } }`, {
      input: { id, revision, machine: "1913 Tallow & Wren" },
    });
    await page.goBack();
    await form.getByText(STILL).waitFor();
    expect(await form.getByLabel("Machine", { exact: true }).inputValue()).toBe("1913 Tallow & Wren cyclecar");
    await form.getByRole("button", { name: /^Save/ }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByText("1913 Tallow & Wren", { exact: true }).waitFor();
    await page.context().close();
  });
});

describe("without a connection", () => {
  it.each([SIZES[0], SIZES[1]])("every address opens on the program's own page, at %o", async (size) => {
    const { page } = await demo.open(demo.at("work/hours"), size);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    await expect.poll(() => page.evaluate(() => navigator.serviceWorker.controller !== null)).toBe(true);
    await page.context().setOffline(true);
    for (const path of [demo.at("hold-ups"), demo.at("parts"), `${new URL(demo.at("parts")).origin}/club/sources`]) {
      await page.goto(path);
      await page
        .getByText(/did not answer|There is no connection/)
        .first()
        .waitFor();
      expect(await findingsOf(page)).toEqual([]);
    }
    await page.context().close();
  });
});
