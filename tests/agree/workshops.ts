/** The demo, its club and generated restorations on a server of their own, and what is asked of them by whoever may. */
import fc from "fast-check";
import { graphql } from "graphql";
import { fillDemo } from "../../seed/load.ts";
import type { Viewer } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import type { QuoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import type { ChoiceProblem } from "../../server/plan/choice/input.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { compute } from "../../server/worker/thread.ts";
import { plant, restorationSeed } from "../io/oddRestoration.ts";
import { startServer, type TestServer } from "../support/server.ts";

export interface Workshops {
  server: TestServer;
  /** Ids of restorations, the demo's first. */
  ids: readonly string[];
  /** What the screens of a restoration's restorer, or of its owner, are told. */
  asked<Data>(id: string, document: string, role?: "RESTORER" | "OWNER"): Promise<Data>;
}

/** Starts the server. @param seeds how many restorations are generated. Every workshop looks at a day, as the demo does: else it is the one on which the test runs. */
export async function workshops(seeds = 4): Promise<Workshops> {
  const server = await startServer({ fill: fillDemo });
  const { store } = server;
  const demo = await store.restoration.findFirstOrThrow({ where: { workshop: { demo: true } } });
  const others = await store.restoration.findMany({
    where: { id: { not: demo.id } },
    orderBy: { id: "asc" },
    take: 5,
  });
  const ids = [demo.id, ...others.map(({ id }) => id)];
  for (let seed = 1; seed <= seeds; seed++) {
    const [planted] = fc.sample(restorationSeed, { seed, numRuns: 1 });
    // In a workshop of its own: whatever its hands do, those of the demo have but their own two machines.
    const workshop = await store.workshop.create({ data: { name: `Workshop ${seed}` } });
    const rates = await store.exchangeRate.findMany({ where: { workshopId: demo.workshopId } });
    await store.exchangeRate.createMany({
      data: rates.map(({ id: _id, ...rate }) => ({ ...rate, workshopId: workshop.id })),
    });
    ids.push(await plant(store, workshop.id, planted!, `#${seed}`));
  }
  await store.shopCalendar.updateMany({
    where: { figuresFor: null },
    data: { figuresFor: await dayFor(store, demo.id) },
  });
  // Each stands at its day, as the demo does: a day that is only looked at is not kept.
  await store.workshop.updateMany({ data: { demo: true } });
  return {
    server,
    ids,
    async asked<Data>(id: string, source: string, role: "RESTORER" | "OWNER" = "RESTORER") {
      const { data, errors } = await graphql({
        schema,
        source,
        variableValues: { id },
        contextValue: new Context(store, await viewerOf(server, id, role)),
      });
      if (errors) throw errors[0]!;
      return data as Data;
    },
  };
}

/** All plans to choose from, with the solver where suppliers charge on whole orders. */
export const plansFor = async ({ asked }: ChoiceProblem): Promise<QuoteChoice> =>
  (await compute({ kind: "choices", ...asked }, () => {})) as QuoteChoice;

/** Somebody of a restoration's workshop; an owner has it shown to them from then on. */
async function viewerOf({ store }: TestServer, id: string, role: "RESTORER" | "OWNER"): Promise<Viewer> {
  const { workshopId, ownerAccountId } = await store.restoration.findUniqueOrThrow({ where: { id } });
  const known = await store.account.findFirst({
    where: { workshopId, role, ...(role === "OWNER" ? { id: ownerAccountId ?? "" } : {}) },
  });
  const account = known ?? (await store.account.create({ data: { workshopId, role, name: `An ${role} of it` } }));
  if (role === "OWNER" && ownerAccountId !== account.id)
    await store.restoration.update({ where: { id }, data: { ownerAccountId: account.id } });
  return { accountId: account.id, workshopId, role, admin: role === "RESTORER", everyJob: role === "RESTORER" };
}
