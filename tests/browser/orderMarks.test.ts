/** "Do this first" and "not before" on an operation, and what they cost, on each machine of a shop. */
import { describe, expect, it } from "vitest";
import { fillDemo } from "../../seed/load.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn } from "../support/demo.ts";

const demo = demoInBrowser(fillDemo);

const machines = ["the first machine", "a second machine"] as const;

describe.each(machines)("what is set of the order of work of %s", (machine) => {
  it.each(SIZES.slice(0, 2))("says what it costs in days, at %j", async (size) => {
    const { store } = demo.server;
    const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    const [first, second] = await store.restoration.findMany({
      where: { workshopId, operations: { some: {} } },
      orderBy: { rank: "asc" },
    });
    const { id } = machine === machines[0] ? first! : second!;
    // What is done last holds the end from the day on which it may begin.
    const operation = await store.operation.findFirstOrThrow({
      where: { restorationId: id, state: "NOT_STARTED", notBefore: null, after: { none: {} } },
      orderBy: { code: "asc" },
    });
    const { page, errors } = await demo.open(demo.at(`work/${operation.id}`, id), size);
    const form = page.getByRole("form", { name: `Operation ${operation.code}` });
    await form.getByLabel("Not before").fill("2029-03-05");
    await form.getByLabel("Do this first").check();
    await form.getByRole("button", { name: "Save the operation" }).click();
    await page.locator(".notice", { hasText: operation.title }).waitFor();
    await page.goto(demo.at("work/by-hand", id));
    const rows = page.locator("#order-marks tbody tr", { hasText: operation.title });
    await expect.poll(() => rows.count(), { timeout: 30_000 }).toBe(2);
    const [done, held] = [await saidIn(rows.nth(0)), await saidIn(rows.nth(1))];
    expect(done).toMatch(/done first/);
    expect(done).toMatch(/no day|\d+ days?/);
    expect(held).toMatch(/not before a day.*\d{2,} days/);
    expect(await findingsOf(page)).toEqual([]);
    expect(await offThePage(page)).toBeLessThanOrEqual(0);
    if (process.env["SHOTS"])
      await page.locator("#order-marks").screenshot({
        path: `${process.env["SHOTS"]}/marks-${size.viewport.width}-${machines.indexOf(machine)}.png`,
      });
    expect(errors).toEqual([]);
    await page.goto(demo.at(`work/${operation.id}`, id));
    await form.getByLabel("Not before").fill("");
    await form.getByLabel("Do this first").uncheck();
    await form.getByRole("button", { name: "Save the operation" }).click();
    await page.locator(".notice", { hasText: operation.title }).waitFor();
    await page.context().close();
  });
});
