/** What was asked of the owner, and what came in. */
import type { Invoice as InvoiceRow } from "../../generated/prisma/client.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { correct, given, stays } from "../core/correction.ts";
import { InvoiceKind } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOfRows } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { Restoration } from "../network/restoration.ts";

const Invoice = builder.prismaObject("Invoice", {
  description: "Asked of the owner (an invoice) or received from the owner (a receipt).",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    kind: t.expose("kind", { type: InvoiceKind }),
    day: t.expose("day", { type: "Date" }),
    amount: t.field({ type: Money, resolve: (row) => ({ minor: row.amountMinor, currency: row.currency }) }),
    notes: t.exposeString("notes"),
    paidOn: t.field({
      type: "Date",
      nullable: true,
      description:
        "The day on which the last of an invoice came in, where what comes in goes to the oldest first; null while some is outstanding, of a receipt, and of what was taken back.",
      select: { id: true, kind: true, restorationId: true },
      resolve: async (row, _args, context) => (await paidOf(row, context))?.paidOn ?? null,
    }),
    left: t.field({
      type: Money,
      nullable: true,
      description:
        "Of an invoice what is outstanding, in the restoration's currency, by the same rule; null of a receipt, of what was taken back, and where a rate is missing.",
      select: { id: true, kind: true, restorationId: true },
      resolve: async (row, _args, context) => {
        const minor = (await paidOf(row, context))?.leftMinor;
        return minor === undefined
          ? null
          : { minor, currency: (await context.money(row.restorationId)).exposure.currency };
      },
    }),
    corrects: t.exposeID("correctsId", { nullable: true, description: "The entry that this one takes back." }),
    correctedBy: t.id({
      nullable: true,
      select: { correctedBy: { select: { id: true } } },
      resolve: ({ correctedBy }) => correctedBy?.id ?? null,
    }),
  }),
});

const paidOf = async (
  { id, kind, restorationId }: Pick<InvoiceRow, "id" | "kind" | "restorationId">,
  context: Context,
) => (kind === "INVOICE" ? (await context.money(restorationId)).invoicesPaid.get(id) : undefined);

const InvoiceConnection = connectionOf("Invoice", Invoice);

builder.prismaObjectFields(Restoration, (t) => ({
  invoices: t.field({
    type: InvoiceConnection,
    description: "Invoices and receipts, the newest first.",
    args: forwards,
    resolve: ({ id }, args, context, info) =>
      pageOfRows(context, info, args, "invoice", {
        where: { restorationId: id },
        orderBy: [{ day: "desc" }, { codeOrder: "desc" }, { code: "desc" }],
      }),
  }),
}));

const InvoiceInput = builder.inputType("InvoiceInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    code: t.string(),
    kind: t.field({ type: InvoiceKind }),
    day: t.field({ type: "Date" }),
    amountMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    notes: t.string(),
  }),
});

builder.mutationFields((t) => ({
  saveInvoice: t.field({
    type: SaveResult,
    description: "Adds an invoice or a receipt. One that stands is not changed (LEDGER): see correctInvoice.",
    args: { input: t.arg({ type: InvoiceInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveInvoice(context, input)),
  }),
  correctInvoice: t.field({
    type: SaveResult,
    description:
      "Writes an entry against an invoice or a receipt and, with an input, the right one beside it: what the input does not say is as it was.",
    args: { invoice: t.arg.id({ required: true }), input: t.arg({ type: InvoiceInput }) },
    resolve: (_root, { invoice, input }, context) =>
      saving(context, () =>
        correct(context, "invoice", invoice, (row) => draftOf({ ...kept(row), ...given(input) }), input != null),
      ),
  }),
}));

const saveInvoice = (context: Context, input: typeof InvoiceInput.$inferInput) => {
  stays("invoice", input.id);
  return save(context, draftOf(input));
};

/** An invoice as it was, as the input of another: a code of its own is made up for that. */
const kept = ({ restorationId, kind, day, amountMinor, currency, notes }: InvoiceRow) => ({
  restoration: restorationId,
  kind,
  day,
  amountMinor,
  currency,
  notes,
});

function draftOf({ id, revision, restoration, ...patch }: typeof InvoiceInput.$inferInput): Draft<"invoice"> {
  return {
    table: "invoice",
    rule: "invoice",
    id,
    revision,
    patch,
    codes: { earlier: "IR" },
    defaults: { kind: "INVOICE", notes: "", correctsId: null },
    place: async (find) => {
      const of = await find.find("restoration", "restoration", restoration);
      return { restorationId: of?.id, ...(patch.currency == null && of ? { currency: of.currency } : {}) };
    },
    check: (row, before, find) => find.nothingToCome("invoice", row, before),
  };
}
