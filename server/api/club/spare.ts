/** A part that a member can let go. */
import { type Member, readableBy } from "../../access/club.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Condition, Provenance } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards } from "../core/page.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { Part } from "../parts/part.ts";
import { memberIn } from "./club.ts";
import { pageOfClubSearch, searched } from "./clubPage.ts";
import { type ClubDraft, removeInClub, saveInClub } from "./clubSave.ts";
import { ownPartFor } from "./ownPart.ts";

export const Spare = builder.prismaObject("Spare", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    member: t.relation("member"),
    part: t.exposeString("part"),
    machine: t.exposeString("machine"),
    references: t.exposeString("references"),
    provenance: t.expose("provenance", { type: Provenance }),
    condition: t.expose("condition", { type: Condition }),
    quantity: t.exposeInt("quantity"),
    price: t.field({
      type: Money,
      nullable: true,
      description: "Asked for one; null: to be agreed.",
      resolve: ({ priceMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    currency: t.exposeString("currency"),
    notes: t.exposeString("notes"),
    gone: t.exposeBoolean("gone"),
    withheldReason: t.exposeString("withheldReason", { nullable: true }),
    own: t.boolean({ resolve: async (spare, _args, context) => (await memberIn(context)).id === spare.memberId }),
    ownPart: t.field({
      type: Part,
      nullable: true,
      description:
        "The asker's own outstanding part that it is for, by reference number, else by machine and wording; null where none is.",
      resolve: async (spare, _args, context, info) => context.rowOrNull("part", await ownPartFor(context, spare), info),
    }),
  }),
});

const SpareConnection = connectionOf("Spare", Spare);

builder.queryField("spares", (t) =>
  t.field({
    type: SpareConnection,
    description:
      "What members can let go: what fits the words, best first, else the newest first; own: the asker's alone, those gone among them.",
    args: { ...forwards, ...searched, own: t.arg.boolean() },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      return pageOfClubSearch(context, info, args, member, "spare", {
        where: args.own ? { clubId: member.club.id, memberId: member.id } : { ...readableBy(member), gone: false },
        orderBy: [{ enteredAt: "desc" }, { id: "desc" }],
        among: args.own || member.steward ? "all" : "shown",
        narrowed: true,
      });
    },
  }),
);

const SpareInput = builder.inputType("SpareInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    code: t.string(),
    part: t.string(),
    machine: t.string(),
    references: t.string(),
    provenance: t.field({ type: Provenance }),
    condition: t.field({ type: Condition }),
    quantity: t.int(),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    notes: t.string(),
    gone: t.boolean(),
  }),
});

builder.mutationFields((t) => ({
  saveSpare: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: SpareInput, required: true }) },
    resolve: (_root, { input }, context) =>
      saving(
        context,
        () => saveSpare(context, input),
        () => {},
      ),
  }),
  removeSpare: t.field({
    type: SaveResult,
    args: { id: t.arg.id({ required: true }), revision: t.arg.int({ required: true }) },
    resolve: (_root, { id, revision }, context) =>
      saving(
        context,
        () => removeInClub(context, "spare", id, revision),
        () => {},
      ),
  }),
}));

const saveSpare = async (context: Context, input: typeof SpareInput.$inferInput) =>
  saveInClub(context, spareDraft(await memberIn(context), input));

/** A member's spare as the input has it. */
export function spareDraft(
  { club }: Member,
  { id, revision, ...patch }: typeof SpareInput.$inferInput,
): ClubDraft<"spare"> {
  return {
    table: "spare",
    id,
    revision,
    patch,
    earlier: "X",
    defaults: {
      machine: "",
      references: "",
      provenance: "ORIGINAL",
      condition: "SERVICEABLE",
      quantity: 1,
      priceMinor: null,
      currency: club.currency,
      notes: "",
      gone: false,
    },
  };
}
