/** Work on files lets others in, and what a file can ask for has an end. */
import { describe, expect, it } from "vitest";
import { CSV_TABLES } from "../../server/io/columns.ts";
import { nothingHeld } from "../../server/io/held.ts";
import { mergeSteps } from "../../server/io/merge.ts";
import { fileSteps, MOST_ROWS } from "../../server/io/read.ts";
import { inSlices, SLICE_MS, type Steps, Turns } from "../../server/io/slices.ts";
import { writingSteps } from "../../server/io/write.ts";
import { Refused } from "../../server/store/fault.ts";
import { type Files, faultsOf, fileSet, LEAST } from "./fileSet.ts";

const lines = (n: number, line: (i: number) => string): string =>
  `${Array.from({ length: n }, (_, i) => line(i)).join("\n")}\n`;

/** The result, and how often others could be let in on the way. */
function counted<T>(steps: Steps<T>): { count: number; result: T } {
  for (let count = 0; ; count += 1) {
    const { done, value } = steps.next();
    if (done) return { count, result: value };
  }
}

describe("others are let in", () => {
  it("after each slice of work", async () => {
    function* work(): Steps<string> {
      for (let i = 1; i <= 4; i += 1) {
        for (const began = performance.now(); performance.now() - began <= SLICE_MS; );
        yield i;
      }
      return "done";
    }
    const pauses: number[] = [];
    expect(await inSlices(work(), async (done) => void pauses.push(done))).toBe("done");
    expect(pauses).toEqual([1, 2, 3, 4]);
  });

  it("in the event loop, where nobody follows the work", async () => {
    let turns = 0;
    let counting = true;
    const count = (): void => {
      turns += 1;
      if (counting) setImmediate(count);
    };
    setImmediate(count);
    function* work(): Steps<null> {
      for (let i = 1; i <= 4; i += 1) {
        for (const began = performance.now(); performance.now() - began <= SLICE_MS; );
        yield i;
      }
      return null;
    }
    await inSlices(work());
    counting = false;
    expect(turns).toBeGreaterThanOrEqual(4);
  });

  it("every few rows while files of five thousand are read, checked and made ready to be written", () => {
    const files: Files = {
      "operations.csv": `operation,hours_likely\n${lines(2_500, (i) => `OP-${i},${1 + (i % 9)}`)}`,
      "links.csv": `before,after\n${lines(2_499, (i) => `OP-${i},OP-${i + 1}`)}`,
    };
    const read = counted(fileSteps(fileSet(files), true));
    expect(read.count).toBeGreaterThan(4_999 / 25);
    const merged = counted(mergeSteps(read.result, nothingHeld()));
    expect(merged.result.faults.list).toEqual([]);
    expect(merged.count).toBeGreaterThan(4_999 / 25);
    const writing = counted(
      writingSteps(merged.result.held, { workshopId: "shop", accountId: "me", accounts: new Map(), rank: 1 }),
    );
    expect(writing.result.total).toBe(5_001);
    expect(writing.count).toBeGreaterThan(4_999 / 50);
  });
});

describe("files come in one after the other", () => {
  it("and only so many wait", async () => {
    const turns = new Turns(2);
    const order: string[] = [];
    let finish = (): void => {};
    const first = turns.take(async () => {
      order.push("first begins");
      await new Promise<void>((resolve) => {
        finish = resolve;
      });
      order.push("first ends");
      throw new Error("It could not be read.");
    });
    const second = turns.take(async () => void order.push("second begins"));
    await expect(turns.take(async () => {})).rejects.toBeInstanceOf(Refused);
    await expect(turns.take(async () => {})).rejects.toMatchObject({ code: "TOO_BUSY" });
    finish();
    await expect(first).rejects.toThrow("could not be read");
    await second;
    expect(order).toEqual(["first begins", "first ends", "second begins"]);
    expect(await turns.take(async () => "third")).toBe("third");
  });
});

describe("what files can ask for has an end", () => {
  it("in rows of all of them together: the fault names the file that goes past, and no later one is read", async () => {
    const half = MOST_ROWS / 2;
    const faults = await faultsOf({
      "operations.csv": `operation,hours_likely\n${lines(half, (i) => `OP-${i},1`)}`,
      "links.csv": `before,after\n${lines(half + 1, (i) => `OP-${i},OP-${i + 1}`)}`,
      "parts.csv": `part\n${lines(10, (i) => `P-${i}`)}`,
      "needs.csv": `operation,part\nOP-1,P-1\n`,
    });
    expect(faults).toMatchObject([
      { code: "TOO_LARGE", file: "links.csv", message: expect.stringContaining(`${MOST_ROWS} at most`) },
    ]);
  });

  it("in characters of a cell, by its row and column", async () => {
    const faults = await faultsOf({ "parts.csv": `part,quantity\nRIM,${"9".repeat(1_000_000)}\n` });
    expect(faults).toMatchObject([{ code: "TOO_LONG", file: "parts.csv", row: "2", field: "quantity" }]);
    expect(faults[0]!.message.length).toBeLessThan(300);
  });

  it.each<[string, string, RegExp]>([
    ["of more than a MiB", JSON.stringify({ description: "x".repeat(1024 * 1024) }), /larger than 1 MiB/],
    ["that lists rows without end", `{"hands":[${"{},".repeat(300_000)}{}]}`, /more than 5000 rows/],
    ["that lists days without end", `{"calendar":{"closed":[${'"",'.repeat(300_000)}""]}}`, /more than 5000 rows/],
    ["that lists lists without end", `{"hands":${"[".repeat(200_000)}${"]".repeat(200_000)}}`, /names and values/],
  ])("in a restoration.json %s", async (_, text, message) => {
    const [fault] = await faultsOf({ "restoration.json": text });
    expect(fault).toMatchObject({ file: "restoration.json", message: expect.stringMatching(message) });
  });

  it("in what is told of columns and values that are not read", () => {
    const unknown = Object.fromEntries(Array.from({ length: 5_000 }, (_, i) => [`k${i}`, 1]));
    const { result } = counted(fileSteps(fileSet({ ...LEAST, "restoration.json": JSON.stringify(unknown) }), true));
    expect(result.notices).toHaveLength(1_000);
  });

  it("in the operations of a circle that its message names", async () => {
    const n = 5_000;
    const [fault] = await faultsOf({
      "operations.csv": `operation,hours_likely\n${lines(n, (i) => `OP-${i},1`)}`,
      "links.csv": `before,after\n${lines(n, (i) => `OP-${i},OP-${(i + 1) % n}`)}`,
    });
    expect(fault).toMatchObject({ code: "CYCLE", file: "links.csv" });
    expect(fault!.row).toMatch(/^\d+$/);
    expect(fault!.message.length).toBeLessThan(2_000);
  });

  it("but not in what is found: two thousand quotes that are all chosen of one part are each a fault", async () => {
    const quotes = lines(2_000, (i) => `Q-${i},RIM,F,remade,1,1,yes`);
    const faults = await faultsOf({
      "parts.csv": "part\nRIM\n",
      "suppliers.csv": "supplier\nF\n",
      "quotes.csv": `quote,part,supplier,provenance,unit_price,lead_days,chosen\n${quotes}`,
    });
    expect(faults).toHaveLength(1_999);
  });
});

it("every file that is read has fewer columns than are read of one", () => {
  for (const { columns } of CSV_TABLES) expect(columns.length).toBeLessThan(500);
});
