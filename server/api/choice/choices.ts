/** Plans to choose from: worked out as a job, read a page at a time, and taken up in one change. */
import { mayWrite, own, restorationFor } from "../../access/rules.ts";
import {
  type ChoiceAnswer as Answer,
  type ChoiceAnswers as Answers,
  answersOf,
  type Choices as ChoicesFound,
  type ChoiceDifference as Different,
  daysLateOf,
  daysToBound,
  decidedBy,
  differencesOf,
  figuresOf,
  type LimitMiss as Miss,
  type ChoicePlan as Numbered,
  planNumbered,
  plansOf,
  splitOf,
  takenBy,
} from "../../plan/choice/choices.ts";
import { CHOSEN, type Choosing } from "../../plan/choice/effect.ts";
import { choiceProblem, type ChoiceNotice as Notice, type OpenSubject } from "../../plan/choice/input.ts";
import { awardMet } from "../../plan/choice/points.ts";
import type { OptionInfo } from "../../plan/choice/subject.ts";
import { PlanFault } from "../../plan/compute.ts";
import { loadExposureRows } from "../../plan/money/exposureLoad.ts";
import { named } from "../../plan/odds/oddsWords.ts";
import { clearedOf, lackOf } from "../../plan/parts/openWords.ts";
import { isStale } from "../../plan/rows/kept.ts";
import type { Store } from "../../store/client.ts";
import { InvalidInput, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { delegateOf } from "../../store/tables.ts";
import { choicesInThread } from "../../worker/computations.ts";
import { type JobView, jobs, type RunningJob } from "../../worker/jobs.ts";
import { threads } from "../../worker/threads.ts";
import { builder, costing, existingDate } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Job } from "../core/job.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { Operation } from "../network/operation.ts";
import { Restoration } from "../network/restoration.ts";
import { Remedy, Snag } from "../network/snag.ts";
import { Part } from "../parts/part.ts";
import { Quote } from "../parts/quote.ts";
import { OptionCost } from "./optionCost.ts";

/** What the job leaves behind. */
interface Made {
  job: string;
  choices: ChoicesFound;
}

export const ChoiceKind = builder.enumType("ChoiceKind", { values: ["PART", "SNAG", "OPERATION"] as const });
const ChoiceLimit = builder.enumType("ChoiceLimit", { values: ["DATE", "COST"] as const });

const ChoiceOption = builder.objectRef<OptionInfo & { currency: string }>("ChoiceOption").implement({
  description: "A quote, a remedy, a way, or the operation as it stands.",
  fields: (t) => ({
    code: t.exposeString("code", { nullable: true, description: "null: the operation as it says itself." }),
    words: t.exposeString("words", { description: "The supplier of a quote; the title of a remedy or a way." }),
    cost: t.field({ type: OptionCost, resolve: (option) => option }),
    pointsLost: t.float({ resolve: ({ points }) => points }),
    quote: t.field({
      type: Quote,
      nullable: true,
      resolve: ({ quoteId }, _args, context, info) => context.rowOrNull("quote", quoteId, info),
    }),
    remedy: t.field({
      type: Remedy,
      nullable: true,
      resolve: ({ remedyId }, _args, context, info) => context.rowOrNull("remedy", remedyId, info),
    }),
    wayId: t.id({ nullable: true, resolve: ({ wayId }) => wayId }),
  }),
});

