import { useId } from "react";
import { graphql } from "../client.ts";
import { NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { money } from "../shared/format.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type Batch, DEPOSIT_STATE } from "./batch.ts";
import { pieces } from "./batchWords.ts";

const PutNameDown = graphql(
  `
  mutation PutNameDown($batch: ID!, $quantity: Int!) {
    putNameDown(batch: $batch, quantity: $quantity) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const TakeNameOff = graphql(
  `
  mutation TakeNameOff($batch: ID!) {
    takeNameOff(batch: $batch) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const Close = graphql(
  `
  mutation CloseBatch($batch: ID!, $revision: Int!) {
    closeBatch(batch: $batch, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const QUANTITY_NEEDED = {
  kind: "faults" as const,
  message: "",
  faults: [{ code: "REQUIRED", field: "quantity", message: "Say how many pieces to put you down for." }],
};

/** The reader's own name: put down, changed and taken off while the batch takes names; what it pays and when. */
export function OwnNameDown({ batch }: { batch: Batch }) {
  const { save, saving } = useSave();
  const nameDown = batch.ownNameDown;
  const takingNames = batch.state === "TAKING_NAMES";
  // Short of the smallest size nothing is due at the size put down for so far: it does not go ahead at that price.
  const short = takingNames && batch.outlook.needed > 0;
  const due = batch.state !== "NOT_FILLED" && !short;
  return (
    <>
      <p className="prose">
        {nameDown ? (
          <>
            You are down for {pieces(nameDown.quantity)}
            {short && (
              <>
                , at {money(batch.outlook.goingAhead.piece)}
                {nameDown.quantity > 1 && " each"} once it is filled
              </>
            )}
            {due && <>, which now comes to {money(nameDown.price)}</>}
            {nameDown.deposit && nameDown.depositState && (
              <>
                . The deposit of {money(nameDown.deposit)} is {DEPOSIT_STATE[nameDown.depositState]}
              </>
            )}
            .{due && nameDown.stages.length > 0 && <> The rest is due in stages:</>}
          </>
        ) : takingNames ? (
          <>
            Who puts a name down pays a deposit of {batch.depositPercent} per cent. It is returned where the batch is
            not filled, or where you take your name off before it closes.
          </>
        ) : (
          "You are not down for it, and it takes no more names."
        )}
      </p>
      {nameDown && due && nameDown.stages.length > 0 && (
        <dl className="facts">
          {batch.stages.map(({ title }, place) => {
            const payment = nameDown.stages[place];
            return (
              <Stage key={`${place} ${title}`} title={title}>
                {payment && money(payment)}
              </Stage>
            );
          })}
        </dl>
      )}
      {takingNames && (
        <div className="club-quantity">
          <Form
            label={nameDown ? "Change how many I am down for" : "Put me down"}
            initial={{ quantity: nameDown?.quantity ?? 1 }}
            onSave={async ({ quantity }) =>
              typeof quantity === "number" ? save(PutNameDown, { batch: batch.id, quantity }) : QUANTITY_NEEDED
            }
            saveLabel={nameDown ? "Change how many" : "Put me down"}
          >
            <div className="fields">
              <NumberField name="quantity" label="Put me down for" unit="pieces" whole />
            </div>
          </Form>
        </div>
      )}
      {takingNames && nameDown && (
        <p>
          <button
            type="button"
            className="remove club-take-off"
            disabled={saving}
            onClick={() => void save(TakeNameOff, { batch: batch.id })}
          >
            Take my name off
          </button>
        </p>
      )}
    </>
  );
}

function Stage({ title, children }: { title: string; children: React.ReactNode }) {
  return (
    <>
      <dt>{title}</dt>
      <dd className="money">{children}</dd>
    </>
  );
}

/** The organiser's: a filled batch goes ahead before its closing date. */
export function CloseButton({ batch }: { batch: Batch }) {
  const { save, saving } = useSave();
  const hint = useId();
  if (!batch.own || batch.state !== "TAKING_NAMES") return null;
  const short = batch.outlook.needed;
  return (
    <>
      <button
        type="button"
        disabled={saving || short > 0}
        aria-describedby={hint}
        onClick={() => void save(Close, { batch: batch.id, revision: batch.revision })}
      >
        Close it now: it goes ahead
      </button>
      <span id={hint} className="soft">
        {short > 0
          ? `Only a filled batch can be closed: ${pieces(short)} short.`
          : "The maker begins, the deposits are paid over, and no name is put down or taken off after."}
      </span>
    </>
  );
}
