/** Long work that can be followed and stopped: reading files in. */
import { mayWrite } from "../../access/rules.ts";
import { applyImport, type ImportPreview as Preview, type ReadyImport } from "../../io/import.ts";
import { type JobView, jobs } from "../../worker/jobs.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";
import { forwards, pageOf } from "./page.ts";
import { FaultConnection, FaultType } from "./saveResult.ts";

const JobState = builder.enumType("JobState", {
  values: ["READING", "CHECKING", "READY", "WRITING", "DONE", "FAILED", "STOPPED"] as const,
});

const ImportCount = builder.objectRef<Preview["counts"][number]>("ImportCount").implement({
  fields: (t) => ({
    file: t.exposeString("file"),
    holds: t.exposeString("holds", {
      description: "What its rows are, where the file holds more than one kind of them; else empty.",
    }),
    rows: t.exposeInt("rows"),
    added: t.exposeInt("added"),
    changed: t.exposeInt("changed"),
    same: t.exposeInt("same"),
  }),
});

const ColumnRead = builder.objectRef<Preview["columns"][number]>("ColumnRead").implement({
  description: "What a column of a file is read as, where that is not its own name.",
  fields: (t) => ({
    file: t.exposeString("file"),
    heading: t.exposeString("heading"),
    readAs: t.exposeString("readAs", { nullable: true, description: "Null: it is not read." }),
    choices: t.stringList({
      description: "What it could be read as.",
      resolve: ({ choices }) => [...choices],
    }),
  }),
});

const ImportPreview = builder.objectRef<Preview>("ImportPreview").implement({
  fields: (t) => ({
    applicable: t.exposeBoolean("applicable"),
    machine: t.exposeString("machine"),
    restoration: t.id({ nullable: true, resolve: (preview) => preview.restoration }),
    counts: t.field({ type: [ImportCount], resolve: (preview) => [...preview.counts] }),
    columns: t.field({ type: [ColumnRead], resolve: (preview) => [...preview.columns] }),
    faults: t.field({
      type: FaultConnection,
      args: forwards,
      resolve: (preview, args) => pageOf(args, preview.faults),
    }),
    notices: t.field({
      type: FaultConnection,
      args: forwards,
      resolve: (preview, args) => pageOf(args, preview.notices),
    }),
  }),
});

export const Job = builder.objectRef<JobView>("Job").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    kind: t.exposeString("kind"),
    state: t.expose("state", { type: JobState }),
    stage: t.exposeString("stage", { description: "What it is doing, in words." }),
    done: t.exposeInt("done"),
    total: t.exposeInt("total"),
    problem: t.field({ type: FaultType, nullable: true, resolve: (job) => job.problem }),
    importPreview: t.field({
      type: ImportPreview,
      nullable: true,
      resolve: (job) => (job.kind === "import" ? ((job.result as { preview: Preview } | null)?.preview ?? null) : null),
    }),
  }),
});

builder.queryField("job", (t) =>
  t.field({
    type: Job,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { viewer }) => jobs.get(id, viewer),
  }),
);

builder.mutationFields((t) => ({
  applyImport: t.field({
    type: Job,
    args: { job: t.arg.id({ required: true }) },
    resolve: (_root, { job }, context) => applyReady(context, job),
  }),
  stopJob: t.field({
    type: Job,
    args: { job: t.arg.id({ required: true }) },
    resolve: (_root, { job }, { viewer }) => jobs.stop(job, viewer),
  }),
}));

builder.subscriptionField("job", (t) =>
  t.field({
    type: Job,
    args: { id: t.arg.id({ required: true }) },
    subscribe: (_root, { id }, context) => whileTheSame(context, jobs.changes(id, context.viewer)),
    resolve: (job: JobView) => job,
  }),
);

/** What comes while whoever asked is still who it was: nothing after signing out, or in another role. */
function whileTheSame<T>(context: Context, changes: AsyncIterableIterator<T>): AsyncIterableIterator<T> {
  return {
    next: async () => {
      const change = await changes.next();
      if (change.done === true || (await context.isSame())) return change;
      return (await changes.return?.()) ?? { done: true, value: undefined };
    },
    return: async () => (await changes.return?.()) ?? { done: true, value: undefined },
    [Symbol.asyncIterator]() {
      return this;
    },
  };
}

/** Writes what a READY import holds. Throws where it is not ready, or the viewer may not write. */
function applyReady({ store, viewer }: Context, id: string): JobView {
  mayWrite(viewer);
  return jobs.resume(id, viewer, (job, ready) => applyImport(store, ready as ReadyImport, job));
}
