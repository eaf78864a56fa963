/** A small restoration for the tests of the API: a gearbox that waits for its casing, and a brake that wants inspecting. */
import type { Store } from "../../server/store/client.ts";
import { asText } from "../../server/store/texts.ts";
import type { TestServer } from "../support/server.ts";

export const RESULT = `
  __typename
  ... on Saved { id revision change { id summary } }
  ... on InvalidInput { code message faults { code field message row value rows } }
  ... on Refused { code message rows }
  ... on StaleRow { code message revision differences { field theirs yours } }
`;

export interface Result {
  __typename: "Saved" | "InvalidInput" | "Refused" | "StaleRow";
  id: string;
  revision: number;
  change: { id: string; summary: string };
  code: string;
  message: string;
  faults: { code: string; field: string; message: string; row: string | null; value: string | null; rows: string[] }[];
  rows: string[];
  differences: { field: string; theirs: string; yours: string }[];
}

/** Calls a mutation and returns what it answered. Fails the test on a GraphQL error. */
export async function call(server: TestServer, mutation: string, args: string, variables: object): Promise<Result> {
  const head = args === "" ? "" : `(${args})`;
  const passed = args
    .split(",")
    .map((arg) => /\$(\w+)/.exec(arg)?.[1])
    .map((name) => `${name}: $${name}`)
    .join(", ");
  const answer = await server.query<Record<string, Result>>(
    `mutation ${head} { ${mutation}(${passed}) { ${RESULT} } }`,
    variables as Record<string, unknown>,
  );
  if (answer.errors !== undefined) throw new Error(JSON.stringify(answer.errors));
  const result = answer.data?.[mutation];
  if (result === undefined) throw new Error("There is no answer.");
  return result;
}

/** Saves a row: `save(server, "Part", {...})` calls savePart. */
export const save = (server: TestServer, noun: string, input: object): Promise<Result> =>
  call(server, `save${noun}`, `$input: ${noun}Input!`, { input });

/** Saves a row that must be accepted. */
export async function saved(server: TestServer, noun: string, input: object): Promise<Result> {
  const result = await save(server, noun, input);
  if (result.__typename !== "Saved") throw new Error(JSON.stringify(result));
  return result;
}

/** Has the workshop look at a day; null: today. */
export async function lookAt(server: TestServer, figuresFor: string | null): Promise<Result> {
  const { data } = await server.query<{
    restorations: { edges: { node: { calendar: { revision: number } } }[] };
  }>("{ restorations(first: 1) { edges { node { calendar { revision } } } } }");
  const { revision } = data!.restorations.edges[0]!.node.calendar;
  return saved(server, "ShopCalendar", { revision, figuresFor });
}

export const remove = (server: TestServer, row: string, id: string, revision: number): Promise<Result> =>
  call(server, "remove", "$row: RowKind!, $id: ID!, $revision: Int!", { row, id, revision });

export const undo = (server: TestServer, change: string): Promise<Result> =>
  call(server, "undo", "$change: ID!", { change });

export const choose = (server: TestServer, part: string, quote: string | null, revision: number): Promise<Result> =>
  call(server, "chooseQuote", "$part: ID!, $quote: ID, $revision: Int!", { part, quote, revision });

export interface Shop {
  restoration: string;
  strip: string;
  assemble: string;
  brake: string;
  link: string;
  casing: string;
  drum: string;
  foundry: string;
  quote: string;
  need: string;
}

/** Builds the restoration through the API itself. */
export async function shop(server: TestServer): Promise<Shop> {
  const add = async (noun: string, input: object) => (await saved(server, noun, input)).id;
  const restoration = await add("Restoration", {
    machine: "1913 Tallow & Wren",
    owner: "Odile Farrant",
    currency: "GBP",
    targetName: "Midsummer Concours",
    targetDate: "2027-06-19",
  });
  await lookAt(server, "2027-01-04");
  const strip = await add("Operation", { restoration, title: "Strip the gearbox", hoursLikely: 8, trade: "engine" });
  const assemble = await add("Operation", {
    restoration,
    title: "Assemble the gearbox",
    hoursLikely: 16,
    trade: "engine",
  });
  const brake = await add("Operation", { restoration, title: "Fit the brake drum", hoursLikely: 4, trade: "chassis" });
  const link = await add("Link", { before: strip, after: assemble });
  const casing = await add("Part", { restoration, name: "Gearbox casing", group: "gearbox" });
  const drum = await add("Part", {
    restoration,
    name: "Brake drum",
    group: "brakes",
    safetyCritical: true,
    stateOnHand: "IN_HAND",
  });
  const need = await add("Need", { operation: assemble, part: casing });
  await add("Need", { operation: brake, part: drum });
  const foundry = await add("Supplier", { name: "Lower Mill Foundry", kind: "FOUNDRY", country: "GB" });
  const quote = await add("Quote", {
    part: casing,
    supplier: foundry,
    provenance: "REMADE",
    unitPriceMinor: 64_000,
    leadDays: 60,
    priceBreaks: [
      { quantity: 2, unitPriceMinor: 50_000 },
      { quantity: 5, unitPriceMinor: 40_000 },
    ],
  });
  return { restoration, strip, assemble, brake, link, casing, drum, foundry, quote, need };
}

