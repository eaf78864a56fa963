/** The own list of an account that is a hand's, first on Today and on Hours. */
import { describe, expect, it } from "vitest";
import { fillDemo } from "../../seed/load.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn } from "../support/demo.ts";

const demo = demoInBrowser(fillDemo);

describe("an account that is a hand's", () => {
  it.each(SIZES)("reads its own work first, and is away tomorrow in two taps, at %j", async (size) => {
    const { store } = demo.server;
    const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    const account = await store.account.findFirstOrThrow({
      where: { workshopId, role: "RESTORER" },
      orderBy: { id: "asc" },
    });
    const { page, errors } = await demo.open(demo.at("today"), size, "#order .lines");
    await expect.poll(() => page.locator("#own-work").count()).toBe(0);
    const free = await page.evaluate(
      async (id) =>
        (
          await (
            await fetch("/graphql", {
              method: "POST",
              headers: { "content-type": "application/json" },
              body: JSON.stringify({
                query: `query ($id: ID!) { holdUps(restoration: $id) { figuresFor schedule(first: 500) { edges { node { hands earlyStartDate operation { title state } } } }
                  freeToStart(first: 50) { edges { node { from operation { id title } } } } } }`,
                variables: { id },
              }),
            })
          ).json()
        ).data.holdUps,
      demo.restoration,
    );
    const now = new Set(
      free.freeToStart.edges.flatMap(({ node }: { node: { from: string; operation: { title: string } } }) =>
        node.from === free.figuresFor ? [node.operation.title] : [],
      ),
    );
    const first = free.schedule.edges
      .map(({ node }: { node: { hands: string[]; operation: { title: string } } }) => node)
      .find(
        ({ hands, operation }: { hands: string[]; operation: { title: string } }) =>
          hands.length > 0 && now.has(operation.title),
      );
    const hand = await store.hand.findFirstOrThrow({ where: { workshopId, name: first.hands[0] } });
    await store.hand.update({ where: { id: hand.id }, data: { accountId: account.id } });
    await page.reload();
    await page.locator("#own-work").waitFor();
    await expect.poll(() => saidIn(page.locator("#own-work"))).toContain(first.operation.title);
    await expect.poll(() => saidIn(page.locator("main section").first())).toContain(`Your work, ${hand.name}`);
    expect(await findingsOf(page)).toEqual([]);
    expect(await offThePage(page)).toBeLessThanOrEqual(0);
    await page.getByRole("button", { name: "I am away" }).click();
    await page.getByRole("button", { name: /^Tomorrow/ }).click();
    await expect.poll(() => store.absence.count({ where: { handId: hand.id } })).toBeGreaterThan(0);
    await store.absence.deleteMany({ where: { handId: hand.id } });
    await page.goto(demo.at("work/hours"));
    const mine = page.locator("main section").first();
    await expect.poll(() => saidIn(mine)).toContain(`Yours now, ${hand.name}`);
    await mine.getByRole("button", { name: first.operation.title }).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    expect(errors).toEqual([]);
    await page.context().close();
    await store.hand.update({ where: { id: hand.id }, data: { accountId: null } });
  });
});
