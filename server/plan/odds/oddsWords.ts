/** On what odds stand, in words: the same wherever odds are said. */
import { clearedOf } from "../parts/openWords.ts";
import type { HoldUp, Plan } from "../plan.ts";

/** "A, B, C and 2 more": as few as can be read at once. */
export function named(holdUps: readonly Pick<HoldUp, "title">[]): string {
  const most = 3;
  const titles = holdUps.slice(0, holdUps.length > most + 1 ? most : most + 1).map(({ title }) => title);
  const more = holdUps.length - titles.length;
  return listed(more > 0 ? [...titles, `${more} more`] : titles);
}

/** "A, B and C"; where a name has a comma in it "A, cast; B; and C", as the client's lists are. */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join("");
  const [comma, and] = words.some((word) => word.includes(", ")) ? ["; ", "; and "] : [", ", " and "];
  return `${words.slice(0, -1).join(comma)}${and}${words.at(-1)}`;
}

/**
 * "if Horn and Oiler were in hand": what nobody quotes, hunts for or can remedy counts as cleared, and work that nobody can
 * do as done; null where there is nothing such.
 */
export function oddsCondition({ ladder, hands }: Pick<Plan, "ladder" | "hands">): string | null {
  const open = ladder.filter((holdUp) => holdUp.open && !holdUp.hunted);
  const conditions = [
    ...(open.length === 0 ? [] : [`${named(open)} were ${clearedOf(open)}`]),
    ...(hands === null || hands.nobodyFor.length === 0 ? [] : [`there were somebody for ${tradesOf(hands)}`]),
  ];
  return conditions.length === 0 ? null : `if ${conditions.join(" and ")}`;
}

/** "paint and trim": trades that have work and nobody to do it. */
const tradesOf = ({ nobodyFor }: NonNullable<Plan["hands"]>): string =>
  named(nobodyFor.map(({ trade }) => ({ title: trade })));

/** What completion waits for, by name: parts and snags, then the work of trades that have nobody. */
export const openByName = ({ ladder, hands }: Pick<Plan, "ladder" | "hands">): string =>
  named([
    ...ladder.filter(({ open }) => open),
    ...(hands?.nobodyFor ?? []).map(({ trade }) => ({ title: `the work of ${trade}` })),
  ]);

/** What is looked for without end, and so may make the odds long; null where nothing is. */
export function endlessHunts({ ladder }: Pick<Plan, "ladder">): string | null {
  const hunted = ladder.filter((holdUp) => holdUp.open && holdUp.hunted);
  if (hunted.length === 0) return null;
  return `${named(hunted)} ${hunted.length === 1 ? "is" : "are"} looked for with nothing to order instead; when ${hunted.length === 1 ? "it is found is counted by the chances of its hunt" : "they are found is counted by the chances of their hunts"}`;
}
