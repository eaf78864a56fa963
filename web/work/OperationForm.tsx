import { useState } from "react";
import {
  CheckField,
  ChoiceField,
  DateField,
  NotesField,
  NumberField,
  TextField,
  TradesField,
} from "../shared/Fields.tsx";
import { Form, useFieldValue } from "../shared/Form.tsx";
import { JudgedOn } from "../shared/JudgedOn.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { choicesOf, OPERATION_STATE } from "../shared/words.ts";
import { SaveOperation } from "./AddOperation.tsx";
import { HasTaken } from "./HasTaken.tsx";
import type { OperationOnPage } from "./operation.ts";

/** Title, hours, trade, state and dates of an operation. Where it may not be done yet, says what must happen first. */
export function OperationForm({ operation }: { operation: OperationOnPage }) {
  const restoration = useRestoration();
  const { save } = useSave();
  const [refused, setRefused] = useState<Extract<SaveOutcome, { kind: "refused" }> | null>(null);
  const {
    code,
    title,
    trade,
    group,
    hoursLeast,
    hoursLikely,
    hoursMost,
    state,
    startedOn,
    finishedOn,
    remainingHours,
    hands,
    alsoTrades,
    first,
    mayBePutDown,
    notBefore,
    notes,
  } = operation;
  return (
    <>
      <Form
        label={`Operation ${code}`}
        saveLabel="Save the operation"
        row={{ id: operation.id, revision: operation.revision }}
        initial={{
          code,
          title,
          trade,
          group,
          hoursLeast,
          hoursLikely,
          hoursMost,
          state,
          startedOn,
          finishedOn,
          remainingHours,
          hands,
          alsoTrades,
          first,
          mayBePutDown,
          notBefore,
          notes,
          judgingLine: operation.judgingLine?.id ?? null,
        }}
        onSave={async (input) => {
          setRefused(null);
          const outcome = await save(SaveOperation, { input });
          if (outcome.kind === "refused") setRefused(outcome);
          return outcome;
        }}
      >
        <div className="fields">
          <TextField name="title" label="Title" wide />
          <TextField name="code" label="Code" />
          <TextField name="trade" label="Trade" suggestions={restoration.trades} />
          <TextField name="group" label="Group" suggestions={restoration.groups} />
          <NumberField name="hoursLeast" label="Hours, least" unit="h" />
          <NumberField name="hoursLikely" label="Hours, likely" unit="h" />
          <NumberField name="hoursMost" label="Hours, most" unit="h" />
          {operation.state !== "DONE" && <HasTaken />}
          <ChoiceField name="state" label="State" choices={choicesOf(OPERATION_STATE)} />
          <Dates />
          <NumberField name="hands" label="Hands" hint="Of its trade, for the whole of its hours" whole />
          <TradesField
            name="alsoTrades"
            label="Further hands"
            hint="The trade of each beside its own"
            suggestions={restoration.trades}
            repeated
          />
          <DateField name="notBefore" label="Not before" hint="Blank: as soon as it can be" />
          <CheckField
            name="first"
            label="Do this first"
            hint="Before all other work of this machine that the same hands could do then"
          />
          <CheckField
            name="mayBePutDown"
            label="May be put down"
            hint="While it is under way other work may take its hands, where that ends all sooner; what is left is then done in one go. Not where it is to be done first"
          />
          <JudgedOn hint="Where its ways and the remedies of its snags lose points" />
          <NotesField name="notes" label="Notes" />
        </div>
      </Form>
      {refused && <WhatComesFirst refused={refused} />}
    </>
  );
}

/** Fields that belong to the state; one that holds something is always shown. */
function Dates() {
  const state = useFieldValue("state");
  const started = useFieldValue("startedOn");
  const finished = useFieldValue("finishedOn");
  const remaining = useFieldValue("remainingHours");
  return (
    <>
      {(state !== "NOT_STARTED" || started) && <DateField name="startedOn" label="Started on" />}
      {(state === "DONE" || finished) && (
        <DateField name="finishedOn" label="Finished on" hint="Blank: not on record" />
      )}
      {(state === "UNDER_WAY" || typeof remaining === "number") && (
        <NumberField name="remainingHours" label="Hours still to do" unit="h" hint="Blank: all of the likely hours" />
      )}
    </>
  );
}

function WhatComesFirst({ refused }: { refused: Extract<SaveOutcome, { kind: "refused" }> }) {
  const where =
    refused.code === "INSPECTION_MISSING"
      ? { to: "#inspections", words: "Record the inspection" }
      : refused.code === "PREDECESSOR_NOT_DONE"
        ? { to: "#comes-before", words: "See what comes before" }
        : refused.code === "OPEN_SNAG"
          ? { to: "#snags", words: "See the snags" }
          : null;
  if (!where) return null;
  return (
    <p>
      <a href={where.to}>{where.words}</a>
    </p>
  );
}
