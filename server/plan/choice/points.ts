/** Points that a judge takes off for what is chosen, by the restoration's own sheet, and the awards that are left. */

import type { ChoiceLine } from "../../engine/choice/input.ts";
import { type AwardStanding, awardsAt, type Floor, judge, type Provenance } from "../../engine/fit/judging.ts";
import { expectedOf } from "../../engine/hunt/stop.ts";
import type { Store, Tx } from "../../store/client.ts";
import { chanceInTime } from "../hunt/outlook.ts";
import type { Plan } from "../plan.ts";

export interface SheetLine {
  id: string;
  title: string;
  maximum: number;
  /** Any loss on it is taken whole. */
  mandatory: boolean;
  /** A loss on it leaves no award. */
  disqualifying: boolean;
}

export interface SheetSection {
  id: string;
  name: string;
  maximum: number;
  /** The most it can lose; null: all it gives. */
  cap: number | null;
  deductions: readonly { provenance: Provenance; points: number }[];
  lines: readonly SheetLine[];
}

/** Points to a hundredth. */
export interface Sheet {
  sections: readonly SheetSection[];
  floors: readonly Floor[];
  /** A line's loss counts in whole steps of so many points, and what is over is in the owner's favour; null: to a hundredth. */
  step: number | null;
}

/** Where on a sheet points are lost; null: in no section, on no line of the section. */
export interface Place {
  sectionId: string | null;
  lineId: string | null;
}

/** What of a part or an operation says where it is judged. */
export interface Placed {
  /** Of the machine. */
  group: string;
  /** Operations have none of their own. */
  judgingSectionId?: string | null;
  judgingLineId: string | null;
}

/** What of a part the sheet asks about. */
export interface JudgedPart extends Placed {
  visible: boolean;
}

/** What of a quote the sheet asks about. */
export interface JudgedQuote {
  provenance: Provenance;
  pointsByHand: number;
  knockOns: readonly { points: number }[];
}

/** The section in which something is judged: that of its line, its own, or the one named like its group; null where there is none. */
export function judgingSectionOf(sheet: Sheet, placed: Placed): SheetSection | null {
  const { judgingLineId, judgingSectionId: own = null, group } = placed;
  const ofLine = sheet.sections.find(({ lines }) => lines.some(({ id }) => id === judgingLineId));
  return ofLine ?? sheet.sections.find(({ id, name }) => (own === null ? name === group : id === own)) ?? null;
}

/** Where something is judged. */
export function placeOf(sheet: Sheet, placed: Placed): Place {
  const section = judgingSectionOf(sheet, placed);
  const line = section?.lines.find(({ id }) => id === placed.judgingLineId);
  return { sectionId: section?.id ?? null, lineId: line?.id ?? null };
}

/** The line of a place; undefined where it is on none. */
const lineAt = ({ sections }: Sheet, { sectionId, lineId }: Place): SheetLine | undefined =>
  lineId === null ? undefined : sections.find(({ id }) => id === sectionId)?.lines.find(({ id }) => id === lineId);

/** What a loss of so many points counts for where it is lost: all of a line on which any loss is taken whole. */
export function countedAt(sheet: Sheet, place: Place, points: number): number {
  const line = lineAt(sheet, place);
  // A line that is worth no point can still leave no award.
  return line?.mandatory && line.maximum > 0 && points > 0 ? line.maximum : exact(points);
}

/**
 * Points that a quote loses: the user's own figure, or, where that is zero, what the sheet takes off a visible part
 * of its provenance; and those of what it brings with it. On a line where any loss is taken whole, all of it.
 */
export function pointsLost(sheet: Sheet, part: JudgedPart, quote: JudgedQuote): number {
  const byHand = quote.pointsByHand > 0;
  const deductions = part.visible ? (judgingSectionOf(sheet, part)?.deductions ?? []) : [];
  const bySheet = deductions.find(({ provenance }) => provenance === quote.provenance)?.points ?? 0;
  const own = (byHand ? quote.pointsByHand : bySheet) + quote.knockOns.reduce((sum, { points }) => sum + points, 0);
  return countedAt(sheet, placeOf(sheet, part), own);
}

