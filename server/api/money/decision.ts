/** What is the owner's to decide: asked by the restorer, answered with date, name and sum. */
import { mayAnswer, own } from "../../access/rules.ts";
import type { Decision as DecisionRow } from "../../generated/prisma/client.ts";
import { isToday, realDayFor, SAYS_DAY } from "../../plan/days/day.ts";
import { today } from "../../plan/days/today.ts";
import { type ConsentDue, consentOfQuote } from "../../plan/money/exposureConsent.ts";
import { aboutOf, keepsQuote, newestAbout } from "../../plan/parts/declined.ts";
import { type DeclinedNow, declinedNow } from "../../plan/parts/declinedNow.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { DecisionKind, DecisionState } from "../core/enums.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf, pageOfRows } from "../core/page.ts";
import { save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { OperationWay } from "../network/operationWay.ts";
import { Restoration } from "../network/restoration.ts";
import { Remedy } from "../network/snag.ts";
import { Part } from "../parts/part.ts";
import { Quote } from "../parts/quote.ts";
import { Account } from "../people/account.ts";

/** What says on which day a moment was where the workshop is. */
const SAYS_ZONE = { restoration: { select: { workshop: { select: { timeZone: true } } } } } as const;

const dayThere = ({ workshop }: { workshop: { timeZone: string | null } }, moment: Date | null): string | null =>
  moment === null ? null : today(workshop.timeZone, moment);

const Decision = builder.prismaObject("Decision", {
  description: "Something that is the owner's to decide. Keep the record: local law says when consent is due.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    kind: t.expose("kind", { type: DecisionKind }),
    title: t.exposeString("title"),
    question: t.exposeString("question", { description: "Why it is asked, in words that the owner reads." }),
    amount: t.field({
      type: Money,
      nullable: true,
      resolve: ({ amountMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    quote: t.relation("quote", { nullable: true }),
    remedy: t.relation("remedy", { nullable: true, description: "The remedy of a snag that it is about." }),
    way: t.relation("way", {
      nullable: true,
      description: "How an operation is done, sent out for one, that it is about.",
    }),
    askedOn: t.expose("askedOn", {
      type: "Date",
      description: "The day on which it was asked, by the clock where the workshop is, whatever day is looked at.",
    }),
    askedBy: t.field({
      type: Account,
      resolve: (decision, _args, context, info) => context.row("account", decision.askedById, info),
    }),
    state: t.expose("state", { type: DecisionState }),
    answeredAt: t.expose("answeredAt", { type: "DateTime", nullable: true }),
    answeredOn: t.field({
      type: "Date",
      nullable: true,
      description: "The day of answeredAt where the workshop is.",
      select: { answeredAt: true, ...SAYS_ZONE },
      resolve: ({ answeredAt, restoration }) => dayThere(restoration, answeredAt),
    }),
    answeredAs: t.exposeString("answeredAs", { description: "The name under which it was answered." }),
    noted: t.boolean({
      description: "The answer was given by word of mouth or letter, and noted by the restorer.",
      resolve: ({ state, askedById, answeredById }) => state !== "WITHDRAWN" && answeredById === askedById,
    }),
    answer: t.exposeString("answer"),
    orderedAllTheSame: t.boolean({
      description: "It was declined, and an order for it is out.",
      select: {
        state: true,
        quote: { select: { orders: { where: { state: "PLACED" }, select: { id: true }, take: 1 } } },
      },
      resolve: ({ state, quote }) => state === "DECLINED" && (quote?.orders.length ?? 0) > 0,
    }),
  }),
});

const DecisionQuestion = builder.prismaObject("DecisionQuestion", {
  description: "What the owner asks back before answering, and what the restorer says to it.",
  fields: (t) => ({
    id: t.exposeID("id"),
    question: t.exposeString("question"),
    askedAt: t.expose("askedAt", { type: "DateTime" }),
    askedOn: t.field({
      type: "Date",
      description: "The day of askedAt where the workshop is.",
      select: { askedAt: true, ...SAYS_ZONE },
      resolve: ({ askedAt, restoration }) => dayThere(restoration, askedAt)!,
    }),
    askedAs: t.exposeString("askedAs", { description: "The name under which it was asked." }),
    answer: t.exposeString("answer", { description: "Empty while it waits for the restorer." }),
    answeredAt: t.expose("answeredAt", { type: "DateTime", nullable: true }),
    answeredOn: t.field({
      type: "Date",
      nullable: true,
      description: "The day of answeredAt where the workshop is.",
      select: { answeredAt: true, ...SAYS_ZONE },
      resolve: ({ answeredAt, restoration }) => dayThere(restoration, answeredAt),
    }),
  }),
});

const DecisionQuestionConnection = connectionOf("DecisionQuestion", DecisionQuestion);

builder.prismaObjectFields(Decision, (t) => ({
  questions: t.field({
    type: DecisionQuestionConnection,
    description: "What the owner asked back, the first first.",
    args: forwards,
    resolve: ({ id }, args, context, info) =>
      pageOfRows(context, info, args, "decisionQuestion", {
        where: { decisionId: id },
        orderBy: [{ askedAt: "asc" }, { id: "asc" }],
      }),
  }),
}));

const DeclinedType = builder.objectRef<DeclinedNow>("Declined").implement({
  description:
    "What the owner declined and is not settled by another choice. It is not in force, and not itself to order.",
  fields: (t) => ({
    decision: t.field({
      type: Decision,
      resolve: ({ decision }, _args, context, info) => context.row("decision", decision.id, info),
    }),
    title: t.exposeString("title", { description: "The part, the snag or the operation, or what was asked." }),
    words: t.exposeString("words", { description: "Who declined it, on what day, in which words." }),
    follows: t.exposeString("follows", {
      description: "What the restorer is to do about it, and what the plan counts on meanwhile; may be empty.",
    }),
    pressing: t.exposeBoolean("pressing", {
      description: "The day on which another was to be ordered has come, or nothing is left to order.",
    }),
    partId: t.exposeID("partId", { nullable: true }),
    snagId: t.exposeID("snagId", { nullable: true }),
    operationId: t.exposeID("operationId", { nullable: true }),
  }),
});

const DeclinedConnection = connectionOf("Declined", DeclinedType);

const DecisionConnection = connectionOf("Decision", Decision);

interface Due extends ConsentDue {
  currency: string;
  asked: DecisionRow["state"] | null;
}

const ConsentDueType = builder.objectRef<Due>("ConsentDue").implement({
  description:
    "Something that comes to more than the owner's limit: chosen and not yet ordered, or ordered without the owner's consent. Local law decides when consent is due.",
  fields: (t) => ({
    kind: t.exposeString("kind", { description: "PART, SNAG, OPERATION or ORDER." }),
    row: t.exposeID("rowId"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    amount: t.field({
      type: Money,
      description: "Landed; of an order, what it comes to.",
      resolve: ({ amountMinor: minor, currency }) => ({ minor, currency }),
    }),
    quote: t.field({
      type: Quote,
      nullable: true,
      resolve: ({ quoteId }, _args, context, info) => context.rowOrNull("quote", quoteId, info),
    }),
    remedy: t.field({
      type: Remedy,
      nullable: true,
      description: "Of a snag: the one chosen.",
      resolve: ({ remedyId }, _args, context, info) => context.rowOrNull("remedy", remedyId, info),
    }),
    way: t.field({
      type: OperationWay,
      nullable: true,
      description: "Of an operation: the one chosen.",
      resolve: ({ wayId }, _args, context, info) => context.rowOrNull("operationWay", wayId, info),
    }),
    asked: t.expose("asked", {
      type: DecisionState,
      nullable: true,
      description: "Where the newest decision about the quote, remedy or way stands; null: the owner was not asked.",
    }),
  }),
});

const ConsentDueConnection = connectionOf("ConsentDue", ConsentDueType);

builder.prismaObjectFields(Restoration, (t) => ({
  decisions: t.field({
    type: DecisionConnection,
    description: "The newest first; waiting: those without an answer, or those with one.",
    args: { ...forwards, waiting: t.arg.boolean() },
    resolve: ({ id }, { waiting, ...args }, context, info) =>
      pageOfRows(context, info, args, "decision", {
        where: {
          restorationId: id,
          ...(waiting == null ? {} : { state: waiting ? "WAITING" : { not: "WAITING" } }),
        },
        orderBy: [{ askedOn: "desc" }, { id: "desc" }],
      }),
  }),
  declined: t.field({
    type: DeclinedConnection,
    description: "What the owner declined and is not settled by another choice, the most urgent first.",
    args: forwards,
    complexity: costing(WORK.plan),
    resolve: async ({ id }, args, context) => pageOf(args, await declinedFor(context, id)),
  }),
  consentDue: t.field({
    type: ConsentDueConnection,
    description: "The dearest first; none without a limit.",
    args: forwards,
    resolve: async ({ id }, args, context) => pageOf(args, await dueFor(context, id)),
  }),
  mayAnswer: t.boolean({
    description: "Whether who asks may answer what waits: the owner, or the restorer while the owner has no account.",
    resolve: (restoration, _args, { viewer }) => {
      try {
        mayAnswer(viewer, restoration);
        return true;
      } catch (error) {
        if (error instanceof Refused) return false;
        throw error;
      }
    },
  }),
}));

builder.prismaObjectFields(Part, (t) => ({
  kept: t.boolean({
    description:
      "Its chosen quote is decided: choosing leaves it alone. False without one, or where that was declined.",
    select: { restorationId: true, kept: true, chosenQuoteId: true },
    resolve: async (part, _args, context) => {
      if (!keepsQuote(part, () => false)) return false;
      const asked = await askedAbout(context, part.restorationId);
      return keepsQuote(part, (quote) => asked.get(quote) === "DECLINED");
    },
  }),
  declined: t.field({
    type: DeclinedType,
    nullable: true,
    description: "Set while the owner's last word on one of its quotes is no, and no other is chosen.",
    complexity: costing(WORK.plan),
    resolve: async ({ id, restorationId }, _args, context) =>
      (await declinedFor(context, restorationId)).find(({ partId }) => partId === id) ?? null,
  }),
}));

builder.prismaObjectFields(Quote, (t) => ({
  asked: t.field({
    type: DecisionState,
    nullable: true,
    description:
      "Where the newest decision about it stands; null: the owner was not asked. What is declined is not in force.",
    select: { id: true, restorationId: true },
    resolve: async ({ id, restorationId }, _args, context) =>
      (await askedAbout(context, restorationId)).get(id) ?? null,
  }),
  consentDue: t.field({
    type: ConsentDueType,
    nullable: true,
    description:
      "What is over the owner's limit where this is ordered; null within it, without one, and once approved.",
    select: { id: true, restorationId: true },
    resolve: ({ id, restorationId }, _args, context) => dueForQuote(context, id, restorationId),
  }),
}));

const DecisionInput = builder.inputType("DecisionInput", {
  fields: (t) => ({
    restoration: t.id({ required: true }),
    kind: t.field({ type: DecisionKind }),
    title: t.string(),
    question: t.string(),
    amountMinor: t.field({ type: "Minor" }),
    quote: t.id({ description: "What it is about: a quote, a remedy or a way, one of them at most." }),
    remedy: t.id(),
    way: t.id(),
  }),
});

builder.mutationFields((t) => ({
  askDecision: t.field({
    type: SaveResult,
    description:
      "The restorer asks, on the day that it is where the workshop is. amountMinor is in the restoration's currency.",
    args: { input: t.arg({ type: DecisionInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => ask(context, input)),
  }),
  withdrawDecision: t.field({
    type: SaveResult,
    description: "The restorer no longer asks. What was answered stays.",
    args: { decision: t.arg.id({ required: true }) },
    resolve: (_root, { decision }, context) => saving(context, () => settle(context, decision, "WITHDRAWN", "", "")),
  }),
  answerDecision: t.field({
    type: SaveResult,
    description:
      "The owner answers, once. Refused: ALREADY_ANSWERED; NOT_ALLOWED for another than the owner, save the restorer while the owner has no account.",
    args: {
      decision: t.arg.id({ required: true }),
      approve: t.arg.boolean({ required: true }),
      name: t.arg.string({ required: true }),
      answer: t.arg.string(),
    },
    resolve: (_root, { decision, approve, name, answer }, context) =>
      saving(
        context,
        () => settle(context, decision, approve ? "APPROVED" : "DECLINED", name, answer ?? ""),
        // Whether this viewer may is asked of the decision's own restoration.
        () => {},
      ),
  }),
  askBack: t.field({
    type: SaveResult,
    description:
      "The owner asks something about a decision, which goes on waiting. Refused as an answer is: ALREADY_ANSWERED, NOT_ALLOWED.",
    args: {
      decision: t.arg.id({ required: true }),
      name: t.arg.string({ required: true }),
      question: t.arg.string({ required: true }),
    },
    resolve: (_root, { decision, name, question }, context) =>
      saving(
        context,
        () => askBack(context, decision, name, question),
        () => {},
      ),
  }),
  answerBack: t.field({
    type: SaveResult,
    description: "The restorer says what the owner asked, once. Refused: ALREADY_ANSWERED.",
    args: { decisionQuestion: t.arg.id({ required: true }), answer: t.arg.string({ required: true }) },
    resolve: (_root, { decisionQuestion, answer }, context) =>
      saving(context, () => answerBack(context, decisionQuestion, answer)),
  }),
}));

async function dueFor(context: Context, id: string): Promise<Due[]> {
  const [{ consentDue, rows }, asked] = await Promise.all([context.money(id), askedAbout(context, id)]);
  const { currency } = rows.restoration;
  return (
    consentDue
      .map((due) => ({ ...due, currency, asked: asked.get(aboutOf(due)) ?? null }))
      // An order stays here only as long as it has no consent.
      .filter((due) => due.kind !== "ORDER" || due.asked !== "APPROVED")
  );
}

/** The same of one quote, before it is ordered. */
async function dueForQuote(context: Context, quoteId: string, id: string): Promise<Due | null> {
  const [{ rows }, asked] = await Promise.all([context.money(id), askedAbout(context, id)]);
  const due = consentOfQuote(rows, quoteId);
  const state = asked.get(quoteId) ?? null;
  return due === null || state === "APPROVED" ? null : { ...due, currency: rows.restoration.currency, asked: state };
}

const declinedFor = (context: Context, id: string): Promise<DeclinedNow[]> =>
  context.once(`declined ${id}`, async () => {
    const restoration = await context.store.restoration.findUniqueOrThrow({ where: { id }, select: SAYS_DAY });
    return declinedNow(context.store, id, await context.plan(id), isToday(restoration));
  });

/** By id of a quote, remedy or way: where the newest decision about it stands. */
const askedAbout = (context: Context, id: string): Promise<ReadonlyMap<string | null, DecisionRow["state"]>> =>
  context.once(`asked ${id}`, async () => {
    const about = await context.store.decision.findMany({
      where: {
        restorationId: id,
        OR: [{ quoteId: { not: null } }, { remedyId: { not: null } }, { wayId: { not: null } }],
      },
      select: { id: true, quoteId: true, remedyId: true, wayId: true, state: true, askedOn: true },
    });
    return new Map([...newestAbout(about)].map(([id, { state }]) => [id, state]));
  });

async function ask(
  context: Context,
  { restoration, quote, remedy, way, ...patch }: typeof DecisionInput.$inferInput,
): Promise<Omit<Saved, "is">> {
  checkOne({ quote, remedy, way });
  return save(context, {
    table: "decision",
    rule: "decision",
    id: null,
    revision: null,
    patch,
    defaults: { kind: "SUM", question: "", amountMinor: null, askedById: context.viewer.accountId },
    place: async (find) => {
      const of = await find.find("restoration", "restoration", restoration);
      const about = async (table: "quote" | "remedy" | "operationWay", field: string, id: string | null | undefined) =>
        id == null ? null : ((await find.findIn(of?.id, table, field, id))?.id ?? null);
      return {
        restorationId: of?.id,
        currency: of?.currency,
        quoteId: await about("quote", "quote", quote),
        remedyId: await about("remedy", "remedy", remedy),
        wayId: await about("operationWay", "way", way),
        askedOn: of && (await realDayFor(find.tx, of.id)),
      };
    },
  });
}

async function settle(
  context: Context,
  id: string,
  state: "APPROVED" | "DECLINED" | "WITHDRAWN",
  name: string,
  answer: string,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const decision = await own(viewer, store, "decision", id);
  const restoration = await own(viewer, store, "restoration", decision.restorationId);
  if (state !== "WITHDRAWN") {
    mayAnswer(viewer, restoration);
    checkWords(name, answer);
  }
  const words = { APPROVED: "Approved", DECLINED: "Declined", WITHDRAWN: "No longer asked" }[state];
  let revision = decision.revision;
  const change = await record(
    store,
    { restorationId: restoration.id, accountId: viewer.accountId, summary: `${words}: ${decision.title}` },
    async (journal) => {
      const now = await journal.tx.decision.findUniqueOrThrow({ where: { id } });
      if (now.state !== "WAITING")
        throw new Refused("ALREADY_ANSWERED", "This was answered already, and an answer is final.", [decision.title]);
      const row = await journal.update("decision", id, now.revision, {
        state,
        answeredAt: new Date(),
        answeredById: viewer.accountId,
        answeredAs: name.trim(),
        answer,
      });
      revision = row.revision;
    },
  );
  return { change, id, revision };
}

async function askBack(context: Context, id: string, name: string, question: string): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const decision = await own(viewer, store, "decision", id);
  const { restorationId } = decision;
  mayAnswer(viewer, await own(viewer, store, "restoration", restorationId));
  checkWords(name, question, "question");
  let row = { id: "", revision: 0 };
  const change = await record(
    store,
    { restorationId, accountId: viewer.accountId, summary: `Asked back: ${decision.title}` },
    async (journal) => {
      const now = await journal.tx.decision.findUniqueOrThrow({ where: { id } });
      if (now.state !== "WAITING")
        throw new Refused("ALREADY_ANSWERED", "This was answered already, and an answer is final.", [decision.title]);
      row = await journal.create("decisionQuestion", {
        restorationId,
        decisionId: id,
        question: question.trim(),
        askedById: viewer.accountId,
        askedAs: name.trim(),
      });
    },
  );
  return { change, id: row.id, revision: row.revision };
}

async function answerBack(context: Context, id: string, answer: string): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const { restorationId } = await own(viewer, store, "decisionQuestion", id);
  checkWords("-", answer, "answer", true);
  let revision = 0;
  const change = await record(
    store,
    { restorationId, accountId: viewer.accountId, summary: "Answered what the owner asked back" },
    async (journal) => {
      const now = await journal.tx.decisionQuestion.findUniqueOrThrow({ where: { id } });
      if (now.answeredAt !== null)
        throw new Refused("ALREADY_ANSWERED", "This was answered already, and an answer is final.", [now.question]);
      const row = await journal.update("decisionQuestion", id, now.revision, {
        answer: answer.trim(),
        answeredAt: new Date(),
        answeredById: viewer.accountId,
      });
      revision = row.revision;
    },
  );
  return { change, id, revision };
}

/** What it is about is one row at most: else its answer would stand for what was not asked. */
function checkOne(about: Readonly<Record<string, unknown>>): void {
  const [, second] = Object.keys(about).filter((field) => about[field] != null);
  if (second === undefined) return;
  const message = `${second} must be left out: a decision is about one quote, one remedy or one way.`;
  throw new InvalidInput([{ code: "NOT_A_CHOICE", field: second, message }]);
}

/** Longest text of an answer or a question, in characters. */
const MOST_WORDS = 2000;

/** Throws {@link InvalidInput}. An answer may be empty; a question, and what is said to it, may not. */
function checkWords(
  name: string,
  words: string,
  field: "answer" | "question" = "answer",
  needed = field !== "answer",
): void {
  const faults: Fault[] = [];
  if (name.trim() === "") faults.push({ code: "REQUIRED", field: "name", message: "name must not be empty." });
  if (name.length > 200)
    faults.push({ code: "TOO_LONG", field: "name", message: "name must be at most 200 characters long." });
  if (needed && words.trim() === "") faults.push({ code: "REQUIRED", field, message: `${field} must not be empty.` });
  if (words.length > MOST_WORDS)
    faults.push({ code: "TOO_LONG", field, message: `${field} must be at most ${MOST_WORDS} characters long.` });
  if (faults.length > 0) throw new InvalidInput(faults);
}
