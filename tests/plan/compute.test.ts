import { describe, expect, it } from "vitest";
import { computePlan, PlanFault } from "../../server/plan/compute.ts";
import type { Plan } from "../../server/plan/plan.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { link, MONDAY, operation, order, part, quote, remedy, rowsOf, snag } from "../support/planRows.ts";

const planOf = (rows: Partial<PlanRows>, confidence: number | null = null, figuresFor = MONDAY): Plan =>
  computePlan(rowsOf(rows), { figuresFor, confidence });
const need = (operationId: string, partId: string) => ({ operationId, partId });
const show = (targetDate: string) => ({
  restoration: { id: "r", machine: "", targetDate, targetName: "Show", confidence: null, rank: 1 },
});

describe("completion", () => {
  it("of two days' work begun on Monday is Tuesday", () => {
    const { completion } = planOf({ operations: [operation("fit", 16)] });
    expect([completion.date, completion.hours, completion.open]).toEqual(["2026-11-24", 16, false]);
  });

  it("of a part ordered on Monday with five days' lead: it comes on Saturday and is fitted on the Monday after", () => {
    const plan = planOf({
      operations: [operation("fit", 8)],
      needs: [need("fit", "chain")],
      parts: [part("chain", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "chain", 5)],
    });
    const [rung] = plan.ladder;
    expect(rung).toMatchObject({
      arrivalDate: "2026-11-28",
      usableDate: "2026-11-30",
      completionDate: "2026-11-30",
      nextCompletionDate: "2026-11-23",
      daysGained: 7,
    });
    expect(plan.completion.date).toBe("2026-11-30");
    expect(plan.completion.workOnlyDate).toBe("2026-11-23");
  });

  it("with nothing to do is the day of the figures", () => expect(planOf({}).completion.date).toBe(MONDAY));

  it("tells a plan with nothing entered from one with everything done", () => {
    const done = operation("strip", 40, { state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-20" });
    expect(planOf({}).completion.entered).toBe(false);
    expect(planOf({ operations: [done] }).completion).toMatchObject({ entered: true, workOnlyHours: 0 });
  });

  it("says how many calendar days it is past the target, or before it", () => {
    const operations = [operation("fit", 16)];
    expect(planOf({ ...show("2026-11-20"), operations }).completion.daysLate).toBe(4);
    expect(planOf({ ...show("2026-12-01"), operations }).completion.daysLate).toBe(-7);
    expect(planOf({ operations }).completion.daysLate).toBeNull();
  });
});

describe("a part with no source", () => {
  const rows = {
    operations: [operation("fit", 8), operation("test", 8)],
    links: [link("fit", "test")],
    needs: [need("fit", "bracket"), need("test", "tyre")],
    parts: [part("bracket"), part("tyre", { chosenQuoteId: "Q" })],
    quotes: [quote("Q", "tyre", 30)],
  };
  const plan = planOf(rows);

  it("leaves completion open, however well all else is planned", () => {
    expect(plan.completion.open).toBe(true);
    expect(plan.completion.date).toBeNull();
    expect(plan.completion.hours).toBeNull();
    expect(plan.completion.dateWithOpenInHand).toBe("2026-12-24");
  });
  it("stands first on the ladder, with the date by which it must be in hand to change nothing", () => {
    const [first, second] = plan.ladder;
    expect(first).toMatchObject({ code: "bracket", open: true, completionDate: null, state: "NO_SOURCE" });
    // The tyre can be used on Thursday 24 December; the bracket is fitted the day before.
    expect(first!.needBy).toBe("2026-12-22");
    expect(second!.code).toBe("tyre");
    expect(plan.waitsForOpen("test")).toEqual([{ kind: "PART", title: plan.ladder[0]!.title }]);
  });
  it("leaves it open even when no operation says that it needs the part", () =>
    expect(planOf({ operations: [operation("fit", 8)], parts: [part("badge")] }).completion.open).toBe(true));
  it("holds nothing up once the operation that needs it is done", () =>
    expect(
      planOf({
        operations: [operation("fit", 8, { state: "DONE" })],
        needs: [need("fit", "bracket")],
        parts: [part("bracket")],
      }).completion.open,
    ).toBe(false));
  it("is not one that lies on the shelf and only needs work", () =>
    expect(
      planOf({ operations: [operation("fit", 8)], parts: [part("hub", { stateOnHand: "NEEDS_WORK" })] }).ladder,
    ).toEqual([]));
});

describe("an undecided part", () => {
  const rows = (quotes: PlanRows["quotes"]) => ({
    operations: [operation("fit", 8)],
    needs: [need("fit", "lamp")],
    parts: [part("lamp")],
    quotes,
  });
  it("is planned on the quote that brings it first, and marked as undecided", () => {
    const [rung] = planOf(rows([quote("slow", "lamp", 60), quote("quick", "lamp", 20)])).ladder;
    expect(rung).toMatchObject({ quoteId: "quick", decided: false, state: "UNDECIDED" });
  });
  it("is not planned on a quote that has run out while another still holds", () => {
    const expired = quote("quick", "lamp", 20, { validUntil: "2026-11-01" });
    expect(planOf(rows([expired, quote("slow", "lamp", 60)])).ladder[0]!.quoteId).toBe("slow");
  });
  it("waits for the day on which the maker takes orders", () => {
    const [rung] = planOf(rows([quote("Q", "lamp", 10, { orderFrom: "2026-12-07" })])).ladder;
    expect(rung).toMatchObject({ orderOn: "2026-12-07", arrivalDate: "2026-12-17" });
  });
});

describe("an order", () => {
  const rows = (o: Parameters<typeof order>[3]) => ({
    operations: [operation("fit", 8)],
    needs: [need("fit", "chain")],
    parts: [part("chain", { chosenQuoteId: "Q" })],
    quotes: [quote("Q", "chain", 29)],
    orders: [order("O", "chain", "Q", o)],
  });
  it("brings the part when it was promised", () =>
    expect(planOf(rows({})).ladder[0]).toMatchObject({
      state: "ORDERED",
      arrivalDate: "2026-12-01",
      orderBy: null,
    }));
  it("past its promise cannot arrive before today, and is chased", () => {
    const plan = planOf(rows({ promisedOn: "2026-11-16" }));
    expect(plan.ladder[0]).toMatchObject({ state: "LATE", arrivalDate: MONDAY, usableDate: "2026-11-24" });
    expect(plan.chase).toEqual([{ orderId: "O", partId: "chain", daysLate: 7, holdsUp: true }]);
  });
  it("goes by the maker's newest word", () =>
    expect(planOf(rows({ promisedOn: "2026-11-16", expectedOn: "2026-12-14" })).ladder[0]!.arrivalDate).toBe(
      "2026-12-14",
    ));
  it("that has arrived holds nothing up", () => {
    const plan = planOf(rows({ state: "ARRIVED", arrivedOn: "2026-11-20" }));
    expect(plan.ladder).toEqual([]);
    expect(plan.parts.get("chain")!.state).toBe("ARRIVED");
  });
  it("that has come is to be tried, that day and after, until it is accepted", () => {
    for (const arrivedOn of [MONDAY, "2026-11-20"]) {
      const state = (o: Parameters<typeof rows>[0]) => planOf(rows({ arrivedOn, ...o })).parts.get("chain")!.state;
      expect(state({ state: "ARRIVED" })).toBe("ARRIVED");
      expect(state({ state: "ACCEPTED" })).toBe("IN_HAND");
    }
  });
  it("that was sent back is no source: the part is to be ordered again", () =>
    expect(planOf(rows({ state: "SENT_BACK", arrivedOn: "2026-11-10" })).ladder[0]).toMatchObject({
      state: "TO_ORDER",
      orderId: null,
      arrivalDate: "2026-12-22",
    }));
});

describe("order-by dates", () => {
  const rows = {
    operations: [operation("fit", 8), operation("test", 8)],
    links: [link("fit", "test")],
    needs: [need("fit", "casing"), need("test", "belt")],
    parts: [part("casing", { chosenQuoteId: "C" }), part("belt", { chosenQuoteId: "B" })],
    quotes: [quote("C", "casing", 60), quote("B", "belt", 10, { leadLeast: 6, leadLikely: 9, leadMost: 18 })],
  };
  it("leave completion where it is: need-by date less the promised lead time", () => {
    const belt = planOf(rows).toOrder.find((h) => h.code === "belt")!;
    // The casing comes on Friday 22 January and is fitted on Monday; the belt is fitted on Tuesday.
    expect(belt.needBy).toBe("2027-01-25");
    expect(belt.orderBy).toBe("2027-01-15");
    expect(belt.daysLeft).toBe(53);
  });
  it("at a chosen confidence allow for the lead time that holds with that chance", () => {
    // PERT-beta (6, 9, 18): 80 % quantile 11.882 days, 95 % 13.889 (R and scipy)
    // The casing, which sets the end, is certain here: otherwise that end would not be held at all.
    const certain = quote("C", "casing", 60, { leadLeast: 60, leadLikely: 60, leadMost: 60 });
    const sure = { ...rows, quotes: [certain, rows.quotes[1]!] };
    const at = (p: number) => planOf(sure, p).toOrder.find((h) => h.code === "belt")!.orderBy;
    expect(at(0.8)).toBe("2027-01-13");
    expect(at(0.95)).toBe("2027-01-11");
  });
  it("come first for what holds the end up, with no more grace than the weekend on which it would lie unused", () =>
    expect(planOf(rows).toOrder[0]).toMatchObject({
      code: "casing",
      arrivalDate: "2027-01-22",
      floatDays: 2,
      daysLeft: 2,
    }));
  it("against the target say what the show would need", () => {
    const belt = planOf({ ...rows, ...show("2026-12-18") }).toOrder.find((h) => h.code === "belt")!;
    expect(belt.needByTarget).toBe("2026-12-17");
    expect(belt.orderByTarget).toBe("2026-12-07");
  });
});

describe("ties", () => {
  const plan = planOf({
    operations: [operation("hood", 8)],
    needs: [need("hood", "duck"), need("hood", "frame"), need("hood", "studs")],
    parts: ["duck", "frame", "studs"].map((code) => part(code, { chosenQuoteId: code })),
    // Saturday, Sunday, and the Thursday before
    quotes: [quote("duck", "duck", 5), quote("frame", "frame", 6), quote("studs", "studs", 3)],
  });
  it("stand together, and clearing only one of them gains nothing", () => {
    const [a, b, c] = plan.ladder;
    expect([a!.tie, b!.tie, c!.tie]).toEqual([0, 0, 1]);
    expect([a!.tieSize, b!.tieSize, c!.tieSize]).toEqual([2, 2, 1]);
    expect([a!.daysGained, b!.daysGained]).toEqual([0, 0]);
    expect(a!.nextCompletionDate).toBe(a!.completionDate);
    expect(b!.nextCompletionDate).toBe(c!.completionDate);
    expect(c!.nextCompletionDate).toBe(plan.completion.workOnlyDate);
  });
});

describe("a snag", () => {
  const rows = {
    operations: [operation("fit", 8), operation("run", 8)],
    links: [link("fit", "run")],
    snags: [snag("crack", "run")],
  };
  it("without any remedy leaves completion open", () => {
    const plan = planOf(rows);
    expect(plan.completion.open).toBe(true);
    expect(plan.ladder[0]).toMatchObject({ kind: "SNAG", code: "crack", open: true });
  });
  it("stops its operation until the remedy is to hand and its hours are worked", () => {
    const plan = planOf({ ...rows, remedies: [remedy("weld", "crack", 7, 16)] });
    // To hand on Monday 30 November, two days' work from Tuesday, then the run on Thursday.
    expect(plan.completion.date).toBe("2026-12-03");
    expect(plan.chain(plan.ladder[0]!).map((s) => [s.kind, s.startDate, s.finishDate])).toEqual([
      ["PREPARATION", "2026-12-01", "2026-12-02"],
      ["OPERATION", "2026-12-03", "2026-12-03"],
    ]);
  });
  it("that is cleared stops nothing", () =>
    expect(planOf({ ...rows, snags: [snag("crack", "run", { clearedOn: "2026-11-20" })] }).completion.open).toBe(
      false,
    ));
});

describe("work", () => {
  it("that a part brings before it fits is done when the part has come", () => {
    const plan = planOf({
      operations: [operation("fit", 8)],
      needs: [need("fit", "lamp")],
      parts: [part("lamp", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "lamp", 6, { preparationHours: 12 })],
    });
    expect(plan.completion).toMatchObject({ date: "2026-12-02", workOnlyHours: 20 });
  });
  it("under way counts what remains, and done work its dates", () => {
    const plan = planOf({
      operations: [
        operation("strip", 40, { state: "DONE", startedOn: "2026-11-16", finishedOn: "2026-11-20" }),
        operation("frame", 40, { state: "UNDER_WAY", startedOn: "2026-11-19", remainingHours: 8 }),
      ],
      links: [link("strip", "frame")],
    });
    expect(plan.completion.date).toBe(MONDAY);
    expect(plan.operations.get("strip")).toMatchObject({
      earlyStartDate: "2026-11-16",
      earlyFinishDate: "2026-11-20",
      earlyFinish: 0,
    });
    expect(plan.operations.get("frame")).toMatchObject({ earlyStartDate: "2026-11-19", earlyFinish: 8 });
  });
  it("is free when nothing unfinished stands before it, its parts are in hand and no snag is open", () => {
    const plan = planOf({
      operations: [
        operation("strip", 8, { state: "DONE", finishedOn: "2026-11-20" }),
        operation("frame", 24),
        operation("axle", 8),
        operation("wheels", 8),
        operation("wiring", 2),
        operation("test", 8),
      ],
      links: [link("strip", "frame"), link("frame", "test")],
      needs: [need("axle", "beam"), need("wheels", "rims")],
      parts: [part("beam", { stateOnHand: "IN_HAND" }), part("rims", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "rims", 1)],
      snags: [snag("short", "wiring")],
      remedies: [remedy("rewire", "short", 2, 1)],
    });
    expect(plan.freeToStart.map((f) => f.operationId).sort()).toEqual(["axle", "frame"]);
    expect(plan.freeToStart.find((f) => f.operationId === "frame")).toMatchObject({ critical: true, hours: 24 });
  });
  it("that waits for a part is counted directly and through others, each once", () => {
    const plan = planOf({
      operations: ["a", "b", "c", "d"].map((code) => operation(code, 10)),
      links: [link("a", "b"), link("a", "c"), link("b", "d"), link("c", "d")],
      needs: [need("a", "part")],
      parts: [part("part", { chosenQuoteId: "Q" })],
      quotes: [quote("Q", "part", 10)],
    });
    expect(plan.waiting(plan.ladder[0]!)).toEqual({ directOperations: 1, waitingOperations: 4, waitingHours: 40 });
  });
});

describe("rows that make no plan", () => {
  const faultOf = (rows: Partial<PlanRows>) => {
    try {
      planOf(rows);
    } catch (error) {
      if (error instanceof PlanFault) return error.faults[0]!;
      throw error;
    }
    throw new Error("no fault was found");
  };
  it("name the path of a circle by the codes that people know", () => {
    const rename = (id: string, code: string) => operation(id, 1, { code });
    const fault = faultOf({
      operations: [rename("1", "W010"), rename("2", "W020")],
      links: [link("1", "2"), link("2", "1")],
    });
    expect(fault.code).toBe("CYCLE");
    expect(new Set(fault.rows)).toEqual(new Set(["W010", "W020"]));
    expect(fault.message).toMatch(/W0[12]0 → W0[12]0 → W0[12]0/);
  });
  it("name an unknown predecessor", () =>
    expect(faultOf({ operations: [operation("a", 1)], links: [link("ghost", "a")] })).toMatchObject({
      code: "UNKNOWN_ROW",
      field: "before",
    }));
  it("name hours that are negative", () =>
    expect(faultOf({ operations: [operation("a", -1)] })).toMatchObject({
      code: "NEGATIVE",
      row: "a",
      field: "hours",
    }));
});