/** Another workshop, whose rows nobody of the first may see. Written to the store directly, as nobody here may write there. */
export async function otherShop(store: Store): Promise<Record<string, string>> {
  const workshop = await store.workshop.create({ data: { name: "Next door", calendar: { create: {} } } });
  const restoration = await store.restoration.create({
    data: { workshopId: workshop.id, machine: "Stationary engine" },
  });
  const restorationId = restoration.id;
  const account = await store.account.create({ data: { workshopId: workshop.id, name: "Next door's restorer" } });
  const operation = await store.operation.create({
    data: { restorationId, code: "W010", title: "Strip", hoursLikely: 1 },
  });
  const later = await store.operation.create({ data: { restorationId, code: "W020", title: "Clean", hoursLikely: 1 } });
  const link = await store.link.create({ data: { restorationId, beforeId: operation.id, afterId: later.id } });
  const part = await store.part.create({ data: { restorationId, code: "P001", name: "Governor" } });
  const need = await store.need.create({ data: { restorationId, operationId: operation.id, partId: part.id } });
  const supplier = await store.supplier.create({ data: { workshopId: workshop.id, code: "S01", name: "Breaker" } });
  const quote = await store.quote.create({
    data: {
      restorationId,
      partId: part.id,
      supplierId: supplier.id,
      code: "Q001",
      provenance: "ORIGINAL",
      unitPriceMinor: 1,
      currency: "GBP",
      leadDays: 1,
    },
  });
  const order = await store.order.create({
    data: {
      restorationId,
      partId: part.id,
      quoteId: quote.id,
      code: "O001",
      placedOn: "2027-01-01",
      promisedOn: "2027-01-02",
      totalMinor: 1,
      currency: "GBP",
    },
  });
  const payment = await store.payment.create({
    data: { restorationId, orderId: order.id, kind: "DEPOSIT", paidOn: "2027-01-01", amountMinor: 1, currency: "GBP" },
  });
  const snag = await store.snag.create({
    data: { restorationId, operationId: operation.id, code: "N01", title: "Crack" },
  });
  const remedy = await store.remedy.create({
    data: { restorationId, snagId: snag.id, code: "R01", title: "Stitch", currency: "GBP" },
  });
  const inspection = await store.inspection.create({
    data: { restorationId, partId: part.id, inspector: "A. Fitter", inspectedOn: "2027-01-01", what: "Looked" },
  });
  const tradeRate = await store.tradeRate.create({ data: { restorationId, trade: "fitter" } });
  const hand = await store.hand.create({ data: { workshopId: workshop.id, name: "Wat", trades: asText(["fitter"]) } });
  const absence = await store.absence.create({
    data: { workshopId: workshop.id, handId: hand.id, fromDate: "2027-01-04", toDate: "2027-01-08" },
  });
  const section = await store.judgingSection.create({ data: { restorationId, name: "Engine", maximum: 10 } });
  const floor = await store.awardFloor.create({ data: { restorationId, award: "First", points: 9 } });
  const closed = await store.closedDate.create({ data: { workshopId: workshop.id, date: "2027-01-01" } });
  const operationWay = await store.operationWay.create({
    data: { restorationId, operationId: operation.id, code: "Y01", title: "Sent out", currency: "GBP" },
  });
  const find = await store.find.create({
    data: { restorationId, clientKey: "k1", what: "Governor weights", currency: "GBP", foundOn: "2027-01-01" },
  });
  const exchangeRate = await store.exchangeRate.create({
    data: { workshopId: workshop.id, date: "2027-01-01", base: "EUR", counter: "GBP", rate: "0.85" },
  });
  const photograph = await store.photograph.create({
    data: {
      restorationId,
      partId: part.id,
      accountId: account.id,
      hash: "0".repeat(64),
      mediaType: "image/jpeg",
      bytes: 1,
      width: 1,
      height: 1,
    },
  });
  const change = await store.change.create({
    data: { restorationId, accountId: "nobody", summary: "Added", rows: "[]" },
  });
  const rows = {
    account,
    operation,
    link,
    part,
    need,
    supplier,
    quote,
    order,
    payment,
    snag,
    remedy,
    inspection,
    tradeRate,
    hand,
    absence,
    section,
    floor,
    closed,
    change,
    way: operationWay,
    operationWay,
    find,
    exchangeRate,
    photograph,
    judgingSection: section,
  };
  return {
    restoration: restorationId,
    ...Object.fromEntries(Object.entries(rows).map(([name, row]) => [name, row.id])),
  };
}
