/** Hours at the bench: booked once however often they are sent, and put right by further entries. */
import { own, restorationsOf } from "../../access/rules.ts";
import type { HoursBooked as Row } from "../../generated/prisma/client.ts";
import { daysToCome, lastDayOfWork, SAYS_DAY } from "../../plan/days/day.ts";
import { notAfter } from "../../plan/days/summaryWords.ts";
import { correctionsOf, hoursLeft, leftAfter, totalHours } from "../../plan/hands/hours.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { type Journal, record } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { codeAndName } from "../../store/tables.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOfRows } from "../core/page.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { Account } from "../people/account.ts";

export const HoursBooked = builder.prismaObject("HoursBooked", {
  description: "An entry is never changed: what was wrong is put right by an entry that corrects it.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    clientKey: t.exposeString("clientKey"),
    workedOn: t.expose("workedOn", { type: "Date" }),
    hours: t.exposeFloat("hours", { description: "Negative where it takes back what another entry said." }),
    remainingHours: t.exposeFloat("remainingHours", {
      nullable: true,
      description: "Hours still to do on the operation, as judged at the end. null: not said.",
    }),
    rate: t.field({
      type: Money,
      nullable: true,
      description: "What an hour was charged at when it was booked. null: no rate was known.",
      resolve: ({ rateMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    notes: t.exposeString("notes"),
    bookedAt: t.expose("bookedAt", { type: "DateTime" }),
    account: t.field({
      type: Account,
      resolve: (entry, _args, context, info) => context.row("account", entry.accountId, info),
    }),
    operation: t.relation("operation"),
    corrects: t.relation("corrects", { nullable: true }),
    corrected: t.boolean({
      description: "A further entry puts it right.",
      select: { correctedBy: { select: { id: true } } },
      resolve: (entry) => entry.correctedBy !== null,
    }),
  }),
});

const HoursBookedConnection = connectionOf("HoursBooked", HoursBooked);

const newestFirst = [{ workedOn: "desc" }, { bookedAt: "desc" }, { id: "asc" }];

builder.prismaObjectFields("Operation", (t) => ({
  hoursBooked: t.field({
    type: HoursBookedConnection,
    description: "The newest first.",
    args: forwards,
    resolve: ({ id }, args, context, info) =>
      pageOfRows(context, info, args, "hoursBooked", { where: { operationId: id }, orderBy: newestFirst }),
  }),
  totalHoursBooked: t.float({
    select: { hoursBooked: { select: { hours: true } } },
    resolve: (operation) => totalHours(operation.hoursBooked),
  }),
  hoursLeft: t.float({
    description: "Hours still to do: as last judged, else those of the way in force.",
    select: { chosenWay: { select: { hours: true } } },
    resolve: (operation) => hoursLeft(operation),
  }),
}));

builder.prismaObjectFields("Restoration", (t) => ({
  hoursBooked: t.field({
    type: HoursBookedConnection,
    description: "The newest first.",
    args: forwards,
    resolve: ({ id }, args, context, info) =>
      pageOfRows(context, info, args, "hoursBooked", { where: { restorationId: id }, orderBy: newestFirst }),
  }),
}));

const HoursInput = builder.inputType("HoursInput", {
  description: "clientKey is made where the hours are written down, so that sending them twice books them once.",
  fields: (t) => ({
    operation: t.id({ required: true }),
    clientKey: t.string({ required: true }),
    workedOn: t.field({ type: "Date", required: true }),
    hours: t.float({ required: true }),
    remainingHours: t.float({ description: "Hours still to do; absent: what was left, less these." }),
    notes: t.string(),
    afterDone: t.boolean({ description: "Book them on an operation that is done; it stays done." }),
  }),
});

const HoursCorrectionInput = builder.inputType("HoursCorrectionInput", {
  fields: (t) => ({
    entry: t.id({ required: true }),
    clientKey: t.string({ required: true }),
    hours: t.float({ required: true, description: "What should have been booked; 0 takes it back." }),
    remainingHours: t.float({ description: "Hours still to do; absent: as judged, or by the difference." }),
    notes: t.string(),
  }),
});

builder.mutationFields((t) => ({
  bookHours: t.field({
    type: SaveResult,
    description: "Work that was not begun is then under way, and what is left of it is as judged.",
    args: { input: t.arg({ type: HoursInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => bookHours(context, input)),
  }),
  correctHours: t.field({
    type: SaveResult,
    description: "Adds the entry that puts one right, whatever was corrected of it before.",
    args: { input: t.arg({ type: HoursCorrectionInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => correctHours(context, input)),
  }),
}));

type Booking = typeof HoursInput.$inferInput;
type Correction = typeof HoursCorrectionInput.$inferInput;

async function bookHours(context: Context, input: Booking): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const found = await store.operation.findFirst({
    where: { id: input.operation, restoration: restorationsOf(viewer) },
    select: { restoration: { include: SAYS_DAY } },
  });
  const gone = () =>
    new InvalidInput([
      fault("UNKNOWN_ROW", "operation", "The operation is no longer there: it was removed.", input.operation),
    ]);
  if (found === null) throw gone();
  const { restoration } = found;
  return once(context, restoration.id, input.clientKey, async (journal) => {
    const before = await journal.tx.operation.findUnique({
      where: { id: input.operation },
      include: { chosenWay: { select: { hours: true } } },
    });
    if (before === null) throw gone();
    check([
      ...(input.hours < 0 ? [fault("NEGATIVE", "hours", "hours must be more than zero.", String(input.hours))] : []),
      ...faultsOf("hoursBooked", { ...input, remainingHours: input.remainingHours ?? null, notes: input.notes ?? "" }),
      ...daysToCome("hoursBooked", input, null, lastDayOfWork(restoration)).map((field) =>
        fault("OUT_OF_RANGE", field, `worked on ${notAfter(lastDayOfWork(restoration))}.`, input.workedOn),
      ),
    ]);
    if (before.state === "DONE" && !input.afterDone)
      throw new Refused("OPERATION_DONE", `${codeAndName("Operation", before)}, is done already.`, [before.code]);
    const rate = await journal.tx.tradeRate.findUnique({
      where: { restorationId_trade: { restorationId: restoration.id, trade: before.trade } },
    });
    const entry = await journal.create("hoursBooked", {
      restorationId: restoration.id,
      operationId: before.id,
      accountId: viewer.accountId,
      clientKey: input.clientKey,
      workedOn: input.workedOn,
      hours: input.hours,
      remainingHours: input.remainingHours ?? null,
      rateMinor: rate?.rateMinor ?? restoration.hourlyRateMinor,
      currency: restoration.currency,
      notes: input.notes ?? "",
    });
    if (before.state !== "DONE")
      await journal.update("operation", before.id, before.revision, {
        state: "UNDER_WAY",
        startedOn: before.startedOn ?? input.workedOn,
        remainingHours: input.remainingHours ?? leftAfter(hoursLeft(before), input.hours),
      });
    return { entry, summary: `Booked ${input.hours} h to ${codeAndName("operation", before)}` };
  });
}

async function correctHours(context: Context, input: Correction): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const named = await own(viewer, store, "hoursBooked", input.entry);
  return once(context, named.restorationId, input.clientKey, async (journal) => {
    const all = await journal.tx.hoursBooked.findMany({ where: { operationId: named.operationId } });
    const chain = correctionsOf(all, named.id);
    const last = chain.at(-1)!;
    const difference = totalHours([{ hours: input.hours }, { hours: -totalHours(chain) }]);
    const remainingHours = input.remainingHours ?? null;
    const notes = input.notes ?? "";
    const { clientKey } = input;
    const { workedOn } = last;
    const nothing = difference === 0 && remainingHours === null;
    check([
      ...(input.hours < 0 ? [fault("NEGATIVE", "hours", "hours must not be negative.", String(input.hours))] : []),
      ...(nothing ? [fault("OUT_OF_RANGE", "hours", "hours must differ from what is booked.", `${input.hours}`)] : []),
      ...faultsOf("hoursBooked", { clientKey, workedOn, hours: input.hours || difference, remainingHours, notes }),
    ]);
    const entry = await journal.create("hoursBooked", {
      restorationId: last.restorationId,
      operationId: last.operationId,
      accountId: viewer.accountId,
      clientKey,
      workedOn,
      hours: difference,
      remainingHours,
      rateMinor: last.rateMinor,
      currency: last.currency,
      notes,
      correctsId: last.id,
    });
    const operation = await journal.tx.operation.findUniqueOrThrow({
      where: { id: last.operationId },
      include: { chosenWay: { select: { hours: true } } },
    });
    // A judgement of what is left, made with these hours or after them, holds whatever the hours were.
    const from = chain[0]!.bookedAt;
    const judged = all.some((other) => other.remainingHours !== null && other.bookedAt >= from);
    if (operation.state === "UNDER_WAY" && (remainingHours !== null || !judged))
      await journal.update("operation", operation.id, operation.revision, {
        remainingHours: remainingHours ?? leftAfter(hoursLeft(operation), difference),
      });
    return { entry, summary: `Corrected hours of ${codeAndName("operation", operation)}, by ${difference} h` };
  });
}

/** Writes an entry unless one with its key is there: then that one, and the change that added it, are the answer. */
async function once(
  { store, viewer }: Context,
  restorationId: string,
  clientKey: string,
  add: (journal: Journal) => Promise<{ entry: Row; summary: string }>,
): Promise<Omit<Saved, "is">> {
  const stored = () =>
    store.hoursBooked.findUnique({ where: { restorationId_clientKey: { restorationId, clientKey } } });
  const answer = async (entry: Row) => {
    const change = await store.change.findFirstOrThrow({
      where: { restorationId, rows: { contains: `"${entry.id}"` } },
      orderBy: [{ at: "asc" }, { id: "asc" }],
    });
    return { change, id: entry.id, revision: entry.revision };
  };
  const known = await stored();
  if (known !== null) return answer(known);
  let added: { entry: Row; summary: string } | undefined;
  try {
    const change = await record(
      store,
      { restorationId, accountId: viewer.accountId, summary: () => added?.summary ?? "" },
      async (journal) => {
        added = await add(journal);
      },
    );
    return { change, id: added!.entry.id, revision: added!.entry.revision };
  } catch (error) {
    // The same hours were sent twice at once, and the other was first.
    const other = await stored();
    if (other !== null) return answer(other);
    throw error;
  }
}

const fault = (code: Fault["code"], field: string, message: string, value: string): Fault => ({
  code,
  field,
  message,
  value,
});

function check(faults: readonly Fault[]): void {
  if (faults.length > 0) throw new InvalidInput(faults);
}
