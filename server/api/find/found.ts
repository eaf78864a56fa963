/** One question over everything: parts, work, money, suppliers, snags, people and the club, found by words and numbers. */
import { type Member, memberOrNull } from "../../access/club.ts";
import { canRead, own } from "../../access/rules.ts";
import { planAtHand } from "../../plan/cache.ts";
import { type ClubIndex, clubIndex, type FoundTable } from "../../plan/club/index.ts";
import { PlanFault } from "../../plan/compute.ts";
import {
  type FindGroup,
  type FindIndex,
  type FindKind,
  type FoundInPlan,
  type FoundWords,
  findIndexOf,
} from "../../plan/find/findIndex.ts";
import { type FoundRow, READINGS, type Reading, type SearchField, wordsThatFit } from "../../plan/find/wordSearch.ts";
import { numberAsked } from "../../store/codes.ts";
import { idsOf, SAID } from "../club/clubPage.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { DecisionState, InvoiceKind, OperationState, OrderState, SupplyState } from "../core/enums.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { size } from "../core/page.ts";
import { MOST_LETTERS } from "./holding.ts";

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
      const { viewer, store } = context;
      const machine = restoration == null ? null : await own(viewer, store, "restoration", restoration);
      if (words === "") return [];
      const inPlan = machine === null ? [] : [await PlanSide.of(context, machine, words)];
      const member = await memberOrNull(viewer, store);
      const sides = [...inPlan, ...(member === null ? [] : [await ClubSide.of(context, member, words)])];
      // What holds the words is read as they are typed; only where nothing does, as they may have been meant.
      for (const reading of READINGS)
        if (sides.every(({ count }) => count === 0)) for (const side of sides) side.read(reading);
      const groups = await Promise.all(sides.map((side) => side.groups(first ?? ROWS.usual)));
      return groups.flat().filter(({ count }) => count > 0);
    },
  }),
);

/** Rows that the words fit, by where they were looked for. */
abstract class Side<Place extends string, Found extends FoundRow> {
  private readonly found = new Map<Place, readonly Found[]>();

  protected constructor(
    protected readonly context: Context,
    private readonly places: readonly Place[],
  ) {}

  read(reading: Reading): void {
    for (const place of this.places) this.found.set(place, this.search(place, reading));
  }

  get count(): number {
    return this.places.reduce((sum, place) => sum + this.at(place).length, 0);
  }

  protected at = (place: Place): readonly Found[] => this.found.get(place) ?? [];

  protected abstract search(place: Place, reading: Reading): readonly Found[];

  /** Of each the count of all, and so many of them as are shown. */
  abstract groups(first: number): Promise<Group[]>;
}

const GROUPS: readonly FindGroup[] = ["PARTS", "WORK", "MONEY_AND_DECISIONS", "SUPPLIERS", "SNAGS", "PEOPLE"];

/** What the owner's report names: what holds the end up, what is asked, and what was invoiced. */
const OF_REPORT: ReadonlySet<FindKind> = new Set<FindKind>(["PART", "SNAG", "DECISION", "INVOICE"]);

class PlanSide extends Side<FindGroup, FoundWords> {
  private constructor(
    context: Context,
    private readonly id: string,
    private readonly index: FindIndex,
    private readonly words: string,
    /** Parts and snags that an owner may find; null for who reads all. */
    private readonly holding: ReadonlySet<string> | null,
  ) {
    super(context, GROUPS);
  }

  static async of(context: Context, machine: { id: string; planRevision: number }, words: string): Promise<PlanSide> {
    const { store, viewer } = context;
    const { id } = machine;
    const index = await findIndexOf(store, machine);
    return new PlanSide(context, id, index, words, canRead(viewer) ? null : await holdingUp(context, id));
  }

  protected search(group: FindGroup, reading: Reading): FoundWords[] {
    const { holding } = this;
    const found = this.index.find(group, this.words, reading, this.fields);
    if (holding === null) return found;
    return found
      .filter(({ kind }) => OF_REPORT.has(kind))
      .filter(({ id, kind }) => (kind !== "PART" && kind !== "SNAG") || holding.has(id));
  }

  async groups(first: number): Promise<Group[]> {
    const shown = (group: FindGroup) =>
      this.at(group)
        .slice(0, first)
        .map((found) => this.index.said(found, this.fields));
    const parts = await withPlan(this.context, this.id, shown("PARTS"));
    return GROUPS.map((group) => ({
      group,
      count: this.at(group).length,
      rows: group === "PARTS" ? parts : shown(group),
    }));
  }

  private get fields(): readonly SearchField[] | undefined {
    return this.holding === null ? undefined : ["part"];
  }
}

/** Parts and snags on the ladder, which the report names; the report works the same plan out. */
async function holdingUp(context: Context, id: string): Promise<ReadonlySet<string>> {
  try {
    return new Set((await context.plan(id)).ladder.map(({ rowId }) => rowId));
  } catch (error) {
    if (error instanceof PlanFault) return new Set();
    throw error;
  }
}

