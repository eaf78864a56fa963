/**
 * Readers of published scheduling instances: PSPLIB single-mode (.sm, Kolisch & Sprecher 1997), Patterson (.rcp, Patterson
 * 1984) and multi-skill (.def, iMOPSE, Myszkowski et al. 2015). Every hour of every day is worked.
 */

import type { HandLine, HandOperation, ShopInput } from "../../server/engine/hands/shop.ts";
import type { NetworkLink } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";

const ALWAYS = new ShopCalendar({
  weekdayHours: [24, 24, 24, 24, 24, 24, 24],
  closedDates: [],
  figuresFor: "2026-01-01",
});

/** @param file its name, by whose ending it is read */
export function caseOf(file: string, text: string): ShopInput {
  if (file.endsWith(".sm")) return psplib(text);
  if (file.endsWith(".rcp")) return patterson(text);
  if (file.endsWith(".def")) return multiSkill(text);
  throw new Error(`${file} is none of .sm, .rcp and .def.`);
}

const input = (operations: HandOperation[], links: NetworkLink[], hands: HandLine[]): ShopInput => ({
  operations,
  links,
  hands,
  calendar: ALWAYS,
  targets: [Number.POSITIVE_INFINITY],
  plain: true,
});

const always = { weekdayHours: [24, 24, 24, 24, 24, 24, 24], absences: [], joinsOn: null, leavesOn: null };
const pool = (count: number, i: number): HandLine => ({ id: `R${i}`, trades: [`R${i}`], count, ...always });
const operation = (id: number, hours: number, demands: number[]): HandOperation => ({
  id: String(id),
  hours,
  release: 0,
  needs: demands.flatMap((hands, i) => (hands > 0 ? [{ trade: `R${i}`, hands }] : [])),
  restoration: 0,
});
const link = (before: number, after: number): NetworkLink => ({
  before: String(before),
  after: String(after),
  lag: 0,
  lagInDays: false,
});

const numbersIn = (line: string): number[] => (line.match(/\d+/g) ?? []).map(Number);

function psplib(text: string): ShopInput {
  const lines = text.split(/\r?\n/);
  const after = (heading: RegExp, skip: number): string[] => {
    const from = lines.findIndex((line) => heading.test(line)) + skip;
    const rest = lines.slice(from);
    const to = rest.findIndex((line) => line.startsWith("*"));
    return (to < 0 ? rest : rest.slice(0, to)).filter((line) => line.trim() !== "");
  };
  const links = after(/^PRECEDENCE/, 2).flatMap((line) => {
    const [job, , , ...successors] = numbersIn(line);
    return successors.map((successor) => link(job!, successor));
  });
  const operations = after(/^REQUESTS/, 3).map((line) => {
    const [job, , duration, ...demands] = numbersIn(line);
    return operation(job!, duration!, demands);
  });
  const hands = numbersIn(after(/^RESOURCEAVAIL/, 2)[0]!).map(pool);
  return input(operations, links, hands);
}

function patterson(text: string): ShopInput {
  const numbers = numbersIn(text);
  let at = 0;
  const take = (): number => numbers[at++]!;
  const jobs = take();
  const kinds = take();
  const hands = Array.from({ length: kinds }, (_, i) => pool(take(), i));
  const links: NetworkLink[] = [];
  const operations = Array.from({ length: jobs }, (_, i) => {
    const duration = take();
    const demands = Array.from({ length: kinds }, take);
    const successors = take();
    for (let k = 0; k < successors; k++) links.push(link(i + 1, take()));
    return operation(i + 1, duration, demands);
  });
  return input(operations, links, hands);
}

/** A task needs one person who has its skill at its level or a higher one. */
function multiSkill(text: string): ShopInput {
  const [, people = "", tasks = ""] = /ResourceID([\s\S]*?)=====[\s\S]*?TaskID([\s\S]*?)=====/.exec(text) ?? [];
  const hands = people
    .split(/\r?\n/)
    .slice(1)
    .filter((line) => line.trim() !== "")
    .map((line): HandLine => {
      const trades = [...line.matchAll(/(Q\d+):\s*(\d+)/g)].flatMap(([, skill, level]) =>
        Array.from({ length: Number(level) + 1 }, (_, l) => `${skill}:${l}`),
      );
      return { id: /^\d+/.exec(line.trim())![0], trades, count: 1, ...always };
    });
  const links: NetworkLink[] = [];
  const operations = tasks
    .split(/\r?\n/)
    .slice(1)
    .filter((line) => line.trim() !== "")
    .map((line): HandOperation => {
      const [, id, duration, skill, level, before] = /^\s*(\d+)\s+(\d+)\s+(Q\d+):\s*(\d+)\s*([\d\s]*)$/.exec(line)!;
      for (const one of numbersIn(before!)) links.push(link(one, Number(id)));
      return {
        id: id!,
        hours: Number(duration),
        release: 0,
        needs: [{ trade: `${skill}:${level}`, hands: 1 }],
        restoration: 0,
      };
    });
  return input(operations, links, hands);
}
