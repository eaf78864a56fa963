/** Points that a judge takes off for what is chosen, by the restoration's own sheet, and the awards that are left. */
import { judge, type Provenance } from "../engine/judging.ts";
import type { Store, Tx } from "../store/client.ts";
import type { Plan } from "./plan.ts";

export interface SheetSection {
  id: string;
  name: string;
  maximum: number;
  /** The most it can lose; null: all it gives. */
  cap: number | null;
  deductions: readonly { provenance: Provenance; points: number }[];
}

export interface Sheet {
  sections: readonly SheetSection[];
  floors: readonly { award: string; points: number }[];
}

/** What of a part the sheet asks about. */
export interface JudgedPart {
  section: string;
  visible: boolean;
  judgingSectionId: string | null;
}

/** What of a quote the sheet asks about. */
export interface JudgedQuote {
  provenance: Provenance;
  pointsAtRisk: number;
  knockOns: readonly { points: number }[];
}

/** The section in which a part is judged: its own, or the one of the same name; null where there is none. */
export function judgingSectionOf(
  sheet: Sheet,
  part: { section: string; judgingSectionId: string | null },
): SheetSection | null {
  const { judgingSectionId: own, section } = part;
  return sheet.sections.find(({ id, name }) => (own === null ? name === section : id === own)) ?? null;
}

/**
 * Points that a quote loses: the user's own figure, or, where that is nought, what the sheet takes off a visible part
 * of its provenance; and those of what it brings with it.
 */
export function pointsLost(sheet: Sheet, part: JudgedPart, quote: JudgedQuote): number {
  const byHand = quote.pointsAtRisk > 0;
  const deductions = part.visible ? (judgingSectionOf(sheet, part)?.deductions ?? []) : [];
  const bySheet = deductions.find(({ provenance }) => provenance === quote.provenance)?.points ?? 0;
  return exact((byHand ? quote.pointsAtRisk : bySheet) + quote.knockOns.reduce((sum, { points }) => sum + points, 0));
}

/** Points of one choice, and the section they are lost in; null: the sheet has none for it. */
export interface Loss {
  sectionId: string | null;
  points: number;
}

export interface SectionAtRisk {
  /** Null: lost by what stands in no section. */
  section: string | null;
  maximum: number | null;
  /** After the cap. */
  atRisk: number;
  beforeCap: number;
  cap: number | null;
}

export interface PointsAtRisk {
  total: number;
  bySection: readonly SectionAtRisk[];
  /** The highest first. `by` is how far above the floor; negative: short of it. */
  floors: readonly { award: string; points: number; met: boolean; by: number }[];
}

/** Finer than any sheet's marks, and coarse enough to hide the rounding of sums. */
const STEP = 1e-4;
const exact = (points: number): number => Number(points.toFixed(4));

/** What losses come to on a sheet, each section no more than its cap. */
export function pointsAtRisk(sheet: Sheet, losses: readonly Loss[]): PointsAtRisk {
  const at = new Map(sheet.sections.map(({ id }, i) => [id, i]));
  const inside = losses.filter(({ sectionId }) => sectionId !== null && at.has(sectionId));
  const sum = (some: readonly Loss[]): number => exact(some.reduce((points, loss) => points + loss.points, 0));
  const outside = sum(losses.filter((loss) => !inside.includes(loss)));
  const judged = judge(
    {
      sections: sheet.sections.map(({ name, maximum, cap }) => ({
        name,
        maximum,
        mostLost: cap ?? maximum,
        // Losses are known by section, not by line: the section is one line.
        lines: [{ title: name, maximum, mandatory: false }],
      })),
      floors: sheet.floors,
    },
    inside.map(({ sectionId, points }, i) => ({
      id: String(i),
      section: at.get(sectionId!)!,
      line: 0,
      provenance: "ORIGINAL",
      visible: true,
      points,
    })),
    { step: STEP },
  );
  const bySection: SectionAtRisk[] = sheet.sections.map(({ id, name, maximum, cap }, i) => ({
    section: name,
    maximum,
    atRisk: exact(judged.sections[i]!.lost),
    beforeCap: sum(inside.filter(({ sectionId }) => sectionId === id)),
    cap,
  }));
  if (outside > 0) bySection.push({ section: null, maximum: null, atRisk: outside, beforeCap: outside, cap: null });
  return {
    total: exact(judged.lost + outside),
    bySection,
    floors: judged.awards.map(({ award, points, by }) => {
      const left = exact(by - outside);
      return { award, points, by: left, met: left >= 0 };
    }),
  };
}

/** The judging sheet of a restoration. */
export async function loadSheet(store: Store | Tx, restorationId: string): Promise<Sheet> {
  const where = { restorationId };
  const [sections, floors] = await Promise.all([
    store.judgingSection.findMany({
      where,
      orderBy: [{ position: "asc" }, { name: "asc" }],
      select: {
        id: true,
        name: true,
        maximum: true,
        cap: true,
        deductions: { select: { provenance: true, points: true } },
      },
    }),
    store.awardFloor.findMany({ where, select: { award: true, points: true } }),
  ]);
  return { sections, floors };
}

/** What the plan in force loses: quotes and remedies chosen or standing in, and the ways chosen. */
export async function lossesOf(store: Store | Tx, restorationId: string, sheet: Sheet, plan: Plan): Promise<Loss[]> {
  const where = { restorationId };
  const [parts, quotes, snags, remedies, ways] = await Promise.all([
    store.part.findMany({
      where,
      select: { id: true, section: true, visible: true, judgingSectionId: true },
    }),
    store.quote.findMany({
      where,
      select: { id: true, provenance: true, pointsAtRisk: true, knockOns: { select: { points: true } } },
    }),
    store.snag.findMany({ where, select: { id: true, operation: { select: { section: true } } } }),
    store.remedy.findMany({ where, select: { id: true, points: true } }),
    store.operationWay.findMany({
      where: { restorationId, chosenFor: { isNot: null } },
      select: { points: true, operation: { select: { section: true } } },
    }),
  ]);
  const quoteById = new Map(quotes.map((quote) => [quote.id, quote]));
  const remedyById = new Map(remedies.map((remedy) => [remedy.id, remedy]));
  const work = ({ section }: { section: string }): string | null =>
    judgingSectionOf(sheet, { section, judgingSectionId: null })?.id ?? null;
  const losses: Loss[] = [];
  for (const part of parts) {
    const quote = quoteById.get(plan.quoteInForce.get(part.id) ?? "");
    if (quote === undefined) continue;
    losses.push({
      sectionId: judgingSectionOf(sheet, part)?.id ?? null,
      points: pointsLost(sheet, part, quote),
    });
  }
  for (const { id, operation } of snags) {
    const remedy = remedyById.get(plan.remedyInForce.get(id) ?? "");
    if (remedy !== undefined) losses.push({ sectionId: work(operation), points: remedy.points });
  }
  for (const { points, operation } of ways) losses.push({ sectionId: work(operation), points });
  return losses.filter(({ points }) => points > 0);
}
