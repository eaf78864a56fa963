/** Codes, by which people know the rows of a register. */

/** How a code is said: a number of a register stands with its noun, "quote 70"; what somebody typed says itself, "ENG-1". */
export const codeInWords = (noun: string, code: string): string => (/^\d+$/.test(code) ? `${noun} ${code}` : code);

/** The order of codes: numbers in them count as numbers. */
export const compareCodes = (one: string, other: string): number =>
  one.localeCompare(other, "en-GB", { numeric: true }) || (one < other ? -1 : Number(one > other));

/** A code on a sheet, with its noun where it is a number. */
export function Code({ noun, of }: { noun: string; of: string }) {
  return <span className="code">{codeInWords(noun, of)}</span>;
}
