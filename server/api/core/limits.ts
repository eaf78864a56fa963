/** How much one request may ask for. */

/** Depth of selections, number of selected fields, and cost: fields times the rows they may bring, and the work they begin. */
export const LIMITS = { depth: 14, breadth: 400, complexity: 150_000 } as const;

/**
 * What a field costs more for the work that it begins where that is not kept: a plan for a day and a confidence of
 * one's own choice, which takes this thread; or runs and weighings, which take others. A request begins a few at most. A find takes some
 * milliseconds of this thread.
 */
export const WORK = { plan: 20_000, runs: 30_000, find: 5_000 } as const;

/** Rows of a page when not said, and at most. */
export const PAGE = { usual: 50, most: 500 } as const;

/** Tokens of a document, and bytes of a request's body. */
export const MOST_TOKENS = 4_000;
export const MOST_BODY = 1024 * 1024;
