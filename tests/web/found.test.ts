/** What was found as the list says it: which words are marked, what is said at the right, and where a row is read. */
import { describe, expect, test } from "vitest";
import { calledInList, type FoundRow, pieces, whatOfIt, whereItIs } from "../../web/find/found.ts";

const row = (more: Partial<FoundRow>): FoundRow => ({
  kind: "PART",
  id: "a/b",
  code: "12",
  title: "Gearbox casing",
  beside: null,
  fits: [],
  part: null,
  supplyState: null,
  madeHere: false,
  orderBy: null,
  operationState: null,
  decisionState: null,
  orderState: null,
  invoiceKind: null,
  hours: null,
  trades: [],
  day: null,
  amount: null,
  member: null,
  sources: null,
  namesDown: null,
  smallest: null,
  ...more,
});
const DAY = "2026-11-23";

test("words that fit are marked whole, wherever they stand, and nothing else", () => {
  const marked = (text: string, fits: string[]) =>
    pieces(text, fits)
      .map((piece) => (piece.fits ? `<${piece.text}>` : piece.text))
      .join("");
  expect(marked("Gearbox casing, casings", ["casing"])).toBe("Gearbox <casing>, casings");
  expect(marked("T.W. (301)+4", ["T.W. (301)+4"])).toBe("<T.W. (301)+4>");
  expect(marked("Läder", ["L"])).toBe("Läder");
  expect(marked("Läder", [])).toBe("Läder");
});

describe("what is said at the right", () => {
  test.each<[Partial<FoundRow>, string]>([
    [{ supplyState: "TO_ORDER", orderBy: "2026-11-20" }, "order today"],
    [{ supplyState: "TO_ORDER", orderBy: "2026-12-06" }, "order by 6 Dec"],
    [{ supplyState: "TO_ORDER", orderBy: DAY, madeHere: true }, "begin today"],
    [{ supplyState: "NO_SOURCE" }, "no source"],
    [{}, ""],
    [{ kind: "OPERATION", operationState: "NOT_STARTED", hours: 20, trades: ["machining"] }, "20 h, machining"],
    [{ kind: "OPERATION", operationState: "DONE", day: "2026-09-16" }, "done 16 Sep"],
    [
      { kind: "DECISION", decisionState: "WAITING", amount: { minor: 182_880, currency: "GBP", decimals: 2 } },
      "£1,828.80, waits for the owner",
    ],
    [{ kind: "SOURCE", sources: 5 }, "5 sources"],
    [{ kind: "BATCH", namesDown: 6, smallest: 8 }, "6 of 8 names down"],
  ])("%o: %s", (more, said) => expect(whatOfIt(row(more), DAY).replaceAll("\u00a0", " ")).toBe(said));
});

test("a number stands with its noun", () => {
  expect(calledInList(row({ kind: "WANT", code: "85" }))).toBe("Wanted 85: Gearbox casing");
  expect(calledInList(row({ kind: "INVOICE", title: "", invoiceKind: "RECEIPT", code: "3" }))).toBe("Receipt 3");
});

test("a row is read on its own sheet, and by an owner in the report", () => {
  expect(whereItIs(row({}), "r", false)).toBe("/restorations/r/parts/a%2Fb");
  expect(whereItIs(row({ kind: "ORDER", part: "p" }), "r", false)).toBe("/restorations/r/parts/p");
  expect(whereItIs(row({}), "r", true)).toBe("/restorations/r/money/report");
  expect(whereItIs(row({ kind: "SOURCE" }), "", false)).toBe("/club/sources?q=Gearbox+casing");
});
