/** All machines of the shop: in what order they have its hands, what another order would change, and the order of their work. */
import { canRead, handsOf, mayWrite, own, restorationFor } from "../../access/rules.ts";
import { planRowsOf } from "../../plan/cache.ts";
import { PlanFault } from "../../plan/compute.ts";
import { dayOf, SAYS_DAY } from "../../plan/days/day.ts";
import { endsPlaced, endsRanked, type EndMoved as Moved } from "../../plan/hands/machines.ts";
import { operationsIn, orderOfWork, orderWorkOf } from "../../plan/hands/orderOfWork.ts";
import type { Plan } from "../../plan/plan.ts";
import { isStale } from "../../plan/rows/kept.ts";
import { machinesOf, type PlanRows } from "../../plan/rows/rows.ts";
import type { Store, Tx } from "../../store/client.ts";
import { InvalidInput, Refused } from "../../store/fault.ts";
import { type Journal, record } from "../../store/journal.ts";
import { WITH_WORK } from "../../store/rank.ts";
import { orderOfWorkInThread } from "../../worker/computations.ts";
import { type JobView, jobs, type RunningJob } from "../../worker/jobs.ts";
import { threads } from "../../worker/threads.ts";
import { builder, costing } from "../core/builder.ts";
import { workshopRecord } from "../core/change.ts";
import type { Context } from "../core/context.ts";
import { Job } from "../core/job.ts";
import { WORK } from "../core/limits.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { Completion, HandLoadConnection, HandTaskConnection } from "../network/holdUps.ts";
import { Restoration } from "../network/restoration.ts";

/** Orders of work that a longer search tries. */
const SCHEDULES = 5_000;

const Machine = builder.objectRef<{ id: string }>("Machine").implement({
  description: "A restoration with work left, among the others that have work for the same hands.",
  fields: (t) => ({
    restoration: t.field({
      type: Restoration,
      resolve: ({ id }, _args, context, info) => context.row("restoration", id, info),
    }),
    completion: t.field({
      type: Completion,
      nullable: true,
      description: "On all hands of the shop; null where what is entered makes no plan.",
      resolve: async ({ id }, _args, context) => (await planOrNull(context, id))?.completion ?? null,
    }),
    notBefore: t.field({
      type: "Date",
      nullable: true,
      description: "No order of work ends it sooner; null where no hands are entered.",
      resolve: async ({ id }, _args, context) => (await planOrNull(context, id))?.hands?.notBefore ?? null,
    }),
  }),
});

const MachineConnection = connectionOf("Machine", Machine);

export const EndMoved = builder.objectRef<Moved>("EndMoved").implement({
  description: "A machine's end, with what is open taken as cleared, as it is and as it would be.",
  fields: (t) => ({
    restoration: t.field({
      type: Restoration,
      resolve: ({ restorationId }, _args, context, info) => context.row("restoration", restorationId, info),
    }),
    before: t.expose("before", { type: "Date", nullable: true }),
    after: t.expose("after", { type: "Date", nullable: true }),
  }),
});

builder.queryFields((t) => ({
  machines: t.field({
    type: MachineConnection,
    description: "Those with work left, by rank: of two that want the same hand, the first of them has it.",
    args: forwards,
    complexity: costing(WORK.plan),
    resolve: async (_root, args, context) =>
      pageOf(
        args,
        (await ranked(context.store, context)).map((id) => ({ id })),
      ),
  }),
  shopLoad: t.field({
    type: HandLoadConnection,
    description:
      "What each hand has to do week by week on all machines, in order of name; none where no hands are entered.",
    args: forwards,
    complexity: costing(WORK.plan),
    resolve: async (_root, args, context) => {
      for (const id of await ranked(context.store, context)) {
        const plan = await planOrNull(context, id);
        if (plan !== null) return pageOf(args, plan.handLoad());
      }
      return pageOf(args, []);
    },
  }),
  ownWork: t.field({
    type: HandTaskConnection,
    description:
      "What the hand whose account this is does, on all machines of the shop, in that order: by the plan of this restoration, else of one with work left. Empty where the account is no hand's.",
    args: { ...forwards, restoration: t.arg.id({ required: true }) },
    complexity: costing(WORK.plan),
    resolve: async (_root, { restoration, ...args }, context) => {
      const { store, viewer } = context;
      const { id: asked } = await own(viewer, store, "restoration", restoration);
      const hand = await store.hand.findFirst({
        where: { accountId: viewer.accountId, ...handsOf(viewer) },
        select: { id: true },
      });
      if (hand === null) return pageOf(args, []);
      for (const id of [asked, ...(await ranked(store, context))]) {
        const plan = await planOrNull(context, id);
        if (plan !== null && plan.hands !== null) return pageOf(args, plan.tasksOf(hand.id));
      }
      return pageOf(args, []);
    },
  }),
  rankEffect: t.field({
    type: [EndMoved],
    description:
      "What each machine gains and loses if they have the hands in this order. Throws STALE where it names others than those with work left.",
    args: { order: t.arg.idList({ required: true }) },
    complexity: costing(WORK.plan),
    resolve: async (_root, { order }, context) => {
      const { rows, day } = await shopRows(context, await inOrder(context.store, context, order));
      return endsRanked(rows, order, day);
    },
  }),
}));

