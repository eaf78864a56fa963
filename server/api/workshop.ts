/** What is said of the workshop as a whole, by its admins: what it is called, and where its days begin. */
import { mayAdminister } from "../access/rules.ts";
import { isTimeZone } from "../plan/today.ts";
import { InvalidInput } from "../store/fault.ts";
import { checkFresh } from "../store/journal.ts";
import { faultsOf } from "../store/rules.ts";
import { AccountResult, answering } from "./accountResult.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";

const WorkshopInput = builder.inputType("WorkshopInput", {
  fields: (t) => ({
    revision: t.int({ required: true, description: "The workshop's, as it was read." }),
    name: t.string(),
    timeZone: t.string({ description: "IANA name, such as Europe/London; null: that of the machine." }),
  }),
});

builder.mutationField("saveWorkshop", (t) =>
  t.field({
    type: AccountResult,
    description:
      "Changes what the workshop is called, or the time zone in which its days begin; answers with the own account's id.",
    args: { input: t.arg({ type: WorkshopInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => save(context, input)),
  }),
);

async function save({ store, viewer }: Context, { revision, name, timeZone }: typeof WorkshopInput.$inferInput) {
  mayAdminister(viewer);
  const given = {
    ...(name === undefined ? {} : { name: (name ?? "").trim() }),
    ...(timeZone === undefined ? {} : { timeZone }),
  };
  const faults = given.name === undefined ? [] : faultsOf("workshop", given);
  if (timeZone != null && !isTimeZone(timeZone)) {
    const message = `time zone must be the name of one, such as Europe/London, and not ${timeZone.slice(0, 80)}.`;
    faults.push({ code: "NOT_A_CHOICE", field: "timeZone", value: timeZone.slice(0, 80), message });
  }
  if (faults.length > 0) throw new InvalidInput(faults);
  await store.$transaction(async (tx) => {
    const row = await tx.workshop.findUniqueOrThrow({ where: { id: viewer.workshopId } });
    checkFresh(row, revision, given);
    await tx.workshop.update({ where: { id: row.id }, data: { ...given, revision: { increment: 1 } } });
  });
  return { id: viewer.accountId };
}
