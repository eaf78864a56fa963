/** Typed lines as rows of files. */
import { describe, expect, it } from "vitest";
import { rowsOf } from "../../web/several/tables.ts";

const rowsFor = (cells: Record<string, string>) => {
  const { rows } = rowsOf({ parts: [], work: [{ key: 1, cells: { title: "Paint", ...cells } }], quotes: [] });
  return (file: string) => rows.find((one) => one.file === file)?.rows.map((row) => row.cells);
};

describe("what an operation comes after", () => {
  it.each([
    ["Prime + 1.5 days", "1.5", "days"],
    ["Prime + 1,5 days", "1.5", "days"],
    ["Prime+3d", "3", "days"],
    ["Prime + 8 hours", "8", "hours"],
    ["Prime + ,5 h", "0.5", "hours"],
    ["Prime + 1 000 h", "1000", "hours"],
  ])("may wait: “%s”", (after, lag, unit) => {
    const [[before, , ...wait] = []] = rowsFor({ after })("links.csv") ?? [];
    expect([before, Number(wait[0]), wait[1]]).toEqual(["Prime", Number(lag), unit]);
  });

  it("keeps a wait that is no number as it is typed, for the server to say so", () => {
    expect(rowsFor({ after: "Prime + 1.2.3 days" })("links.csv")).toEqual([["Prime", "+1", "1.2.3", "days"]]);
    expect(rowsFor({ after: "Nuts + bolts" })("links.csv")).toEqual([["Nuts + bolts", "+1", "", ""]]);
  });
});

describe("the parts that an operation needs", () => {
  it.each([
    "12 × Ash rib",
    "12 x Ash rib",
    "12x Ash rib",
    "Ash rib × 12",
    "Ash rib x 12",
    "Ash rib x12",
    "Ash rib ×12",
  ])("may say how many before or after: “%s”", (needs) => {
    expect(rowsFor({ needs })("needs.csv")).toEqual([["+1", "Ash rib", "12"]]);
  });

  it("keep names that hold figures or end in an x", () => {
    for (const name of ["Tube 2 x 4", "Box 12", "Bearing 6203x"])
      expect(rowsFor({ needs: name })("needs.csv")).toEqual([["+1", name, ""]]);
  });
});
