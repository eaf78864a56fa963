/**
 * Judging: what a set of choices loses on a judging sheet, line by line and section by section, and which award is left.
 * Points may be halves. The usual shares below are common practice, without a source: they are the user's to change.
 */

export type Provenance =
  | "ORIGINAL"
  | "NEW_OLD_STOCK"
  | "REPRODUCTION"
  | "REMADE"
  | "PERIOD_SUBSTITUTE"
  | "LATER_SUBSTITUTE";

/** How a part is shown, whatever it is: as it should be, tired but usable, or only good as a pattern. */
export type Condition = "SERVICEABLE" | "REPAIRABLE" | "PATTERN_ONLY";

export interface SheetLine {
  title: string;
  /** The most the line can lose, in points. */
  maximum: number;
  /** Any loss on it is taken whole. */
  mandatory: boolean;
  /** Any loss on it, however small and be the line worth no point, rules out every award (no fire extinguisher, say); default false. */
  disqualifying?: boolean;
  /** Steps in which its losses are counted; default those of the sheet. */
  step?: number;
}

export interface SheetSection {
  name: string;
  /** Points it gives. */
  maximum: number;
  /** The most it can lose, where that is less than it gives. */
  mostLost?: number;
  lines: readonly SheetLine[];
}

export interface Floor {
  award: string;
  /** Points from which it is given. */
  points: number;
}

export interface Sheet {
  sections: readonly SheetSection[];
  floors: readonly Floor[];
}

/** Shares of a line's maximum, 0 to 1. */
export interface Deductions {
  provenance: Readonly<Record<Provenance, number>>;
  condition: Readonly<Record<Condition, number>>;
}

/** Common practice, no source. */
export const USUAL_DEDUCTIONS: Deductions = {
  provenance: {
    ORIGINAL: 0,
    NEW_OLD_STOCK: 0,
    REPRODUCTION: 0.25,
    REMADE: 0.25,
    PERIOD_SUBSTITUTE: 0.5,
    LATER_SUBSTITUTE: 1,
  },
  condition: { SERVICEABLE: 0, REPAIRABLE: 0.5, PATTERN_ONLY: 1 },
};

/** What is fitted, as one line of the sheet sees it. */
export interface Choice {
  /** Whatever names it to the caller. */
  id: string;
  /** Position of the section, and of the line in it. */
  section: number;
  line: number;
  provenance: Provenance;
  /** Default serviceable. */
  condition?: Condition;
  /** A hidden change loses nothing. */
  visible: boolean;
  /** Shown by evidence to be right, or asked for by law: loses nothing. */
  exempt?: boolean;
  /** Points lost as the user puts them; they stand instead of the shares. */
  points?: number;
}

export interface JudgingOptions {
  deductions?: Deductions;
  /** Losses are counted in steps of so many points; default 0.5. */
  step?: number;
  /**
   * Where a loss falls between two steps: the nearer step (half way: the smaller loss), or, with doubt in the owner's
   * favour, always the smaller loss. Default NEAREST.
   */
  doubt?: "NEAREST" | "OWNER";
}

export interface LineLoss {
  title: string;
  lost: number;
  /** Ids of the choices that lose something on it, in the order given. */
  choices: readonly string[];
}

export interface SectionLoss {
  name: string;
  maximum: number;
  /** Lost after the cap. */
  lost: number;
  /** What its lines would lose without it. */
  beforeCap: number;
  lines: readonly LineLoss[];
}

export interface AwardStanding extends Floor {
  met: boolean;
  /** Points above the floor; negative: short of it. */
  by: number;
}

export interface Judgement {
  maximum: number;
  lost: number;
  points: number;
  sections: readonly SectionLoss[];
  /** Every award, the highest floor first. */
  awards: readonly AwardStanding[];
  /** The highest award met; null when none is. */
  award: AwardStanding | null;
  /** Titles of disqualifying lines on which something is lost: then no award is met. */
  disqualifiedBy: readonly string[];
}

export type JudgingFaultCode = "UNKNOWN_ROW" | "NEGATIVE" | "NOT_A_NUMBER" | "OUT_OF_RANGE";

/** A choice or sheet that cannot be judged; `row` is the choice's id or the line's title. */
export class JudgingFault extends Error {
  constructor(
    readonly code: JudgingFaultCode,
    message: string,
    readonly row: string,
    readonly field: string,
  ) {
    super(message);
    this.name = "JudgingFault";
  }
}

/** Closer than this, a loss stands on its step: far above rounding error, far below any step. */
const SAME_POINTS = 1e-9;

