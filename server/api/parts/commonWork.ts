/** Common work of the trade, to begin several rows with. */
import {
  type CommonWork as Common,
  type CommonOperation,
  type CommonPart,
  type Counted,
  commonWork,
  linesOf,
} from "../../io/commonWork.ts";
import { builder, wrongArgument } from "../core/builder.ts";

const Counts = builder.objectRef<Counted>("CountedInWork").implement({
  description: "What there may be several of, such as cylinders.",
  fields: (t) => ({
    one: t.exposeString("one"),
    many: t.exposeString("many"),
    least: t.exposeInt("least"),
    most: t.exposeInt("most"),
    usual: t.exposeInt("usual"),
  }),
});

const PartOfWork = builder.objectRef<CommonPart>("CommonPart").implement({
  fields: (t) => ({
    name: t.exposeString("name"),
    quantity: t.exposeInt("quantity"),
    group: t.exposeString("group"),
    safetyCritical: t.exposeBoolean("safetyCritical"),
  }),
});

const OperationOfWork = builder.objectRef<CommonOperation>("CommonOperation").implement({
  fields: (t) => ({
    title: t.exposeString("title"),
    trade: t.exposeString("trade"),
    group: t.exposeString("group"),
    hoursLeast: t.float({ resolve: ({ hours }) => hours[0] }),
    hoursLikely: t.float({ resolve: ({ hours }) => hours[1] }),
    hoursMost: t.float({ resolve: ({ hours }) => hours[2] }),
    after: t.stringList({
      description: 'Titles of those that it comes after, "Prime + 3 days" with a wait.',
      resolve: ({ after }) => [...after],
    }),
    needs: t.stringList({ description: "Names of the parts that it needs.", resolve: ({ needs }) => [...needs] }),
    notes: t.exposeString("notes"),
  }),
});

const LinesOfWork = builder.objectRef<ReturnType<typeof linesOf>>("CommonLines").implement({
  fields: (t) => ({
    parts: t.field({ type: [PartOfWork], resolve: ({ parts }) => parts }),
    work: t.field({ type: [OperationOfWork], resolve: ({ work }) => work }),
  }),
});

const CommonWork = builder.objectRef<Common>("CommonWork").implement({
  description: "Work that many machines have in common, with usual hours, links and parts: common practice, no source.",
  fields: (t) => ({
    name: t.exposeString("name"),
    description: t.exposeString("description"),
    counts: t.field({ type: Counts, nullable: true, resolve: ({ counts }) => counts }),
    lines: t.field({
      type: LinesOfWork,
      description: "Its parts and operations, as lines for addSeveral. count: default, the usual one.",
      args: { count: t.arg.int() },
      resolve: (common, { count }) => linesOf(common, countOf(common, count)),
    }),
  }),
});

function countOf({ name, counts }: Common, asked: number | null | undefined): number {
  const { least, most, usual, many } = counts ?? { least: 1, most: 1, usual: 1, many: "" };
  const count = asked ?? usual;
  if (count >= least && count <= most) return count;
  throw wrongArgument(
    "count",
    counts === null
      ? `must be 1: ${name} is one of its kind (it is ${count}).`
      : `must be ${least} to ${most} ${many} (it is ${count}).`,
  );
}

builder.queryField("commonWork", (t) =>
  t.field({
    type: [CommonWork],
    description: "All, by name, or those called so.",
    args: { name: t.arg.string() },
    resolve: async (_root, { name }) => (await commonWork()).filter((one) => name == null || one.name === name),
  }),
);
