/** Who made a part: rows that workshops and members share one by one, searched by number, machine and wording. */
import { type Member, readableBy } from "../../access/club.ts";
import { clubDay } from "../../plan/club/batch.ts";
import { clubDelivery, clubFailure, clubRecords } from "../../plan/club/record.ts";
import type { SearchField } from "../../plan/find/wordSearch.ts";
import { Gathered } from "../../plan/rows/gathered.ts";
import type { Tx } from "../../store/client.ts";
import { type Fault, noLongerThere, Refused } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Provenance } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards } from "../core/page.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { memberIn } from "./club.ts";
import { pageOfClubSearch, searched } from "./clubPage.ts";
import { type ClubDraft, removeInClub, saveInClub } from "./clubSave.ts";

const Delivery = builder
  .objectRef<{ promisedDays: number; takenDays: number; fitRating: number | null }>("ClubDelivery")
  .implement({
    description:
      "How an order that was accepted kept to its promise, in days from the order; read from the order itself.",
    fields: (t) => ({
      promisedDays: t.exposeInt("promisedDays"),
      takenDays: t.exposeInt("takenDays"),
      fitRating: t.exposeInt("fitRating", { nullable: true, description: "1 (did not fit) to 5 (fitted as it came)." }),
    }),
  });

const Record = builder
  .objectRef<{ deliveries: number; late: number; failed: number; fitRating: number | null }>("ClubRecord")
  .implement({
    description: "What members' accepted orders say of one supplier.",
    fields: (t) => ({
      deliveries: t.exposeInt("deliveries"),
      late: t.exposeInt("late"),
      failed: t.exposeInt("failed", { description: "Orders that were never delivered, or were sent back." }),
      fitRating: t.exposeFloat("fitRating", { nullable: true, description: "Mean of the ratings given." }),
    }),
  });

export const ClubSource = builder.prismaObject("ClubSource", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    member: t.relation("member"),
    supplier: t.exposeString("supplier"),
    country: t.exposeString("country"),
    part: t.exposeString("part"),
    machine: t.exposeString("machine"),
    references: t.exposeString("references"),
    provenance: t.expose("provenance", { type: Provenance }),
    price: t.field({
      type: Money,
      nullable: true,
      description: "Paid for one; null where the member did not share it.",
      resolve: ({ priceMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    delivery: t.field({
      type: Delivery,
      nullable: true,
      select: {
        order: { select: { state: true, placedOn: true, promisedOn: true, arrivedOn: true, fitRating: true } },
      },
      resolve: ({ order }) => clubDelivery(order),
    }),
    failed: t.boolean({
      description: "The maker never delivered what was ordered; an order stands behind it.",
      select: { order: { select: { state: true } } },
      resolve: clubFailure,
    }),
    record: t.field({
      type: Record,
      resolve: async (source, _args, context) => {
        const records = await context.once(
          `club records ${source.clubId}`,
          async () => new Gathered((suppliers) => clubRecords(context.store, source.clubId, suppliers)),
        );
        return (await records.of(source.supplier))!;
      },
    }),
    notes: t.exposeString("notes"),
    sharedOn: t.expose("sharedOn", { type: "Date" }),
    withheldReason: t.exposeString("withheldReason", { nullable: true }),
    own: t.boolean({ resolve: async (source, _args, context) => (await memberIn(context)).id === source.memberId }),
  }),
});

const ClubSourceConnection = connectionOf("ClubSource", ClubSource);

const SourceField = builder.enumType("SourceField", {
  description: "Where the words are looked for.",
  values: {
    PART: { value: "part" },
    MACHINE: { value: "machine" },
    REFERENCES: { value: "references" },
    SUPPLIER: { value: "supplier" },
  } as const,
});

builder.queryField("clubSources", (t) =>
  t.field({
    type: ClubSourceConnection,
    description:
      "Shared sources: those that fit the words, best first (a misspelt word still finds its row), else the newest first.",
    args: {
      ...forwards,
      ...searched,
      in: t.arg({ type: [SourceField] }),
      provenance: t.arg({ type: Provenance }),
      supplier: t.arg.string({ description: "This supplier's alone, by the whole name." }),
      own: t.arg.boolean(),
      withheld: t.arg.boolean({ description: "Only what is withheld; for stewards." }),
    },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      const where = {
        // The sharer's own stand in the list even where they were withheld, with the reason.
        ...(args.own ? { clubId: member.club.id, memberId: member.id } : readableBy(member)),
        ...(args.provenance == null ? {} : { provenance: args.provenance }),
        ...(args.supplier == null ? {} : { supplier: args.supplier }),
        ...(args.withheld && member.steward ? { withheldReason: { not: null } } : {}),
      };
      return pageOfClubSearch(context, info, args, member, "clubSource", {
        where,
        orderBy: [{ sharedOn: "desc" }, { id: "desc" }],
        fields: (args.in as SearchField[] | null | undefined) ?? undefined,
        among: args.withheld && member.steward ? "withheld" : args.own || member.steward ? "all" : "shown",
        narrowed: args.provenance != null || args.supplier != null || Boolean(args.own || args.withheld),
      });
    },
  }),
);

