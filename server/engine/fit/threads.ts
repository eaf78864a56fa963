/** Thread finder: which standard threads an outside diameter and a pitch may belong to, and what would tell them apart. */
import { FAMILIES, THREADS, type Thread } from "./threadSizes.ts";

/** What was measured on the outside thread. */
export interface Measured {
  /** Outside diameter, mm. */
  diameter: number;
  /** How far the reading may be off either way, mm. */
  diameterTolerance: number;
  /** How much the crests may be worn or turned small besides, mm; default 0. */
  wear?: number;
  /** Pitch in mm and how far it may be off; absent when it was not measured. */
  pitch?: { pitch: number; tolerance: number } | undefined;
  /** Or threads counted to the inch. */
  perInch?: { count: number; tolerance: number } | undefined;
  /** Angle between the flanks, where a gauge was laid to them: degrees. */
  angle?: number | undefined;
}

export interface ThreadCandidate {
  thread: Thread;
  /** Measured less nominal, mm. */
  diameterOff: number;
  /** Measured less nominal pitch, mm; null when it was not measured. */
  pitchOff: number | null;
  /** Both deviations in parts of their tolerance, as the length of the two at right angles: 0 is exact. */
  deviation: number;
}

/** What tells two threads apart, and what to look for. NOTHING: one size stands in two standards. */
export interface TellingApart {
  threads: readonly [string, string];
  by: "DIAMETER" | "PITCH" | "ANGLE" | "NOTHING";
  /** For people. */
  words: string;
}

export interface ThreadFinding {
  /** ONE: only one standard thread answers. SEVERAL: they cannot be told apart by this measurement. NONE: none answers. */
  verdict: "ONE" | "SEVERAL" | "NONE";
  /** Threads within the tolerance, the closest first. */
  candidates: readonly ThreadCandidate[];
  /** When none is: the closest of the others. */
  nearest: readonly ThreadCandidate[];
  /** For every candidate after the first, how it differs from the first, the plainest difference first. */
  tellApart: readonly TellingApart[];
  /** For people. */
  words: string;
}

/** A measurement that is no length above zero; `field` names it. */
export class MeasuredFault extends Error {
  constructor(
    readonly code: "NOT_A_NUMBER" | "OUT_OF_RANGE",
    message: string,
    readonly field: string,
  ) {
    super(message);
    this.name = "MeasuredFault";
  }
}

const INCH = 25.4;
/** A reading on the edge of the tolerance is within it: far below any gauge, in mm. */
const EDGE = 1e-9;
/** Where a tolerance of zero is given, deviations are counted in parts of this, mm. */
const FINEST = 1e-3;
/** A thread gauge is laid to this closely, in degrees: 55 and 60 are told apart, 55 and 47.5 too. */
const ANGLE_TOLERANCE = 2;
const NEAREST = 5;

/** Finds the standard threads that a measurement may belong to. @throws MeasuredFault */
export function findThreads(measured: Measured, threads: readonly Thread[] = THREADS): ThreadFinding {
  check(measured);
  const all = threads
    .filter((t) => measured.angle === undefined || Math.abs(t.angle - measured.angle) <= ANGLE_TOLERANCE)
    .map((thread) => candidate(thread, measured));
  all.sort((a, b) => a.deviation - b.deviation);
  const candidates = all.filter((c) => within(c, measured));
  const nearest = candidates.length === 0 ? all.slice(0, NEAREST) : [];
  const [first, ...rest] = candidates;
  const tellApart = first === undefined ? [] : rest.flatMap((other) => differences(first.thread, other.thread));
  const verdict = first === undefined ? "NONE" : rest.length === 0 ? "ONE" : "SEVERAL";
  return { verdict, candidates, nearest, tellApart, words: words(verdict, candidates, nearest) };
}

function check({ diameter, diameterTolerance, wear, pitch, perInch, angle }: Measured): void {
  const positive = (value: number | undefined, field: string) => {
    if (value === undefined) return;
    if (!Number.isFinite(value)) throw new MeasuredFault("NOT_A_NUMBER", `The ${field} must be a number.`, field);
    if (value <= 0) throw new MeasuredFault("OUT_OF_RANGE", `The ${field} must be more than zero.`, field);
  };
  const spread = (value: number | undefined, field: string) => {
    if (value !== 0) positive(value, field);
  };
  positive(diameter, "outside diameter");
  spread(diameterTolerance, "tolerance of the diameter");
  spread(wear, "wear");
  positive(pitch?.pitch, "pitch");
  spread(pitch?.tolerance, "tolerance of the pitch");
  positive(perInch?.count, "threads to the inch");
  spread(perInch?.tolerance, "tolerance of the threads to the inch");
  positive(angle, "angle");
}