const ChoiceDifference = builder.objectRef<Different & { currency: string }>("ChoiceDifference").implement({
  description: "A choice in which a plan differs from the plan in force.",
  fields: (t) => ({
    kind: t.field({
      type: ChoiceKind,
      resolve: ({ subject: { kind } }) => (kind === "SNAG" || kind === "OPERATION" ? kind : "PART"),
    }),
    code: t.string({ resolve: ({ subject }) => subject.code }),
    title: t.string({ resolve: ({ subject }) => subject.title }),
    part: t.field({
      type: Part,
      nullable: true,
      resolve: ({ subject: { kind, rowId } }, _args, context, info) =>
        context.rowOrNull("part", kind === "PART" ? rowId : null, info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ subject: { kind, rowId } }, _args, context, info) =>
        context.rowOrNull("snag", kind === "SNAG" ? rowId : null, info),
    }),
    operation: t.field({
      type: Operation,
      nullable: true,
      resolve: ({ subject: { kind, rowId } }, _args, context, info) =>
        context.rowOrNull("operation", kind === "OPERATION" ? rowId : null, info),
    }),
    from: t.field({ type: ChoiceOption, resolve: ({ from, currency }) => ({ ...from, currency }) }),
    to: t.field({ type: ChoiceOption, resolve: ({ to, currency }) => ({ ...to, currency }) }),
    costChange: t.field({
      type: Money,
      nullable: true,
      description: "Negative is cheaper; null where what is in force cannot be worked out.",
      resolve: ({ costChangeMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    pointsChange: t.exposeFloat("pointsChange", {
      description: "Points lost more (negative: fewer) by this alone, as if nothing else lost any.",
    }),
  }),
});

const ChoiceDifferenceConnection = connectionOf("ChoiceDifference", ChoiceDifference);

export const ChoicePlan = builder.objectRef<{ job: string; plan: Numbered }>("ChoicePlan").implement({
  description: "A plan that no other beats in date, cost and points at once.",
  fields: (t) => ({
    id: t.id({ resolve: ({ job, plan }) => `${job}:${plan.number}` }),
    number: t.int({ description: "From 1, the earliest first.", resolve: ({ plan }) => plan.number }),
    date: t.field({ type: "Date", resolve: ({ plan }) => figuresOf(plan).date }),
    daysLate: t.int({
      nullable: true,
      description: "Calendar days past the target date (negative: early); null without a target date.",
      resolve: ({ plan }) => daysLateOf(plan.choices, figuresOf(plan).date),
    }),
    cost: t.field({
      type: Money,
      description: "Still to be spent through these choices, with the hours where the workshop counts its own.",
      resolve: ({ plan }) => ({ minor: figuresOf(plan).costMinor, currency: plan.choices.problem.currency }),
    }),
    landed: t.field({
      type: Money,
      description: "Of the cost, what is bought.",
      resolve: ({ plan }) => ({ minor: splitOf(plan).landedMinor, currency: plan.choices.problem.currency }),
    }),
    charged: t.field({
      type: Money,
      description:
        "Of that, what suppliers charge on whole orders, each once: it is in no single option's cost, since it depends on all of them.",
      resolve: ({ plan }) => ({ minor: splitOf(plan).chargedMinor, currency: plan.choices.problem.currency }),
    }),
    hours: t.float({ description: "Of all that is chosen in it.", resolve: ({ plan }) => splitOf(plan).hours }),
    labour: t.field({
      type: Money,
      description: "Those hours at their rates; in the cost only where the workshop counts its own hours.",
      resolve: ({ plan }) => ({ minor: splitOf(plan).labourMinor, currency: plan.choices.problem.currency }),
    }),
    counted: t.field({
      type: Money,
      description: "What of it counts against the cap.",
      resolve: ({ plan }) => ({ minor: splitOf(plan).countedMinor, currency: plan.choices.problem.currency }),
    }),
    pointsLost: t.float({
      description: "By everything chosen and fitted, each line by its rule and each section up to its cap.",
      resolve: ({ plan }) => figuresOf(plan).pointsLost,
    }),
    disqualified: t.boolean({
      description: "Something is lost on a disqualifying line, be it worth no point: no award is met.",
      resolve: ({ plan }) => figuresOf(plan).disqualified,
    }),
    award: t.string({
      nullable: true,
      description: "The highest award that it leaves met; null: none.",
      resolve: ({ plan }) => {
        const { pointsLost, disqualified } = figuresOf(plan);
        return awardMet(plan.choices.problem.sheet, pointsLost, disqualified)?.award ?? null;
      },
    }),
    decides: t.stringList({
      description: "Names of parts and snags for which it takes what only stands in now: taking it up decides them.",
      resolve: ({ plan }) => decidedBy(plan).map(({ subject }) => subject.title),
    }),
    differences: t.field({
      type: ChoiceDifferenceConnection,
      description: "From the plan in force; none: it is the plan in force.",
      args: forwards,
      resolve: ({ plan }, args) => {
        const { currency } = plan.choices.problem;
        return pageOf(
          args,
          differencesOf(plan).map((one) => ({ ...one, currency })),
        );
      },
    }),
  }),
});

const ChoicePlanConnection = connectionOf("ChoicePlan", ChoicePlan);

export const PlanInForce = builder.objectRef<ChoicesFound>("PlanInForce").implement({
  description: "What stands now: quotes, remedies and ways chosen or standing in.",
  fields: (t) => ({
    date: t.field({ type: "Date", resolve: ({ problem }) => problem.inForce.date }),
    daysLate: t.int({
      nullable: true,
      description: "Calendar days past the target date (negative: early); null without a target date.",
      resolve: (choices) => daysLateOf(choices, choices.problem.inForce.date),
    }),
    cost: t.field({
      type: Money,
      nullable: true,
      description: "Counted as in the plans; null where something in force cannot be worked out.",
      resolve: ({ problem: { inForce, currency } }) =>
        inForce.costMinor === null ? null : { minor: inForce.costMinor, currency },
    }),
    landed: t.field({
      type: Money,
      nullable: true,
      description: "Of the cost, what is bought.",
      resolve: ({ problem: { inForce, currency } }) =>
        inForce.landedMinor === null ? null : { minor: inForce.landedMinor, currency },
    }),
    counted: t.field({
      type: Money,
      nullable: true,
      description: "What of it counts against the cap.",
      resolve: ({ problem: { inForce, currency } }) =>
        inForce.countedMinor === null ? null : { minor: inForce.countedMinor, currency },
    }),
    charged: t.field({
      type: Money,
      description: "Of that, what suppliers charge on whole orders.",
      resolve: ({ problem: { chargedMinor: minor, currency } }) => ({ minor, currency }),
    }),
    pointsLost: t.float({ resolve: ({ problem }) => problem.inForce.pointsLost }),
    disqualified: t.boolean({ resolve: ({ problem }) => problem.inForce.disqualified }),
    award: t.string({
      nullable: true,
      resolve: ({ problem: { sheet, inForce } }) =>
        awardMet(sheet, inForce.pointsLost, inForce.disqualified)?.award ?? null,
    }),
  }),
});

const LimitMiss = builder.objectRef<Miss>("LimitMiss").implement({
  fields: (t) => ({
    limit: t.expose("limit", { type: ChoiceLimit }),
    alone: t.expose("alone", {
      type: "Minor",
      description:
        "By how much the best plan for this alone misses it: calendar days, or minor units of the restoration's currency; 0: it can be kept by itself.",
    }),
    withOthers: t.expose("withOthers", {
      type: "Minor",
      nullable: true,
      description: "The same among plans that keep the other limits; null when these cannot be kept together.",
    }),
    words: t.exposeString("words"),
  }),
});

const ChoiceAnswer = builder.objectRef<{ job: string; answer: Answer }>("ChoiceAnswer").implement({
  fields: (t) => ({
    plan: t.field({
      type: ChoicePlan,
      nullable: true,
      description: "null: no plan keeps the limits; misses say by how much.",
      resolve: ({ job, answer: { plan } }) => (plan === null ? null : { job, plan }),
    }),
    words: t.string({ resolve: ({ answer }) => answer.words }),
    misses: t.field({ type: [LimitMiss], resolve: ({ answer }) => answer.misses }),
  }),
});

const ChoiceAnswers = builder.objectRef<{ job: string; answers: Answers }>("ChoiceAnswers").implement({
  fields: (t) => ({
    cheapestByTarget: t.field({
      type: ChoiceAnswer,
      resolve: ({ job, answers }) => ({ job, answer: answers.cheapestByTarget }),
    }),
    earliestWithinCap: t.field({
      type: ChoiceAnswer,
      resolve: ({ job, answers }) => ({ job, answer: answers.earliestWithinCap }),
    }),
    mostPointsWithinBoth: t.field({
      type: ChoiceAnswer,
      resolve: ({ job, answers }) => ({ job, answer: answers.mostPointsWithinBoth }),
    }),
    bestByWorth: t.field({
      type: ChoiceAnswer,
      description:
        "Whatever the limits, the least of cost, days past the target (without one, of all days) and points lost together, at the owner's price for a day and for a point.",
      resolve: ({ job, answers }) => ({ job, answer: answers.bestByWorth }),
    }),
  }),
});

const ChoiceNotice = builder.objectRef<Notice>("ChoiceNotice").implement({
  description: "What was left out of the choice, or counts in another way than might be thought.",
  fields: (t) => ({
    row: t.exposeString("row", { description: "Code of the part, quote, snag, remedy, operation, way or order." }),
    message: t.exposeString("message"),
  }),
});

const ChoiceNoticeConnection = connectionOf("ChoiceNotice", ChoiceNotice);

const money = (minor: number | null, { problem: { currency } }: ChoicesFound) =>
  minor === null ? null : { minor, currency };

const OpenSubjectType = builder.objectRef<OpenSubject>("OpenSubject").implement({
  description: "A part or a snag for which there is nothing to choose.",
  fields: (t) => ({
    title: t.exposeString("title"),
    part: t.field({
      type: Part,
      nullable: true,
      resolve: ({ kind, rowId }, _args, context, info) =>
        context.rowOrNull("part", kind === "PART" ? rowId : null, info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ kind, rowId }, _args, context, info) =>
        context.rowOrNull("snag", kind === "SNAG" ? rowId : null, info),
    }),
  }),
});

const Choices = builder.objectRef<Made>("Choices").implement({
  fields: (t) => ({
    restoration: t.field({
      type: Restoration,
      resolve: ({ choices }, _args, context, info) => context.row("restoration", choices.problem.restorationId, info),
    }),
    planRevision: t.int({
      description: "Of the restoration, for which it was worked out.",
      resolve: ({ choices }) => choices.problem.planRevision,
    }),
    stale: t.boolean({
      description: "The restoration has changed since: these plans can be read, and no longer be taken up.",
      resolve: ({ choices }, _args, { store }) => isStale(store, choices.problem),
    }),
    figuresFor: t.field({ type: "Date", resolve: ({ choices }) => choices.problem.figuresFor }),
    targetDate: t.field({ type: "Date", nullable: true, resolve: ({ choices }) => choices.problem.targetDate }),
    cap: t.field({ type: Money, nullable: true, resolve: ({ choices }) => money(choices.problem.capMinor, choices) }),
    committed: t.field({
      type: Money,
      description: "Paid and owed already, each payment at its own rate.",
      resolve: ({ choices }) => money(choices.problem.committedMinor, choices)!,
    }),
    heldBack: t.field({
      type: Money,
      description:
        "What else counts against the cap and is not chosen here: estimates of parts without a source, and labour where the cap covers it.",
      resolve: ({ choices }) => money(choices.problem.heldBackMinor, choices)!,
    }),
    capLeft: t.field({
      type: Money,
      nullable: true,
      description: "The cap less what is committed and held back: what the plans may cost; negative when it is passed.",
      resolve: ({ choices }) => money(choices.problem.capLeftMinor, choices),
    }),
    open: t.field({
      type: [OpenSubjectType],
      description:
        "Parts without a source and snags without a remedy: they count as cleared for the purpose, and completion stays open.",
      resolve: ({ choices }) => [...choices.problem.open],
    }),
    lacking: t.string({
      nullable: true,
      description: 'For people: what the open ones are without, such as "no source"; null where nothing is open.',
      resolve: ({ choices }) => lackOf(choices.problem.open),
    }),
    cleared: t.string({
      nullable: true,
      description: 'For people: as what the open ones are taken: "in hand" or "cleared"; null where nothing is.',
      resolve: ({ choices }) => clearedOf(choices.problem.open),
    }),
    inForce: t.field({ type: PlanInForce, resolve: ({ choices }) => choices }),
    plans: t.field({
      type: ChoicePlanConnection,
      description: "By ascending date, then points lost.",
      args: forwards,
      resolve: ({ job, choices }, args) =>
        pageOf(
          args,
          plansOf(choices).map((plan) => ({ job, plan })),
        ),
    }),
    daysToBound: t.int({
      nullable: true,
      description:
        "Each plan is put on the hands, and its date is the one of Hold-ups once it is taken up. None better was found: by so many calendar days at most could another be sooner that costs no more and loses no more points, in whatever order of work. 0: none is. null where no hands are entered.",
      resolve: ({ choices }) => daysToBound(choices),
    }),
    plan: t.field({
      type: ChoicePlan,
      nullable: true,
      args: { number: t.arg.int({ required: true }) },
      resolve: ({ job, choices }, { number }) => {
        const plan = planNumbered(choices, number);
        return plan === null ? null : { job, plan };
      },
    }),
    answers: t.field({ type: ChoiceAnswers, resolve: ({ job, choices }) => ({ job, answers: answersOf(choices) }) }),
    notices: t.field({
      type: ChoiceNoticeConnection,
      args: forwards,
      resolve: ({ choices }, args) => pageOf(args, choices.problem.notices),
    }),
  }),
});

builder.objectField(Job, "choices", (t) =>
  t.field({
    type: Choices,
    nullable: true,
    description: "What a job of kind choices found; null until it is done.",
    resolve: ({ id, kind, result }) =>
      kind === KIND && result !== null ? { job: id, choices: result as ChoicesFound } : null,
  }),
);

builder.mutationFields((t) => ({
  startChoices: t.field({
    type: Job,
    description:
      "Works out the plans to choose from. The same revision and day of the figures asked again gives the job that is there.",
    args: { restoration: t.arg.id({ required: true }), figuresFor: t.arg({ type: "Date" }) },
    complexity: costing(WORK.runs),
    resolve: (_root, { restoration, figuresFor }, context) =>
      startChoices(context, restoration, existingDate("figuresFor", figuresFor)),
  }),
  takePlan: t.field({
    type: SaveResult,
    description:
      "Takes up a plan, by its number: all that differs, and what only stands in as yet, in one change; or of what differs only the parts, snags and operations named. STALE: it must be worked out anew.",
    args: { job: t.arg.id({ required: true }), plan: t.arg.int({ required: true }), only: t.arg.idList() },
    resolve: (_root, { job, plan, only }, context) => saving(context, () => takePlan(context, job, plan, only ?? null)),
  }),
}));

const KIND = "choices";

interface Kept {
  job: string;
  revision: number;
}

/** The newest job of each restoration and day of the figures. */
const kept = new WeakMap<Store, Map<string, Kept>>();

async function startChoices(
  { store, viewer }: Context,
  restoration: string,
  asked: string | undefined,
): Promise<JobView> {
  const restorationId = await restorationFor(viewer, store, restoration);
  const rows = await loadExposureRows(store, restorationId, asked);
  const known = kept.get(store) ?? new Map<string, Kept>();
  kept.set(store, known);
  const key = `${viewer.workshopId} ${restorationId} ${rows.figuresFor}`;
  const last = known.get(key);
  if (last !== undefined) {
    const job = jobs.goingOn([last.job], viewer);
    if (job !== null && last.revision === rows.planRevision) return job;
    // Nobody can take up what an older revision gives.
    if (job !== null) jobs.stop(last.job, viewer);
  }
  const refusal = threads.refusal(viewer.accountId);
  if (refusal !== null) return jobs.refused(KIND, viewer, refusal);
  const job = jobs.start(KIND, viewer, async (running: RunningJob): Promise<ChoicesFound> => {
    running.progress("Reading quotes, remedies and ways", 0, 100);
    const problem = problemOf(rows);
    running.enter("CHECKING");
    running.progress("Weighing the choices", 0, 100);
    const found = await choicesInThread(problem.asked, running);
    running.check();
    running.progress("Plans to choose from", 100, 100);
    return { problem, found };
  });
  known.set(key, { job: job.id, revision: rows.planRevision });
  return job;
}

function problemOf(rows: Parameters<typeof choiceProblem>[0]): ReturnType<typeof choiceProblem> {
  try {
    return choiceProblem(rows);
  } catch (error) {
    if (error instanceof PlanFault) throw new InvalidInput(error.faults);
    throw error;
  }
}

/** What a job found. @throws InvalidInput for one that has no plans */
export function choicesOf({ viewer }: Context, id: string): ChoicesFound {
  const job = jobs.get(id, viewer);
  const choices = job.kind === KIND ? (job.result as ChoicesFound | null) : null;
  if (choices !== null) return choices;
  throw new InvalidInput([
    { code: "OUT_OF_RANGE", field: "job", row: id, message: "No plans were worked out here: work them out first." },
  ]);
}

/** The plan of a number. @throws InvalidInput where there is none */
export function planIn(choices: ChoicesFound, number: number, field: string): Numbered {
  const plan = planNumbered(choices, number);
  if (plan !== null) return plan;
  throw new InvalidInput([
    {
      code: "OUT_OF_RANGE",
      field,
      value: String(number),
      message: `There is no plan ${number}; the last is plan ${choices.found.end.length}.`,
    },
  ]);
}

/** Where each kind of choice is written. */
const WRITTEN = { PART: "part", SNAG: "snag", OPERATION: "operation" } as const;

/** What taking a plan up chooses. @throws InvalidInput where a row is named of which it changes nothing */
function takenOf(plan: Numbered, only: readonly string[] | null): ReturnType<typeof takenBy> {
  const changes = differencesOf(plan);
  const missing = only?.find((row) => !changes.some(({ subject }) => subject.rowId === row));
  if (missing === undefined) return takenBy(plan, only);
  throw new InvalidInput([
    { code: "UNKNOWN_ROW", field: "only", value: missing, message: `Plan ${plan.number} changes nothing of that row.` },
  ]);
}

/** The same, row by row, as it is written. */
export const choosingBy = (plan: Numbered, only: readonly string[] | null): Choosing[] =>
  takenOf(plan, only).flatMap(({ subject: { kind, rowId }, to }) =>
    kind === "SETTLED" ? [] : [{ table: WRITTEN[kind], id: rowId, to: to.quoteId ?? to.remedyId ?? to.wayId }],
  );

async function takePlan(
  context: Context,
  id: string,
  number: number,
  only: readonly string[] | null,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  mayWrite(viewer);
  const choices = choicesOf(context, id);
  const plan = planIn(choices, number, "plan");
  const { restorationId } = choices.problem;
  const restoration = await own(viewer, store, "restoration", restorationId);
  const changes = differencesOf(plan);
  const taken = takenOf(plan, only);
  const changed = taken.filter(({ subject }) => changes.some((one) => one.subject === subject));
  const decided = taken.length - changed.length;
  const part = only !== null && changed.length < changes.length;
  const counts = [
    ...(changed.length > 0 ? [`${changed.length} changed`] : []),
    ...(decided > 0 ? [`${decided} decided`] : []),
  ];
  const change = await record(
    store,
    {
      restorationId,
      accountId: viewer.accountId,
      summary: `Took ${part ? "part of " : ""}plan ${number}, ${counts.join(" and ")}: ${named(taken.map(({ subject }) => subject))}`,
    },
    async (journal) => {
      if (await isStale(journal.tx, choices.problem))
        throw new Refused(
          "STALE",
          "The restoration has changed since these plans were worked out: work them out again.",
        );
      if (taken.length === 0)
        throw new Refused(
          "NOT_ALLOWED",
          only === null
            ? "This is the plan in force, and all of it is decided: there is nothing to change."
            : "Nothing of the plan was named.",
        );
      for (const { table, id, to } of choosingBy(plan, only)) {
        const row = (await delegateOf(journal.tx, table).findUnique({ where: { id } }))!;
        await journal.update(table, id, row.revision, { [CHOSEN[table].field]: to });
      }
    },
  );
  return { change, id: restorationId, revision: restoration.revision };
}
