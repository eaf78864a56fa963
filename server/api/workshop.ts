/** What is said of the workshop as a whole, by its admins: where its days begin, and how far work lies from estimates. */
import { mayAdminister } from "../access/rules.ts";
import { isTimeZone } from "../plan/today.ts";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { checkFresh } from "../store/journal.ts";
import { AccountResult, answering } from "./accountResult.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";

const WorkshopInput = builder.inputType("WorkshopInput", {
  fields: (t) => ({
    revision: t.int({ required: true, description: "The workshop's, as it was read." }),
    timeZone: t.string({
      description: "IANA name, such as Europe/London; null: that of the machine; absent: as it was.",
    }),
    shopSpread: t.float({
      description:
        "How far the work of a shop generally lies from its estimates: standard deviation of the log, 0 to 1; absent: as it was.",
    }),
    tradeSpread: t.float({
      description: "The same of a trade from its shop; with both at 0 estimates stand as they are.",
    }),
  }),
});

builder.mutationField("saveWorkshop", (t) =>
  t.field({
    type: AccountResult,
    description:
      "Changes where the workshop's days begin, and what it expects of estimates before it knows; answers with the own account's id.",
    args: { input: t.arg({ type: WorkshopInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => save(context, input)),
  }),
);

async function save({ store, viewer }: Context, { revision, timeZone, ...asked }: typeof WorkshopInput.$inferInput) {
  mayAdminister(viewer);
  if (timeZone != null && !isTimeZone(timeZone)) {
    const message = `time zone must be the name of one, such as Europe/London, and not ${timeZone.slice(0, 80)}.`;
    throw new InvalidInput([{ code: "NOT_A_CHOICE", field: "timeZone", value: timeZone.slice(0, 80), message }]);
  }
  const spreads = Object.fromEntries(SPREADS.flatMap((name) => (asked[name] == null ? [] : [[name, asked[name]]])));
  const faults = Object.entries(spreads).flatMap(([field, value]): Fault[] =>
    value >= 0 && value <= 1
      ? []
      : [
          {
            code: "OUT_OF_RANGE",
            field,
            value: String(value),
            message: `${field} must be between 0 and 1.`,
          },
        ],
  );
  if (faults.length > 0) throw new InvalidInput(faults);
  const data = { ...(timeZone !== undefined && { timeZone }), ...spreads };
  await store.$transaction(async (tx) => {
    const row = await tx.workshop.findUniqueOrThrow({ where: { id: viewer.workshopId } });
    checkFresh(row, revision, data);
    await tx.workshop.update({ where: { id: row.id }, data: { ...data, revision: { increment: 1 } } });
    if (Object.keys(spreads).length > 0)
      await tx.restoration.updateMany({
        where: { workshopId: row.id },
        data: { planRevision: { increment: 1 } },
      });
  });
  return { id: viewer.accountId };
}

const SPREADS = ["shopSpread", "tradeSpread"] as const;
