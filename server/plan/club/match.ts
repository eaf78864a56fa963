/** When a want and a spare, or two wants, are for the same part, and why. Words are compared without case, marks or plural s. */

/** By what a part is known in the club. */
export interface Wording {
  part: string;
  machine: string;
  /** Reference numbers, separated by commas. */
  references: string;
}

export type MatchReason = "SAME_REFERENCE" | "SAME_MACHINE_AND_WORDING" | "SAME_MACHINE_ALIKE_WORDING";

/** A wording made ready for comparing. */
export interface Known {
  references: ReadonlySet<string>;
  machine: ReadonlySet<string>;
  part: ReadonlySet<string>;
}

export const SMALL_WORDS = new Set([
  "a",
  "an",
  "the",
  "of",
  "for",
  "and",
  "with",
  "to",
  "in",
  "on",
  "from",
  "by",
  "at",
  "set",
  "pair",
]);

/** Letters with points between them are one word: h.p. is hp. */
export const lettersJoined = (text: string): string => text.replace(/\b(\p{L})\.(?=\p{L}\b)/gu, "$1");

/** The words of a text, each once, in small letters, without accents and without a plural s. */
export function wordsOf(text: string): string[] {
  const plain = lettersJoined(text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase());
  const words = plain.split(/[^\p{L}\p{N}]+/u).filter((word) => word !== "" && !SMALL_WORDS.has(word));
  return [...new Set(words.map(singular))];
}

/** Without the plural's ending: rims, catches, boxes, bushes. */
function singular(word: string): string {
  if (word.length > 4 && /(ch|sh|x|ss)es$/.test(word)) return word.slice(0, -2);
  return word.length > 3 && /[^s]s$/.test(word) ? word.slice(0, -1) : word;
}

/** Reference numbers as they are compared: letters and digits alone, in capitals. */
export function referencesOf(references: string): string[] {
  const numbers = references.split(/[,;\n]/).map((one) => one.toUpperCase().replace(/[^\p{L}\p{N}]/gu, ""));
  return [...new Set(numbers.filter((one) => one !== ""))];
}

export const known = ({ part, machine, references }: Wording): Known => ({
  references: new Set(referencesOf(references)),
  machine: new Set(wordsOf(machine)),
  part: new Set(wordsOf(part)),
});

const within = (inner: ReadonlySet<string>, outer: ReadonlySet<string>): boolean => {
  for (const word of inner) if (!outer.has(word)) return false;
  return true;
};

/** The one machine named more fully than the other is still the same; a machine that is not named may be any. */
const sameMachine = (a: Known, b: Known): boolean => within(a.machine, b.machine) || within(b.machine, a.machine);

/** Fewest words in common, as a share of both (Dice's coefficient), with which two wordings are alike. */
const ALIKE = 0.6;

/** Why two are for the same part; null where nothing says so. A reference number counts only where the machines agree. */
export function reasonOf(a: Known, b: Known): MatchReason | null {
  if (!sameMachine(a, b)) return null;
  for (const reference of a.references) if (b.references.has(reference)) return "SAME_REFERENCE";
  if (a.machine.size === 0 || b.machine.size === 0 || a.part.size === 0 || b.part.size === 0) return null;
  let common = 0;
  for (const word of a.part) if (b.part.has(word)) common++;
  if (common === a.part.size && common === b.part.size) return "SAME_MACHINE_AND_WORDING";
  return (2 * common) / (a.part.size + b.part.size) >= ALIKE ? "SAME_MACHINE_ALIKE_WORDING" : null;
}

/** Strongest reason first. */
export const REASONS: readonly MatchReason[] = [
  "SAME_REFERENCE",
  "SAME_MACHINE_AND_WORDING",
  "SAME_MACHINE_ALIKE_WORDING",
];

/** Shorter reference numbers say something only beside the machine. */
const TELLING = 4;

/** Keys that two wants for the same part share: a telling reference number, else reference or wording with the machine. */
export function keysOf({ references, machine, part }: Known): string[] {
  const on = [...machine].sort().join(" ");
  const keys: string[] = [];
  for (const reference of references) {
    if (reference.length >= TELLING) keys.push(`reference ${reference}`);
    else if (on !== "") keys.push(`reference ${reference} on ${on}`);
  }
  if (on !== "" && part.size > 0) keys.push(`part ${[...part].sort().join(" ")} on ${on}`);
  return keys;
}
