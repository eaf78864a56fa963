/** A part that a member looks for: of a restoration of the member's own workshop, or on its own. */
import { type Member, readableBy } from "../../access/club.ts";
import type { Tx } from "../../store/client.ts";
import { type Fault, noLongerThere } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { connectionOf, forwards } from "../core/page.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { memberIn } from "./club.ts";
import { pageOfClubSearch, searched } from "./clubPage.ts";
import { type ClubDraft, removeInClub, saveInClub } from "./clubSave.ts";

export const Want = builder.prismaObject("Want", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    member: t.relation("member"),
    part: t.exposeString("part"),
    machine: t.exposeString("machine"),
    references: t.exposeString("references"),
    quantity: t.exposeInt("quantity"),
    needBy: t.expose("needBy", { type: "Date", nullable: true }),
    notes: t.exposeString("notes"),
    met: t.exposeBoolean("met"),
    withheldReason: t.exposeString("withheldReason", { nullable: true }),
    own: t.boolean({ resolve: async (want, _args, context) => (await memberIn(context)).id === want.memberId }),
    ownPart: t.field({
      type: OwnPart,
      nullable: true,
      description: "The part of one's own restoration that it stands for; told to its own workshop alone.",
      select: {
        ownPart: {
          select: { id: true, restorationId: true, name: true, restoration: { select: { workshopId: true } } },
        },
      },
      resolve: async ({ ownPart }, _args, context) => {
        const member = await memberIn(context);
        if (ownPart === null || !member.restorer || ownPart.restoration.workshopId !== member.workshopId) return null;
        return { id: ownPart.id, restoration: ownPart.restorationId, name: ownPart.name };
      },
    }),
  }),
});

const OwnPart = builder.objectRef<{ id: string; restoration: string; name: string }>("WantedOwnPart").implement({
  fields: (t) => ({ id: t.exposeID("id"), restoration: t.exposeID("restoration"), name: t.exposeString("name") }),
});

export const WantConnection = connectionOf("Want", Want);

builder.queryField("wants", (t) =>
  t.field({
    type: WantConnection,
    description:
      "What members look for: what fits the words, best first, else the newest first; own: the asker's alone, those met among them.",
    args: {
      ...forwards,
      ...searched,
      own: t.arg.boolean(),
      part: t.arg.id({ description: "The asker's own for this part of a restoration." }),
    },
    resolve: async (_root, args, context, info) => {
      const member = await memberIn(context);
      const mine = args.own || args.part != null;
      return pageOfClubSearch(context, info, args, member, "want", {
        where: {
          ...(mine ? { clubId: member.club.id, memberId: member.id } : { ...readableBy(member), met: false }),
          ...(args.part == null ? {} : { partId: args.part }),
        },
        orderBy: [{ enteredAt: "desc" }, { id: "desc" }],
        among: mine || member.steward ? "all" : "shown",
        narrowed: true,
      });
    },
  }),
);

const WantInput = builder.inputType("WantInput", {
  description:
    "ownPart: an outstanding part of one's own restoration; its wording, machine and references are then taken from it where none are given.",
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    code: t.string(),
    ownPart: t.id(),
    part: t.string(),
    machine: t.string(),
    references: t.string(),
    quantity: t.int(),
    needBy: t.field({ type: "Date" }),
    notes: t.string(),
    met: t.boolean(),
  }),
});

builder.mutationFields((t) => ({
  saveWant: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: WantInput, required: true }) },
    resolve: (_root, { input }, context) =>
      saving(
        context,
        () => saveWant(context, input),
        () => {},
      ),
  }),
  removeWant: t.field({
    type: SaveResult,
    args: { id: t.arg.id({ required: true }), revision: t.arg.int({ required: true }) },
    resolve: (_root, { id, revision }, context) =>
      saving(
        context,
        () => removeInClub(context, "want", id, revision),
        () => {},
      ),
  }),
}));

const saveWant = async (context: Context, input: typeof WantInput.$inferInput) =>
  saveInClub(context, wantDraft(await memberIn(context), input));

/** A member's want as the input has it. */
export function wantDraft(
  member: Member,
  { id, revision, ownPart, ...patch }: typeof WantInput.$inferInput,
): ClubDraft<"want"> {
  return {
    table: "want",
    id,
    revision,
    patch,
    earlier: "W",
    defaults: { partId: null, machine: "", references: "", quantity: 1, needBy: null, notes: "", met: false },
    place: async (tx, merged, _before, fault) =>
      ownPart === undefined ? {} : fromPart(tx, member, ownPart, patch, merged, fault),
  };
}

/** What a want takes from the part that it stands for. */
async function fromPart(
  tx: Tx,
  member: Member,
  id: string | null,
  patch: Record<string, unknown>,
  merged: Record<string, unknown>,
  fault: (fault: Fault) => void,
): Promise<Record<string, unknown>> {
  if (id === null) return { partId: null };
  const part = member.restorer
    ? await tx.part.findFirst({
        where: { id, restoration: { workshopId: member.workshopId } },
        include: { references: true, restoration: { select: { machine: true } } },
      })
    : null;
  if (part === null) {
    fault({ code: "UNKNOWN_ROW", field: "ownPart", value: id, message: noLongerThere("part") });
    return {};
  }
  return {
    partId: part.id,
    part: patch.part ?? merged.part ?? part.name,
    machine: patch.machine ?? (merged.machine || part.restoration.machine),
    references: patch.references ?? (merged.references || part.references.map(({ number }) => number).join(", ")),
    quantity: patch.quantity ?? (merged.id === undefined ? part.quantity : merged.quantity),
  };
}
