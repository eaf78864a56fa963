/** How a field is called on the screen, and how a value of it reads there; as it stands when absent. */
export interface FieldWords {
  label: string;
  shown?: ((value: unknown) => string) | undefined;
}

/** What a form knows of one of its fields. */
export interface FieldInForm extends Partial<FieldWords> {
  /** Whether it was changed here. */
  changed: boolean;
  /** What it held when it was read. */
  read: unknown;
}

/** The fields of a form by the names of the mutation's input; undefined for what it does not hold. */
export type FieldsOfForm = (name: string) => FieldInForm | undefined;

/** A field in which a row differs from what is to be saved, both values as the server writes them; blank for none. */
interface Difference {
  field: string;
  theirs: string;
  yours: string;
}

/** A field that was changed both here and elsewhere. */
export interface Conflict extends Difference, Partial<FieldWords> {}

/**
 * What two changes of one row come to. Where a form knows its fields, only those changed both here and there are
 * conflicts; in those that were not changed here, `untouched`, theirs stays.
 */
export function conflictsOf(differences: readonly Difference[], fields: FieldsOfForm = () => undefined) {
  const untouched = new Set<string>();
  const conflicts: Conflict[] = [];
  for (const difference of differences) {
    const known = fields(difference.field);
    if (known?.changed === false) untouched.add(difference.field);
    else if (known === undefined || !reads(known.read, difference.theirs)) {
      const { label, shown } = known ?? {};
      conflicts.push({ ...difference, label, shown });
    }
  }
  return { conflicts, untouched };
}

/** Whether a value reads so where the server tells of it; of a list that cannot be told. */
const reads = (value: unknown, text: string): boolean =>
  (value === null || typeof value !== "object") && String(value ?? "") === text;

/** The same of one of several rows that are changed together: what each held when it was read stands in no form. */
export const conflictsOfOne = (differences: readonly Difference[], fields: FieldsOfForm = () => undefined) => ({
  untouched: new Set<string>(),
  conflicts: differences.map((difference): Conflict => {
    const { label, shown } = fields(difference.field) ?? {};
    return { ...difference, label, shown };
  }),
});
