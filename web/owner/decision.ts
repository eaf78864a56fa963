/** Words of the decisions that are the owner's. */
export const DECISION_KIND = {
  SUM: "a sum over the limit",
  CONTINGENCY: "spending what was set aside",
  PLAN: "one of several plans",
} as const;

export const DECISION_STATE = {
  WAITING: "waits",
  APPROVED: "approved",
  DECLINED: "declined",
  WITHDRAWN: "no longer asked",
} as const;

/** Where stands what is over the limit. */
export const DUE_STANDS: Readonly<Record<string, string>> = {
  PART: "chosen, not ordered",
  SNAG: "remedy chosen",
  OPERATION: "work to be sent out",
  ORDER: "ordered without consent",
};
