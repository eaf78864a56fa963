/** What the cap leaves: one figure for the Money sheet, the owner's report and the plans to choose from. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { differencesOf, plansOf, splitOf, takenUp } from "../../server/plan/choice/choices.ts";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { exposureOf } from "../../server/plan/money/exposure.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { plansFor, type Workshops, workshops } from "./workshops.ts";

let all: Workshops;
beforeAll(async () => {
  all = await workshops();
});
afterAll(() => all.server.close());

const CAP_LEFT = "query ($id: ID!) { restoration(id: $id) { exposure { capLeft { minor } } } }";
interface CapLeft {
  restoration: { exposure: { capLeft: { minor: number } | null } };
}

const SETTINGS = [true, false].flatMap((capCoversLabour) =>
  [true, false].map((countOwnHours) => ({ capCoversLabour, countOwnHours })),
);

/** Ways and remedies of the demo in turn paid for in part and paid more for than they cost, one in another currency. */
beforeAll(async () => {
  const { store } = all.server;
  const restorationId = all.ids[0]!;
  const rows = { where: { restorationId }, orderBy: { code: "asc" } } as const;
  const out = await store.operationWay.findFirstOrThrow({ where: { restorationId, code: "CRANK-OUT" } });
  await store.operationWay.update({ where: { id: out.id }, data: { currency: "EUR" } });
  const paid = [
    ...(await store.operationWay.findMany(rows)).map(({ id, ...price }) => ({ wayId: id, ...price })),
    ...(await store.remedy.findMany(rows)).map(({ id, ...price }) => ({ remedyId: id, ...price })),
  ];
  await store.payment.createMany({
    data: paid.map(({ priceMinor, currency, code, ...of }, at) => ({
      restorationId,
      kind: "BALANCE" as const,
      paidOn: "2027-01-04",
      currency,
      amountMinor: at % 2 === 1 || code === "CRANK-OUT" ? priceMinor + 50_00 : 10_00,
      ...("wayId" in of ? { wayId: of.wayId } : { remedyId: of.remedyId }),
    })),
  });
});

describe.each(SETTINGS)("a cap that covers labour: $capCoversLabour, own hours counted: $countOwnHours", (setting) => {
  test("leaves the same on the Money sheet, in the owner's report, and for each plan to choose from as taken up", async () => {
    let compared = 0;
    let inForce = 0;
    for (const id of all.ids) {
      await all.server.store.restoration.update({
        where: { id },
        data: { capMinor: 2_000_000_00, ...setting, planRevision: { increment: 1 } },
      });
      const rows = await loadExposureRows(all.server.store, id, undefined);
      const money = exposureOf(rows).capLeftMinor!;
      for (const role of ["RESTORER", "OWNER"] as const) {
        const { exposure } = (await all.asked<CapLeft>(id, CAP_LEFT, role)).restoration;
        expect(exposure.capLeft).toEqual({ minor: money });
      }
      const problem = choiceProblem(rows);
      const choices = { problem, found: await plansFor(problem) };
      for (const plan of plansOf(choices).slice(0, 150)) {
        const left = problem.capLeftMinor! - splitOf(plan).countedMinor;
        expect(left).toBe(exposureOf({ ...rows, plan: takenUp(plan, rows.plan) }).capLeftMinor);
        compared += 1;
        if (differencesOf(plan).length > 0) continue;
        expect(left).toBe(money);
        // What the drawing sets against the cap of what is in force.
        const { countedMinor, landedMinor, costMinor } = problem.inForce;
        // Where something in force has no price that can be worked out, its plan counts the rest, and it counts nothing.
        const split = splitOf(plan);
        expect({ countedMinor, landedMinor }).toEqual(
          costMinor === null
            ? { countedMinor: null, landedMinor: null }
            : { countedMinor: split.countedMinor, landedMinor: split.landedMinor },
        );
        // The demo's one supplier who charges on an order: carriage with its tax.
        expect(splitOf(plan).chargedMinor).toBe(problem.chargedMinor);
        if (id === all.ids[0]) expect(problem.chargedMinor).toBe(14_40);
        inForce += 1;
      }
    }
    expect(compared).toBeGreaterThan(50);
    expect(inForce).toBeGreaterThan(2);
  }, 90_000);
});