/** Points lost by the choices on the sheet. @throws JudgingFault */
export function judge(sheet: Sheet, choices: readonly Choice[], options: JudgingOptions = {}): Judgement {
  const { deductions = USUAL_DEDUCTIONS, step = 0.5, doubt = "NEAREST" } = options;
  if (!(step > 0)) throw new JudgingFault("OUT_OF_RANGE", "Points are counted in steps of more than zero.", "", "step");
  const onLine = sortOut(sheet, choices);
  const disqualifiedBy: string[] = [];
  const sections = sheet.sections.map((section, s): SectionLoss => {
    const lines = section.lines.map((line, l): LineLoss => {
      const losing = onLine[s]![l]!.map((choice) => ({ id: choice.id, lost: lossOf(choice, line, deductions) })).filter(
        ({ lost }) => lost > 0,
      );
      const sum = losing.reduce((all, { lost }) => all + lost, 0);
      const lost = lossOnLine(line, sum, line.step ?? step, doubt);
      if (line.disqualifying && losing.length > 0) disqualifiedBy.push(line.title);
      return { title: line.title, lost, choices: losing.map(({ id }) => id) };
    });
    const beforeCap = lines.reduce((sum, { lost }) => sum + lost, 0);
    const cap = Math.min(section.mostLost ?? section.maximum, section.maximum);
    return { name: section.name, maximum: section.maximum, lost: Math.min(beforeCap, cap), beforeCap, lines };
  });
  const maximum = sheet.sections.reduce((sum, section) => sum + section.maximum, 0);
  const lost = sections.reduce((sum, section) => sum + section.lost, 0);
  const points = maximum - lost;
  const awards = awardsAt(sheet.floors, points, disqualifiedBy.length > 0);
  return { maximum, lost, points, sections, awards, award: awards.find(({ met }) => met) ?? null, disqualifiedBy };
}

/**
 * What a line loses on which choices lose so much together: no more than its maximum, all of it where any loss is taken
 * whole, else in steps.
 */
export function lossOnLine(
  { maximum, mandatory }: Pick<SheetLine, "maximum" | "mandatory">,
  sum: number,
  step: number,
  doubt: "NEAREST" | "OWNER",
): number {
  // A loss taken whole is the sheet's own figure: it is not rounded.
  if (mandatory && sum > 0) return maximum;
  const exact = Math.min(sum, maximum);
  return Math.min(inSteps(exact, step, doubt), maximum);
}

/** Every award at so many points, the highest floor first; none is met where a disqualifying line loses points. */
export const awardsAt = (floors: readonly Floor[], points: number, disqualified: boolean): AwardStanding[] =>
  floors
    .map((floor): AwardStanding => {
      const by = points - floor.points;
      return { ...floor, by, met: by >= -SAME_POINTS && !disqualified };
    })
    .sort((a, b) => b.points - a.points);

/** Points that one more choice would cost beside the others: less than it loses alone where a line or section is already at its cap. */
export function pointsAdded(sheet: Sheet, others: readonly Choice[], choice: Choice, options?: JudgingOptions): number {
  return judge(sheet, [...others, choice], options).lost - judge(sheet, others, options).lost;
}

/** The choices of each line of each section. */
function sortOut(sheet: Sheet, choices: readonly Choice[]): Choice[][][] {
  for (const { lines, name, maximum } of sheet.sections) {
    checkPoints(maximum, name, "maximum");
    for (const line of lines) checkPoints(line.maximum, line.title, "maximum");
  }
  const onLine: Choice[][][] = sheet.sections.map((section) => section.lines.map(() => []));
  for (const choice of choices) {
    const place = onLine[choice.section]?.[choice.line];
    if (place === undefined)
      throw new JudgingFault("UNKNOWN_ROW", "The judging sheet has no such line.", choice.id, "line");
    if (choice.points !== undefined) checkPoints(choice.points, choice.id, "points");
    place.push(choice);
  }
  return onLine;
}

function checkPoints(points: number, row: string, field: string): void {
  if (!Number.isFinite(points)) throw new JudgingFault("NOT_A_NUMBER", `Points must be a number (${row}).`, row, field);
  if (points < 0) throw new JudgingFault("NEGATIVE", `Points must not be negative (${row}).`, row, field);
}

/** Points one choice loses on its line, before rounding. Of provenance and condition the worse one counts. */
function lossOf(choice: Choice, line: SheetLine, deductions: Deductions): number {
  if (!choice.visible || choice.exempt) return 0;
  if (choice.points !== undefined) return choice.points;
  const share = Math.max(
    deductions.provenance[choice.provenance],
    deductions.condition[choice.condition ?? "SERVICEABLE"],
  );
  return share * line.maximum;
}

function inSteps(points: number, step: number, doubt: "NEAREST" | "OWNER"): number {
  const steps = points / step;
  return (doubt === "OWNER" ? Math.floor(steps + SAME_POINTS) : Math.ceil(steps - 0.5 - SAME_POINTS)) * step + 0;
}
