/** Short lists of texts in one column, as JSON: the trades of a hand. */

export const asText = (texts: readonly string[]): string => JSON.stringify(texts);

/** The texts of a column that the rules have let in. */
export const textsOf = (column: string): string[] => JSON.parse(column) as string[];
