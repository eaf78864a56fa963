/**
 * npm run -s plan -- FOLDER [--json] [--figures-for YYYY-MM-DD] [--confidence 0.8]
 * The plan of a folder of files, without a database. Faults go to standard error, one a line, with exit status 2;
 * columns and files that are not used are named there too, and change nothing.
 */
import { parseArgs } from "node:util";
import { readFolder } from "../io/folder.ts";
import { nothingHeld } from "../io/held.ts";
import { merge } from "../io/merge.ts";
import { planRows } from "../io/planRows.ts";
import { readFiles } from "../io/read.ts";
import { computePlan, PlanFault } from "../plan/compute.ts";
import { whatToOrder } from "../plan/days/summaryWords.ts";
import { today } from "../plan/days/today.ts";
import { openByName } from "../plan/odds/oddsWords.ts";
import { lackOf } from "../plan/parts/openWords.ts";
import type { HoldUp, Plan } from "../plan/plan.ts";
import type { PlanRows } from "../plan/rows/rows.ts";
import { codeInWords } from "../store/codes.ts";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { isDate } from "../store/rules.ts";
import { misused } from "./misused.ts";

const USAGE = "npm run -s plan -- FOLDER [--json] [--figures-for YYYY-MM-DD] [--confidence 0.8]";

interface Asked {
  folder: string;
  json: boolean;
  figuresFor: string | undefined;
  confidence: number | undefined;
}

/** What the command line asks. @throws InvalidInput */
function asked(): Asked {
  const wrong = (field: string, message: string): never => {
    throw new InvalidInput([{ code: "REQUIRED", field, message: `${message} Use: ${USAGE}` }]);
  };
  try {
    const { values, positionals } = parseArgs({
      allowPositionals: true,
      options: { json: { type: "boolean" }, "figures-for": { type: "string" }, confidence: { type: "string" } },
    });
    const [folder] = positionals;
    if (folder === undefined || positionals.length > 1) return wrong("FOLDER", "Name one folder.");
    const figuresFor = values["figures-for"];
    if (figuresFor !== undefined && !isDate(figuresFor))
      return wrong("--figures-for", "It must be a date that exists, written YYYY-MM-DD.");
    const confidence = values.confidence === undefined ? undefined : Number(values.confidence || "none");
    if (confidence !== undefined && !(confidence > 0 && confidence < 1))
      return wrong("--confidence", "It must be more than 0 and less than 1.");
    return { folder, json: values.json === true, figuresFor, confidence };
  } catch (error) {
    if (error instanceof InvalidInput) throw error;
    return wrong("", misused(error));
  }
}

/** What files do not hold and the program counts where it runs, so that its dates can be other ones. */
const notCounted = ({ hands }: Plan): string[] => [
  "What the owner was asked and answered is not in the files: something declined is planned here as if nobody had said so.",
  ...(hands === null
    ? []
    : ["The work of other machines on the same hands is not in the files: here all hands are free for this machine."]),
];

/** A figure without the noise of binary fractions: a ten-millionth of an hour is less than a millisecond. */
const clean = (value: number): number => Math.round(value * 1e7) / 1e7 + 0;
const cleanOrNull = (value: number | null): number | null => (value === null ? null : clean(value));

