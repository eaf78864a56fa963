/** How a workshop begins: a machine, who works on it, and the first part with its quote and the work that waits for it. */
import { type Fault, InvalidInput } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { words } from "../../store/rules.ts";
import type { Table, Tables } from "../../store/tables.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Provenance } from "../core/enums.ts";
import { type Draft, write } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { handDraft } from "../hands/hand.ts";
import { needDraft } from "../network/need.ts";
import { operationDraft } from "../network/operation.ts";
import { restorationDraft } from "../network/restoration.ts";
import { sellerOf } from "./find.ts";
import { partDraft } from "./part.ts";
import { quoteDraft } from "./quote.ts";

const BeginInput = builder.inputType("BeginInput", {
  description:
    "The machine alone is needed. With hand they are entered with their trades and hours; with part, operation and hoursLikely the work that waits for the part, of the first of those trades; with supplier, unitPriceMinor and leadDays its quote, which is chosen.",
  fields: (t) => ({
    machine: t.string(),
    targetDate: t.field({ type: "Date" }),
    currency: t.string(),
    hourlyRateMinor: t.field({ type: "Minor" }),
    hand: t.string({ description: "Name of who works." }),
    trades: t.stringList(),
    monday: t.float(),
    tuesday: t.float(),
    wednesday: t.float(),
    thursday: t.float(),
    friday: t.float(),
    saturday: t.float(),
    sunday: t.float(),
    part: t.string({ description: "Its name." }),
    operation: t.string({ description: "Title of the work that cannot begin without it." }),
    hoursLikely: t.float(),
    supplier: t.string({ description: "Name; who is called that already is taken." }),
    unitPriceMinor: t.field({ type: "Minor" }),
    leadDays: t.int(),
    provenance: t.field({ type: Provenance, description: "Default: a reproduction." }),
  }),
});

type Input = typeof BeginInput.$inferInput;

builder.mutationField("begin", (t) =>
  t.field({
    type: SaveResult,
    description:
      "Adds a restoration with what is first known of it, in one change; id and revision are the restoration's.",
    args: { input: t.arg({ type: BeginInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => begin(context, input)),
  }),
);

const blank = (value: unknown): boolean =>
  value == null || (typeof value === "string" && value.trim() === "") || (Array.isArray(value) && value.length === 0);

/** Fields that are given together or not at all. */
const TOGETHER: readonly (readonly (keyof Input)[])[] = [
  ["hand", "trades"],
  ["part", "operation", "hoursLikely"],
  ["supplier", "unitPriceMinor", "leadDays"],
];

/** What is missing beside what was given: of nothing given nothing is. */
function missing(input: Input): Fault[] {
  const given = (fields: readonly (keyof Input)[]) => fields.some((field) => !blank(input[field]));
  const [hand, part, quote] = TOGETHER as [(keyof Input)[], (keyof Input)[], (keyof Input)[]];
  const needed: (keyof Input)[] = [
    "machine",
    ...(given(hand) ? hand : []),
    // A quote is one for a part.
    ...(given(part) || given(quote) ? part : []),
    ...(given(quote) ? quote : []),
  ];
  return needed
    .filter((field) => blank(input[field]))
    .map((field) => ({ code: "REQUIRED", field, message: `${words(field)} must be given.` }));
}

/** A fault of a row's field, told of the field of the input by which that was given. */
function renamed(fault: Fault, as: Readonly<Record<string, string>>): Fault {
  const { field = "", message } = fault;
  const to = as[field];
  if (to === undefined) return fault;
  return {
    ...fault,
    field: to,
    message: message.startsWith(`${words(field)} `) ? words(to) + message.slice(words(field).length) : message,
  };
}

async function begin(context: Context, input: Input): Promise<Omit<Saved, "is">> {
  const { machine, targetDate, currency, hourlyRateMinor, hand, trades, part, operation, hoursLikely } = input;
  const { supplier, unitPriceMinor, leadDays, provenance } = input;
  const { monday, tuesday, wednesday, thursday, friday, saturday, sunday } = input;
  let begun: Tables["restoration"] | undefined;
  const change = await record(
    context.store,
    { restorationId: null, accountId: context.viewer.accountId, summary: () => `Began with ${begun?.machine}` },
    async (journal) => {
      const faults = missing(input);
      /** Writes a row where it was given, or keeps its faults, to be told with those of the others. */
      const add = <T extends Table>(given: unknown, draft: Draft<T>, as: Readonly<Record<string, string>> = {}) =>
        blank(given) ? undefined : kept(faults, as, () => write(context, journal, draft));
      begun = await add(machine, restorationDraft(context, { machine, targetDate, currency, hourlyRateMinor }));
      const week = { monday, tuesday, wednesday, thursday, friday, saturday, sunday };
      if (!blank(trades)) await add(hand, handDraft(context, { name: hand, trades, ...week }), { name: "hand" });
      if (begun) {
        const restoration = begun.id;
        const trade = trades?.[0] ?? "";
        const work = await add(
          operation,
          operationDraft(context, { restoration, title: operation, hoursLikely, trade }),
          { title: "operation", trade: "trades" },
        );
        const wanted = await add(part, partDraft({ restoration, name: part }), { name: "part" });
        if (work && wanted) await add(true, needDraft({ operation: work.id, part: wanted.id }));
        const from = await kept(faults, { name: "supplier" }, () =>
          sellerOf(context, journal, supplier ?? "", begun?.currency),
        );
        const quote =
          wanted && from
            ? await add(
                true,
                quoteDraft({
                  part: wanted.id,
                  supplier: from,
                  provenance: provenance ?? "REPRODUCTION",
                  unitPriceMinor,
                  leadDays,
                }),
              )
            : undefined;
        // Of one quote there is nothing to choose.
        if (wanted && quote) await journal.update("part", wanted.id, wanted.revision, { chosenQuoteId: quote.id });
      }
      // A blank field is told once.
      const told = faults.filter(({ field }, i) => faults.findIndex((other) => other.field === field) === i);
      if (told.length > 0) throw new InvalidInput(told);
    },
  );
  return { change, id: begun!.id, revision: begun!.revision };
}

/** What the work gives; its faults are kept instead, by the fields of the input. */
async function kept<T>(
  faults: Fault[],
  as: Readonly<Record<string, string>>,
  work: () => Promise<T>,
): Promise<T | undefined> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof InvalidInput)) throw error;
    faults.push(...error.faults.map((fault) => renamed(fault, as)));
    return undefined;
  }
}
