import { describe, expect, it } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import { link, MONDAY, operation, order, part, quote, rowsOf, way } from "../support/planRows.ts";

const plan = (rows: Parameters<typeof rowsOf>[0]) =>
  computePlan(rowsOf(rows), { figuresFor: MONDAY, confidence: null });

describe("ways to do an operation", () => {
  const grind = operation("GRIND", 16);
  const ways = [way("BENCH", "GRIND", 12, 0), way("OUT", "GRIND", 4, 28)];
  const rows = { operations: [grind, operation("ASSEMBLE", 8)], links: [link("GRIND", "ASSEMBLE")], ways };

  it("change nothing while none is chosen: the operation's own hours stand", () => {
    const { completion } = plan(rows);
    expect(completion.hours).toBe(24);
    expect(completion.date).toBe("2026-11-25");
  });

  it("at the bench, the chosen way's hours stand for the operation's", () => {
    const chosen = plan({ ...rows, operations: [{ ...grind, chosenWayId: "BENCH" }, operation("ASSEMBLE", 8)] });
    expect(chosen.completion.hours).toBe(20);
    expect(chosen.freeToStart[0]?.hours).toBe(12);
  });

  it("sent out, what follows waits in calendar days for the return", () => {
    const sent = plan({ ...rows, operations: [{ ...grind, chosenWayId: "OUT" }, operation("ASSEMBLE", 8)] });
    const [away, after] = [sent.operations.get("GRIND")!, sent.operations.get("ASSEMBLE")!];
    // Four hours on Monday 23 November, twenty-eight days away: back at noon on Monday 21 December.
    expect(away).toMatchObject({ earlyStartDate: MONDAY, earlyFinishDate: "2026-12-21", lateFinishDate: "2026-12-21" });
    expect(after.earlyStartDate).toBe("2026-12-21");
    expect(away.earlyFinish).toBe(after.earlyStart);
    expect(away.critical).toBe(true);
    // Without the hours and the wait only the eight hours of assembly are left.
    expect(away.drag).toBe(sent.completion.hours! - 8);
  });

  it("sent out several times over, each one's drag is what the end gains where it alone takes neither hours nor days", () => {
    const codes = Array.from({ length: 8 }, (_, i) => `OUT-${i}`);
    const several = {
      operations: [
        ...codes.map((code, i) => operation(code, 4 + i, { chosenWayId: `${code} away` })),
        operation("BESIDE", 150),
        operation("ASSEMBLE", 8),
      ],
      ways: codes.map((code, i) => way(`${code} away`, code, (3 * i) % 7, 5 + ((i * 11) % 23))),
      links: [
        ...codes.slice(1).map((code, i) => link(i % 3 === 2 ? codes[0]! : codes[i]!, code, i % 2, "HOURS")),
        ...codes.map((code, i) => link(code, "ASSEMBLE", i % 4, "DAYS")),
        link("BESIDE", "ASSEMBLE"),
      ],
    };
    const sent = plan(several);
    const critical = codes.filter((code) => sent.operations.get(code)!.critical);
    expect(critical.length).toBeGreaterThan(1);
    for (const code of codes) {
      // Through a way that takes next to nothing, and the same for its wait.
      const idle = plan({
        ...several,
        operations: several.operations.map((one) =>
          one.code === code ? { ...one, hoursLikely: 0, chosenWayId: null } : one,
        ),
      });
      expect(sent.operations.get(code)!.drag).toBeCloseTo(
        critical.includes(code) ? sent.completion.hours! - idle.completion.hours! : 0,
        9,
      );
    }
  });

  it("sent out last of all, the machine is finished when it is back", () => {
    const sent = plan({ operations: [{ ...grind, chosenWayId: "OUT" }], ways });
    expect(sent.completion.date).toBe("2026-12-21");
  });

  it("what is away already is back as many days after it went, whatever day the figures are for", () => {
    const gone = {
      ...grind,
      chosenWayId: "OUT",
      state: "UNDER_WAY" as const,
      startedOn: "2026-11-09",
      remainingHours: 0,
    };
    const sent = plan({ ...rows, operations: [gone, operation("ASSEMBLE", 8)] });
    expect(sent.operations.get("GRIND")!.earlyFinishDate).toBe("2026-12-07");
    expect(sent.operations.get("ASSEMBLE")!.earlyStartDate).toBe("2026-12-08");
  });

  it("done work is done, however it was done", () => {
    const done = { ...grind, chosenWayId: "OUT", state: "DONE" as const, finishedOn: "2026-11-20" };
    expect(plan({ ...rows, operations: [done, operation("ASSEMBLE", 8)] }).completion.date).toBe(MONDAY);
  });

  it("a hold-up's chain passes over the return as the end of the step that was sent out", () => {
    const sent = plan({
      ...rows,
      operations: [{ ...grind, chosenWayId: "OUT" }, operation("ASSEMBLE", 8)],
      parts: [part("PIN")],
      needs: [{ operationId: "GRIND", partId: "PIN" }],
      quotes: [quote("Q1", "PIN", 7)],
    });
    const [rung] = sent.ladder;
    expect(sent.chain(rung!).map(({ code, finishDate }) => [code, finishDate])).toEqual([
      ["GRIND", "2026-12-29"],
      ["ASSEMBLE", "2026-12-30"],
    ]);
    expect(sent.waiting(rung!)).toMatchObject({ waitingOperations: 2, waitingHours: 12 });
  });
});