function asJson(plan: Plan, rows: PlanRows): unknown {
  const { completion } = plan;
  const operations = new Map(rows.operations.map((operation) => [operation.id, operation]));
  const orders = new Map(rows.orders.map((order) => [order.id, order]));
  const holdUp = (h: HoldUp) => ({
    kind: h.kind,
    code: h.code,
    title: h.title,
    open: h.open,
    state: h.state,
    completionHours: cleanOrNull(h.completionHours),
    completionDate: h.completionDate,
    heldTo: h.heldTo,
    nextCompletionDate: h.nextCompletionDate,
    tie: h.tie,
    hand: h.handName,
    otherWorkUntil: h.otherWorkUntil,
    needBy: h.needBy,
    orderBy: h.orderBy,
    huntedUntil: h.huntedUntil,
    arrivalDate: h.arrivalDate,
    floatDays: h.floatDays,
    daysGained: h.daysGained,
    quote: h.quoteId,
    decided: h.decided,
  });
  return {
    figuresFor: plan.figuresFor,
    notCounted: notCounted(plan),
    targetDate: completion.targetDate,
    entered: completion.entered,
    completionHours: cleanOrNull(completion.hours),
    completionDate: completion.date,
    open: plan.ladder.filter((h) => h.open).map(({ kind, code, title, needBy }) => ({ kind, code, title, needBy })),
    completionWithOpenInHandHours: clean(completion.hoursWithOpenInHand),
    completionWithOpenInHandDate: completion.dateWithOpenInHand,
    workOnlyHours: clean(completion.workOnlyHours),
    workOnlyDate: completion.workOnlyDate,
    hands: plan.hands && {
      handsEnough: plan.hands.handsEnough,
      notBefore: plan.hands.notBefore,
      nobodyFor: plan.hands.nobodyFor,
    },
    lowerBoundHours: cleanOrNull(plan.hands?.hoursNotBefore ?? null),
    daysLate: completion.daysLate,
    operations: [...plan.operations.values()].map((s) => ({
      operation: operations.get(s.operationId)!.code,
      title: operations.get(s.operationId)!.title,
      state: operations.get(s.operationId)!.state,
      earlyStart: clean(s.earlyStart),
      earlyFinish: clean(s.earlyFinish),
      lateStart: clean(s.lateStart),
      lateFinish: clean(s.lateFinish),
      totalFloat: clean(s.totalFloat),
      freeFloat: clean(s.freeFloat),
      drag: clean(s.drag),
      critical: s.critical,
      earlyStartDate: s.earlyStartDate,
      earlyFinishDate: s.earlyFinishDate,
      lateStartDate: s.lateStartDate,
      lateFinishDate: s.lateFinishDate,
      hands: s.hands.map(({ name }) => name),
    })),
    ladder: plan.ladder.map(holdUp),
    toOrder: plan.toOrder.map(holdUp),
    chase: plan.chase.map((c) => ({
      order: c.orderId,
      part: c.partId,
      promisedOn: orders.get(c.orderId)!.promisedOn,
      daysLate: c.daysLate,
      holdsUp: c.holdsUp,
    })),
    freeToStart: plan.freeToStart.map((f) => ({
      operation: operations.get(f.operationId)!.code,
      title: operations.get(f.operationId)!.title,
      trade: f.trade,
      hours: clean(f.hours),
      critical: f.critical,
      floatHours: clean(f.floatHours),
    })),
  };
}

/** The day by which to order; what is looked for has at a chance the stop date of its hunt alone, and nothing has one where no end is held. */
function orderByInWords({ orderBy, state, huntedUntil }: HoldUp): string {
  if (orderBy !== null) return orderBy;
  return state === "HUNTED" ? `hunted until ${huntedUntil}` : "no day is sure enough";
}

const days = (count: number): string => `${count} ${count === 1 ? "day" : "days"}`;

function sentence(plan: Plan): string {
  const { completion } = plan;
  if (!completion.entered) return "No work and no part is entered yet, so there is no date to tell.";
  const open = plan.ladder.filter((h) => h.open).length + (plan.hands?.nobodyFor.length ?? 0);
  const late =
    completion.daysLate === null || completion.daysLate === 0
      ? ""
      : `, ${days(Math.abs(completion.daysLate))} ${completion.daysLate > 0 ? "late for" : "before"} ${completion.targetName || "the target"} on ${completion.targetDate}`;
  const first = completion.open
    ? `No date yet: ${openByName(plan)} ${open === 1 ? "has" : "have"} ${completion.lacking}. With ${open === 1 ? "it" : "them"} ${completion.cleared} it would be ready on ${completion.dateWithOpenInHand}${late}.`
    : `As quoted it is ready on ${completion.date}${late}.`;
  return `${first} The work alone ends on ${completion.workOnlyDate}.`;
}

