import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

const faults = (result: Result) => result.faults.map(({ code, field }) => [field, code]);

describe("adding", () => {
  test("codes left out are the next free ones, readable and apart", async () => {
    const codes = await server.query<{ restoration: Record<string, { edges: { node: { code: string } }[] }> }>(
      `query ($id: ID!) { restoration(id: $id) {
        operations { edges { node { code } } } parts { edges { node { code } } } } }`,
      { id: rows.restoration },
    );
    expect(codes.data?.restoration["operations"]?.edges.map((e) => e.node.code)).toEqual(["CHA-1", "ENG-1", "ENG-2"]);
    expect(codes.data?.restoration["parts"]?.edges.map((e) => e.node.code)).toEqual(["1", "2"]);
  });

  test("every field that is needed and missing is named, not only the first", async () => {
    expect(faults(await save(server, "Quote", {}))).toEqual(
      expect.arrayContaining([
        ["part", "REQUIRED"],
        ["supplier", "REQUIRED"],
        ["unitPriceMinor", "REQUIRED"],
        ["provenance", "REQUIRED"],
        ["leadDays", "REQUIRED"],
      ]),
    );
    expect(faults(await save(server, "Operation", {}))).toEqual(
      expect.arrayContaining([
        ["restoration", "REQUIRED"],
        ["title", "REQUIRED"],
        ["hoursLikely", "REQUIRED"],
      ]),
    );
  });

  test.each([
    ["Operation", { restoration: "nowhere", title: "x", hoursLikely: 1 }, "restoration"],
    ["Part", { restoration: "nowhere", name: "x" }, "restoration"],
    ["TradeRate", { restoration: "nowhere", trade: "x" }, "restoration"],
    ["JudgingSection", { restoration: "nowhere", name: "x", maximum: 1 }, "restoration"],
    ["AwardFloor", { restoration: "nowhere", award: "x", points: 1 }, "restoration"],
    ["Link", { before: "nowhere", after: "nowhere" }, "before"],
    ["Need", { operation: "nowhere", part: "nowhere" }, "operation"],
    ["Quote", { part: "nowhere", supplier: "nowhere", provenance: "REMADE", unitPriceMinor: 1, leadDays: 1 }, "part"],
    ["Order", { quote: "nowhere", placedOn: "2027-01-04", promisedOn: "2027-01-04", totalMinor: 1 }, "quote"],
    ["Payment", { order: "nowhere", kind: "DEPOSIT", paidOn: "2027-01-04", amountMinor: 1 }, "order"],
    ["Snag", { operation: "nowhere", title: "x" }, "operation"],
    ["Remedy", { snag: "nowhere", title: "x" }, "snag"],
    ["Inspection", { part: "nowhere", inspector: "x", inspectedOn: "2027-01-04", what: "x" }, "part"],
  ])("%s: a row that is not there is a fault of the field that names it", async (noun, input, field) => {
    expect(faults(await save(server, noun, input))).toContainEqual([field, "UNKNOWN_ROW"]);
  });

  test("a code that is taken is a duplicate", async () => {
    const result = await save(server, "Part", { restoration: rows.restoration, name: "Another", code: "1" });
    expect(faults(result)).toEqual([["code", "DUPLICATE"]]);
  });

  test("dates that do not exist, negative prices and unknown currencies are faults beside each other", async () => {
    const result = await save(server, "Quote", {
      part: rows.casing,
      supplier: rows.foundry,
      provenance: "ORIGINAL",
      unitPriceMinor: -1,
      currency: "ZZZ",
      leadDays: 3,
      validUntil: "2027-02-30",
    });
    expect(faults(result)).toEqual(
      expect.arrayContaining([
        ["unitPriceMinor", "NEGATIVE"],
        ["currency", "UNKNOWN_CURRENCY"],
        ["validUntil", "NOT_A_DATE"],
      ]),
    );
  });

  test("a list inside an input names the place of its fault", async () => {
    const result = await save(server, "Quote", {
      part: rows.casing,
      supplier: rows.foundry,
      provenance: "ORIGINAL",
      unitPriceMinor: 1,
      leadDays: 3,
      priceBreaks: [
        { quantity: 2, unitPriceMinor: 5 },
        { quantity: 2, unitPriceMinor: -5 },
      ],
    });
    expect(faults(result)).toEqual([
      ["priceBreaks.1.unitPriceMinor", "NEGATIVE"],
      ["priceBreaks.1.quantity", "DUPLICATE"],
    ]);
  });

  test("a link that closes a circle is refused with its path", async () => {
    const result = await save(server, "Link", { before: rows.assemble, after: rows.strip });
    expect(result.faults).toMatchObject([{ code: "CYCLE", rows: ["ENG-2", "ENG-1", "ENG-2"] }]);
    const itself = await save(server, "Link", { before: rows.strip, after: rows.strip });
    expect(itself.faults).toMatchObject([{ code: "CYCLE", rows: ["ENG-1", "ENG-1"] }]);
  });

  test("work of one restoration cannot need a part of another", async () => {
    const other = await saved(server, "Restoration", { machine: "Motorcycle" });
    const part = await saved(server, "Part", { restoration: other.id, name: "Tank" });
    expect(faults(await save(server, "Need", { operation: rows.strip, part: part.id }))).toEqual([
      ["part", "UNKNOWN_ROW"],
    ]);
  });
});

