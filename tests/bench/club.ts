/** The club through the API as its screens ask for it: 2,000 members and 50,000 rows; and the demo's own, filled. */
import { seedClub } from "../../seed/club.ts";
import { seedDemo } from "../../seed/load.ts";
import { ClubIndex } from "../../server/plan/club/index.ts";
import { CLUB_QUERIES } from "../support/clubQueries.ts";
import { largeClub } from "../support/largeClub.ts";
import { startServer } from "../support/server.ts";
import { testStore } from "../support/store.ts";
import { figure, quantile, timingsOf } from "./measure.ts";

const SOURCE = `id code supplier part machine references provenance sharedOn own price { minor currency } failed
  member { id name } delivery { promisedDays takenDays fitRating } record { deliveries late failed fitRating }`;
const ROW = "id code part machine references quantity own member { id name }";

/** What each list is asked for; a page of fifty. */
const LISTS: Record<string, string> = {
  sources: `{ clubSources(first: 50) { totalCount edges { node { ${SOURCE} } } } }`,
  wants: `{ wants(first: 50) { totalCount edges { node { ${ROW} } } } }`,
  spares: `{ spares(first: 50) { totalCount edges { node { ${ROW} } } } }`,
  matches: `{ matches(first: 50) { totalCount edges { node { reason messageCount want { ${ROW} } spare { ${ROW} } } } } }`,
  wanted:
    "{ wantedParts(first: 50) { totalCount edges { node { part references members pieces needed own batch { id code } price { ownSaving { minor } } } } } }",
  batches: `{ batches(first: 50) { totalCount edges { node { id code part state closesOn outlook { putDown needed chance arrivesOn now { piece { minor } } } ownNameDown { quantity } } } } }`,
};
const SEARCH = `query ($search: String!) { clubSources(search: $search, first: 50) { totalCount edges { node { ${SOURCE} } } } }`;

export async function club(): Promise<void> {
  await filling();
  const server = await startServer({ fill: async (store) => void (await largeClub(store)) });
  try {
    const ask = async (document: string, variables = {}): Promise<void> => {
      const { data, errors } = await server.query(document, variables);
      if (errors !== undefined || !data) throw new Error(JSON.stringify(errors));
    };
    const { id } = await server.store.club.findFirstOrThrow();
    const began = performance.now();
    await new ClubIndex().load(server.store, id);
    figure("club.index.50000", performance.now() - began, "ms");

    const words = await searches(server.store);
    let at = 0;
    const found = await timingsOf(() => ask(SEARCH, { search: words[at++ % words.length]! }), { least: words.length });
    figure("club.search.50000.p50", quantile(found, 0.5), "ms");
    figure("club.search.50000.p95", quantile(found, 0.95), "ms");
    for (const [name, document] of Object.entries(LISTS)) {
      const times = await timingsOf(() => ask(document), { least: 25 });
      figure(`club.${name}.50000.p50`, quantile(times, 0.5), "ms");
      figure(`club.${name}.50000.p95`, quantile(times, 0.95), "ms");
    }
  } finally {
    await server.close();
  }
}

/** What filling an empty database with the demo's club costs beside the demo itself. */
async function filling(): Promise<void> {
  const { store, close } = await testStore();
  try {
    const began = performance.now();
    await seedDemo(store);
    const demo = performance.now();
    await seedClub(store);
    figure("club.seed", performance.now() - demo, "ms");
    figure("club.seed.withDemo", performance.now() - began, "ms");
    figure("club.misspelt.found", await found(store), `of ${CLUB_QUERIES.length}`);
  } finally {
    await close();
  }
}

/** Of how many queries the part meant stands among the first five answers. */
async function found(store: Awaited<ReturnType<typeof testStore>>["store"]): Promise<number> {
  const { id } = await store.club.findFirstOrThrow();
  const index = new ClubIndex();
  await index.load(store, id);
  const parts = new Map((await store.clubSource.findMany()).map((row) => [row.id, row.part]));
  return CLUB_QUERIES.filter(([typed, meant]) => {
    const fits = index.find("clubSource", typed);
    const answers = fits.length > 0 ? fits : index.nearest("clubSource", typed);
    return answers.slice(0, 5).some((id) => parts.get(id) === meant);
  }).length;
}

/** Sixty searches as people type them: a number, a part, a part of a machine, a supplier, and words with a letter wrong. */
async function searches(store: Awaited<ReturnType<typeof testStore>>["store"]): Promise<string[]> {
  const rows = await store.clubSource.findMany({ take: 60, skip: 1_000, orderBy: { id: "asc" } });
  return rows.map(({ part, machine, references, supplier }, i) => {
    const [word = part] = part.split(" ").toReversed();
    if (i % 5 === 0 && references !== "") return references;
    if (i % 5 === 1) return part;
    if (i % 5 === 2) return `${part} ${machine}`;
    if (i % 5 === 3) return supplier;
    return word.length > 4 ? word.slice(0, 2) + word.slice(3) : word;
  });
}
