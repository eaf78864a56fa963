/** The question over everything, as the head of a sheet asks it while somebody types: 20,000 rows of a restoration and its club. */
import { readClubIndexes } from "../../server/plan/club/index.ts";
import { readFindIndexes } from "../../server/plan/find/findIndex.ts";
import { largeClub } from "../support/largeClub.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { figure, quantile, timingsOf } from "./measure.ts";

const FIND = `query ($restoration: ID!, $text: String!) { find(restoration: $restoration, text: $text) {
  group count rows {
    kind id code title beside fits part supplyState madeHere orderBy operationState decisionState orderState invoiceKind
    hours trades day amount { minor currency decimals } member sources namesDown smallest steward
  } } }`;

const ROWS = { parts: 4_000, operations: 3_000, decisions: 500, snags: 500, club: 12_000 };

export async function find(): Promise<void> {
  let restoration = "";
  const server = await startServer({
    fill: async (store) => {
      await largeClub(store, { members: 400, rows: ROWS.club, batches: 50 });
      restoration = await fill(store);
    },
  });
  try {
    const ask = async (document: string, variables = {}): Promise<void> => {
      const { data, errors } = await server.query(document, variables);
      if (errors !== undefined || !data) throw new Error(JSON.stringify(errors));
    };
    await ask(`{ holdUps(restoration: "${restoration}") { completion { open } } }`);
    // As the program does once it listens.
    const reading = performance.now();
    await readClubIndexes(server.store);
    await readFindIndexes(server.store);
    figure("find.20000.readIn", performance.now() - reading, "ms");
    const began = performance.now();
    await ask(FIND, { restoration, text: "casing" });
    figure("find.20000.first", performance.now() - began, "ms");
    const typed = await words(server.store);
    let at = 0;
    const times = await timingsOf(() => ask(FIND, { restoration, text: typed[at++ % typed.length]! }), {
      least: 2 * typed.length,
    });
    figure("find.20000.p50", quantile(times, 0.5), "ms");
    figure("find.20000.p95", quantile(times, 0.95), "ms");
  } finally {
    await server.close();
  }
}

type Store = TestServer["store"];

/** A restoration whose rows are called as the club's are. */
async function fill(store: Store): Promise<string> {
  const { id: workshopId } = await store.workshop.findFirstOrThrow();
  const { id: askedById } = await store.account.findFirstOrThrow({ where: { workshopId }, orderBy: { id: "asc" } });
  const { id: restorationId } = await store.restoration.create({
    data: { workshopId, machine: "Machine of many rows", owner: "Odile Farrant" },
  });
  const sources = await store.clubSource.findMany({ take: ROWS.parts, orderBy: { id: "asc" } });
  const of = (i: number) => sources[i % sources.length]!;
  const many = <T>(count: number, row: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => row(i));
  const code = (i: number) => String(i + 1);
  const makers = [...new Set(sources.map(({ supplier }) => supplier))];
  await store.supplier.createMany({
    data: makers.map((name, i) => ({ id: `maker-${i}`, workshopId, code: `M-${i}`, name })),
  });
  await store.part.createMany({
    data: many(ROWS.parts, (i) => ({ id: `part-${i}`, restorationId, code: code(i), name: `${of(i).part} ${i % 90}` })),
  });
  await store.partReference.createMany({
    data: many(ROWS.parts, (i) => ({ partId: `part-${i}`, number: of(i).references || `ZZ ${i}` })),
  });
  await store.quote.createMany({
    data: many(ROWS.parts, (i) => ({
      restorationId,
      partId: `part-${i}`,
      supplierId: `maker-${makers.indexOf(of(i).supplier)}`,
      code: code(i),
      provenance: "REMADE" as const,
      unitPriceMinor: 1_000 + i,
      currency: "GBP",
      leadDays: 20,
    })),
  });
  await store.operation.createMany({
    data: many(ROWS.operations, (i) => ({
      id: `operation-${i}`,
      restorationId,
      code: `ENG-${i + 1}`,
      title: `${["Strip", "Fit", "Mark out", "Draw"][i % 4]} the ${of(i).part}`,
      trade: "engine",
      hoursLikely: 1 + (i % 20),
    })),
  });
  await store.decision.createMany({
    data: many(ROWS.decisions, (i) => ({
      restorationId,
      kind: "SUM" as const,
      title: `${of(i).part}, made anew`,
      amountMinor: 10_000 + i,
      currency: "GBP",
      askedOn: "2026-11-01",
      askedById,
    })),
  });
  await store.snag.createMany({
    data: many(ROWS.snags, (i) => ({
      restorationId,
      operationId: `operation-${i}`,
      code: code(i),
      title: `Cracked ${of(i).part}`,
    })),
  });
  return restorationId;
}

/** As people type: a word letter by letter, a name, a number without its dash, a maker, and words with a letter wrong. */
async function words(store: Store): Promise<string[]> {
  const rows = await store.clubSource.findMany({ take: 40, skip: 500, orderBy: { id: "asc" } });
  const last = (text: string) => text.split(" ").at(-1)!;
  return rows.flatMap(({ part, references, supplier }, i) => [
    last(part).slice(0, 1 + (i % 6)),
    part,
    references.replace("-", "") || part,
    supplier,
    last(part).length > 4 ? last(part).slice(0, 2) + last(part).slice(3) : last(part),
  ]);
}