describe("text for a number, and choices that do not exist", () => {
  test("a variable of the wrong kind is an error that names its field", async () => {
    const document = "mutation ($input: OperationInput!) { saveOperation(input: $input) { __typename } }";
    const { errors } = await server.query(document, { input: { title: "x", hoursLikely: "eight" } });
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "hoursLikely" });
    const state = await server.query(document, { input: { title: "x", state: "ASLEEP" } });
    expect(state.errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "state" });
  });

  test("so is one written in the document", async () => {
    const { errors } = await server.query(`mutation { saveOperation(input: { hoursLikely: "eight" }) { __typename } }`);
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "hoursLikely" });
  });

  test.each([4_000_000_000, 2 ** 53, 0.5])(
    "an amount of %d minor units is a fault of its field",
    async (estimateMinor) => {
      const document =
        "mutation ($input: PartInput!) { savePart(input: $input) { ... on InvalidInput { faults { code field } } } }";
      const { data } = await server.query(document, {
        input: { restoration: rows.restoration, name: "Spring", estimateMinor },
      });
      expect(data).toMatchObject({ savePart: { faults: [{ field: "estimateMinor" }] } });
    },
  );

  test("a day of figures that does not exist, or an impossible confidence, is an error of the argument", async () => {
    const document =
      "query ($r: ID!, $d: Date, $c: Float) { holdUps(restoration: $r, figuresFor: $d, confidence: $c) { figuresFor } }";
    const date = await server.query(document, { r: rows.restoration, d: "2027-02-29" });
    expect(date.errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "figuresFor" });
    const odds = await server.query(document, { r: rows.restoration, c: 1 });
    expect(odds.errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "confidence" });
    const { id, revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    await saved(server, "Restoration", { id, revision, confidence: 0.8 });
    const of = async (asked: string) =>
      (
        await server.query<{ holdUps: { confidence: number | null } }>(
          `query ($r: ID!) { holdUps(restoration: $r${asked}) { confidence } }`,
          { r: rows.restoration },
        )
      ).data?.holdUps.confidence;
    expect([await of(""), await of(", confidence: null"), await of(", confidence: 0.5")]).toEqual([0.8, null, 0.5]);
  });
});