const ClubSourceInput = builder.inputType("ClubSourceInput", {
  description:
    "order: the sharer's own order, from which delivery and fit are told. priceMinor: absent, it is not shared.",
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    code: t.string(),
    supplier: t.string(),
    country: t.string(),
    part: t.string(),
    machine: t.string(),
    references: t.string(),
    provenance: t.field({ type: Provenance }),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    order: t.id(),
    failed: t.boolean(),
    notes: t.string(),
  }),
});

builder.mutationFields((t) => ({
  saveClubSource: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: ClubSourceInput, required: true }) },
    resolve: (_root, { input }, context) =>
      saving(
        context,
        () => saveSource(context, input),
        () => {},
      ),
  }),
  removeClubSource: t.field({
    type: SaveResult,
    args: { id: t.arg.id({ required: true }), revision: t.arg.int({ required: true }) },
    resolve: (_root, { id, revision }, context) =>
      saving(
        context,
        () => removeInClub(context, "clubSource", id, revision),
        () => {},
      ),
  }),
}));

const saveSource = async (context: Context, input: typeof ClubSourceInput.$inferInput) =>
  saveInClub(context, sourceDraft(await memberIn(context), input));

/** A member's source as the input has it. */
export function sourceDraft(
  member: Member,
  { id, revision, order, ...patch }: typeof ClubSourceInput.$inferInput,
): ClubDraft<"clubSource"> {
  return {
    table: "clubSource",
    id,
    revision,
    patch,
    earlier: "S",
    defaults: {
      country: "",
      machine: "",
      references: "",
      priceMinor: null,
      currency: member.club.currency,
      orderId: null,
      failed: false,
      notes: "",
      sharedOn: clubDay(member.club),
    },
    place: async (tx, merged, before, fault) => {
      const orderId = order === undefined ? (before?.orderId ?? null) : order;
      // What the order says is said of the supplier named, so a new name is checked against it too.
      const said = order !== undefined || before === null || patch.failed != null || patch.supplier != null;
      await backedByOrder(tx, member, orderId, merged, said, fault);
      return { orderId };
    },
  };
}

/** Delivery, fit and failure are told only from an order of the sharer's own workshop, with the supplier that is named. */
async function backedByOrder(
  tx: Tx,
  member: Member,
  orderId: string | null,
  row: Record<string, unknown>,
  check: boolean,
  fault: (fault: Fault) => void,
): Promise<void> {
  if (!check) return;
  if (orderId === null) {
    if (row.failed === true)
      throw new Refused(
        "NO_ORDER",
        "That a maker failed to deliver can only be said with the order that failed: name it.",
      );
    return;
  }
  const order = member.restorer
    ? await tx.order.findFirst({
        where: { id: orderId, restoration: { workshopId: member.workshopId } },
        include: { quote: { include: { supplier: true } } },
      })
    : null;
  if (order === null) {
    fault({ code: "UNKNOWN_ROW", field: "order", value: orderId, message: noLongerThere("order") });
    return;
  }
  if (
    order.quote.supplier.name.trim().toLowerCase() !==
    String(row.supplier ?? "")
      .trim()
      .toLowerCase()
  )
    fault({
      code: "UNKNOWN_ROW",
      field: "order",
      value: order.code,
      message: `Order ${order.code} went to ${order.quote.supplier.name}.`,
    });
  const never = order.state === "SENT_BACK" || (order.state === "PLACED" && order.promisedOn < clubDay(member.club));
  if (row.failed === true && !never)
    throw new Refused(
      "NO_ORDER",
      `Order ${order.code} has been delivered or is not due yet, so its maker has not failed.`,
      [order.code],
    );
  if (row.failed !== true && order.state !== "ACCEPTED")
    throw new Refused(
      "NO_ORDER",
      `Order ${order.code} has not been accepted yet: delivery and fit are told from accepted orders.`,
      [order.code],
    );
}
