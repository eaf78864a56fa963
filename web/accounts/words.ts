export const ROLE_WORDS = { RESTORER: "restorer", OWNER: "owner", MEMBER: "club member" } as const;

/** A role as people say it. */
export const roleWords = ({ role, admin }: { role: keyof typeof ROLE_WORDS; admin: boolean }): string =>
  admin ? `${ROLE_WORDS[role]} and admin` : ROLE_WORDS[role];
