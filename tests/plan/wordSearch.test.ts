/** Words as people type them find the row that is meant; what fits no row at all is told by what comes nearest. */
import { beforeAll, describe, expect, test } from "vitest";
import { WordSearch } from "../../server/plan/find/wordSearch.ts";

const ROWS = {
  casing: ["Gearbox casing, two halves", "1913 Tallow & Wren 8 h.p.", "T.W. 301", "Brindlewick Foundry"],
  pins: ["King pins", "Tallow & Wren", "", "Kerridwell Bearings"],
  bigEnd: ["Big-end rollers and cages", "", "", "Zwirbelin Kolben"],
  lamp: ["Acetylene headlamps, pair", "", "", "Lichtwurzel Lampenbau"],
  crank: ["Crankpin with nuts", "", "TB 114", "Kerridwell Bearings"],
  ash: ["Ash bottom sides", "", "", "Oakgallow Coach Timbers"],
  wheel: ["Chain wheel, 38 teeth", "", "", "Spracklewell Gearcutting"],
  hides: ["Upholstery hides", "", "", "Tannerqvist Läder"],
  panel: ["Scuttle side panel", "", "", "Skelderbeck Tanks"],
} as const;

const search = new WordSearch();
beforeAll(() =>
  search.addAll(
    Object.entries(ROWS).map(([id, [part, machine, references, supplier]]) => ({
      id,
      part,
      machine,
      references,
      supplier,
    })),
  ),
);

describe("all words of a query are found", () => {
  test.each([
    ["kingpin", "pins"],
    ["bigend", "bigEnd"],
    ["crank pin", "crank"],
    ["chainwheel", "wheel"],
    ["gear box casing", "casing"],
  ])("run together or taken apart: %s", (typed, meant) => expect(search.find(typed)).toEqual([meant]));
  test.each([
    ["gearbox case", "casing"],
    ["headlight", "lamp"],
    ["sprocket", "wheel"],
    ["leather", "hides"],
  ])("by another name of the trade: %s", (typed, meant) => expect(search.find(typed)).toEqual([meant]));
  test.each([
    ["acetelyne", "lamp"],
    ["geerbox caseing", "casing"],
    ["scutle", "panel"],
  ])("misspelt: %s", (typed, meant) => expect(search.find(typed)).toContain(meant));
  test("as they are typed nothing is misspelt, and what is run together or of another name is found all the same", () => {
    for (const typed of ["acetelyne", "geerbox caseing", "scutle"]) expect(search.read(typed, "AS_TYPED")).toEqual([]);
    for (const [typed, meant] of [
      ["gear box casing", "casing"],
      ["crank pin", "crank"],
      ["headlight", "lamp"],
      ["TW301", "casing"],
    ] as const)
      expect(search.read(typed, "AS_TYPED").map(({ id }) => id)).toEqual([meant]);
  });
  test("a number with its points or without, and never one with another digit", () => {
    expect(search.find("TW301")).toEqual(["casing"]);
    expect(search.find("TB114")).toEqual(["crank"]);
    expect(search.find("TB115")).toEqual([]);
  });
  test("small words are passed over, and a query of nothing else finds by them", () => {
    expect(search.find("pair of headlamps")).toEqual(["lamp"]);
    expect(search.find("the")).toEqual([]);
  });
  test("in the fields asked for alone", () => {
    expect(search.find("kerridwell", ["supplier"])).toHaveLength(2);
    expect(search.find("kerridwell", ["part"])).toEqual([]);
    expect(search.find("kingpin", ["part"])).toEqual(["pins"]);
    expect(search.find("T.W.-301", ["references"])).toEqual(["casing"]);
    expect(search.find("T.W.-301", ["part"])).toEqual([]);
  });
});

describe("where no row has all words", () => {
  test("those that some fit come, best first, and nothing for a single word", () => {
    expect(search.find("ash frame")).toEqual([]);
    expect(search.nearest("ash frame")[0]).toBe("ash");
    expect(search.nearest("wurlitzer")).toEqual([]);
  });
  test("what is gone is not found", () => {
    search.discard("ash");
    expect(search.nearest("ash frame")).not.toContain("ash");
  });
});
