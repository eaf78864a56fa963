/** One question over everything: parts, work, money, suppliers, snags, people and the club, found by words and numbers. */
import { type Member, memberOrNull } from "../access/club.ts";
import { canRead, own } from "../access/rules.ts";
import { planAtHand } from "../plan/cache.ts";
import { clubIndex, type FoundTable } from "../plan/clubIndex.ts";
import { PlanFault } from "../plan/compute.ts";
import { type FindGroup, type FindKind, type FoundInPlan, findIndexOf } from "../plan/findIndex.ts";
import { type FoundRow, wordsThatFit } from "../plan/wordSearch.ts";
import { numberAsked } from "../store/codes.ts";
import { builder, costing } from "./builder.ts";
import { idsOf, MOST_LETTERS, SAID } from "./clubPage.ts";
import type { Context } from "./context.ts";
import { DecisionState, InvoiceKind, OperationState, OrderState, SupplyState } from "./enums.ts";
import { WORK } from "./limits.ts";
import { Money } from "./money.ts";
import { size } from "./page.ts";

type ClubKind = "SOURCE" | "WANT" | "SPARE" | "BATCH" | "MEMBER";

interface Row extends Omit<Partial<FoundInPlan>, "kind" | "inHand"> {
  id: string;
  kind: FindKind | ClubKind;
  title: string;
  fits: readonly string[];
  supplyState?: typeof SupplyState.$inferType | undefined;
  madeHere?: boolean;
  orderBy?: string | null | undefined;
  member?: string;
  sources?: number;
  namesDown?: number;
  smallest?: number;
  steward?: boolean;
}

interface Group {
  group: FindGroup | "CLUB";
  count: number;
  rows: readonly Row[];
}

const FoundGroupName = builder.enumType("FoundGroupName", {
  values: ["PARTS", "WORK", "MONEY_AND_DECISIONS", "SUPPLIERS", "SNAGS", "PEOPLE", "CLUB"] as const,
});

const FoundKind = builder.enumType("FoundKind", {
  description:
    "What was found; a SOURCE stands for all of the club's with its part, WANT, SPARE, BATCH and MEMBER are the club's too.",
  values: [
    ...(["PART", "OPERATION", "DECISION", "INVOICE", "ORDER", "SUPPLIER", "SNAG", "OWNER", "HAND"] as const),
    ...(["SOURCE", "WANT", "SPARE", "BATCH", "MEMBER"] as const),
  ],
});

const FoundRowType = builder.objectRef<Row>("FoundRow").implement({
  description:
    "A row that the words fit, and what is said of it in a line. Where a part is in the plan is told where its plan is worked out already, and otherwise only whether it is in hand: a find works out none, so that it answers while somebody types.",
  fields: (t) => ({
    kind: t.expose("kind", { type: FoundKind }),
    id: t.exposeID("id"),
    code: t.string({ nullable: true, resolve: ({ code }) => code || null }),
    title: t.exposeString("title", { description: "What it is called; empty for what has a number alone." }),
    beside: t.string({
      nullable: true,
      description: "What else of it the words fit: a reference number, a maker, a note.",
      resolve: ({ beside }) => beside ?? null,
    }),
    fits: t.stringList({
      description: "Words of title and beside that fit, as they stand there.",
      resolve: ({ fits }) => [...fits],
    }),
    part: t.id({ nullable: true, description: "Of an order.", resolve: ({ partId }) => partId ?? null }),
    supplyState: t.field({ type: SupplyState, nullable: true, resolve: ({ supplyState }) => supplyState ?? null }),
    madeHere: t.boolean({
      description: "What the plan counts on is made by the shop itself: it is begun, not ordered.",
      resolve: ({ madeHere }) => madeHere ?? false,
    }),
    orderBy: t.field({ type: "Date", nullable: true, resolve: ({ orderBy }) => orderBy ?? null }),
    operationState: t.field({ type: OperationState, nullable: true, resolve: (row) => row.operationState ?? null }),
    decisionState: t.field({ type: DecisionState, nullable: true, resolve: (row) => row.decisionState ?? null }),
    orderState: t.field({ type: OrderState, nullable: true, resolve: ({ orderState }) => orderState ?? null }),
    invoiceKind: t.field({ type: InvoiceKind, nullable: true, resolve: ({ invoiceKind }) => invoiceKind ?? null }),
    hours: t.float({
      nullable: true,
      description: "Most likely, of an operation.",
      resolve: ({ hours }) => hours ?? null,
    }),
    trades: t.stringList({ description: "Of an operation or a hand.", resolve: ({ trades }) => [...(trades ?? [])] }),
    day: t.field({
      type: "Date",
      nullable: true,
      description: "When it was finished, cleared or entered; of an order, when it is promised.",
      resolve: ({ day }) => day ?? null,
    }),
    amount: t.field({ type: Money, nullable: true, resolve: ({ amount }) => amount ?? null }),
    member: t.string({
      nullable: true,
      description: "Who wants it or lets it go.",
      resolve: ({ member }) => member ?? null,
    }),
    sources: t.int({
      nullable: true,
      description: "Sources of the part that fit.",
      resolve: ({ sources }) => sources ?? null,
    }),
    namesDown: t.int({
      nullable: true,
      description: "Pieces that members are down for.",
      resolve: (row) => row.namesDown ?? null,
    }),
    smallest: t.int({
      nullable: true,
      description: "Fewest pieces with which the batch goes ahead.",
      resolve: ({ smallest }) => smallest ?? null,
    }),
    steward: t.boolean({ nullable: true, resolve: ({ steward }) => steward ?? null }),
  }),
});

