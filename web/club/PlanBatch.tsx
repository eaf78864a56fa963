import { graphql } from "../client.ts";
import { FindField } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type OwnPart, ownPartFound, useFindOwnParts } from "./ownParts.ts";

const PlanBatchDocument = graphql(
  `
  mutation PlanBatch($batch: ID!, $part: ID!) {
    planBatch(batch: $batch, part: $part) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const PART_NEEDED = {
  kind: "faults" as const,
  message: "",
  faults: [{ code: "REQUIRED", field: "part", message: "Name the part of your restoration that it is for." }],
};

/** The batch becomes a quote for an own part; the quote follows the batch from then on. */
export function PlanBatch({
  batch,
  onDone,
}: {
  batch: { id: string; code: string; part: string; ownPart: OwnPart | null };
  onDone: () => void;
}) {
  const { save } = useSave();
  const findOwnParts = useFindOwnParts(batch.part);
  return (
    <Form
      label={`Take batch ${batch.code} into my plan`}
      initial={{ part: batch.ownPart?.id ?? null }}
      onSave={async ({ part }) =>
        typeof part === "string" ? save(PlanBatchDocument, { batch: batch.id, part }) : PART_NEEDED
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Take it into my plan"
    >
      <div className="fields">
        <FindField
          name="part"
          label="For my part"
          hint="It gets a quote that follows the batch: its price as names come, its date, and the odds that it is not filled."
          noun="part"
          wide
          find={findOwnParts}
          holds={batch.ownPart && ownPartFound(batch.ownPart)}
        />
      </div>
    </Form>
  );
}
