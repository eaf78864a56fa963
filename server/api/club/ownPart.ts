/** The part of one's own restorations that something offered in the club is for. */
import { canRead } from "../../access/rules.ts";
import { type Known, known, REASONS, reasonOf, type Wording } from "../../plan/club/match.ts";
import type { Context } from "../core/context.ts";
import { memberIn } from "./club.ts";

interface OwnPart {
  id: string;
  restorationId: string;
  known: Known;
}

/**
 * Id of the outstanding part of the asker's own restorations that it is for: by a reference number, else by machine and
 * wording, the same before what is alike. Null where none is, or nobody asks who has restorations.
 */
export async function ownPartFor(context: Context, offered: Wording): Promise<string | null> {
  const member = await memberIn(context);
  if (!member.restorer || !canRead(context.viewer)) return null;
  const parts = await context.once("own parts", () => ownParts(context, member.workshopId));
  const wanted = known(offered);
  const fit = parts
    .map((part) => ({ part, rank: REASONS.indexOf(reasonOf(part.known, wanted)!) }))
    .filter(({ rank }) => rank >= 0)
    .sort((a, b) => a.rank - b.rank);
  for (const { part } of fit) {
    const outlook = (await context.plan(part.restorationId)).parts.get(part.id);
    if (outlook !== undefined && outlook.state !== "IN_HAND") return part.id;
  }
  return null;
}

/** In order of the restorations' ranks, then of their codes. */
async function ownParts({ store }: Context, workshopId: string): Promise<OwnPart[]> {
  const parts = await store.part.findMany({
    where: { restoration: { workshopId } },
    select: {
      id: true,
      restorationId: true,
      name: true,
      references: { select: { number: true } },
      restoration: { select: { machine: true } },
    },
    orderBy: [{ restoration: { rank: "asc" } }, { restorationId: "asc" }, { codeOrder: "asc" }, { code: "asc" }],
  });
  return parts.map(({ id, restorationId, name, references, restoration: { machine } }) => ({
    id,
    restorationId,
    known: known({ part: name, machine, references: references.map(({ number }) => number).join(", ") }),
  }));
}
