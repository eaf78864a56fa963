/** Walk-away prices: what a part is worth if it is offered today. */
import type { Provenance as ProvenanceName } from "../../generated/prisma/enums.ts";
import {
  type PartWalkAways,
  type WalkAway as Price,
  walkAwayProblem,
  walkAwaysOn,
} from "../../plan/choice/walkAway.ts";
import { loadExposureRows } from "../../plan/money/exposureLoad.ts";
import { KeptByRevision } from "../../plan/rows/kept.ts";
import type { Store } from "../../store/client.ts";
import { walkAwaysOf } from "../../worker/computations.ts";
import type { Asker } from "../../worker/line.ts";
import { SharedWork } from "../../worker/sharedWork.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Provenance } from "../core/enums.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Restoration } from "../network/restoration.ts";
import { Part } from "../parts/part.ts";

const WalkAway = builder.objectRef<Price>("WalkAway").implement({
  description:
    "For a part of one provenance offered today: what the best plan without it costs, in money plus the owner's price for a day and for a point, less what the best plan with it at price zero costs.",
  fields: (t) => ({
    provenance: t.field({ type: Provenance, resolve: ({ provenance }): ProvenanceName => provenance }),
    price: t.field({
      type: Money,
      nullable: true,
      description:
        "The most to pay, landed, for one that fits as it is: off it comes what its own work would cost. Null: no limit from the figures.",
      resolve: ({ priceMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    words: t.exposeString("words"),
    daysSaved: t.exposeInt("daysSaved", {
      nullable: true,
      description: "Calendar days by which the best plan with it is earlier; null without a limit.",
    }),
    pointsDifference: t.exposeFloat("pointsDifference", {
      nullable: true,
      description: "Points that the best plan with it loses more (negative: fewer); null without a limit.",
    }),
  }),
});

const PartWalkAway = builder.objectRef<PartWalkAways>("PartWalkAway").implement({
  fields: (t) => ({
    part: t.field({
      type: Part,
      resolve: ({ partId }, _args, context, info) => context.row("part", partId, info),
    }),
    walkAway: t.field({ type: [WalkAway], resolve: ({ walkAways }) => [...walkAways] }),
  }),
});

const PartWalkAwayConnection = connectionOf("PartWalkAway", PartWalkAway);

builder.prismaObjectField(Part, "walkAway", (t) =>
  t.field({
    type: [WalkAway],
    description: "What it is worth offered today, for each provenance that is not ruled out; none for a part in hand.",
    complexity: costing(WORK.runs),
    resolve: async ({ id, restorationId }, _args, context) => {
      const all = await walkAways(context, restorationId);
      return [...(all.find(({ partId }) => partId === id)?.walkAways ?? [])];
    },
  }),
);

builder.prismaObjectField(Restoration, "walkAways", (t) =>
  t.field({
    type: PartWalkAwayConnection,
    description: "Of every outstanding part, by its code.",
    args: forwards,
    complexity: costing(WORK.runs),
    resolve: async ({ id }, args, context) => pageOf(args, await walkAways(context, id)),
  }),
);

const kept = new KeptByRevision<SharedWork<PartWalkAways[]>>();

/** Prices of all outstanding parts, worked out once for a revision and a day of figures. */
const walkAways = (context: Context, restorationId: string): Promise<PartWalkAways[]> =>
  context.once(`walkAways ${restorationId}`, async () => {
    const { store } = context;
    const figuresFor = await context.figuresFor(restorationId);
    const asker = context.longWork();
    const { value } = await kept.of(
      store,
      restorationId,
      figuresFor,
      (drop) =>
        new SharedWork(
          (signal) => pricesOf(store, restorationId, figuresFor, { account: asker.account, signal }),
          drop,
        ),
    );
    return value.wait(asker.signal);
  });

async function pricesOf(
  store: Store,
  restorationId: string,
  figuresFor: string,
  asker: Asker,
): Promise<PartWalkAways[]> {
  const asked = walkAwayProblem(await loadExposureRows(store, restorationId, figuresFor));
  const { problem, worth, offers } = asked;
  return walkAwaysOn(asked, await walkAwaysOf({ kind: "walkAways", work: problem.work, worth, offers }, asker));
}