const FoundGroup = builder.objectRef<Group>("FoundGroup").implement({
  fields: (t) => ({
    group: t.expose("group", { type: FoundGroupName }),
    count: t.exposeInt("count", { description: "All that fit; the best of them are in rows." }),
    rows: t.field({ type: [FoundRowType], resolve: ({ rows }) => rows }),
  }),
});

/** Rows of a group when not said, and at most. */
const ROWS = { usual: 4, most: 20 } as const;

builder.queryField("find", (t) =>
  t.field({
    type: [FoundGroup],
    description:
      "What fits the words in all that the asker may see, in groups; groups in which nothing does are left out. Words are begun, misspelt, run together or by another name of the trade too, numbers also without their spaces and points. Without a restoration, what the club has. An owner finds what the report is about.",
    args: {
      restoration: t.arg.id(),
      text: t.arg.string({ required: true }),
      first: t.arg.int({ description: `Rows of each group, ${ROWS.most} at most.` }),
    },
    complexity: costing(WORK.find),
    resolve: async (_root, { restoration, text, first }, context) => {
      size("first", first, ROWS.most);
      // What stands between words may have been pasted with them; a half of a letter is none.
      const words = text
        .slice(0, MOST_LETTERS)
        .replace(/\p{C}+/gu, " ")
        .trim();
      const inPlan = restoration == null ? [] : await planGroups(context, restoration, words, first ?? ROWS.usual);
      if (words === "") return [];
      const member = await memberOrNull(context.viewer, context.store);
      const inClub = member === null ? [] : [await clubGroup(context, member, words, first ?? ROWS.usual)];
      return [...inPlan, ...inClub].filter(({ count }) => count > 0);
    },
  }),
);

const GROUPS: readonly FindGroup[] = ["PARTS", "WORK", "MONEY_AND_DECISIONS", "SUPPLIERS", "SNAGS", "PEOPLE"];

/** What the owner's report names: what holds the end up, what is asked, and what was invoiced. */
const OF_REPORT: ReadonlySet<FindKind> = new Set<FindKind>(["PART", "SNAG", "DECISION", "INVOICE"]);

async function planGroups(context: Context, id: string, words: string, first: number): Promise<Group[]> {
  const { store, viewer } = context;
  const restoration = await own(viewer, store, "restoration", id);
  if (words === "") return [];
  const index = await findIndexOf(store, restoration);
  if (canRead(viewer)) {
    return Promise.all(
      GROUPS.map(async (group) => groupOf(group, await withPlan(context, id, index.find(group, words), first))),
    );
  }
  const holding = await holdingUp(context, id);
  return Promise.all(
    GROUPS.map(async (group) => {
      const found = index
        .find(group, words, ["part"])
        .filter(({ kind }) => OF_REPORT.has(kind))
        .filter((row) => (row.kind !== "PART" && row.kind !== "SNAG") || holding.has(row.id));
      return groupOf(group, await withPlan(context, id, found, first));
    }),
  );
}

const groupOf = (group: Group["group"], { count, rows }: { count: number; rows: readonly Row[] }): Group => ({
  group,
  count,
  rows,
});

/** Parts and snags on the ladder, which the report names; the report works the same plan out. */
async function holdingUp(context: Context, id: string): Promise<ReadonlySet<string>> {
  try {
    return new Set((await context.plan(id)).ladder.map(({ rowId }) => rowId));
  } catch (error) {
    if (error instanceof PlanFault) return new Set();
    throw error;
  }
}

