/** A mixed-integer programme as plain data, for a solver that is handed in: the engine has none of its own. */

/** Minimise the cost of the columns, each row within its bounds. Bounds may be infinite. */
export interface Programme {
  columns: readonly Column[];
  rows: readonly Row[];
}

export interface Column {
  cost: number;
  low: number;
  high: number;
  /** Only whole numbers. */
  whole: boolean;
}

export interface Row {
  low: number;
  high: number;
  /** Column and factor, each column once. */
  terms: readonly (readonly [column: number, factor: number])[];
}

/**
 * The columns' values at the least cost, proved to within 0.4; null where nothing is feasible. Throws when it comes to neither.
 */
export type Solver = (programme: Programme) => ArrayLike<number> | null;
