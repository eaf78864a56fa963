/** Rows typed or pasted into a table: one change, faults by row and column, names as well as codes. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let restoration: string;

const SAVED = `{
  __typename
  ... on Saved { id revision change { id summary } }
  ... on InvalidInput { message faults { code file row field value complaint message } }
}`;

interface Result {
  __typename: string;
  change: { id: string; summary: string };
  faults: { code: string; file: string | null; row: string | null; field: string | null; message: string }[];
}

type Rows = Record<string, [columns: string[], ...rows: string[][]]>;

const add = async (typed: Rows): Promise<Result> => {
  const rows = Object.entries(typed).map(([file, [columns, ...cells]]) => ({
    file,
    columns,
    rows: cells.map((row) => ({ cells: row })),
  }));
  const { data, errors } = await server.query<{ addSeveral: Result }>(
    `mutation ($restoration: ID!, $rows: [TypedRowsInput!]!) { addSeveral(restoration: $restoration, rows: $rows) ${SAVED} }`,
    { restoration, rows },
  );
  expect(errors).toBeUndefined();
  return data!.addSeveral;
};

const counts = async () => {
  const where = { restorationId: restoration };
  const { store } = server;
  return {
    operations: await store.operation.count({ where }),
    links: await store.link.count({ where }),
    parts: await store.part.count({ where }),
    needs: await store.need.count({ where }),
    quotes: await store.quote.count({ where }),
    suppliers: await store.supplier.count(),
    changes: await store.change.count({ where }),
  };
};

beforeAll(async () => {
  server = await startServer();
  const { data } = await server.query<{ saveRestoration: { id: string } }>(
    `mutation { saveRestoration(input: { machine: "Pump engine" }) { ... on Saved { id } } }`,
  );
  restoration = data!.saveRestoration.id;
});

afterAll(() => server.close());

describe("several rows at once", () => {
  it("adds operations, links, parts, needs and quotes with suppliers as one change that one undo takes back", async () => {
    const before = await counts();
    const result = await add({
      "operations.csv": [
        ["title", "trade", "hours_likely"],
        ["Strip the engine", "engine", "12"],
        ["Line bore", "Engine ", "20"],
      ],
      "links.csv": [
        ["before", "after", "lag", "lag_unit"],
        ["strip the engine", "+2", "3", "days"],
      ],
      "parts.csv": [
        ["name", "quantity", "state"],
        ["Main bearing", "2", "missing"],
        ["Oil pump", "", ""],
      ],
      "needs.csv": [
        ["operation", "part", "quantity"],
        ["Line bore", "+1", "2"],
      ],
      "quotes.csv": [
        ["part", "supplier", "provenance", "unit_price", "lead_days", "chosen"],
        ["Main bearing", "Aldith Bearings", "remade", "84.50", "42", "yes"],
        ["+2", "aldith bearings", "remade", "30", "14", "no"],
      ],
    });
    expect(result.__typename, JSON.stringify(result)).toBe("Saved");
    expect(result.change.summary).toBe("Added 1 supplier, 2 operations, 1 link, 2 parts, 1 need and 2 quotes");
    const operations = await server.store.operation.findMany({
      where: { restorationId: restoration },
      orderBy: { code: "asc" },
      include: { after: true, before: true, needs: { include: { part: true } } },
    });
    expect(operations.map(({ code, trade }) => [code, trade])).toEqual([
      ["ENG-1", "engine"],
      ["ENG-2", "engine"],
    ]);
    const bearing = await server.store.part.findFirstOrThrow({
      where: { name: "Main bearing" },
      include: { quotes: { include: { supplier: true } }, needs: true },
    });
    expect(bearing.code).toBe("1");
    expect(bearing.needs).toMatchObject([{ quantity: 2 }]);
    expect(bearing.quotes).toMatchObject([{ code: "1", unitPriceMinor: 8450, supplier: { name: "Aldith Bearings" } }]);
    expect(bearing.chosenQuoteId).toBe(bearing.quotes[0]!.id);
    expect(await server.store.link.findFirstOrThrow({ where: { restorationId: restoration } })).toMatchObject({
      lag: 3,
      lagUnit: "DAYS",
    });
    expect((await counts()).changes).toBe(before.changes + 1);
    await server.query(`mutation ($change: ID!) { undo(change: $change) { __typename } }`, {
      change: result.change.id,
    });
    expect({ ...(await counts()), changes: 0 }).toEqual({ ...before, changes: 0 });
  });

  it("tells each fault by its row and column and writes nothing, also below a cell of several lines", async () => {
    await add({
      "operations.csv": [
        ["title", "hours_likely"],
        ["Paint", "4"],
        ["Paint", "4"],
        ["Trim", "4"],
      ],
    });
    await add({
      "parts.csv": [
        ["part", "name"],
        ["LAMP-1", "Head lamp"],
      ],
    });
    const before = await counts();
    const { faults, __typename } = await add({
      "operations.csv": [
        ["title", "hours_likely", "notes"],
        ["First", "4", "two\nlines, “quoted”"],
        ["", "4", ""],
        ["Third", "many", ""],
        ["Fourth", "", ""],
      ],
      "links.csv": [
        ["before", "after"],
        ["Paint", "+1"],
        ["Trimm", "+1"],
        ["+1", "+3"],
        ["+3", "+1"],
      ],
      "parts.csv": [
        ["part", "name", "state"],
        ["LAMP-1", "Side lamp", ""],
        ["", "Horn", "gone"],
      ],
    });
    expect(__typename).toBe("InvalidInput");
    expect(faults.map(({ code, file, row, field }) => [file, row, field, code])).toEqual(
      expect.arrayContaining([
        ["operations.csv", "2", "title", "REQUIRED"],
        ["operations.csv", "3", "hours_likely", "NOT_A_NUMBER"],
        ["operations.csv", "4", "hours_likely", "REQUIRED"],
        ["links.csv", "1", "before", "NOT_A_CHOICE"],
        ["links.csv", "2", "before", "UNKNOWN_ROW"],
        ["parts.csv", "1", "part", "DUPLICATE"],
        ["parts.csv", "2", "state", "NOT_A_CHOICE"],
      ]),
    );
    expect(faults.find(({ code }) => code === "CYCLE")?.file).toBe("links.csv");
    expect(faults).toHaveLength(8);
    expect(faults.find(({ row, file }) => file === "links.csv" && row === "2")?.message).toBe(
      "before is no operation here: is it “Trim”? (it is Trimm).",
    );
    expect(await counts()).toEqual(before);
  });

  it("gives codes that nobody has, and takes those that are typed", async () => {
    await add({
      "parts.csv": [
        ["part", "name"],
        ["9", "Tap"],
        ["", "Cock"],
        ["10", "Valve"],
      ],
    });
    const codes = await server.store.part.findMany({ where: { name: { in: ["Tap", "Cock", "Valve"] } } });
    expect(Object.fromEntries(codes.map(({ name, code }) => [name, code]))).toEqual({
      Tap: "9",
      Valve: "10",
      Cock: "11",
    });
  });

  it("adds nothing where a cell or a column would be lost, and names row and field", async () => {
    const before = await counts();
    const cells = await add({ "parts.csv": [["name"], ["Wing nut"], ["Horn", "2", ""]] });
    expect(cells.faults).toMatchObject([
      {
        code: "OUT_OF_RANGE",
        file: "parts.csv",
        row: "2",
        field: "cells",
        value: "2",
        message: "parts.csv row 2 has 1 cell in no column (1 column).",
      },
    ]);
    const columns = await add({
      "parts.csv": [
        ["name", "nope", ""],
        ["Wing nut", "", ""],
        ["Horn", "B5", ""],
        ["", "", "C"],
      ],
    });
    expect(columns.faults.map(({ code, row, field }) => [code, row, field])).toEqual([
      ["OUT_OF_RANGE", "3", "cells"],
      ["UNUSED_COLUMN", "2", "nope"],
      ["REQUIRED", "3", "name"],
    ]);
    expect(await counts()).toEqual(before);
  });

  it("refuses files that it does not know, the same file twice, and too many rows", async () => {
    expect((await add({ "payments.csv": [["kind"], ["deposit"]] })).faults).toMatchObject([{ code: "MISSING_FILE" }]);
    expect((await add({})).faults).toMatchObject([{ code: "REQUIRED" }]);
    const many = Array.from({ length: 2_001 }, (_, i) => [`Part ${i}`]);
    expect((await add({ "parts.csv": [["name"], ...many] })).faults).toMatchObject([{ code: "TOO_LARGE" }]);
  });
});

describe("cells pasted from a spreadsheet", () => {
  const COLUMNS = [
    { name: "name", label: "Part" },
    { name: "quantity", label: "How many" },
    { name: "state", label: "State" },
  ];
  const paste = async (text: string, from = 0) => {
    const { data, errors } = await server.query<{
      pastedCells: { rows: { cells: string[] }[]; unread: string[]; beyond: number };
    }>(
      `query ($text: String!, $columns: [ScreenColumnInput!]!, $from: Int) {
        pastedCells(file: "parts.csv", text: $text, columns: $columns, from: $from) { rows { cells } unread beyond }
      }`,
      { text, columns: COLUMNS, from },
    );
    return errors
      ? errors[0]!.message
      : {
          rows: data!.pastedCells.rows.map(({ cells }) => cells),
          unread: data!.pastedCells.unread,
          beyond: data!.pastedCells.beyond,
        };
  };

  it("fills the columns from the one that is pasted into", async () => {
    expect(await paste("Gasket, head\t2\nHorn\t1\tmissing\n")).toEqual({
      rows: [
        ["Gasket, head", "2", ""],
        ["Horn", "1", "missing"],
      ],
      unread: [],
      beyond: 0,
    });
    expect(await paste("Bolt\t2\rNut\t3")).toMatchObject({
      rows: [
        ["Bolt", "2", ""],
        ["Nut", "3", ""],
      ],
    });
    expect(await paste("How many\tPart\r2\tGasket\r")).toEqual({
      rows: [["Gasket", "2", ""]],
      unread: [],
      beyond: 0,
    });
    expect(await paste("2\tmissing", 1)).toEqual({ rows: [["", "2", "missing"]], unread: [], beyond: 0 });
    expect(await paste('Gasket, head\n"Wat\'s ""own"" lamp"')).toEqual({
      rows: [
        ["Gasket, head", "", ""],
        [`Wat's "own" lamp`, "", ""],
      ],
      unread: [],
      beyond: 0,
    });
  });

  it("goes by the headings where there are some, and tells which it does not read", async () => {
    expect(await paste("How many\tPart\tShelf\n2\tGasket\tB4")).toEqual({
      rows: [["Gasket", "2", ""]],
      unread: ["Shelf"],
      beyond: 0,
    });
    expect(await paste("name,state\nGasket,missing")).toEqual({
      rows: [["Gasket", "", "missing"]],
      unread: [],
      beyond: 0,
    });
  });

  it("tells of cells past the last column, and of a heading that stands twice, whose first column is taken", async () => {
    expect(await paste("Horn\t1\tmissing\tB5\t\tC\nLamp\t2\tmissing\t\t\t\n")).toEqual({
      rows: [
        ["Horn", "1", "missing"],
        ["Lamp", "2", "missing"],
      ],
      unread: [],
      beyond: 2,
    });
    expect(await paste("Horn\t1\tB5", 1)).toEqual({ rows: [["", "Horn", "1"]], unread: [], beyond: 1 });
    expect(await paste("Part\tPart\tHow many\tExtra\nHorn\tLamp\t2\tx")).toEqual({
      rows: [["Horn", "2", ""]],
      unread: ["the second “Part”", "Extra"],
      beyond: 0,
    });
    expect(await paste("Part\t\tHow many\nHorn\tlost\t2\tmore")).toEqual({
      rows: [["Horn", "2", ""]],
      unread: [],
      beyond: 2,
    });
  });

  it("reads the headings of a file, also where a column on the screen is called by another's name", async () => {
    const { data } = await server.query<{ pastedCells: { rows: { cells: string[] }[] } }>(
      `query ($text: String!) {
        code: pastedCells(file: "parts.csv", text: $text, columns: [{ name: "name", label: "Part" }, { name: "part", label: "Code" }]) { rows { cells } }
        pastedCells(file: "parts.csv", text: "Part\\tCode\\nHorn\\tH1", columns: [{ name: "name", label: "Part" }, { name: "part", label: "Code" }]) { rows { cells } }
      }`,
      { text: "part,name\nH1,Horn" },
    );
    expect(data).toEqual({
      code: { rows: [{ cells: ["Horn", "H1"] }] },
      pastedCells: { rows: [{ cells: ["Horn", "H1"] }] },
    });
  });

  it("says what cannot be read", async () => {
    expect(await paste('"Gasket\t2')).toMatch(/quot/i);
  });
});
