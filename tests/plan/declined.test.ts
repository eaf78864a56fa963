/** What the owner declined is not in force: the plan counts on what is left, and says that there is something to choose. */
import { describe, expect, test } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import type { DecisionRow } from "../../server/plan/rows/rows.ts";
import { operation, part, quote, rowsOf, way } from "../support/planRows.ts";

const word = (id: string, of: Partial<DecisionRow>): DecisionRow => ({
  id,
  quoteId: null,
  remedyId: null,
  wayId: null,
  state: "DECLINED",
  askedOn: "2027-01-02",
  ...of,
});
const plan = (decisions: readonly DecisionRow[], quotes = ["DEAR", "CHEAP"]) =>
  computePlan(
    rowsOf({
      operations: [operation("FIT", 8)],
      parts: [part("lamp", { chosenQuoteId: "DEAR" })],
      needs: [{ operationId: "FIT", partId: "lamp" }],
      quotes: quotes.map((code) => quote(code, "lamp", code === "DEAR" ? 10 : 30)),
      decisions,
    }),
    { figuresFor: "2027-01-04", confidence: null },
  );

describe("a quote that the owner declined", () => {
  test("is not itself to order: the plan counts on the next, undecided, and its part stays to be chosen and ordered", () => {
    const { toOrder, declined, ladder, quoteInForce, parts } = plan([word("NO", { quoteId: "DEAR" })]);
    const asked = { code: "lamp", declinedId: "NO", quoteId: "CHEAP", decided: false, orderBy: "2027-01-04" };
    expect(toOrder).toMatchObject([asked]);
    expect(declined).toMatchObject([asked]);
    expect(ladder[0]).toMatchObject({ quoteId: "CHEAP", arrivalDate: "2027-02-03" });
    expect(quoteInForce.get("lamp")).toBe("CHEAP");
    expect(parts.get("lamp")).toMatchObject({ state: "UNDECIDED" });
  });

  test("stands before what else is due on the same day", () => {
    const rows = rowsOf({
      operations: [operation("FIT", 8)],
      parts: ["axle", "lamp"].map((code) => part(code, { chosenQuoteId: `${code} DEAR` })),
      needs: ["axle", "lamp"].map((partId) => ({ operationId: "FIT", partId })),
      quotes: ["axle", "lamp"].flatMap((code) => ["DEAR", "CHEAP"].map((q) => quote(`${code} ${q}`, code, 30))),
      decisions: [word("NO", { quoteId: "lamp DEAR" })],
    });
    const { toOrder } = computePlan(rows, { figuresFor: "2027-01-04", confidence: null });
    expect(toOrder.map(({ code, orderBy }) => [code, orderBy])).toEqual([
      ["lamp", "2027-01-04"],
      ["axle", "2027-01-04"],
    ]);
  });

  test("leaves completion open where it was the only one", () => {
    const { completion, declined, parts, toOrder } = plan([word("NO", { quoteId: "DEAR" })], ["DEAR"]);
    expect(toOrder).toEqual([]);
    expect(completion).toMatchObject({ open: true, date: null });
    expect(declined).toMatchObject([{ open: true, declinedId: "NO" }]);
    expect(parts.get("lamp")).toMatchObject({ state: "NO_SOURCE" });
  });

  test.each(["WAITING", "APPROVED"] as const)("is in force again once it was asked anew and is %s", (state) => {
    const { toOrder, declined } = plan([
      word("NO", { quoteId: "DEAR" }),
      word("AGAIN", { quoteId: "DEAR", state, askedOn: "2027-01-03" }),
    ]);
    expect(declined).toEqual([]);
    expect(toOrder).toMatchObject([{ quoteId: "DEAR", decided: true }]);
  });

  test("stays declined where it was asked anew and that was withdrawn", () => {
    const { declined } = plan([
      word("NO", { quoteId: "DEAR" }),
      word("AGAIN", { quoteId: "DEAR", state: "WITHDRAWN", askedOn: "2027-01-03" }),
    ]);
    expect(declined).toMatchObject([{ declinedId: "NO" }]);
  });

  test("is settled by choosing another", () => {
    const { toOrder, declined } = plan([word("NO", { quoteId: "CHEAP" })]);
    expect(declined).toEqual([]);
    expect(toOrder).toMatchObject([{ quoteId: "DEAR", decided: true }]);
  });
});

test("work that the owner would not have sent out is counted in the shop, unless it has gone already", () => {
  const ends = (decisions: readonly DecisionRow[], begun: boolean) =>
    computePlan(
      rowsOf({
        operations: [
          operation("GRIND", 80, {
            chosenWayId: "OUT",
            ...(begun ? { state: "UNDER_WAY" as const, startedOn: "2027-01-04", remainingHours: 0 } : {}),
          }),
        ],
        ways: [way("OUT", "GRIND", 0, 3)],
        decisions,
      }),
      { figuresFor: "2027-01-04", confidence: null },
    ).completion.date;
  const no = [word("NO", { wayId: "OUT" })];
  expect(ends([], false)).not.toBe("2027-01-15");
  expect(ends(no, false)).toBe("2027-01-15");
  expect(ends(no, true)).toBe(ends([], true));
});