function candidate(
  thread: Thread,
  { diameter, diameterTolerance, wear = 0, pitch, perInch }: Measured,
): ThreadCandidate {
  const diameterOff = diameter - thread.diameter;
  // Wear makes a thread small, never large: it is allowed for before the deviation is counted.
  const unworn = diameterOff < 0 ? Math.min(0, diameterOff + wear) : diameterOff;
  const parts = [unworn / Math.max(diameterTolerance, FINEST)];
  let pitchOff: number | null = null;
  if (pitch !== undefined) {
    pitchOff = pitch.pitch - thread.pitch;
    parts.push(pitchOff / Math.max(pitch.tolerance, FINEST));
  }
  if (perInch !== undefined) {
    pitchOff ??= INCH / perInch.count - thread.pitch;
    parts.push((perInch.count - INCH / thread.pitch) / Math.max(perInch.tolerance, FINEST));
  }
  return { thread, diameterOff, pitchOff, deviation: Math.hypot(...parts) };
}

function within({ thread, diameterOff }: ThreadCandidate, m: Measured): boolean {
  return (
    diameterOff <= m.diameterTolerance + EDGE &&
    -diameterOff <= m.diameterTolerance + (m.wear ?? 0) + EDGE &&
    (m.pitch === undefined || Math.abs(m.pitch.pitch - thread.pitch) <= m.pitch.tolerance + EDGE) &&
    (m.perInch === undefined || Math.abs(m.perInch.count - INCH / thread.pitch) <= m.perInch.tolerance + EDGE)
  );
}

/** How two threads differ, the plainest difference first: pitch, then angle, then diameter. */
function differences(a: Thread, b: Thread): TellingApart[] {
  const threads = [a.name, b.name] as const;
  const found: TellingApart[] = [];
  const pitch = Math.abs(a.pitch - b.pitch);
  if (pitch > EDGE) {
    const halfOut = 0.5 / Math.abs(1 / a.pitch - 1 / b.pitch);
    found.push({
      threads,
      by: "PITCH",
      words: `Pitch: ${pitchWords(a)} against ${pitchWords(b)}. Laid side by side they are half a thread out after ${rounded(halfOut, 1)} mm.`,
    });
  }
  if (a.angle !== b.angle)
    found.push({
      threads,
      by: "ANGLE",
      words: `Thread angle: ${a.angle}° (${a.family}) against ${b.angle}° (${b.family}). Lay a gauge of each form to the flanks against the light.`,
    });
  const diameter = Math.abs(a.diameter - b.diameter);
  if (diameter > EDGE)
    found.push({
      threads,
      by: "DIAMETER",
      words: `Outside diameter: ${rounded(a.diameter, 3)} mm against ${rounded(b.diameter, 3)} mm, ${rounded(diameter, 3)} mm apart. Measure an unworn stretch.`,
    });
  if (found.length === 0)
    found.push({
      threads,
      by: "NOTHING",
      words: `${a.name} and ${b.name} have the same diameter, pitch and angle, and differ at most in the rounding of crest and root.`,
    });
  return found;
}

function pitchWords({ perInch, pitch }: Thread): string {
  return perInch === null ? `${pitch} mm` : `${perInch} to the inch`;
}

function rounded(value: number, places: number): number {
  return Number(value.toFixed(places));
}

function words(
  verdict: ThreadFinding["verdict"],
  candidates: readonly ThreadCandidate[],
  nearest: readonly ThreadCandidate[],
): string {
  const names = candidates.map(({ thread }) => thread.name);
  if (verdict === "SEVERAL") return `${names.join(", ")} cannot be told apart by this measurement.`;
  if (verdict === "ONE") {
    const { name, family } = candidates[0]!.thread;
    return `${name}: ${FAMILIES[family].words}, ${FAMILIES[family].source}. No other thread of these tables matches.`;
  }
  const closest = nearest[0];
  return closest === undefined
    ? "No thread of these tables has such an angle."
    : `No thread of these tables matches; the closest is ${closest.thread.name}.`;
}
