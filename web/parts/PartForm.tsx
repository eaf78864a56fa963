import { CheckField, ChoiceField, MoneyField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { choicesOf, type PROVENANCE, STATE_ON_HAND } from "../shared/words.ts";
import { JudgedIn, RuledOutKinds } from "./Judged.tsx";
import { SavePart } from "./part.ts";

/** What the form changes of a part. */
export interface PartInForm {
  id: string;
  revision: number;
  code: string;
  name: string;
  group: string;
  quantity: number;
  stateOnHand: keyof typeof STATE_ON_HAND;
  safetyCritical: boolean;
  estimate: { minor: number } | null;
  notes: string;
  kept: boolean;
  visible: boolean;
  chosenQuote: { id: string } | null;
  ruledOut: readonly (keyof typeof PROVENANCE)[];
  ownJudgingSection: { id: string } | null;
  judgingLine: { id: string } | null;
}

interface PartFormProps {
  /** Absent for a new part. */
  part?: PartInForm;
  /** Of a new part: another that it is to be like. */
  like?: PartInForm;
  onSaved: (id: string) => void;
  onCancel: () => void;
}

/** Adds a part, or changes one. */
export function PartForm({ part, like, onSaved, onCancel }: PartFormProps) {
  const from = part ?? like;
  const restoration = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={part ? `Change ${part.name}` : like ? `Copy of ${like.name}` : "Add a part"}
      initial={{
        code: part?.code ?? null,
        name: from?.name ?? "",
        group: from?.group ?? "",
        quantity: from?.quantity ?? 1,
        stateOnHand: from?.stateOnHand ?? "MISSING",
        safetyCritical: from?.safetyCritical ?? false,
        estimateMinor: from?.estimate?.minor ?? null,
        notes: from?.notes ?? "",
        kept: part?.kept ?? false,
        visible: from?.visible ?? true,
        ruledOut: from?.ruledOut ?? [],
        judgingSection: from?.ownJudgingSection?.id ?? null,
        judgingLine: from?.judgingLine?.id ?? null,
      }}
      row={part ? { id: part.id, revision: part.revision } : null}
      onSave={(input) => save(SavePart, { input: part ? input : { ...input, restoration: restoration.id } })}
      onSaved={onSaved}
      onCancel={onCancel}
      saveLabel={part ? "Save the part" : like ? "Add the copy" : "Add the part"}
    >
      <div className="fields">
        <TextField name="name" label="Name" />
        <TextField
          name="code"
          label="Code"
          nullable
          hint={part ? undefined : "Left blank, the next number is taken."}
        />
        <TextField name="group" label="Group" suggestions={restoration.groups} />
        <NumberField name="quantity" label="How many" whole />
        <ChoiceField name="stateOnHand" label="State on hand" choices={choicesOf(STATE_ON_HAND)} />
        <MoneyField
          name="estimateMinor"
          label="Estimate"
          hint="While nobody quotes it. Blank: not known."
          currency={restoration.currency}
          decimals={restoration.decimals}
        />
        <CheckField
          name="safetyCritical"
          label="Safety-critical"
          hint="Brake, steering, wheel, fuel or pressure: fitted only with an inspection on record."
        />
        <CheckField
          name="visible"
          label="A judge sees it"
          hint="A part that no judge sees loses nothing by the judging sheet."
        />
        <JudgedIn />
        {part && (part.kept || part.chosenQuote) && (
          <CheckField
            name="kept"
            label="This quote is decided"
            hint="Choosing for the whole machine leaves it alone."
          />
        )}
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
      <RuledOutKinds />
    </Form>
  );
}
