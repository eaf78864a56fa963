/** What is said of the workshop as a whole, by its admins: what it is called, where its days begin, and how far work lies from estimates. */
import { mayAdminister } from "../../access/rules.ts";
import { isTimeZone } from "../../plan/days/today.ts";
import { InvalidInput } from "../../store/fault.ts";
import { checkFresh } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { AccountResult, answering } from "./accountResult.ts";

const WorkshopInput = builder.inputType("WorkshopInput", {
  fields: (t) => ({
    revision: t.int({ required: true, description: "The workshop's, as it was read." }),
    name: t.string(),
    address: t.string(),
    replyTo: t.string(),
    timeZone: t.string({ description: "IANA name, such as Europe/London; null: that of the machine." }),
    shopSpread: t.float({
      description:
        "How far the work of a shop generally lies from its estimates: standard deviation of the log, 0 to 1.",
    }),
    tradeSpread: t.float({
      description: "The same of a trade from its shop; with both at 0 estimates are taken as they stand.",
    }),
  }),
});

builder.mutationField("saveWorkshop", (t) =>
  t.field({
    type: AccountResult,
    description:
      "Changes what the workshop is called, where it is and how it is replied to, the time zone in which its days begin, or what it expects of estimates before it knows; answers with the own account's id.",
    args: { input: t.arg({ type: WorkshopInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => save(context, input)),
  }),
);

async function save(
  { store, viewer }: Context,
  { revision, name, address, replyTo, timeZone, shopSpread, tradeSpread }: typeof WorkshopInput.$inferInput,
) {
  mayAdminister(viewer);
  const given = {
    ...(name === undefined ? {} : { name: (name ?? "").trim() }),
    ...(address == null ? {} : { address: address.trim() }),
    ...(replyTo == null ? {} : { replyTo: replyTo.trim() }),
    ...(timeZone === undefined ? {} : { timeZone }),
    ...(shopSpread == null ? {} : { shopSpread }),
    ...(tradeSpread == null ? {} : { tradeSpread }),
  };
  const faults = faultsOf("workshop", given);
  if (timeZone != null && !isTimeZone(timeZone)) {
    const said = timeZone.trim() === "" ? "empty" : timeZone.slice(0, 80);
    const message = `time zone must be the name of one, such as Europe/London (it is ${said}).`;
    faults.push({ code: "NOT_A_CHOICE", field: "timeZone", value: timeZone.slice(0, 80), message });
  }
  if (faults.length > 0) throw new InvalidInput(faults);
  await store.$transaction(async (tx) => {
    const row = await tx.workshop.findUniqueOrThrow({ where: { id: viewer.workshopId } });
    checkFresh(row, revision, given);
    await tx.workshop.update({ where: { id: row.id }, data: { ...given, revision: { increment: 1 } } });
    // Odds go by the spreads.
    if (shopSpread != null || tradeSpread != null)
      await tx.restoration.updateMany({ where: { workshopId: row.id }, data: { planRevision: { increment: 1 } } });
  });
  return { id: viewer.accountId };
}