builder.mutationFields((t) => ({
  rankMachines: t.field({
    type: SaveResult,
    description:
      "From now on the machines have the hands in this order. STALE: it names others than those with work left.",
    args: { order: t.arg.idList({ required: true }) },
    resolve: (_root, { order }, context) => saving(context, () => rankMachines(context, order)),
  }),
  startOrderOfWork: t.field({
    type: Job,
    description: "Looks longer for an order of work of all machines by which they end sooner.",
    args: { restoration: t.arg.id({ required: true }) },
    complexity: costing(WORK.runs),
    resolve: (_root, { restoration }, context) => startOrderOfWork(context, restoration),
  }),
  keepOrderOfWork: t.field({
    type: SaveResult,
    description:
      "Keeps the order that a job found: it stands until one is found that ends a day sooner. STALE: it must be looked for anew.",
    args: { job: t.arg.id({ required: true }) },
    resolve: (_root, { job }, context) => saving(context, () => keepOrderOfWork(context, job)),
  }),
  dropOrderOfWork: t.field({
    type: SaveResult,
    description: "No order of work is kept any longer: each plan finds its own.",
    resolve: (_root, _args, context) => saving(context, () => dropOrderOfWork(context)),
  }),
}));

const OrderOfWork = builder.objectRef<OrderFound>("OrderOfWork").implement({
  description: "An order of work that was looked for, and what keeping it changes.",
  fields: (t) => ({
    ends: t.field({ type: [EndMoved], resolve: ({ ends }) => [...ends] }),
    sooner: t.boolean({
      description: "Some machine ends on another day by it.",
      resolve: ({ ends }) => ends.some(({ before, after }) => before !== after),
    }),
    isKept: t.exposeBoolean("isKept", { description: "Some order is kept already." }),
    stale: t.boolean({
      description: "Something has changed since: it must be looked for anew.",
      resolve: async (found, _args, { store }) => isStale(store, found),
    }),
  }),
});

builder.objectField(Job, "orderOfWork", (t) =>
  t.field({
    type: OrderOfWork,
    nullable: true,
    description: "What a job of kind orderOfWork found; null until it is done.",
    resolve: ({ kind, result }) => (kind === KIND ? (result as OrderFound | null) : null),
  }),
);

const KIND = "orderOfWork";

interface OrderFound {
  restorationId: string;
  planRevision: number;
  list: readonly string[];
  ends: readonly Moved[];
  isKept: boolean;
}

/** Ids of the restorations with work left, by rank, then by name. */
async function ranked(store: Store | Tx, { viewer }: Context): Promise<string[]> {
  if (!canRead(viewer)) return [];
  const found = await store.restoration.findMany({
    where: { workshopId: viewer.workshopId, ...WITH_WORK },
    orderBy: [{ rank: "asc" }, { machine: "asc" }, { id: "asc" }],
    select: { id: true },
  });
  return found.map(({ id }) => id);
}

/** The first of the machines, where the order names each of them once. Throws {@link NotFound}, {@link Refused} (STALE). */
async function inOrder(store: Store | Tx, context: Context, order: readonly string[]): Promise<string> {
  for (const id of order) await restorationFor(context.viewer, store, id);
  const ids = await ranked(store, context);
  if (ids.length > 0 && ids.length === order.length && ids.every((id) => order.includes(id))) return ids[0]!;
  throw new Refused("STALE", "These are not the machines that have work left now: look at them again.");
}

/** The rows of a machine with those of all others, and their day. */
export async function shopRows(
  { store }: Context,
  restorationId: string,
): Promise<{ rows: PlanRows; day: string; planRevision: number }> {
  const { planRevision, ...said } = await store.restoration.findUniqueOrThrow({
    where: { id: restorationId },
    select: { planRevision: true, ...SAYS_DAY },
  });
  return { rows: await planRowsOf(store, restorationId, planRevision), day: dayOf(said), planRevision };
}

async function planOrNull(context: Context, id: string): Promise<Plan | null> {
  try {
    return await context.plan(id);
  } catch (error) {
    if (error instanceof PlanFault) return null;
    throw error;
  }
}

