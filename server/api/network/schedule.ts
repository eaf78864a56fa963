/** An operation's place in the plan. */
import { clearedOf, lackOf } from "../../plan/parts/openWords.ts";
import type { ScheduledOperation as Place, Plan } from "../../plan/plan.ts";
import { builder } from "../core/builder.ts";
import { connectionOf } from "../core/page.ts";

export const ScheduledOperation = builder.objectRef<{ plan: Plan; place: Place }>("ScheduledOperation");

ScheduledOperation.implement({
  fields: (t) => ({
    earlyStart: t.float({
      description: "Working hours from the day of the figures; done work is negative.",
      resolve: ({ place }) => place.earlyStart,
    }),
    earlyFinish: t.float({ resolve: ({ place }) => place.earlyFinish }),
    lateStart: t.float({ resolve: ({ place }) => place.lateStart }),
    lateFinish: t.float({ resolve: ({ place }) => place.lateFinish }),
    totalFloat: t.float({ resolve: ({ place }) => place.totalFloat }),
    freeFloat: t.float({ resolve: ({ place }) => place.freeFloat }),
    drag: t.float({ resolve: ({ place }) => place.drag }),
    critical: t.boolean({ resolve: ({ place }) => place.critical }),
    earlyStartDate: t.field({ type: "Date", resolve: ({ place }) => place.earlyStartDate }),
    earlyFinishDate: t.field({ type: "Date", resolve: ({ place }) => place.earlyFinishDate }),
    lateStartDate: t.field({ type: "Date", resolve: ({ place }) => place.lateStartDate }),
    lateFinishDate: t.field({ type: "Date", resolve: ({ place }) => place.lateFinishDate }),
    floatToTarget: t.float({
      nullable: true,
      description: "Working hours to spare against the target date; null without one.",
      resolve: ({ place }) => place.floatToTarget,
    }),
    hoursToDo: t.float({
      description: "Still to do: of the way in force, as judged last where it is begun; 0 once it is done.",
      resolve: ({ place }) => place.hoursToDo,
    }),
    hands: t.stringList({
      description: "Names of those who do it; empty where it needs nobody, nobody is entered, or it is done.",
      resolve: ({ place }) => place.hands.map(({ name }) => name),
    }),
    putDownUntil: t.field({
      type: "Date",
      nullable: true,
      description:
        "Under way and put down by the schedule for other work here: the day on which it goes on. Else null.",
      resolve: ({ place }) => place.putDown?.until ?? null,
    }),
    putDownFor: t.stringList({
      description: "Titles of the work here that its hands do before it goes on; empty where it is not put down.",
      resolve: ({ place }) => [...(place.putDown?.titles ?? [])],
    }),
    waitsForOpen: t.stringList({
      description:
        "Names of the parts without a source and snags without a remedy that this operation waits for, directly or through others.",
      resolve: ({ plan, place }) => plan.waitsForOpen(place.operationId).map(({ title }) => title),
    }),
    lacking: t.string({
      nullable: true,
      description: 'For people: what these are without, such as "no source"; null where there are none.',
      resolve: ({ plan, place }) => lackOf(plan.waitsForOpen(place.operationId)),
    }),
    cleared: t.string({
      nullable: true,
      description: 'For people: as what its dates take these: "in hand" or "cleared"; null where there are none.',
      resolve: ({ plan, place }) => clearedOf(plan.waitsForOpen(place.operationId)),
    }),
  }),
});

export const ScheduledOperationConnection = connectionOf("ScheduledOperation", ScheduledOperation);
