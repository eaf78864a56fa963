/** A thread as it was measured in the shop, in millimetres or inches, against the standard ones. */
import { inUnit, type LengthUnit } from "../../engine/fit/fit.ts";
import { FAMILIES } from "../../engine/fit/threadSizes.ts";
import { findThreads, MeasuredFault, type TellingApart, type ThreadCandidate } from "../../engine/fit/threads.ts";
import { InvalidInput } from "../../store/fault.ts";

export interface MeasuredThread {
  diameter: number;
  /** Or threads to the inch, counted. */
  pitch: number | null;
  perInch: number | null;
  /** Of diameter, pitch, tolerance and wear. */
  unit: LengthUnit;
  /** How far the diameter may be off either way; null: a tenth of a millimetre. */
  tolerance: number | null;
  /** How much the crests may be worn besides. */
  wear: number | null;
  /** Between the flanks, degrees. */
  angle: number | null;
}

/** A standard thread beside the measurement. Lengths in mm. */
export interface ThreadMatch {
  name: string;
  family: string;
  standard: string;
  diameter: number;
  pitch: number;
  perInch: number | null;
  angle: number;
  diameterOff: number;
  pitchOff: number | null;
}

export type ThreadsApart = TellingApart;

export interface ThreadAnswer {
  verdict: "ONE" | "SEVERAL" | "NONE";
  words: string;
  matches: readonly ThreadMatch[];
  nearest: readonly ThreadMatch[];
  tellApart: readonly ThreadsApart[];
}

/** A tenth of a millimetre: a calliper on crests that were used. */
const USUAL_TOLERANCE = 0.1;
/** What a rule over several threads tells, mm. */
const PITCH_TOLERANCE = 0.04;
/** What is counted over an inch may be off by this part of a thread. */
const COUNT_TOLERANCE = 0.4;

/** The measurement by the engine's name for it. */
const FIELDS: Readonly<Record<string, string>> = {
  "outside diameter": "diameter",
  "tolerance of the diameter": "tolerance",
  "threads to the inch": "perInch",
};

/** The standard threads that a measurement may belong to. @throws InvalidInput naming what cannot be measured with */
export function threadsOf({ diameter, pitch, perInch, unit, tolerance, wear, angle }: MeasuredThread): ThreadAnswer {
  const mm = (length: number): number => inUnit(length, unit, "MM");
  try {
    const { verdict, words, candidates, nearest, tellApart } = findThreads({
      diameter: mm(diameter),
      diameterTolerance: tolerance === null ? USUAL_TOLERANCE : mm(tolerance),
      wear: mm(wear ?? 0),
      pitch: pitch === null ? undefined : { pitch: mm(pitch), tolerance: PITCH_TOLERANCE },
      perInch: perInch === null ? undefined : { count: perInch, tolerance: COUNT_TOLERANCE },
      angle: angle ?? undefined,
    });
    return { verdict, words, matches: candidates.map(matchOf), nearest: nearest.map(matchOf), tellApart };
  } catch (error) {
    if (!(error instanceof MeasuredFault)) throw error;
    const { code, message } = error;
    throw new InvalidInput([{ code, field: FIELDS[error.field] ?? error.field, message }]);
  }
}

function matchOf({ thread, diameterOff, pitchOff }: ThreadCandidate): ThreadMatch {
  const { name, diameter, pitch, perInch, angle } = thread;
  const { words: family, source: standard } = FAMILIES[thread.family];
  return { name, family, standard, diameter, pitch, perInch, angle, diameterOff, pitchOff };
}
