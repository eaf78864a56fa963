/** The Today sheet: what the day asks for, in the words of the mail that says the same. */
import { ownMailer } from "../../mail/mailer.ts";
import {
  daySummary,
  type SummaryLine as Line,
  type SummarySection as Section,
  type DaySummary as Summary,
} from "../../plan/days/daySummary.ts";
import { builder, costing } from "../core/builder.ts";
import { WORK } from "../core/limits.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Restoration } from "../network/restoration.ts";
import { Snag } from "../network/snag.ts";
import { Part } from "../parts/part.ts";
import { Account } from "../people/account.ts";

const SummaryKind = builder.enumType("SummaryKind", {
  values: ["ORDER", "HUNT", "LATE", "DECISION", "DECLINED"] as const,
});

const SummaryLine = builder.objectRef<Line>("SummaryLine").implement({
  fields: (t) => ({
    subject: t.exposeString("subject"),
    words: t.exposeString("words", { description: "What there is to do or to know of the subject." }),
    what: t.exposeString("what", {
      description: "Of these words what is done or was promised, the day aside; all of them where they name no day.",
    }),
    due: t.expose("due", {
      type: "Date",
      nullable: true,
      description: "The day by which to do it, or for which it was promised.",
    }),
    daysLeft: t.exposeInt("daysLeft", {
      nullable: true,
      description: "Calendar days from the day of the figures to that day; negative: it has passed.",
    }),
    note: t.exposeString("note", {
      description: "What stands in its way or speaks against it; empty where nothing does.",
    }),
    phone: t.exposeString("phone", { nullable: true, description: "How to ring whom it waits for." }),
    pressing: t.exposeBoolean("pressing", { description: "The day has come or passed, or completion waits for it." }),
    part: t.field({
      type: Part,
      nullable: true,
      resolve: ({ partId }, _args, context, info) => context.rowOrNull("part", partId, info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ snagId }, _args, context, info) => context.rowOrNull("snag", snagId, info),
    }),
  }),
});

const SummaryLineConnection = connectionOf("SummaryLine", SummaryLine);

const SummarySection = builder.objectRef<Section>("SummarySection").implement({
  fields: (t) => ({
    kind: t.expose("kind", { type: SummaryKind }),
    title: t.exposeString("title"),
    none: t.exposeString("none", { description: "Said where there is no line." }),
    lines: t.field({
      type: SummaryLineConnection,
      description: "The most urgent first.",
      args: forwards,
      resolve: ({ lines }, args) => pageOf(args, lines),
    }),
  }),
});

const DaySummary = builder.objectRef<Summary>("DaySummary").implement({
  fields: (t) => ({
    day: t.expose("day", { type: "Date" }),
    isToday: t.exposeBoolean("isToday", { description: "False where another day than the present one is looked at." }),
    sentence: t.exposeString("sentence", { description: "When it will be finished, and what holds it." }),
    since: t.exposeString("since", {
      description: "The target's odds, and what moved since the last kept day; empty where neither is known.",
    }),
    sections: t.field({ type: [SummarySection], resolve: ({ sections }) => [...sections] }),
  }),
});

builder.prismaObjectFields(Restoration, (t) => ({
  daySummary: t.field({
    type: DaySummary,
    description:
      "What the day of the figures asks for; an owner's leaves out what the shop has to order and hunts for.",
    complexity: costing(WORK.plan),
    resolve: ({ id }, _args, { store, viewer }) => daySummary(store, id, viewer.role === "OWNER"),
  }),
}));

builder.prismaObjectFields(Account, (t) => ({
  dailySummary: t.exposeBoolean("dailySummary", { description: "Each day's summary is sent to its e-mail." }),
  mailIsSent: t.boolean({
    description: "Whether this server is set up to send mail.",
    resolve: () => ownMailer().sends,
  }),
}));