/** The title of the disqualifying line on which something is lost there, which leaves no award; null where there is none. */
export function disqualifiedAt(sheet: Sheet, place: Place, points: number): string | null {
  const line = lineAt(sheet, place);
  return line?.disqualifying && points > 0 ? line.title : null;
}

/**
 * Points that a part that is looked for is expected to lose, to the hundredth: those of a find, with the chance that there
 * is one before the hunt stops, and else those of its fallback.
 */
export function pointsOfHunt(
  sheet: Sheet,
  part: JudgedPart,
  provenance: Provenance,
  fallback: JudgedQuote,
  chanceFound: number,
): number {
  const [found, other] = [{ provenance, pointsByHand: 0, knockOns: [] }, fallback].map((quote) => ({
    landedMinor: null,
    hours: 0,
    points: pointsLost(sheet, part, quote),
  }));
  return exact(expectedOf(chanceFound, found!, other!).points);
}

/** Points of one choice, and where they are lost. */
export interface Loss extends Place {
  points: number;
  /** The mean of what may be lost, each as it counts there: it is not taken whole once more. */
  expected?: true | undefined;
}

const counted = (sheet: Sheet, { points, expected, ...place }: Loss): number =>
  expected ? exact(points) : countedAt(sheet, place, points);

export interface SectionLoss {
  /** Null: lost by what stands in no section. */
  section: string | null;
  maximum: number | null;
  /** After the cap. */
  lost: number;
  beforeCap: number;
  cap: number | null;
  /** Those that lose something. */
  lines: readonly LineLoss[];
  /** By what stands on no line of the section, before the cap: with those of the lines it comes to all that is lost before it. */
  onNoLine: number;
}

export interface LineLoss {
  title: string;
  mandatory: boolean;
  disqualifying: boolean;
  maximum: number;
  /** By its own rule, before the section's cap. */
  lost: number;
}

export interface PointsLost {
  total: number;
  /** By what is looked for, at its mean and before any cap: a find and its fallback lose other points. */
  onAverage: number;
  /** Points that the sheet gives. */
  maximum: number;
  bySection: readonly SectionLoss[];
  /** The highest first. `by` is how far above the floor; negative: short of it. */
  floors: readonly AwardStanding[];
  /** Titles of disqualifying lines on which something is lost, be it worth no point: then no award is met. */
  disqualifiedBy: readonly string[];
}

/** Points are counted in hundredths. */
export const POINT = 100;
export const hundredths = (points: number): number => Math.round(points * POINT);
export const exact = (points: number): number => hundredths(points) / POINT;

