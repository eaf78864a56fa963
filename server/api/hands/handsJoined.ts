/** Two lines of hands that are one person. */
import { own } from "../../access/rules.ts";
import type { Viewer } from "../../access/viewer.ts";
import type { Hand } from "../../generated/prisma/client.ts";
import { WEEK } from "../../io/columns.ts";
import { Refused } from "../../store/fault.ts";
import { checkFresh, type Journal } from "../../store/journal.ts";
import { asText, textsOf } from "../../store/texts.ts";

/**
 * Gives the second line the trades, hours and absences of both, and takes the first away. Returns both as they were.
 * Throws {@link StaleRow}, {@link NotFound}, {@link Refused} where they are not as many people.
 */
export async function joined(
  journal: Journal,
  viewer: Viewer,
  { hand, revision, as, asRevision }: { hand: string; revision: number; as: string; asRevision: number },
): Promise<{ one: Hand; other: Hand }> {
  const one = await own(viewer, journal.tx, "hand", hand);
  const other = await own(viewer, journal.tx, "hand", as);
  checkFresh(one as never, revision, {});
  if (one.people !== other.people)
    throw new Refused("NOT_ALLOWED", `${one.name} and ${other.name} are not as many people: they cannot be the same.`, [
      one.name,
      other.name,
    ]);
  const calendar = await journal.tx.shopCalendar.findUnique({ where: { workshopId: one.workshopId } });
  // Hours that were split between trades are hours of one day, which is no longer than the shop's unless one of them said so.
  const hours = WEEK.map((day): [string, number] => {
    const longest = Math.max(one[day], other[day], calendar?.[day] ?? 0);
    return [day, Math.min(one[day] + other[day], longest)];
  });
  const away = await journal.tx.absence.findMany({ where: { handId: one.id }, orderBy: { id: "asc" } });
  const known = await journal.tx.absence.findMany({ where: { handId: other.id } });
  for (const { id, revision: at, fromDate, toDate } of away)
    if (!known.some((absence) => absence.fromDate === fromDate && absence.toDate === toDate))
      await journal.update("absence", id, at, { handId: other.id });
  await journal.remove("hand", one.id, revision);
  await journal.update("hand", other.id, asRevision, {
    ...Object.fromEntries(hours),
    trades: asText([...new Set([...textsOf(other.trades), ...textsOf(one.trades)])]),
    accountId: other.accountId ?? one.accountId,
    askSame: false,
  });
  return { one, other };
}