async function rankMachines(context: Context, order: readonly string[]): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  mayWrite(viewer);
  const restorationId = await workshopRecord(store, viewer.workshopId);
  let first = "";
  const occasion = { restorationId, accountId: viewer.accountId, summary: () => `Ranked the machines: ${first} first` };
  const change = await record(store, occasion, async (journal) => {
    await inOrder(journal.tx, context, order);
    for (const [place, id] of order.entries()) {
      const { rank, revision, machine } = await journal.tx.restoration.findUniqueOrThrow({ where: { id } });
      if (place === 0) first = machine;
      if (rank !== place + 1) await journal.update("restoration", id, revision, { rank: place + 1 });
    }
  });
  const { revision } = await own(viewer, store, "restoration", order[0]!);
  return { change, id: order[0]!, revision };
}

interface Newest {
  job: string;
  /** What it was begun for: the same work on the same days gives the same order. */
  state: string;
}

/** The newest look for an order of work of each workshop. */
const newest = new WeakMap<Store, Map<string, Newest>>();

async function startOrderOfWork(context: Context, asked: string): Promise<JobView> {
  const { store, viewer } = context;
  mayWrite(viewer);
  const restorationId = await restorationFor(viewer, store, asked);
  const { rows, day, planRevision } = await shopRows(context, restorationId);
  try {
    // What makes no plan has no order either, and says why.
    await context.plan(restorationId);
    if (orderOfWork(rows, day) === null)
      throw new Refused("NOT_ALLOWED", "There is no order to look for: no hands are entered, or all work is done.");
    const work = orderWorkOf(rows, day);
    const last = newest.get(store) ?? new Map<string, Newest>();
    newest.set(store, last);
    const state = JSON.stringify([restorationId, planRevision, day]);
    const there = last.get(viewer.workshopId);
    const same = there?.state === state ? jobs.goingOn([there.job], viewer) : null;
    if (same !== null) return same;
    const refusal = threads.refusal(viewer.accountId);
    if (refusal !== null) return jobs.refused(KIND, viewer, refusal);
    const begun = jobs.start(KIND, viewer, async (running: RunningJob): Promise<OrderFound> => {
      running.enter("CHECKING");
      const list = operationsIn(await orderOfWorkInThread({ work, schedules: SCHEDULES }, running));
      running.check();
      return {
        restorationId,
        planRevision,
        list,
        ends: endsPlaced(rows, list, day),
        isKept: machinesOf(rows).some(({ operations }) => operations.some(({ place }) => place !== null)),
      };
    });
    last.set(viewer.workshopId, { job: begun.id, state });
    return begun;
  } catch (error) {
    if (error instanceof PlanFault) throw new InvalidInput(error.faults);
    throw error;
  }
}

async function keepOrderOfWork({ store, viewer }: Context, id: string): Promise<Omit<Saved, "is">> {
  mayWrite(viewer);
  const job = jobs.get(id, viewer);
  const found = job.kind === KIND ? (job.result as OrderFound | null) : null;
  if (found === null)
    throw new InvalidInput([
      { code: "UNKNOWN_ROW", field: "job", value: id, message: "job has found no order of work." },
    ]);
  const { restorationId, list } = found;
  await own(viewer, store, "restoration", restorationId);
  const occasion = { restorationId, accountId: viewer.accountId, summary: "Kept an order of work" };
  const change = await record(store, occasion, async (journal) => {
    if (await isStale(journal.tx, found))
      throw new Refused("STALE", "Something has changed since this order was looked for: look for it again.");
    await place(journal, viewer.workshopId, new Map(list.map((operation, i) => [operation, i + 1])));
  });
  const { revision } = await own(viewer, store, "restoration", restorationId);
  return { change, id: restorationId, revision };
}

/** Gives every operation of a workshop its place, and all others none. */
async function place(journal: Journal, workshopId: string, places: ReadonlyMap<string, number>): Promise<void> {
  const rows = await journal.tx.operation.findMany({
    where: { restoration: { workshopId }, OR: [{ state: { not: "DONE" } }, { place: { not: null } }] },
  });
  const to = ({ id }: { id: string }): number | null => places.get(id) ?? null;
  const moved = rows.filter((row) => row.place !== to(row));
  await journal.updateMany(
    "operation",
    moved.map((before) => ({ before, data: { place: to(before) } })),
  );
}

async function dropOrderOfWork({ store, viewer }: Context): Promise<Omit<Saved, "is">> {
  mayWrite(viewer);
  const restorationId = await workshopRecord(store, viewer.workshopId);
  const occasion = { restorationId, accountId: viewer.accountId, summary: "Let the kept order of work go" };
  const change = await record(store, occasion, (journal) => place(journal, viewer.workshopId, new Map()));
  const { revision } = await own(viewer, store, "restoration", restorationId);
  return { change, id: restorationId, revision };
}