describe("changing", () => {
  test("a field left out keeps its value, and null clears it", async () => {
    const added = await saved(server, "Part", {
      restoration: rows.restoration,
      name: "Chain",
      estimateMinor: 900,
      notes: "5/8 pitch",
    });
    const renamed = await saved(server, "Part", { id: added.id, revision: 1, name: "Drive chain" });
    expect(await server.store.part.findUnique({ where: { id: added.id } })).toMatchObject({
      name: "Drive chain",
      estimateMinor: 900,
      notes: "5/8 pitch",
      revision: 2,
    });
    await saved(server, "Part", { id: added.id, revision: renamed.revision, estimateMinor: null, notes: null });
    expect(await server.store.part.findUnique({ where: { id: added.id } })).toMatchObject({
      estimateMinor: null,
      notes: "",
    });
  });

  test("a merged row is checked: a low estimate above the likely one that is kept is a fault", async () => {
    const result = await save(server, "Operation", { id: rows.strip, revision: 1, hoursLeast: 9 });
    expect(faults(result)).toEqual([["hoursLikely", "ORDER_OF_VALUES"]]);
  });

  test("a change without the revision that was read is a fault", async () => {
    expect(faults(await save(server, "Part", { id: rows.casing, name: "x" }))).toEqual([["revision", "REQUIRED"]]);
  });

  test("a row that is not there is an error with a stable code", async () => {
    const { errors } = await server.query("mutation ($input: PartInput!) { savePart(input: $input) { __typename } }", {
      input: { id: "nowhere", revision: 1, name: "x" },
    });
    expect(errors?.[0]?.extensions).toMatchObject({ code: "NOT_FOUND" });
  });

  test("a list in an input replaces the list, and an empty one empties it", async () => {
    const part = await saved(server, "Part", {
      restoration: rows.restoration,
      name: "Sprocket",
      references: [{ book: "Parts book", number: "117" }, { number: "T&W 9" }],
      specification: [{ dimension: "bore", nominal: 25.4, plus: 0.02 }],
    });
    const read = async () =>
      (
        await server.query<{ part: unknown }>(
          `query ($id: ID!) { part(id: $id) { references { book number } specification { dimension nominal unit minus plus } } }`,
          { id: part.id },
        )
      ).data?.part;
    expect(await read()).toEqual({
      references: [
        { book: "Parts book", number: "117" },
        { book: "", number: "T&W 9" },
      ],
      specification: [{ dimension: "bore", nominal: 25.4, unit: "MM", minus: 0, plus: 0.02 }],
    });
    await saved(server, "Part", { id: part.id, revision: 1, references: [] });
    expect(await read()).toMatchObject({ references: [], specification: [{ dimension: "bore" }] });
  });

  test("working hours and closed dates are saved together", async () => {
    const result = await saved(server, "ShopCalendar", {
      revision: 2,
      saturday: 4,
      closedDates: [{ date: "2027-05-03", reason: "May Day" }],
    });
    const twice = await save(server, "ShopCalendar", {
      revision: result.revision,
      closedDates: [{ date: "2027-05-03" }, { date: "2027-05-03" }, { date: "2027-13-01" }],
    });
    expect(faults(twice)).toEqual([
      ["closedDates.1.date", "DUPLICATE"],
      ["closedDates.2.date", "NOT_A_DATE"],
    ]);
    const none = await save(server, "ShopCalendar", {
      revision: result.revision,
      ...Object.fromEntries(
        ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"].map((day) => [day, 0]),
      ),
    });
    expect(none.__typename).toBe("InvalidInput");
    expect(await server.store.closedDate.count({ where: { date: "2027-05-03" } })).toBe(1);
  });

  test("the judging sheet keeps its lines in order, and adds its sections up", async () => {
    const { restoration } = rows;
    const engine = await saved(server, "JudgingSection", {
      restoration,
      name: "Engine",
      maximum: 60,
      lines: [
        { title: "Carburettor", maximum: 15 },
        { title: "Fire extinguisher", maximum: 5, mandatory: true },
      ],
    });
    await saved(server, "JudgingSection", { restoration, name: "Body", maximum: 40, position: 1 });
    await saved(server, "AwardFloor", { restoration, award: "First", points: 90 });
    await saved(server, "JudgingSection", { id: engine.id, revision: 1, lines: [{ title: "Magneto", maximum: 10 }] });
    const { data } = await server.query(
      `query ($id: ID!) { restoration(id: $id) { judgingSheet { maximum floors { award points } sections { name lines { title mandatory } } } } }`,
      { id: restoration },
    );
    expect(data).toEqual({
      restoration: {
        judgingSheet: {
          maximum: 100,
          floors: [{ award: "First", points: 90 }],
          sections: [
            { name: "Engine", lines: [{ title: "Magneto", mandatory: false }] },
            { name: "Body", lines: [] },
          ],
        },
      },
    });
    expect(faults(await save(server, "AwardFloor", { restoration, award: "First", points: 1 }))).toEqual([
      ["award", "DUPLICATE"],
    ]);
  });

  test("the rate of a trade stands once", async () => {
    const { restoration } = rows;
    await saved(server, "TradeRate", { restoration, trade: "engine", rateMinor: 3_400 });
    expect(faults(await save(server, "TradeRate", { restoration, trade: "engine" }))).toEqual([["trade", "DUPLICATE"]]);
  });
});

