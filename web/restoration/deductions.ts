import type { Values } from "../shared/Form.tsx";
import type { SaveOutcome } from "../shared/save.tsx";
import { PROVENANCE } from "../shared/words.ts";
import type { JudgingSectionRow } from "./restorationRow.ts";

export type Provenance = keyof typeof PROVENANCE;

export const PROVENANCES = Object.keys(PROVENANCE) as Provenance[];

/** The form's field for what a provenance loses; blank: nothing. */
export const fieldOf = (provenance: Provenance): string => `loses.${provenance}`;

/** A section's deductions as fields of its form. */
export function deductionFields(section: JudgingSectionRow | undefined): Values {
  return Object.fromEntries(
    PROVENANCES.map((one) => [
      fieldOf(one),
      section?.deductions.find(({ provenance }) => provenance === one)?.points ?? null,
    ]),
  );
}

interface Deduction {
  provenance: Provenance;
  points: number;
}

/** What the form sends, with the fields of deductions as the one list that they are; `before`: the fields as they were. */
export function withDeductions(sent: Values, before: Values): Values {
  const isOne = (name: string) => PROVENANCES.some((one) => fieldOf(one) === name);
  const others = Object.fromEntries(Object.entries(sent).filter(([name]) => !isOne(name)));
  if (!Object.keys(sent).some(isOne)) return others;
  const now = { ...before, ...sent };
  const deductions = PROVENANCES.flatMap((provenance): Deduction[] => {
    const points = now[fieldOf(provenance)];
    return typeof points === "number" ? [{ provenance, points }] : [];
  });
  return { ...others, deductions };
}

/** Faults of the list, at the fields they came from. */
export function atDeductionFields(outcome: SaveOutcome, input: Values): SaveOutcome {
  if (outcome.kind !== "faults") return outcome;
  const deductions = (input["deductions"] as Deduction[] | undefined) ?? [];
  return {
    ...outcome,
    faults: outcome.faults.map((fault) => {
      const one = deductions[Number(/^deductions\.(\d+)\./.exec(fault.field ?? "")?.[1])];
      return one ? { ...fault, field: fieldOf(one.provenance) } : fault;
    }),
  };
}
