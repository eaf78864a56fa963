import { useCallback } from "react";
import { decimalsOf } from "../shared/currency.ts";
import { ChoiceField, MoneyField, NumberField } from "../shared/Fields.tsx";
import { FindField, type Found } from "../shared/FindField.tsx";
import { Form } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { choicesOf, PROVENANCE } from "../shared/words.ts";
import { type FieldPart, speaksOf } from "./fieldSheet.ts";
import { FindBecomesQuote, type StoredFind } from "./find.ts";

/** Makes a quote of a find, so that it is weighed with the others. */
export function QuoteOfFind({
  find,
  parts,
  onClose,
}: {
  find: StoredFind;
  parts: readonly FieldPart[];
  onClose: () => void;
}) {
  const restoration = useRestoration();
  const { save } = useSave();
  const search = useCallback(
    async (words: string): Promise<readonly Found[]> =>
      parts.filter((one) => speaksOf(one, words)).map(({ id, code, name }) => ({ id, code, title: name })),
    [parts],
  );
  const decimals = decimalsOf(restoration, find.currency);
  return (
    <Form
      label={`Quote of the find ${find.what}`}
      saveLabel="Make it a quote"
      initial={{
        part: find.part?.id ?? null,
        provenance: find.provenance,
        unitPriceMinor: find.asked?.minor ?? null,
        carriageMinor: null,
        leadDays: null,
        preparationHours: null,
      }}
      onSave={(input) =>
        save(FindBecomesQuote, {
          find: find.id,
          revision: find.revision,
          ...(input as Omit<Parameters<typeof save>[1], "find" | "revision">),
        } as never)
      }
      onSaved={onClose}
      onCancel={onClose}
    >
      <div className="fields">
        <FindField
          name="part"
          label="For which part"
          noun="part"
          find={search}
          holds={find.part ? { id: find.part.id, code: find.part.code, title: find.part.name } : null}
        />
        <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
        <MoneyField name="unitPriceMinor" label="Price of one" currency={find.currency} decimals={decimals} />
        <MoneyField name="carriageMinor" label="Carriage" currency={find.currency} decimals={decimals} />
        <NumberField name="leadDays" label="On the bench after" unit="days" whole hint="Blank: at once" />
        <NumberField name="preparationHours" label="Work before it fits" unit="h" />
      </div>
    </Form>
  );
}
