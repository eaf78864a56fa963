import { useId } from "react";
import { graphql } from "../client.ts";
import { NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { money } from "../shared/format.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type Batch, DEPOSIT_STATE } from "./batch.ts";
import { pieces } from "./batchWords.ts";

const PledgeTo = graphql(
  `
  mutation PledgeTo($batch: ID!, $quantity: Int!) {
    pledge(batch: $batch, quantity: $quantity) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const Withdraw = graphql(
  `
  mutation WithdrawPledge($batch: ID!) {
    withdrawPledge(batch: $batch) { __typename ...SaveParts }
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
  faults: [{ code: "REQUIRED", field: "quantity", message: "Say how many pieces you pledge." }],
};

/** The reader's own pledge: made, changed and withdrawn while the batch is open; what it pays and when. */
export function OwnPledge({ batch }: { batch: Batch }) {
  const { save, saving } = useSave();
  const pledge = batch.ownPledge;
  const open = batch.state === "OPEN";
  // Short of the smallest size nothing is due at the size pledged so far: it does not go ahead at that price.
  const short = open && batch.standing.needed > 0;
  const due = batch.state !== "FAILED" && !short;
  return (
    <>
      <p className="prose">
        {pledge ? (
          <>
            You have pledged {pieces(pledge.quantity)}
            {short && (
              <>
                , at {money(batch.standing.goingAhead.piece)}
                {pledge.quantity > 1 && " each"} once it is filled
              </>
            )}
            {due && <>, which now comes to {money(pledge.price)}</>}
            {pledge.deposit && pledge.depositState && (
              <>
                . The deposit of {money(pledge.deposit)} is {DEPOSIT_STATE[pledge.depositState]}
              </>
            )}
            .{due && pledge.stages.length > 0 && <> The rest is due in stages:</>}
          </>
        ) : open ? (
          <>
            A pledge pays a deposit of {batch.depositPercent} per cent, which goes back where the batch fails or you
            withdraw before it closes.
          </>
        ) : (
          "You have no pledge in it, and it takes none any more."
        )}
      </p>
      {pledge && due && pledge.stages.length > 0 && (
        <dl className="facts">
          {batch.stages.map(({ title }, place) => {
            const payment = pledge.stages[place];
            return (
              <Stage key={`${place} ${title}`} title={title}>
                {payment && money(payment)}
              </Stage>
            );
          })}
        </dl>
      )}
      {open && (
        <div className="club-quantity">
          <Form
            label={pledge ? "Change my pledge" : "Pledge"}
            initial={{ quantity: pledge?.quantity ?? 1 }}
            onSave={async ({ quantity }) =>
              typeof quantity === "number" ? save(PledgeTo, { batch: batch.id, quantity }) : QUANTITY_NEEDED
            }
            saveLabel={pledge ? "Change the pledge" : "Pledge"}
          >
            <div className="fields">
              <NumberField name="quantity" label="How many" unit="pieces" whole />
            </div>
          </Form>
        </div>
      )}
      {open && pledge && (
        <p>
          <button
            type="button"
            className="remove club-withdraw"
            disabled={saving}
            onClick={() => void save(Withdraw, { batch: batch.id })}
          >
            Withdraw the pledge
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
  if (!batch.own || batch.state !== "OPEN") return null;
  const short = batch.standing.needed;
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
          : "The maker begins, the deposits are paid over, and no pledge changes after."}
      </span>
    </>
  );
}