/** What is still looked for, until when, and what is ordered then; empty of all else. */
function huntInWords(h: HoldUp): string {
  if (!h.hunted) return "";
  if (h.open || h.huntedUntil === null) return ": hunted, with nothing to order instead";
  return `: hunted until ${h.huntedUntil}, then order ${whatToOrder(h)}`;
}

function rungInText(h: HoldUp): string {
  if (h.kind === "HAND")
    return `${h.heldTo}  ${h.handName}${h.otherWorkUntil === null ? "" : `, on other work until ${h.otherWorkUntil}`}: work waits for them; with them and those above cleared, ${h.nextCompletionDate}`;
  const name = `${codeInWords(h.kind.toLowerCase(), h.code)}  ${h.title}`;
  return h.open
    ? `${name}: ${lackOf([h])}${h.hunted ? ", hunted" : ""}${h.needBy === null ? "" : `; need-by date ${h.needBy}`}`
    : `${h.heldTo}  ${name}: arrives ${h.arrivalDate ?? "in time"}; with it and those above cleared, ${h.nextCompletionDate}${h.hunted ? "; still hunted" : ""}`;
}

function asText(plan: Plan, rows: PlanRows): string {
  const titles = new Map(rows.operations.map((operation) => [operation.id, operation]));
  const parts = new Map(rows.parts.map(({ id, name }) => [id, name]));
  const section = (title: string, lines: string[]): string[] =>
    lines.length === 0 ? [] : ["", title, ...lines.map((line) => `  ${line}`)];
  return [
    `Figures for ${plan.figuresFor}.`,
    sentence(plan),
    ...section("Not counted", notCounted(plan)),
    ...section("Hold-up ladder", plan.ladder.map(rungInText)),
    ...section(
      "To order",
      plan.toOrder.map(
        (h) =>
          `${orderByInWords(h)}  ${codeInWords(h.kind.toLowerCase(), h.code)}  ${h.title}${h.decided ? "" : " (not decided)"}${huntInWords(h)}`,
      ),
    ),
    ...section(
      "To chase",
      plan.chase.map(
        (c) =>
          `${codeInWords("order", c.orderId)}  ${parts.get(c.partId)}: ${days(c.daysLate)} late${c.holdsUp ? ", holds up completion" : ""}`,
      ),
    ),
    ...section(
      "Free to start",
      plan.freeToStart.map((f) => {
        const operation = titles.get(f.operationId)!;
        return `${codeInWords("operation", operation.code)}  ${operation.title}: ${clean(f.hours)} h${f.trade === "" ? "" : `, ${f.trade}`}${f.critical ? ", critical" : ""}`;
      }),
    ),
    "",
  ].join("\n");
}

const oneLine = (text: string): string => text.replace(/\p{Cc}+/gu, " ");

function faultLine({ file, row, field, message }: Fault): string {
  const place = file === undefined ? "" : row === undefined ? file : `${file}:${row}`;
  const where = [place, field].filter(Boolean).join(" ");
  return oneLine(where === "" ? message : `${where}: ${message}`);
}

async function main(): Promise<void> {
  const { folder, json, figuresFor, confidence } = asked();
  const set = await readFolder(folder);
  const given = await readFiles(set, true);
  // What is not used changes no date, and is said all the same: a misspelt column is easily missed.
  process.stderr.write(given.notices.map((notice) => `${faultLine(notice)}\n`).join(""));
  const day = figuresFor ?? given.figuresFor?.day ?? today();
  const { held, faults } = await merge(given, nothingHeld(), undefined, day);
  if (faults.count > 0) throw new InvalidInput(faults.list);
  const rows = planRows(held);
  const plan = computePlan(rows, {
    figuresFor: day,
    confidence: confidence ?? rows.restoration.confidence,
  });
  process.stdout.write(json ? `${JSON.stringify(asJson(plan, rows), null, 2)}\n` : asText(plan, rows));
}

try {
  await main();
} catch (error) {
  if (!(error instanceof InvalidInput || error instanceof PlanFault)) throw error;
  process.stderr.write(error.faults.map((fault) => `${faultLine(fault)}\n`).join(""));
  process.exitCode = 2;
}
