/** What there is to choose for, and between what, on the rows. */
import type { OnOrder } from "../../engine/choice/input.ts";
import type { OptionCost } from "./optionCost.ts";
import type { Place } from "./points.ts";

export type SubjectKind = "PART" | "SNAG" | "OPERATION" | "SETTLED";

/** What an option is on the rows, with its cost. */
export interface OptionInfo extends OptionCost {
  /** Unique in its choice. */
  id: string;
  /** Code of the quote, remedy or way; null: the operation as it stands, or nothing. */
  code: string | null;
  /** For people. */
  words: string;
  /** As they count where they are lost, beside which its line and section have their most. */
  points: number;
  /** They are the mean of what a hunt may lose. */
  expected?: true | undefined;
  quoteId: string | null;
  remedyId: string | null;
  wayId: string | null;
  /** Where its supplier charges on a whole order: its place there. The charge is in no option's cost, as it depends on the others. */
  order?: OnOrder | undefined;
  /** Of its cost, what its supplier charges on an order that nothing else can share. */
  chargeMinor: number;
}

export interface ChoiceSubject {
  kind: SubjectKind;
  /** Id of the part, snag or operation. */
  rowId: string;
  code: string;
  title: string;
  /** Where its points are lost. */
  place: Place;
  /** In the engine's order. */
  options: readonly OptionInfo[];
  inForce: OptionInfo;
  /** False where what is in force only stands in for a choice that nobody has made. */
  decided: boolean;
}
