/** Short lists of texts in one column, as JSON: the trades of a hand. */

export const asText = (texts: readonly string[]): string => JSON.stringify(texts);

/** The texts of a column that the rules have let in. */
export const textsOf = (column: string): string[] => JSON.parse(column) as string[];

/** True where the column holds a list of texts. */
export function isTexts(column: string): boolean {
  try {
    const list = JSON.parse(column) as unknown;
    return Array.isArray(list) && list.every((one) => typeof one === "string");
  } catch {
    return false;
  }
}
