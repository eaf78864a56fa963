import { useCallback } from "react";
import { currencyChoices, useFormCurrency } from "../shared/currency.ts";
import { newKey } from "../shared/device.ts";
import { ChoiceField, DateField, MoneyField, NotesField, TextField } from "../shared/Fields.tsx";
import { FindField, type Found } from "../shared/FindField.tsx";
import { Form, type Values } from "../shared/Form.tsx";
import { today } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import type { SaveOutcome } from "../shared/save.tsx";
import { CONDITION, choicesOf, PROVENANCE } from "../shared/words.ts";
import type { FieldPart } from "./fieldSheet.ts";
import { speaksOf } from "./fieldSheet.ts";
import { FIND_LABELS, type FindInput, type StoredFind, type WaitingFind } from "./find.ts";

interface FindFormProps {
  parts: readonly FieldPart[];
  /** The part that a new one is for. */
  part?: FieldPart | null;
  /** A find on the server that is to be changed. */
  stored?: StoredFind;
  /** A find on this device that is to be changed. */
  waiting?: WaitingFind;
  /** Keeps it on this device, and sends it when it can. */
  onKeep: (find: WaitingFind) => Promise<void>;
  onClose: () => void;
}

/** What was seen, with whom, for how much. It is kept on this device first, so that no connection is needed. */
export function FindForm({ parts, part = null, stored, waiting, onKeep, onClose }: FindFormProps) {
  const restoration = useRestoration();
  const nameOf = (id: unknown) => parts.find((one) => one.id === id)?.name ?? stored?.part?.name ?? null;
  const find = useCallback(
    async (search: string): Promise<readonly Found[]> =>
      parts.filter((one) => speaksOf(one, search)).map(({ id, code, name }) => ({ id, code, title: name })),
    [parts],
  );
  const day = today(restoration.timeZone);
  const initial = initialOf(waiting?.input, stored, part, restoration.currency, day);
  const held = typeof initial.part === "string" ? parts.find((one) => one.id === initial.part) : undefined;
  const holds = held ? { id: held.id, code: held.code, title: held.name } : storedPart(stored);

  const keep = async (values: Values): Promise<SaveOutcome> => {
    if (String(values.what ?? "").trim() === "")
      return { kind: "faults", message: "", faults: [{ code: "MISSING", field: "what", message: "Say what it is." }] };
    const clientKey = waiting?.clientKey ?? stored?.clientKey ?? newKey();
    const changed = stored ? changedOf(values, initial) : values;
    const input = {
      ...waiting?.input,
      ...changed,
      clientKey,
      restoration: restoration.id,
      ...(stored ? { id: stored.id, revision: stored.revision } : {}),
    } as FindInput;
    try {
      await onKeep({
        clientKey,
        restoration: restoration.id,
        notedAt: waiting?.notedAt ?? Date.now(),
        input: stored ? { ...input, what: String(values.what) } : input,
        partName: nameOf(values.part),
        problem: null,
      });
    } catch {
      return {
        kind: "unreachable",
        message:
          "This browser keeps nothing, in a private window perhaps. What you typed is still here; write it down.",
      };
    }
    return { kind: "saved", id: clientKey, revision: 1 };
  };

  return (
    <Form
      label={waiting || stored ? "The find" : part ? `A find for ${part.name}` : "A find"}
      saveLabel={waiting || stored ? "Save the find" : "Keep the find"}
      initial={initial}
      onSave={keep}
      onSaved={onClose}
      onCancel={onClose}
    >
      <div className="fields">
        <TextField name="what" label={FIND_LABELS.what} wide />
        <TextField name="seller" label={FIND_LABELS.seller} hint="A name, or where the stall is" />
        <Asked />
        <ChoiceField
          name="provenance"
          label={FIND_LABELS.provenance}
          choices={choicesOf(PROVENANCE)}
          none="not known"
        />
        <ChoiceField name="condition" label={FIND_LABELS.condition} choices={choicesOf(CONDITION)} none="not known" />
        <FindField
          name="part"
          label={FIND_LABELS.part}
          hint="Blank: not known yet"
          noun="part"
          find={find}
          holds={holds}
        />
        <DateField name="foundOn" label={FIND_LABELS.foundOn} />
        <NotesField name="notes" label={FIND_LABELS.notes} rows={3} />
      </div>
    </Form>
  );
}

function Asked() {
  const restoration = useRestoration();
  const { currency, decimals } = useFormCurrency(restoration);
  return (
    <>
      <MoneyField name="askedMinor" label={FIND_LABELS.askedMinor} currency={currency} decimals={decimals} />
      <ChoiceField name="currency" label={FIND_LABELS.currency} choices={currencyChoices(restoration)} />
    </>
  );
}

function initialOf(
  input: FindInput | undefined,
  stored: StoredFind | undefined,
  part: FieldPart | null,
  currency: string,
  day: string,
): Values {
  if (input)
    return {
      what: input.what ?? "",
      seller: input.seller ?? "",
      askedMinor: input.askedMinor ?? null,
      currency: input.currency ?? currency,
      provenance: input.provenance ?? null,
      condition: input.condition ?? null,
      part: input.part ?? null,
      foundOn: input.foundOn ?? null,
      notes: input.notes ?? "",
    };
  if (stored)
    return {
      what: stored.what,
      seller: stored.seller,
      askedMinor: stored.asked?.minor ?? null,
      currency: stored.currency,
      provenance: stored.provenance,
      condition: stored.condition,
      part: stored.part?.id ?? null,
      foundOn: stored.foundOn,
      notes: stored.notes,
    };
  return {
    what: "",
    seller: "",
    askedMinor: null,
    currency,
    provenance: null,
    condition: null,
    part: part?.id ?? null,
    foundOn: day,
    notes: "",
  };
}

const changedOf = (values: Values, initial: Values): Values =>
  Object.fromEntries(Object.entries(values).filter(([name, value]) => value !== initial[name]));

const storedPart = (stored: StoredFind | undefined): Found | null =>
  stored?.part ? { id: stored.part.id, code: stored.part.code, title: stored.part.name } : null;