/** What losses come to on a sheet: on each line by its rule, in each section no more than its cap. */
export function sheetLosses(sheet: Sheet, losses: readonly Loss[]): PointsLost {
  const { sections } = sheet;
  const at = new Map(sections.map(({ id }, i) => [id, i]));
  const inside = losses.filter(({ sectionId }) => sectionId !== null && at.has(sectionId));
  const outside = exact(losses.reduce((sum, loss) => (inside.includes(loss) ? sum : sum + loss.points), 0));
  const judged = judge(
    {
      sections: sections.map(({ name, maximum, cap, lines }) => ({
        name,
        maximum,
        mostLost: cap ?? maximum,
        // What stands on no line of its section is one line there. Losses are given as they count, so none is taken whole once
        // more; where one was, it is the sheet's own figure, which no step rounds.
        lines: [
          ...lines.map((line) => ({ ...line, mandatory: false, ...(line.mandatory ? { step: 1 / POINT } : {}) })),
          { title: name, maximum, mandatory: false },
        ],
      })),
      floors: sheet.floors,
    },
    inside.map((loss, i) => {
      const { sectionId, lineId } = loss;
      const section = at.get(sectionId!)!;
      const { lines } = sections[section]!;
      const line = lines.findIndex(({ id }) => id === lineId);
      return {
        id: String(i),
        section,
        line: line < 0 ? lines.length : line,
        provenance: "ORIGINAL",
        visible: true,
        points: counted(sheet, loss),
      };
    }),
    sheet.step === null ? { step: 1 / POINT } : { step: sheet.step, doubt: "OWNER" },
  );
  const bySection: SectionLoss[] = sections.map(({ name, maximum, cap, lines }, i) => {
    const { lost, beforeCap, lines: lineLosses } = judged.sections[i]!;
    return {
      section: name,
      maximum,
      lost: exact(lost),
      beforeCap: exact(beforeCap),
      cap,
      lines: lines.flatMap((line, l): LineLoss[] =>
        lineLosses[l]!.choices.length === 0 ? [] : [{ ...line, lost: exact(lineLosses[l]!.lost) }],
      ),
      onNoLine: exact(lineLosses[lines.length]!.lost),
    };
  });
  if (outside > 0)
    bySection.push({
      section: null,
      maximum: null,
      lost: outside,
      beforeCap: outside,
      cap: null,
      lines: [],
      onNoLine: outside,
    });
  return {
    total: exact(judged.lost + outside),
    onAverage: exact(losses.reduce((sum, { points, expected }) => (expected ? sum + points : sum), 0)),
    maximum: judged.maximum,
    bySection,
    floors: awardsLeft(sheet, judged.lost + outside, judged.disqualifiedBy.length > 0),
    disqualifiedBy: judged.disqualifiedBy,
  };
}

/** What one choice loses if nothing else loses anything, by the rules of its line and section. */
export const lostAlone = (sheet: Sheet, loss: Loss): number => (loss.points > 0 ? sheetLosses(sheet, [loss]).total : 0);

/** How every award stands when so many points are lost, the highest first. */
export function awardsLeft({ sections, floors }: Sheet, lost: number, disqualified: boolean): AwardStanding[] {
  const most = sections.reduce((sum, { maximum }) => sum + maximum, 0);
  return awardsAt(floors, most - lost, disqualified).map((one) => ({ ...one, by: exact(one.by) }));
}

/** "5.5 points", "1 point", "no points" */
export const pointsInWords = (points: number): string =>
  points === 0 ? "no points" : `${points} ${points === 1 ? "point" : "points"}`;

/** The highest award that is met; null: none. */
export const awardMet = (sheet: Sheet, lost: number, disqualified: boolean): AwardStanding | null =>
  awardsLeft(sheet, lost, disqualified).find(({ met }) => met) ?? null;

/** "which leaves First met", "which leaves no award met"; empty where the sheet has none. */
export function awardInWords(sheet: Sheet, lost: number, disqualified: boolean): string {
  if (sheet.floors.length === 0) return disqualified ? "which rules every award out" : "";
  const met = awardMet(sheet, lost, disqualified);
  return disqualified ? "which rules every award out" : `which leaves ${met?.award ?? "no award"} met`;
}

/** The sheet as a choice of quotes takes it, and which of its lines stands for a place. */
export function sheetInChoice(sheet: Sheet): {
  sectionCaps: number[];
  lines: ChoiceLine[];
  judgedAt: (place: Place) => { section: number | null; line: number | null };
} {
  const lines: ChoiceLine[] = [];
  const byId = new Map<string, number>();
  const onNone = new Map<string, number>();
  const steps = sheet.step === null ? {} : { step: hundredths(sheet.step) };
  sheet.sections.forEach(({ id: sectionId, maximum: most, lines: own }, section) => {
    for (const { id, maximum, mandatory, disqualifying } of own) {
      byId.set(id, lines.length);
      // Options lose as much as counts there: what is taken whole is so already.
      lines.push({ section, maximum: hundredths(maximum), disqualifying, ...(mandatory ? {} : steps) });
    }
    if (sheet.step === null) return;
    onNone.set(sectionId, lines.length);
    lines.push({ section, maximum: hundredths(most), ...steps });
  });
  return {
    sectionCaps: sheet.sections.map(({ cap, maximum }) => hundredths(Math.min(cap ?? maximum, maximum))),
    lines,
    judgedAt: ({ sectionId, lineId }) => {
      const section = sheet.sections.findIndex(({ id }) => id === sectionId);
      if (section < 0) return { section: null, line: null };
      return { section, line: byId.get(lineId ?? "") ?? onNone.get(sectionId!) ?? null };
    },
  };
}

