/** Dates by their odds of the plans to choose from: the same runs as the odds of the plan in force, drawn for the plans that are looked at. */
import { type Choices, differencesOf, type ChoicePlan as Plan, takenUp } from "../../plan/choice/choices.ts";
import { dateWith, type OddsOutlook, oddsModel, RUNS } from "../../plan/odds/odds.ts";
import { isStale } from "../../plan/rows/kept.ts";
import { loadRows } from "../../plan/rows/load.ts";
import { InvalidInput, Refused } from "../../store/fault.ts";
import { runOdds, WAITING } from "../../worker/computations.ts";
import { type JobView, jobs, type RunningJob } from "../../worker/jobs.ts";
import { threads } from "../../worker/threads.ts";
import { ChoicePlan, choicesOf, PlanInForce, planIn } from "../choice/choices.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Job } from "../core/job.ts";
import { WORK } from "../core/limits.ts";
import { oddsOfRestoration } from "./oddsWork.ts";

/** What the runs of a plan say. Dates are null where so many runs never end. */
interface PlanOdds {
  evenOdds: string | null;
  fourInFive: string | null;
  onTarget: number | null;
}

/** By number of the plan, null for the one in force, as far as they are worked out. */
type Known = Map<number | null, PlanOdds>;
const known = new WeakMap<Choices, Known>();

const oddsOf = (choices: Choices): Known => {
  const there = known.get(choices) ?? new Map();
  known.set(choices, there);
  return there;
};

const PlanOddsType = builder.objectRef<PlanOdds>("PlanOdds").implement({
  description:
    "What many runs of a plan say: the same draws for every plan, as many as for the odds of the plan in force.",
  fields: (t) => ({
    evenOdds: t.expose("evenOdds", { type: "Date", nullable: true }),
    fourInFive: t.expose("fourInFive", { type: "Date", nullable: true }),
    onTarget: t.exposeFloat("onTarget", {
      nullable: true,
      description: "Chance of the target date; null without one.",
    }),
  }),
});

builder.objectField(ChoicePlan, "odds", (t) =>
  t.field({
    type: PlanOddsType,
    nullable: true,
    description: "null until startPlanOdds has worked it out.",
    resolve: ({ plan: { choices, number } }) => oddsOf(choices).get(number) ?? null,
  }),
);

builder.objectField(PlanInForce, "odds", (t) =>
  t.field({
    type: PlanOddsType,
    nullable: true,
    description: "null until startPlanOdds has worked out that of any plan.",
    resolve: (choices) => oddsOf(choices).get(null) ?? null,
  }),
);

/** By account, the job that is drawing: who looks at other plans no longer waits for the runs of those before. */
const last = new Map<string, string>();

/** Plans in one job: those of a page. */
const MOST = 50;
const KIND = "planOdds";

builder.mutationField("startPlanOdds", (t) =>
  t.field({
    type: Job,
    description: `Draws the runs of plans that a job of choices found, at most ${MOST}, to be followed and stopped as a job, then read from their odds; those of the plan in force come first. What is known already is not drawn again.`,
    args: { job: t.arg.id({ required: true }), plans: t.arg.intList({ required: true }) },
    complexity: costing(WORK.runs),
    resolve: (_root, { job, plans }, context) => startPlanOdds(context, job, plans),
  }),
);

function startPlanOdds(context: Context, id: string, numbers: readonly number[]): JobView {
  const { store, viewer } = context;
  const choices = choicesOf(context, id);
  if (numbers.length > MOST)
    throw new InvalidInput([
      {
        code: "OUT_OF_RANGE",
        field: "plans",
        value: String(numbers.length),
        message: `At most ${MOST} plans are drawn at once (there are ${numbers.length}).`,
      },
    ]);
  const plans = [...new Set(numbers)].map((number) => planIn(choices, number, "plans"));
  const refusal = threads.refusal(viewer.accountId);
  if (refusal !== null) return jobs.refused(KIND, viewer, refusal);
  const before = last.get(viewer.accountId);
  if (before !== undefined) jobs.stop(before, viewer);
  const started = jobs.start(KIND, viewer, (running) =>
    draw(running).finally(() => {
      if (last.get(viewer.accountId) === started.id) last.delete(viewer.accountId);
    }),
  );
  last.set(viewer.accountId, started.id);
  return started;

  async function draw(running: RunningJob): Promise<null> {
    running.enter("CHECKING");
    const { restorationId, figuresFor } = choices.problem;
    const rows = await loadRows(store, restorationId);
    if (await isStale(store, choices.problem))
      throw new Refused("STALE", "The restoration has changed since these plans were worked out: work them out again.");
    const odds = oddsOf(choices);
    const left = [null, ...plans].filter((plan) => !odds.has(plan?.number ?? null));
    for (const [at, plan] of left.entries()) {
      const number = plan?.number ?? null;
      if (odds.has(number)) continue;
      const follow = (
        share: number,
        stage = number === null ? "Drawing runs of the plan" : `Drawing runs of plan ${number}`,
      ): void => running.progress(stage, 100 * at + Math.floor(100 * share), 100 * left.length);
      follow(0);
      const asker = { account: running.account, signal: running.signal };
      const outlook: OddsOutlook =
        plan === null || isInForce(plan)
          ? await oddsOfRestoration(store, restorationId, figuresFor, asker)
          : {
              restorationId,
              figuresFor,
              found: await runOdds(oddsModel(takenUp(plan, rows), figuresFor), RUNS, {
                ...asker,
                waits: () => follow(0, WAITING),
                follow: (soFar) => follow(Math.min(1, soFar.runs / Math.max(1, soFar.wanted))),
              }),
            };
      odds.set(number, {
        evenOdds: dateWith(outlook, 0.5),
        fourInFive: dateWith(outlook, 0.8),
        onTarget: outlook.found.onTarget,
      });
    }
    running.progress("Dates by their odds", 100 * left.length, 100 * left.length);
    return null;
  }
}

const isInForce = (plan: Plan): boolean => differencesOf(plan).length === 0;
