/** Codes, by which people know the rows of a register. */

/** How a code is said: a number of a register stands with its noun, "quote 70"; what somebody typed says itself, "ENG-1". */
export const codeInWords = (noun: string, code: string): string => (/^\d+$/.test(code) ? `${noun} ${code}` : code);

/** What a code is sorted by: each number in it after the count of its digits, as the server has it. */
const codeOrder = (code: string): string =>
  code.replace(/\d+/g, (digits) => {
    const number = digits.replace(/^0+(?=\d)/, "");
    return String(number.length).padStart(2, "0") + number;
  });

/** The order of codes, the server's: numbers in them count as numbers. */
export function compareCodes(one: string, other: string): number {
  const [first, second] = [codeOrder(one), codeOrder(other)];
  if (first !== second) return first < second ? -1 : 1;
  return one === other ? 0 : one < other ? -1 : 1;
}

/** A code on a sheet, with its noun where it is a number. */
export function Code({ noun, of }: { noun: string; of: string }) {
  return <span className="code">{codeInWords(noun, of)}</span>;
}
