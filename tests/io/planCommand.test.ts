/** The plan of a folder of files, on the command line, without a database. */
import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Files, LEAST } from "./fileSet.ts";

const ROOT = path.resolve(import.meta.dirname, "../..");
let scratch: string;
beforeAll(async () => {
  scratch = await mkdtemp(path.join(tmpdir(), "lastbolt-plan-"));
});
afterAll(() => rm(scratch, { recursive: true, force: true }));

const plan = (...args: string[]) =>
  new Promise<{ status: number; out: string; err: string }>((resolve) => {
    execFile(process.execPath, ["--import", "tsx", "server/tools/plan.ts", ...args], { cwd: ROOT }, (error, out, err) =>
      resolve({ status: typeof error?.code === "number" ? error.code : error ? 1 : 0, out, err }),
    );
  });

async function folder(files: Files): Promise<string> {
  const made = await mkdtemp(path.join(scratch, "f-"));
  for (const [name, content] of Object.entries(files)) await writeFile(path.join(made, name), content);
  return made;
}

describe("plan FOLDER", () => {
  it("plans on the calendar given, and names what it does not read on standard error", async () => {
    const made = await folder({
      "operations.csv": "operation,hours_likely\nFIT,24\n",
      "links.csv": "before,after\n",
      "restoration.json": JSON.stringify({
        calendar: {
          workingDays: ["mon", "tue", "wed", "thu", "fri"],
          hoursPerDay: 8,
          closedDates: ["2026-11-24"],
          holiday: [],
        },
      }),
    });
    const { status, out, err } = await plan(made, "--json", "--figures-for", "2026-11-23");
    expect(status).toBe(0);
    expect(JSON.parse(out).completionDate).toBe("2026-11-26");
    expect(err).toMatch(/calendar\.holiday/);
  });

  it("--json says when the hands of restoration.json end the work", async () => {
    const made = await folder({
      "operations.csv": "operation,trade,hours_likely\nBORE,engine,16\nHONE,engine,16\n",
      "links.csv": "before,after\n",
      "restoration.json": JSON.stringify({ hands: [{ trade: "engine", people: 1, hoursPerDay: 8 }] }),
    });
    const { out } = await plan(made, "--json", "--figures-for", "2026-11-23");
    expect(JSON.parse(out)).toMatchObject({
      completionDate: "2026-11-26",
      completionHours: 32,
      hands: { handsEnough: "2026-11-24", notBefore: "2026-11-26", nobodyFor: [] },
      notCounted: [
        expect.stringContaining("What the owner was asked and answered is not in the files"),
        expect.stringContaining("The work of other machines on the same hands is not in the files"),
      ],
      operations: [{ hands: ["engine hand"] }, { hands: ["engine hand"] }],
    });
  });

  it("--json gives dates, floats, the ladder and what is free to start", async () => {
    const made = await folder({
      ...LEAST,
      "parts.csv": "part,name\nRIM,Rim\n",
      "needs.csv": "operation,part\nFIT,RIM\n",
      "suppliers.csv": "supplier\nMAKER\n",
      "quotes.csv": "quote,part,supplier,provenance,unit_price,lead_days,chosen\nQ1,RIM,MAKER,remade,10,14,yes\n",
      "restoration.json": JSON.stringify({ target_date: "2027-01-20", target_name: "Midsummer Concours" }),
    });
    // Monday 4 January 2027: the rim arrives on Monday 18 and can be used on Tuesday 19, ten working days and one later.
    const { status, out, err } = await plan(made, "--json", "--figures-for", "2027-01-04");
    expect([status, err]).toEqual([0, ""]);
    const json = JSON.parse(out);
    expect(json).toMatchObject({
      figuresFor: "2027-01-04",
      // Without hands nothing waits for any.
      notCounted: [expect.stringContaining("the owner")],
      open: [],
      workOnlyHours: 24,
      targetDate: "2027-01-20",
      toOrder: [{ code: "RIM" }],
    });
    expect(json.ladder).toMatchObject([
      {
        kind: "PART",
        code: "RIM",
        title: "Rim",
        open: false,
        arrivalDate: "2027-01-18",
        quote: "Q1",
        decided: true,
        completionDate: json.completionDate,
      },
    ]);
    expect(json.operations.map((o: { operation: string; earlyStart: number }) => [o.operation, o.earlyStart])).toEqual([
      ["STRIP", 0],
      ["FIT", json.completionHours - 16],
    ]);
    expect(json.freeToStart).toMatchObject([{ operation: "STRIP", hours: 8 }]);
  });

  it("has no completion while a needed part has no source", async () => {
    const made = await folder({ ...LEAST, "parts.csv": "part\nRIM\n", "needs.csv": "operation,part\nFIT,RIM\n" });
    const json = JSON.parse((await plan(made, "--json", "--figures-for", "2027-01-04")).out);
    expect(json).toMatchObject({
      completionHours: null,
      completionDate: null,
      open: [{ kind: "PART", code: "RIM", title: "RIM" }],
      completionWithOpenInHandHours: 24,
    });
  });

  it("tells no date where nothing is entered", async () => {
    const made = await folder({ "operations.csv": "operation,hours_likely\n", "links.csv": "before,after\n" });
    const { status, out } = await plan(made, "--figures-for", "2027-01-04");
    expect([status, out]).toEqual([
      0,
      expect.stringContaining("No work and no part is entered yet, so there is no date to tell."),
    ]);
    expect(out).not.toContain("ready on");
    expect(JSON.parse((await plan(made, "--json", "--figures-for", "2027-01-04")).out).entered).toBe(false);
  });

  it("names what is late by its part", async () => {
    const made = await folder({
      ...LEAST,
      "parts.csv": "part,name\nRIM,Rim\n",
      "needs.csv": "operation,part\nFIT,RIM\n",
      "suppliers.csv": "supplier\nMAKER\n",
      "quotes.csv": "quote,part,supplier,provenance,unit_price,lead_days,chosen\nQ1,RIM,MAKER,remade,10,14,yes\n",
      "orders.csv": "order,quote,quantity,state,placed_on,promised_on\nO1,Q1,1,placed,2026-12-01,2026-12-15\n",
    });
    expect((await plan(made, "--figures-for", "2027-01-04")).out).toMatch(/^To chase\n {2}O1 {2}Rim: 20 days late$/m);
  });

  it("gives hours without the noise of binary fractions", async () => {
    const made = await folder({
      "operations.csv": "operation,hours_likely\nA,0.1\nB,0.2\n",
      "links.csv": "before,after\nA,B\n",
    });
    expect((await plan(made, "--json")).out).not.toMatch(/\d\.\d{8,}/);
  });

  it("at a chance says of what is hunted until when, and never null", async () => {
    const made = await folder({
      ...LEAST,
      "parts.csv": "part,name\nRIM,Rim\n",
      "needs.csv": "operation,part\nFIT,RIM\n",
      "suppliers.csv": "supplier\nMAKER\n",
      "quotes.csv": "quote,part,supplier,provenance,unit_price,lead_days,fallback\nQ1,RIM,MAKER,remade,10,14,yes\n",
      "hunts.csv": "part,begun_on,chance_per_week,stop_date\nRIM,2027-01-04,5,2027-02-01\n",
    });
    const { out } = await plan(made, "--figures-for", "2027-01-04", "--confidence", "0.8");
    expect(out).toContain("  hunted until 2027-02-01  RIM  Rim: hunted until 2027-02-01, then order its fallback\n");
    expect((await plan(made, "--figures-for", "2027-01-04")).out).toMatch(
      /^ {2}\d{4}-\d\d-\d\d {2}RIM {2}Rim: hunted until 2027-02-01, then order its fallback$/m,
    );
    expect(out).not.toContain("null");
    const json = JSON.parse((await plan(made, "--json", "--figures-for", "2027-01-04", "--confidence", "0.8")).out);
    expect(json.toOrder).toMatchObject([{ code: "RIM", orderBy: null, huntedUntil: "2027-02-01" }]);
  });

  it("without --json speaks in sentences", async () => {
    const { out } = await plan("seed/cyclecar");
    expect(out).toMatch(/Low-speed brake band anchor/);
    expect(out).toMatch(/^Hold-up ladder$/m);
    expect(out).toMatch(/^Free to start$/m);
    expect(out).toMatch(/^Not counted\n {2}What the owner was asked and answered is not in the files/m);
  });

  it.each<[string, Files | string, string[], RegExp]>([
    ["a folder that is not there", "no-such-folder", [], /no-such-folder/],
    ["a folder without links", { "operations.csv": LEAST["operations.csv"]! }, [], /^links\.csv: /m],
    [
      "a cell that is no number",
      { ...LEAST, "operations.csv": "operation,hours_likely\nSTRIP,eight\nFIT,1\n" },
      [],
      /^operations\.csv:2 hours_likely: .*eight/m,
    ],
    [
      "links in a circle",
      { ...LEAST, "links.csv": "before,after\nSTRIP,FIT\nFIT,STRIP\n" },
      [],
      /^links\.csv:\d after: .*STRIP.*FIT|FIT.*STRIP/m,
    ],
    ["a date that is none", LEAST, ["--figures-for", "2027-02-30"], /--figures-for/],
    ["a chance of one", LEAST, ["--confidence", "1"], /--confidence/],
    ["an option that is none", LEAST, ["--colour"], /^Unknown option '--colour'\. Use: npm run -s plan/],
  ])("%s goes to standard error with status 2, and nothing to standard output", async (_what, files, args, message) => {
    const made = typeof files === "string" ? files : await folder(files);
    const { status, out, err } = await plan(made, "--json", ...args);
    expect([status, out]).toEqual([2, ""]);
    expect(err).toMatch(message);
    expect(err).not.toMatch(/^\s+at /m);
  });
});
