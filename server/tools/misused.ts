/** What Node says of the words after a command that it cannot read: the first sentence, since the rest is for programmers. */
export const misused = (error: unknown): string => `${(error as Error).message.split(". ")[0]!.replace(/\.$/, "")}.`;