describe("quotes, orders and payments", () => {
  test("a chosen quote must be one for that part", async () => {
    const wrong = await choose(server, rows.drum, rows.quote, 1);
    expect(faults(wrong)).toEqual([["quote", "UNKNOWN_ROW"]]);
    const right = await choose(server, rows.casing, rows.quote, 1);
    expect(right).toMatchObject({ __typename: "Saved", revision: 2 });
    const moved = await save(server, "Quote", { id: rows.quote, revision: 1, part: rows.drum });
    expect(moved).toMatchObject({ __typename: "Refused", code: "IN_USE" });
    expect(await choose(server, rows.casing, null, 2)).toMatchObject({ __typename: "Saved", revision: 3 });
  });

  test("an order takes its total from the price break of its quantity, and its promise from the lead time", async () => {
    const order = await saved(server, "Order", { quote: rows.quote, quantity: 3, placedOn: "2027-01-04" });
    expect(await server.store.order.findUnique({ where: { id: order.id } })).toMatchObject({
      code: "1",
      partId: rows.casing,
      totalMinor: 150_000,
      currency: "GBP",
      promisedOn: "2027-03-05",
    });
    const one = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    expect(await server.store.order.findUnique({ where: { id: one.id } })).toMatchObject({ totalMinor: 64_000 });
    await remove(server, "ORDER", one.id, 1);

    const payment = await saved(server, "Payment", {
      order: order.id,
      kind: "DEPOSIT",
      paidOn: "2027-01-03",
      amountMinor: 40_000,
    });
    await saved(server, "Payment", { order: order.id, kind: "REFUND", paidOn: "2027-01-04", amountMinor: 10_000 });
    expect(
      faults(await save(server, "Payment", { order: order.id, kind: "BALANCE", paidOn: "2027-01-04", amountMinor: 0 })),
    ).toEqual([["amountMinor", "OUT_OF_RANGE"]]);
    const { data } = await server.query(
      `query ($id: ID!) { part(id: $id) { orders { paid { minor currency decimals } daysLate payments { kind } } } }`,
      { id: rows.casing },
    );
    expect(data).toEqual({
      part: {
        orders: [
          {
            paid: { minor: 30_000, currency: "GBP", decimals: 2 },
            daysLate: 0,
            payments: [{ kind: "DEPOSIT" }, { kind: "REFUND" }],
          },
        ],
      },
    });

    expect(await remove(server, "PART", rows.casing, 3)).toMatchObject({ code: "HAS_ORDERS", rows: ["1"] });
    expect(await remove(server, "QUOTE", rows.quote, 1)).toMatchObject({ code: "HAS_ORDERS", rows: ["1"] });
    expect(await remove(server, "SUPPLIER", rows.foundry, 1)).toMatchObject({ code: "HAS_ORDERS", rows: ["1"] });
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    expect(await remove(server, "RESTORATION", rows.restoration, revision)).toMatchObject({ code: "HAS_ORDERS" });
    expect(await remove(server, "ORDER", order.id, 1)).toMatchObject({ code: "HAS_PAYMENTS", rows: ["1"] });
    expect(await save(server, "Quote", { id: rows.quote, revision: 1, currency: "EUR" })).toMatchObject({
      code: "IN_USE",
    });
    expect(await server.store.payment.count()).toBe(2);
    expect(await remove(server, "PAYMENT", payment.id, 1)).toMatchObject({ __typename: "Refused", code: "LEDGER" });
    expect(await server.store.payment.count()).toBe(2);
  });

  test("an order cannot arrive before it was placed, nor be accepted without an arrival", async () => {
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    const early = await save(server, "Order", { id: order.id, revision: 1, state: "ARRIVED", arrivedOn: "2027-01-03" });
    expect(faults(early)).toEqual([["arrivedOn", "ORDER_OF_VALUES"]]);
    const unseen = await save(server, "Order", { id: order.id, revision: 1, state: "ACCEPTED" });
    expect(faults(unseen)).toEqual([["arrivedOn", "REQUIRED"]]);
    await saved(server, "Order", {
      id: order.id,
      revision: 1,
      state: "ARRIVED",
      arrivedOn: "2027-01-04",
      fitRating: 4,
    });
  });

  test("nothing is placed, come, begun or done on a day to come", async () => {
    const later = await save(server, "Order", { quote: rows.quote, placedOn: "2027-01-05" });
    expect(faults(later)).toEqual([["placedOn", "OUT_OF_RANGE"]]);
    const order = await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" });
    const come = { id: order.id, revision: 1, state: "ARRIVED", arrivedOn: "2027-01-05" };
    expect(faults(await save(server, "Order", come))).toEqual([["arrivedOn", "OUT_OF_RANGE"]]);
    const done = { id: rows.strip, revision: 1, startedOn: "2027-01-04", finishedOn: "2027-01-05" };
    expect(faults(await save(server, "Operation", { ...done, state: "DONE" }))).toEqual([
      ["finishedOn", "OUT_OF_RANGE"],
    ]);
  });

  test("a total that is left blank is said to be worked out, one that was agreed is not", async () => {
    const ids = [
      (await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04" })).id,
      (await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04", totalMinor: 60_000 })).id,
    ];
    const { data } = await server.query<{ part: { orders: { id: string; totalWorkedOut: boolean }[] } }>(
      "query ($p: ID!) { part(id: $p) { orders { id totalWorkedOut } } }",
      { p: rows.casing },
    );
    expect(ids.map((id) => data?.part.orders.find((order) => order.id === id)?.totalWorkedOut)).toEqual([true, false]);
  });

  test("a tax over 100 per cent and half of a character are refused by their fields", async () => {
    const quote = { id: rows.quote, revision: 1, taxRate: 1.2, notes: "half \ud800" };
    expect(faults(await save(server, "Quote", quote))).toEqual([
      ["taxRate", "OUT_OF_RANGE"],
      ["notes", "NOT_A_CHOICE"],
    ]);
    const hand = { name: "Wat", trades: ["general", "\udfff"] };
    expect(faults(await save(server, "Hand", hand))).toEqual([["trades", "NOT_A_CHOICE"]]);
    const strip = { id: rows.strip, revision: 1, alsoTrades: ["\ud800"] };
    expect(faults(await save(server, "Operation", strip))).toEqual([["alsoTrades", "NOT_A_CHOICE"]]);
  });
});

describe("snags", () => {
  test("a chosen remedy must be one of that snag, and goes with it when it is removed", async () => {
    const snag = await saved(server, "Snag", { operation: rows.strip, title: "Cracked lug", foundOn: "2027-01-04" });
    const other = await saved(server, "Snag", { operation: rows.strip, title: "Worn bush" });
    const remedy = await saved(server, "Remedy", { snag: snag.id, title: "Stitch it", priceMinor: 12_000, days: 14 });
    const pick = (id: string, revision: number) =>
      call(server, "chooseRemedy", "$snag: ID!, $remedy: ID, $revision: Int!", {
        snag: id,
        remedy: remedy.id,
        revision,
      });
    expect(faults(await pick(other.id, 1))).toEqual([["remedy", "UNKNOWN_ROW"]]);
    expect(await pick(snag.id, 1)).toMatchObject({ __typename: "Saved", revision: 2 });
    const gone = await remove(server, "SNAG", snag.id, 2);
    expect(await server.store.remedy.count()).toBe(0);
    expect(await undo(server, gone.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await server.store.snag.findUnique({ where: { id: snag.id } })).toMatchObject({ chosenRemedyId: remedy.id });
  });
});

describe("the words of a change", () => {
  test("name a row that has no name by those that it belongs to: nobody is shown an id", async () => {
    const one = await saved(server, "Operation", {
      restoration: rows.restoration,
      title: "Line the shoes",
      hoursLikely: 3,
      code: "LINE",
    });
    const other = await saved(server, "Operation", {
      restoration: rows.restoration,
      title: "Turn the drum",
      hoursLikely: 2,
      code: "TURN",
    });
    const link = await saved(server, "Link", { before: other.id, after: one.id, lag: 1 });
    expect(link.change.summary).toBe("Added link of Turn the drum and Line the shoes");
    const again = await saved(server, "Link", { id: link.id, revision: link.revision, lag: 2 });
    expect(again.change.summary).toBe("Changed link of Turn the drum and Line the shoes");
    expect((await remove(server, "LINK", link.id, again.revision)).change.summary).toBe(
      "Removed link of Turn the drum and Line the shoes",
    );
    const need = await saved(server, "Need", { operation: one.id, part: rows.casing, quantity: 1 });
    expect(need.change.summary).toBe("Added need of Line the shoes and Gearbox casing");
  });
});