/** The first of the rows found, parts with where they are in the plan. */
async function withPlan(
  context: Context,
  id: string,
  found: readonly FoundInPlan[],
  first: number,
): Promise<{ count: number; rows: Row[] }> {
  const shown = found.slice(0, first);
  const parts = shown.filter(({ kind }) => kind === "PART");
  const plan =
    parts.length === 0 ? null : await context.once(`plan at hand ${id}`, () => planAtHand(context.store, id));
  const quoteIds = parts.flatMap((part) => plan?.parts.get(part.id)?.quoteId ?? []);
  const made = await context.store.quote.findMany({
    where: { id: { in: quoteIds }, supplier: { kind: "SHOP" } },
    select: { id: true },
  });
  const madeHere = new Set(made.map((quote) => quote.id));
  return {
    count: found.length,
    rows: shown.map(({ inHand, ...row }): Row => {
      const outlook = plan?.parts.get(row.id);
      return {
        ...row,
        supplyState: outlook?.state ?? (inHand ? "IN_HAND" : undefined),
        orderBy: outlook?.orderBy,
        madeHere: madeHere.has(outlook?.quoteId ?? ""),
      };
    }),
  };
}

/** What the club has: sources gathered by their part, wants and spares that are open, batches and members, in turn. */
async function clubGroup(context: Context, member: Member, words: string, first: number): Promise<Group> {
  const { store } = context;
  const index = await clubIndex(store, member.club.id);
  /** By its number first, then by its words. */
  const found = async (table: FoundTable, noun?: string): Promise<FoundRow[]> => {
    const code = noun === undefined ? undefined : numberAsked(noun, words);
    const where = { clubId: member.club.id, withheldReason: null, code };
    const numbered = code === undefined ? [] : await idsOf(context, table, where);
    const byWords = index.found(table, words).filter(({ id }) => !numbered.includes(id));
    return [...numbered.map((id) => ({ id, fits: new Set<string>() })), ...byWords];
  };
  const wants = await found("want", SAID.want);
  const spares = await found("spare", SAID.spare);
  const batches = await found("batch", "batch");
  const members = await found("clubMember");
  const sources = new Map<string, Row & { sources: number }>();
  for (const { id, fits } of await found("clubSource", SAID.clubSource)) {
    const title = index.sourceParts.get(id) ?? "";
    const key = title.trim().toLowerCase();
    const known = sources.get(key);
    if (known !== undefined) known.sources++;
    else sources.set(key, { id, kind: "SOURCE", title, fits: wordsThatFit(title, fits), sources: 1 });
  }
  const some = <T>(all: readonly T[]): T[] => all.slice(0, first);
  const among = (rows: readonly { id: string }[]) => ({ where: { id: { in: some(rows).map(({ id }) => id) } } });
  const by = { member: { select: { name: true } } } as const;
  const fitsOf = new Map(
    [...some(wants), ...some(spares), ...some(batches), ...some(members)].map((row) => [row.id, row.fits]),
  );
  const marked = (id: string, title: string) => ({ id, title, fits: wordsThatFit(title, fitsOf.get(id)!) });
  const said = { id: true, code: true, part: true } as const;
  const [wantRows, spareRows, batchRows, memberRows] = await Promise.all([
    store.want.findMany({ ...among(wants), select: { ...said, ...by } }),
    store.spare.findMany({ ...among(spares), select: { ...said, ...by } }),
    store.batch.findMany({ ...among(batches), select: { ...said, putDown: true, smallest: true } }),
    store.clubMember.findMany({ ...among(members), select: { id: true, name: true, steward: true } }),
  ]);
  const inOrder = (found: readonly { id: string }[], rows: readonly Row[]): Row[] =>
    some(found).flatMap(({ id }) => rows.find((row) => row.id === id) ?? []);
  const kinds: Row[][] = [
    some([...sources.values()]),
    inOrder(
      wants,
      wantRows.map(
        ({ id, code, part, member }): Row => ({ ...marked(id, part), kind: "WANT", code, member: member.name }),
      ),
    ),
    inOrder(
      spares,
      spareRows.map(
        ({ id, code, part, member }): Row => ({ ...marked(id, part), kind: "SPARE", code, member: member.name }),
      ),
    ),
    inOrder(
      batches,
      batchRows.map(
        ({ id, code, part, putDown, smallest }): Row => ({
          ...marked(id, part),
          kind: "BATCH",
          code,
          namesDown: putDown,
          smallest,
        }),
      ),
    ),
    inOrder(
      members,
      memberRows.map(({ id, name, steward }): Row => ({ ...marked(id, name), kind: "MEMBER", steward })),
    ),
  ];
  const count = sources.size + wants.length + spares.length + batches.length + members.length;
  return { group: "CLUB", count, rows: inTurn(kinds, first) };
}

/** One of each kind, then another of each, until there are so many; those of a kind stand together. */
function inTurn(kinds: readonly (readonly Row[])[], first: number): Row[] {
  const taken = kinds.map(() => 0);
  for (let left = first; left > 0; ) {
    const before = left;
    for (const [i, rows] of kinds.entries())
      if (left > 0 && taken[i]! < rows.length) {
        taken[i]!++;
        left--;
      }
    if (left === before) break;
  }
  return kinds.flatMap((rows, i) => rows.slice(0, taken[i]));
}