describe("what a quote brings with it", () => {
  const rows = {
    operations: [operation("FIT", 8)],
    parts: [part("MAGNETO", { chosenQuoteId: "LATER" })],
    needs: [{ operationId: "FIT", partId: "MAGNETO" }],
    quotes: [quote("LATER", "MAGNETO", 0, { preparationHours: 2 }), quote("REWIND", "MAGNETO", 60)],
    knockOns: [
      { quoteId: "LATER", hours: 5 },
      { quoteId: "LATER", hours: 1 },
      { quoteId: "REWIND", hours: 40 },
    ],
  };

  it("adds its hours to those before the part fits", () => {
    expect(plan(rows).operations.get("FIT")!.earlyStart).toBe(16);
    expect(plan({ ...rows, knockOns: [] }).operations.get("FIT")!.earlyStart).toBe(10);
  });

  it("adds them when it is ordered too", () => {
    const ordered = { ...rows, orders: [order("O1", "MAGNETO", "LATER", { promisedOn: MONDAY })] };
    expect(plan(ordered).operations.get("FIT")!.earlyStart).toBe(16);
  });
});

describe("what is ruled out", () => {
  const rows = {
    operations: [operation("FIT", 8)],
    parts: [part("MAGNETO")],
    needs: [{ operationId: "FIT", partId: "MAGNETO" }],
    quotes: [
      quote("LATER", "MAGNETO", 3, { provenance: "LATER_SUBSTITUTE" }),
      quote("UNTESTED", "MAGNETO", 10, { provenance: "ORIGINAL" }),
      quote("REWIND", "MAGNETO", 60, { provenance: "ORIGINAL" }),
    ],
  };
  const inForce = (more: Parameters<typeof rowsOf>[0]) => plan({ ...rows, ...more }).quoteInForce.get("MAGNETO");
  const ruledOut = [{ partId: "MAGNETO", provenance: "LATER_SUBSTITUTE" as const }];

  it("does not stand in for a part not yet decided", () => {
    expect(inForce({})).toBe("LATER");
    expect(inForce({ ruledOut })).toBe("UNTESTED");
    expect(inForce({ ruledOut, quotes: rows.quotes.map((q) => ({ ...q, ruledOut: q.code === "UNTESTED" })) })).toBe(
      "REWIND",
    );
  });

  it("leaves the part without a source where nothing else is quoted", () => {
    const only = plan({ ...rows, ruledOut, quotes: rows.quotes.slice(0, 1) });
    expect(only.parts.get("MAGNETO")!.state).toBe("NO_SOURCE");
    expect(only.completion.open).toBe(true);
  });

  it("stays in force where somebody has chosen it all the same", () =>
    expect(inForce({ ruledOut, parts: [part("MAGNETO", { chosenQuoteId: "LATER" })] })).toBe("LATER"));
});