/** The judging sheet of a restoration. */
export async function loadSheet(store: Store | Tx, restorationId: string): Promise<Sheet> {
  const where = { restorationId };
  const [restoration, sections, floors] = await Promise.all([
    store.restoration.findUnique({ where: { id: restorationId }, select: { pointStep: true } }),
    store.judgingSection.findMany({
      where,
      orderBy: [{ position: "asc" }, { name: "asc" }],
      select: {
        id: true,
        name: true,
        maximum: true,
        cap: true,
        deductions: { select: { provenance: true, points: true } },
        lines: {
          orderBy: [{ position: "asc" }, { id: "asc" }],
          select: { id: true, title: true, maximum: true, mandatory: true, disqualifying: true },
        },
      },
    }),
    store.awardFloor.findMany({ where, select: { award: true, points: true } }),
  ]);
  return {
    sections: sections.map(({ lines, ...section }) => ({
      ...section,
      maximum: exact(section.maximum),
      cap: section.cap === null ? null : exact(section.cap),
      lines: lines.map((line) => ({ ...line, maximum: exact(line.maximum) })),
    })),
    floors,
    step: restoration?.pointStep ?? null,
  };
}

/**
 * What the plan in force loses: quotes and remedies chosen or standing in, the ways chosen, and what is expected of parts
 * that are looked for. What the owner declined is not in force.
 */
export async function lossesOf(store: Store | Tx, restorationId: string, sheet: Sheet, plan: Plan): Promise<Loss[]> {
  const where = { restorationId };
  const operation = { select: { group: true, judgingLineId: true } } as const;
  const [parts, quotes, snags, remedies, ways, hunts] = await Promise.all([
    store.part.findMany({
      where,
      select: { id: true, group: true, visible: true, judgingSectionId: true, judgingLineId: true },
    }),
    store.quote.findMany({
      where,
      select: { id: true, provenance: true, pointsByHand: true, knockOns: { select: { points: true } } },
    }),
    store.snag.findMany({ where, select: { id: true, operation } }),
    store.remedy.findMany({ where, select: { id: true, points: true } }),
    store.operationWay.findMany({ where, select: { id: true, points: true, operation } }),
    store.hunt.findMany({ where, include: { events: { select: { date: true, chance: true } } } }),
  ]);
  const huntOf = new Map(hunts.map((hunt) => [hunt.partId, hunt]));
  const quoteById = new Map(quotes.map((quote) => [quote.id, quote]));
  const remedyById = new Map(remedies.map((remedy) => [remedy.id, remedy]));
  const losses: Loss[] = [];
  for (const part of parts) {
    const quote = quoteById.get(plan.quoteInForce.get(part.id) ?? "");
    if (quote === undefined) continue;
    const hunt = plan.parts.get(part.id)?.state === "HUNTED" ? huntOf.get(part.id) : undefined;
    const points =
      hunt === undefined
        ? pointsLost(sheet, part, quote)
        : pointsOfHunt(
            sheet,
            part,
            hunt.provenance,
            quote,
            chanceInTime({ ...hunt, stopDate: hunt.stopDate! }, hunt.events, plan.figuresFor),
          );
    losses.push({ ...placeOf(sheet, part), points, expected: hunt === undefined ? undefined : true });
  }
  for (const { id, operation: at } of snags) {
    const remedy = remedyById.get(plan.remedyInForce.get(id) ?? "");
    if (remedy !== undefined) losses.push({ ...placeOf(sheet, at), points: exact(remedy.points) });
  }
  const inForce = new Set(plan.wayInForce.values());
  for (const { id, points, operation: at } of ways)
    if (inForce.has(id)) losses.push({ ...placeOf(sheet, at), points: exact(points) });
  return losses.filter(({ points }) => points > 0);
}
