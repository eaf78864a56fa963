import { expect, it } from "vitest";
import { sampleOf, sampleSheet, sampleSheets } from "../../server/io/sampleSheets.ts";

it("every sample sheet's lines add up to its sections, and its awards lie within its points", async () => {
  const sheets = await sampleSheets();
  expect(sheets.length).toBeGreaterThan(1);
  for (const { sections, floors, maximum, name, description } of sheets) {
    expect(name).not.toBe("");
    expect(description).not.toBe("");
    for (const { lines, maximum: most } of sections)
      expect(lines.reduce((sum, line) => sum + line.maximum, 0)).toBeCloseTo(most, 6);
    for (const { points } of floors) expect(points).toBeLessThanOrEqual(maximum);
  }
  expect(await sampleSheet(sheets[0]!.name)).toBe(sheets[0]);
  expect(await sampleSheet("no such sheet")).toBeUndefined();
});

it("a sheet file with faults is refused with the place of each", () =>
  expect(() =>
    sampleOf(
      '{"name":"x","description":"","judgingSheet":{"sections":[{"name":"A","maximum":-1,"deductions":[{"provenance":"gold","points":1}]}]}}',
    ),
  ).toThrow("2 values need correcting"));