/** Parts with where they are in the plan. */
async function withPlan({ store }: Context, id: string, parts: readonly FoundInPlan[]): Promise<Row[]> {
  const plan = parts.length === 0 ? null : await planAtHand(store, id);
  const quoteIds = parts.flatMap((part) => plan?.parts.get(part.id)?.quoteId ?? []);
  const made =
    quoteIds.length === 0
      ? []
      : await store.quote.findMany({
          where: { id: { in: quoteIds }, supplier: { kind: "SHOP" } },
          select: { id: true },
        });
  const madeHere = new Set(made.map((quote) => quote.id));
  return parts.map(({ inHand, ...row }): Row => {
    const outlook = plan?.parts.get(row.id);
    return {
      ...row,
      supplyState: outlook?.state ?? (inHand ? "IN_HAND" : undefined),
      orderBy: outlook?.orderBy,
      madeHere: madeHere.has(outlook?.quoteId ?? ""),
    };
  });
}

/** Tables of the club in which is looked, and what a row's number is said with; members have none. */
const CLUB_TABLES: Record<FoundTable, string | null> = {
  clubSource: SAID.clubSource,
  want: SAID.want,
  spare: SAID.spare,
  batch: "batch",
  clubMember: null,
};
const TABLES = Object.keys(CLUB_TABLES) as FoundTable[];

/** What the club has: sources gathered by their part, wants and spares that are open, batches and members, in turn. */
class ClubSide extends Side<FoundTable, FoundRow> {
  private constructor(
    context: Context,
    private readonly index: ClubIndex,
    private readonly words: string,
    private readonly numbered: ReadonlyMap<FoundTable, readonly string[]>,
  ) {
    super(context, TABLES);
  }

  static async of(context: Context, { club }: Member, words: string): Promise<ClubSide> {
    const numbered = new Map<FoundTable, string[]>();
    for (const table of TABLES) {
      const noun = CLUB_TABLES[table];
      const code = noun === null ? undefined : numberAsked(noun, words);
      if (code !== undefined)
        numbered.set(table, await idsOf(context, table, { clubId: club.id, withheldReason: null, code }));
    }
    return new ClubSide(context, await clubIndex(context.store, club.id), words, numbered);
  }

  /** By its number first, then by its words. */
  protected search(table: FoundTable, reading: Reading): FoundRow[] {
    const numbered = this.numbered.get(table) ?? [];
    const byWords = this.index.found(table, this.words, reading);
    if (numbered.length === 0) return byWords;
    return [
      ...numbered.map((id) => ({ id, fits: new Set<string>() })),
      ...byWords.filter(({ id }) => !numbered.includes(id)),
    ];
  }

  async groups(first: number): Promise<Group[]> {
    const sources = this.sources(first);
    const others = TABLES.filter((table) => table !== "clubSource");
    const kinds = await Promise.all(others.map((table) => this.shown(table, first)));
    const count = others.reduce((sum, table) => sum + this.at(table).length, sources.count);
    return [{ group: "CLUB", count, rows: inTurn([sources.rows, ...kinds], first) }];
  }

  private sources(first: number): { count: number; rows: Row[] } {
    const byPart = new Map<string, { found: FoundRow; title: string; sources: number }>();
    for (const found of this.at("clubSource")) {
      const title = this.index.sourceParts.get(found.id) ?? "";
      const key = title.trim().toLowerCase();
      const known = byPart.get(key);
      if (known !== undefined) known.sources++;
      else byPart.set(key, { found, title, sources: 1 });
    }
    const rows = [...byPart.values()].slice(0, first).map(
      ({ found: { id, fits }, title, sources }): Row => ({
        id,
        kind: "SOURCE",
        title,
        fits: wordsThatFit(title, fits),
        sources,
      }),
    );
    return { count: byPart.size, rows };
  }

  private async shown(table: Exclude<FoundTable, "clubSource">, first: number): Promise<Row[]> {
    const found = this.at(table).slice(0, first);
    if (found.length === 0) return [];
    const rows = new Map((await this.told(table, found)).map((row) => [row.id, row]));
    return found.flatMap(({ id, fits }) => {
      const row = rows.get(id);
      return row === undefined ? [] : { ...row, fits: wordsThatFit(row.title, fits) };
    });
  }

  private async told(
    table: Exclude<FoundTable, "clubSource">,
    found: readonly FoundRow[],
  ): Promise<Omit<Row, "fits">[]> {
    const { store } = this.context;
    const where = { id: { in: found.map(({ id }) => id) } };
    const said = { id: true, code: true, part: true } as const;
    const by = { member: { select: { name: true } } } as const;
    if (table === "clubMember") {
      const members = await store.clubMember.findMany({ where, select: { id: true, name: true, steward: true } });
      return members.map(({ id, name, steward }) => ({ id, kind: "MEMBER", title: name, steward }));
    }
    if (table === "batch") {
      const batches = await store.batch.findMany({ where, select: { ...said, putDown: true, smallest: true } });
      return batches.map(({ part, putDown, ...row }) => ({ ...row, kind: "BATCH", title: part, namesDown: putDown }));
    }
    const listed =
      table === "want"
        ? await store.want.findMany({ where, select: { ...said, ...by } })
        : await store.spare.findMany({ where, select: { ...said, ...by } });
    const kind = table === "want" ? "WANT" : "SPARE";
    return listed.map(({ id, code, part, member }) => ({ id, kind, code, title: part, member: member.name }));
  }
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
