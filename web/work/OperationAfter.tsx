import { useState } from "react";
import { useNavigate } from "react-router";
import { AddSeveral } from "../several/tables.ts";
import { addressOf } from "../shared/addresses.ts";
import { ChoiceField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useFindParts } from "../shared/find.ts";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { choicesOf, LAG_UNIT } from "../shared/words.ts";
import type { OperationOnPage } from "./operation.ts";

/** A new operation that waits for this one, with a part that it needs: one change. */
export function OperationAfter({ operation }: { operation: OperationOnPage }) {
  const [open, setOpen] = useState(false);
  if (open) return <NewOperation operation={operation} onDone={() => setOpen(false)} />;
  return (
    <button type="button" className="no-print" onClick={() => setOpen(true)}>
      Add a new operation after it
    </button>
  );
}

function NewOperation({ operation, onDone }: { operation: OperationOnPage; onDone: () => void }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const find = useFindParts();
  return (
    <Form
      label={`New operation after ${operation.title}`}
      saveLabel="Add the operation"
      initial={{
        title: "",
        trade: operation.trade,
        hoursLikely: null,
        lag: 0,
        lagUnit: "HOURS",
        part: "",
        quantity: 1,
      }}
      onSave={async (input) => {
        const text = (name: string) => String(input[name] ?? "").trim();
        const part = text("part");
        const known = part === "" ? [] : await find(part).catch(() => []);
        const listed = known.find(({ code, title }) => [code, title].some((one) => alike(one) === alike(part)));
        const outcome = await save(AddSeveral, {
          restoration: restoration.id,
          rows: [
            rowOf("operations.csv", {
              title: text("title"),
              trade: text("trade"),
              group: operation.group,
              hours_likely: text("hoursLikely"),
            }),
            rowOf("links.csv", {
              before: operation.code,
              after: "+1",
              lag: text("lag"),
              lag_unit: text("lagUnit"),
            }),
            ...(part === "" || listed
              ? []
              : [rowOf("parts.csv", { name: part, group: operation.group, quantity: text("quantity") })]),
            ...(part === ""
              ? []
              : [rowOf("needs.csv", { operation: "+1", part: listed?.code ?? "+1", quantity: text("quantity") })]),
          ],
        });
        return inForm(outcome);
      }}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <TextField name="title" label="Title" wide hint="What is done once this is finished" />
        <TextField name="trade" label="Trade" suggestions={restoration.trades} />
        <NumberField name="hoursLikely" label="Hours, likely" unit="h" />
        <NumberField name="lag" label="Lag" hint="Time that must pass in between; 0 for none" />
        <ChoiceField name="lagUnit" label="Counted in" choices={choicesOf(LAG_UNIT)} />
        <TextField name="part" label="Part it needs" hint="By name or code; one that is not listed yet is added" />
        <NumberField name="quantity" label="How many of it" whole />
      </div>
    </Form>
  );
}

/** A new operation filled in as this one is: with what comes before and after it, and the parts that it needs. */
export function OperationCopy({ operation, onDone }: { operation: OperationOnPage; onDone: () => void }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const navigate = useNavigate();
  const { title, trade, group, hoursLeast, hoursLikely, hoursMost, linksBefore, linksAfter, needs } = operation;
  return (
    <Form
      label={`Copy of ${title}`}
      saveLabel="Add the copy"
      initial={{ title, trade, group, hoursLeast, hoursLikely, hoursMost }}
      onSave={async (input) => {
        const text = (name: string) => String(input[name] ?? "").trim();
        const rows = (file: string, cells: readonly Record<string, string>[]) =>
          cells.length === 0
            ? []
            : [
                {
                  file,
                  columns: Object.keys(cells[0] as object),
                  rows: cells.map((row) => ({ cells: Object.values(row) })),
                },
              ];
        const wait = (link: { lag: number; lagUnit: string }) => ({ lag: String(link.lag), lag_unit: link.lagUnit });
        const outcome = await save(AddSeveral, {
          restoration: restoration.id,
          rows: [
            rowOf("operations.csv", {
              title: text("title"),
              trade: text("trade"),
              group: text("group"),
              hours_least: text("hoursLeast"),
              hours_likely: text("hoursLikely"),
              hours_most: text("hoursMost"),
              hands: String(operation.hands),
              also_trades: operation.alsoTrades.join("; "),
              notes: operation.notes,
            }),
            ...rows("links.csv", [
              ...linksBefore.map((link) => ({ before: link.before.code, after: "+1", ...wait(link) })),
              ...linksAfter.map((link) => ({ before: "+1", after: link.after.code, ...wait(link) })),
            ]),
            ...rows(
              "needs.csv",
              needs.map(({ part, quantity }) => ({ operation: "+1", part: part.code, quantity: String(quantity) })),
            ),
          ],
        });
        return inForm(outcome);
      }}
      onSaved={() => {
        onDone();
        void navigate(addressOf.work(restoration.id));
      }}
      onCancel={onDone}
    >
      <p className="prose">
        It comes after what this one comes after, before what this one comes before, and needs the same parts.
      </p>
      <div className="fields">
        <TextField name="title" label="Title" wide />
        <TextField name="trade" label="Trade" suggestions={restoration.trades} />
        <TextField name="group" label="Group" suggestions={restoration.groups} />
        <NumberField name="hoursLeast" label="Hours, least" unit="h" />
        <NumberField name="hoursLikely" label="Hours, likely" unit="h" />
        <NumberField name="hoursMost" label="Hours, most" unit="h" />
      </div>
    </Form>
  );
}

const alike = (text: string): string => text.trim().toLowerCase();

const rowOf = (file: string, cells: Record<string, string>) => ({
  file,
  columns: Object.keys(cells),
  rows: [{ cells: Object.values(cells) }],
});

/** Fields of these forms by the column of the file that they go to. */
const FIELDS: Readonly<Record<string, string>> = {
  hours_least: "hoursLeast",
  hours_likely: "hoursLikely",
  hours_most: "hoursMost",
  lag_unit: "lagUnit",
  name: "part",
};

/** Faults of the file's columns at the fields of the form. */
const inForm = (outcome: SaveOutcome): SaveOutcome =>
  outcome.kind !== "faults"
    ? outcome
    : {
        ...outcome,
        faults: outcome.faults.map((fault) => ({ ...fault, field: FIELDS[fault.field ?? ""] ?? fault.field })),
      };
